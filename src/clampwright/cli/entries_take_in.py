"""``clampwright entries take-in``: the file or the codes of a device without network."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright entries take-in entries.json --workshop demo-workshop")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@workshop_option
@json_option
def command(*, file: Path, workshop: Path, as_json: bool) -> None:
    """Take in entries that were carried here from a device, as a file or as texts of its codes.

    Each is taken once, however often it is brought. What cannot be taken as what it is, is kept
    aside on the log, word for word; what is still to be signed is held open there. Exit status 1:
    something was kept aside, held open or not taken.
    """
    from clampwright.bench.exchange import read_exchange
    from clampwright.bench.folder import read_bytes
    from clampwright.web.carried import take_carried
    from clampwright.words import words

    carried = read_exchange(read_bytes(file), file.name)
    told = take_carried(workshop, carried)
    if as_json:
        print_json(told.as_json())
        sys.exit(1 if told.aside or told.left or told.held else 0)
    click.echo(
        text_of(
            words("{taken} taken, {known} were here already.", taken=told.taken, known=told.known)
        )
    )
    for line in told.held:
        click.echo(text_of(words("Held open, see clampwright entries unsigned: {what}", what=line)))
    for line in told.aside:
        click.echo(text_of(words("Kept aside, to be settled: {why}", why=line)))
    for line in told.left:
        click.echo(text_of(words("Not taken: {why}", why=line)))
    sys.exit(1 if told.aside or told.left or told.held else 0)
