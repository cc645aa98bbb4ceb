"""``clampwright shelf compare``: what changed between two versions."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright shelf compare pump-cover 1 2")
@click.argument("procedure")
@click.argument("before", type=int)
@click.argument("after", type=int)
@workshop_option
@json_option
def command(procedure: str, before: int, after: int, *, workshop: Path, as_json: bool) -> None:
    """Show what changed from version BEFORE of PROCEDURE (its id) to version AFTER."""
    from clampwright.bench.shelf import shelf_in
    from clampwright.procedure.marked import visible
    from clampwright.words import words
    from clampwright.work.difference import difference

    shelf = shelf_in(workshop)
    found = difference(shelf.version(procedure, before), shelf.version(procedure, after))
    if as_json:
        print_json(
            {
                "stages_changed": found.stages_changed,
                "stages": [[line.sign, line.text] for line in found.stages],
                "text": [[line.sign, line.text] for line in found.text],
                "others": [text_of(one) for one in found.others],
            }
        )
        return
    if not (found.stages_changed or found.text_changed or found.others):
        click.echo(text_of(words("Nothing changed.")))
        return
    same = words("The work is the same in both:")
    click.echo(text_of(words("The work changed:") if found.stages_changed else same))
    for line in found.stages:
        click.echo(f"  {line.sign} {line.text}")
    if found.text_changed:
        click.echo(text_of(words("The text changed:")))
        for line in found.text:
            click.echo(f"  {line.sign} {visible(line.text)}")
    for one in found.others:
        click.echo(text_of(one))
