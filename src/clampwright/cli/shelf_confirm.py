"""``clampwright shelf confirm``: a second person has compared a version with its source."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog='Example: clampwright shelf confirm pump-cover --version 1 --by "B. Reader"')
@click.argument("procedure")
@click.option("--version", "number", type=int, required=True, metavar="N", help="Which version.")
@click.option("--by", metavar="NAME", required=True, help="Who has compared it.")
@workshop_option
@json_option
def command(procedure: str, number: int, by: str, *, workshop: Path, as_json: bool) -> None:
    """Say that you have compared a version of PROCEDURE (its id) with its source.

    You must be another person than the one who entered it: two see what one has overlooked.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.names import Names
    from clampwright.bench.shelf import confirm, shelf_of
    from clampwright.cli.shelf_text import as_json as plain
    from clampwright.cli.shelf_text import head_lines

    place = Workshop(workshop)
    with open_store(place) as store:
        made = confirm(store, place, shelf_of(store).version(procedure, number), by)
    names = Names(workshop).all()
    if as_json:
        print_json(plain(made, names))
        return
    for line in head_lines(made, names):
        click.echo(line)
