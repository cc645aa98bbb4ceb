"""``clampwright shelf list``: the procedures at a glance."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright shelf list --find cover --workshop demo-workshop")
@click.option("--find", default="", metavar="WORDS", help="Only those that hold all these words.")
@workshop_option
@json_option
def command(*, find: str, workshop: Path, as_json: bool) -> None:
    """List the newest version of every procedure on the shelf."""
    from clampwright.bench.names import Names
    from clampwright.bench.shelf import shelf_in
    from clampwright.cli.shelf_text import as_json as plain
    from clampwright.cli.shelf_text import head_lines
    from clampwright.words import words

    found, names = shelf_in(workshop).find(find), Names(workshop).all()
    if as_json:
        print_json({"procedures": [plain(one, names) for one in found]})
        return
    if not found and find:
        click.echo(text_of(words("No procedure on the shelf holds these words.")))
    elif not found:
        click.echo(text_of(words("The shelf is empty.")))
    for one in found:
        for line in head_lines(one, names):
            click.echo(line)
