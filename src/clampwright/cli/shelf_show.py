"""``clampwright shelf show``: one version of a procedure."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.work.shelf import Version


@click.command(epilog="Example: clampwright shelf show pump-cover --version 1")
@click.argument("procedure")
@click.option("--version", "number", type=int, metavar="N", help="Which; the newest if not given.")
@workshop_option
@json_option
def command(procedure: str, number: int | None, *, workshop: Path, as_json: bool) -> None:
    """Show a version of PROCEDURE (its id): text, stages, what was settled, source, readers."""
    from clampwright.bench.names import Names
    from clampwright.bench.shelf import shelf_in
    from clampwright.cli.shelf_text import as_json as plain
    from clampwright.cli.shelf_text import head_lines

    versions = shelf_in(workshop).versions(procedure)
    one = versions[-1] if number is None else shelf_in(workshop).version(procedure, number)
    names = Names(workshop).all()
    if as_json:
        print_json({**plain(one, names), "versions": len(versions)})
        return
    for line in (*head_lines(one, names), *_body(one, workshop)):
        click.echo(line)


def _body(one: Version, workshop: Path) -> Iterator[str]:
    from clampwright.procedure.marked import visible
    from clampwright.words import words

    yield f"  SHA-256 {one.sha256}"
    for file in one.attached:
        path = workshop / "papers" / file.sha256
        yield "  " + text_of(words("File: {name}, {path}", name=file.name, path=str(path)))
    yield text_of(words("The text:"))
    yield from (f"  {line}" for line in visible(one.text).splitlines())
    choice = one.content["choice"]
    if choice is not None:
        yield text_of(words("Settled:"))
        yield from (f"  {question}" for question in choice["question"])
        for number, stages in enumerate(choice["readings"], 1):
            mark = "*" if number == choice["chosen"] else " "
            yield f"  {mark} {number}  {'; '.join(stages)}"
        yield text_of(words("  * marks the reading that was chosen"))
    yield text_of(words("The work goes by:"))
    yield from (f"  {number}. {line}" for number, line in enumerate(one.content["understood"], 1))
