"""``clampwright practice export``: the results of a class for other programs."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import text_of
from clampwright.cli.practice_common import book_in
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright practice export evening-2026 results.csv")
@click.argument("group", metavar="CLASS")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@workshop_option
def command(*, group: str, file: Path, workshop: Path) -> None:
    """Write the results of CLASS into FILE: a table (.csv) or JSON (.json).

    Cells that a table program would take for a formula get an apostrophe before them.
    """
    from clampwright.errors import ClampwrightError, Missing
    from clampwright.practice.export import as_csv, as_json
    from clampwright.words import words

    kind = file.suffix.lower()
    if kind not in {".csv", ".json"}:
        raise ClampwrightError(
            words("{file}: end its name in .csv or .json, so that it is known what to write",
                  file=str(file))
        )  # fmt: skip
    results = book_in(workshop).results(group)
    if not results:
        raise Missing(words("there are no results of the class {name}", name=group), needed="class")
    try:
        file.write_bytes(as_csv(results) if kind == ".csv" else as_json(group, results))
    except OSError as error:
        raise ClampwrightError(
            words("{file} cannot be written: {problem}", file=str(file),
                  problem=str(error.strerror))
        ) from error  # fmt: skip
    click.echo(
        text_of(words("answers written: {count}, into {file}", count=len(results), file=str(file)))
    )
