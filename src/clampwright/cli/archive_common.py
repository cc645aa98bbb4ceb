"""What the analyses of an archive have in common on the command line."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of

if TYPE_CHECKING:
    from clampwright.archive.running import Result, Spread

Command = TypeVar("Command", bound=Callable[..., Any])
FOLDER = click.Path(file_okay=False, path_type=Path)
WIDEST = 44
"""Letters of a cell on the command line."""


def analysis_options(command: Command) -> Command:
    """Add the options that every analysis has."""
    for one in (
        click.argument("archive", type=FOLDER),
        click.option(
            "--workers",
            type=click.IntRange(0, 256),
            default=0,
            show_default=True,
            help="Processes beside this one, by Dask; 0: this one does the work.",
        ),
        click.option(
            "--scheduler",
            metavar="ADDRESS",
            help="A Dask scheduler that runs, in a network of your own; it reaches the archive "
            "under the same path.",
        ),
        click.option(
            "--set-aside", is_flag=True, help="Go on without parts that cannot be read; name them."
        ),
        click.option(
            "--most", type=click.IntRange(1), default=20, show_default=True, help="Rows shown."
        ),
        json_option,
    ):
        command = one(command)
    return command


def analyse(name: str, given: Mapping[str, Any], asked: Mapping[str, Any] | None = None) -> Result:
    """Do an analysis and show it; ends the command with its exit status.

    Parameters
    ----------
    name : str
    given : mapping
        The common options.
    asked : mapping, optional
        Details of the question.
    """
    result = done(name, given, asked)
    show(result, most=given["most"], as_json=given["as_json"])
    return result


def done(name: str, given: Mapping[str, Any], asked: Mapping[str, Any] | None = None) -> Result:
    """Do an analysis; how far it is stands on the error output of a terminal."""
    from clampwright.archive.analyses import ANALYSES
    from clampwright.archive.layout import archive_at
    from clampwright.archive.running import run

    place = archive_at(given["archive"])
    with _workers(given) as (spread, count):
        return run(
            place,
            ANALYSES[name],
            asked,
            spread=spread,
            workers=count,
            set_aside=given["set_aside"],
            progress=_progress if sys.stderr.isatty() else None,
        )


@contextmanager
def _workers(given: Mapping[str, Any]) -> Iterator[tuple[Spread, int]]:
    from clampwright.archive.running import here

    if given["scheduler"]:
        from clampwright.archive.cluster import workers_at

        with workers_at(given["scheduler"]) as spread:
            yield spread, max(given["workers"], 1)
    elif given["workers"]:
        from clampwright.archive.cluster import workers_here

        with workers_here(given["workers"]) as spread:
            yield spread, given["workers"]
    else:
        yield here, 0


def _progress(done_: int, pieces: int) -> None:
    from clampwright.words import words

    end = "\n" if done_ == pieces else ""
    said = text_of(words("Pieces of work done: {done} of {pieces}", done=done_, pieces=pieces))
    click.echo(f"\r{said}{end}", err=True, nl=False)


def show(result: Result, *, most: int, as_json: bool) -> None:
    """Show a result and end with its exit status."""
    from clampwright.archive.telling import needs_a_look, tables
    from clampwright.words import words

    if as_json:
        print_json(result.as_json())
    else:
        for table in tables(result, most):
            _table(table)
        for file, why in result.aside:
            click.echo(text_of(words("Set aside: {file} ({why})", file=file, why=why)))
        work = result.work
        click.echo(
            text_of(
                words(
                    "Pieces of work: {pieces}, done before: {before}; {seconds:.1f} s, "
                    "{core:.1f} s of processor time",
                    pieces=work.pieces,
                    before=work.before,
                    seconds=work.seconds,
                    core=work.core_seconds,
                )
            )
        )
    raise SystemExit(FINDING if needs_a_look(result) else DONE)


def _table(table: Any) -> None:
    click.echo(click.style(text_of(table.title), bold=True))
    for line in table.lines:
        click.echo(f"  {text_of(line)}")
    if table.rows:
        show_rows([tuple(text_of(one) for one in table.columns), *table.rows])
    click.echo()


def show_rows(rows: list[tuple[str, ...]]) -> None:
    """Show rows of cells, the first as heading, in columns as wide as they need."""
    cut = [[cell if len(cell) <= WIDEST else cell[: WIDEST - 1] + "…" for cell in row]
           for row in rows]  # fmt: skip
    widths = [max(len(row[place]) for row in cut) for place in range(len(cut[0]))]
    for row in cut:
        line = "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        click.echo(f"  {line.rstrip()}")
