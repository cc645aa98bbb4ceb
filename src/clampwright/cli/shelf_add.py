"""``clampwright shelf add``: a procedure goes on the shelf, its open questions are asked first."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.fastener import fastener_options, reckoning_from
from clampwright.cli.output import json_option, print_json, read_file, read_text, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.bench.shelf import Draft


@click.command(
    epilog='Example: clampwright shelf add cover.txt --title "Pump cover" --source "Leaflet" '
    '--by "A. Fitter"'
)
@click.argument("file")
@click.option("--title", metavar="TEXT", required=True, help="What the procedure is for.")
@click.option("--by", metavar="NAME", required=True, help="Who enters it and answers for it.")
@click.option("--source", metavar="TEXT", required=True, help="Manual, sheet or label.")
@click.option("--edition", default="", metavar="TEXT", help="Edition of the source.")
@click.option("--page", default="", metavar="TEXT", help="Page or section.")
@click.option("--date", default="", metavar="TEXT", help="Date of the source.")
@click.option(
    "--attach",
    multiple=True,
    type=click.Path(dir_okay=False, path_type=Path),
    help="Photograph or PDF page to keep with it; can be given again.",
)
@click.option("--of", metavar="ID", help="Make it a new version of this procedure.")
@click.option("--locale", default="en", show_default=True, help="Language tag of the text.")
@click.option("--choice", type=int, metavar="N", help="Reading to take, where there are several.")
@click.option(
    "--stays-open",
    is_flag=True,
    help="Keep it as text with an open point that no choice can settle.",
)
@click.option("--settle", is_flag=True, help="Ask the open questions one after the other.")
@fastener_options
@workshop_option
@json_option
def command(file: str, *, workshop: Path, settle: bool, as_json: bool, **given: Any) -> None:
    """Put the procedure in FILE (- is standard input) on the shelf.

    Where it can be read in two ways, give --choice, or --settle to be asked. Exit status 1 when a
    question is open; nothing is kept then. With --stays-open a text is kept whose open point no
    choice can settle: no job can use it before a new version settles it.
    """
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.names import Names
    from clampwright.bench.shelf import put
    from clampwright.cli.shelf_text import as_json as plain
    from clampwright.cli.shelf_text import head_lines

    if settle and (as_json or file == "-"):
        raise click.UsageError("--settle asks on the terminal: name a FILE, and leave out --json.")
    place = Workshop(workshop)
    draft = _draft(read_text(file), given, settle=settle)
    files = [(read_file(str(path)), path.name) for path in given["attach"]]
    with open_store(place, create=True) as store:
        made = put(store, place, draft, given["by"], files=files)
    names = Names(workshop).all()
    if as_json:
        print_json(plain(made, names))
        return
    for line in head_lines(made, names):
        click.echo(line)


def _draft(text: str, given: dict[str, Any], *, settle: bool) -> Draft:
    from clampwright.bench.shelf import Draft
    from clampwright.cli.settle import settle as ask
    from clampwright.procedure.reader import read
    from clampwright.words import words

    choice = given["choice"]
    reading = read(text, given["locale"])
    if settle and choice is None and reading.ambiguous:
        choice = ask(reading, reckoning_from(given, reading.lubrication))
        click.echo(text_of(words("Reading {number} is taken.", number=choice)))
    source = {"title": given["source"]}
    source |= {key: given[key] for key in ("edition", "page", "date")}
    return Draft(
        given["title"],
        text,
        given["locale"],
        choice,
        source,
        procedure=given["of"],
        stays_open=given["stays_open"],
    )
