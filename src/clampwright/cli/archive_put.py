"""``clampwright archive put``: workshops, exports, records or traces into an archive."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_text, text_of

if TYPE_CHECKING:
    from clampwright.archive.layout import Archive
    from clampwright.archive.taking import Put


@click.command(
    epilog="Example: clampwright archive put chain demo-workshop",
    short_help="Put workshops, exports, records or traces into an archive.",
)
@click.argument("archive", type=click.Path(file_okay=False, path_type=Path))
@click.argument("sources", nargs=-1, required=True, type=click.Path(path_type=Path))
@click.option(
    "--papers",
    type=click.Path(file_okay=False, path_type=Path),
    help="Folder with the traces, where they do not lie beside the log.",
)
@click.option("--given", help="Of a Parquet file of traces: JSON file with what is known of them.")
@click.option("--workshop", metavar="NAME", help="Of a Parquet file of traces: whose they are.")
@click.option("--month", metavar="YYYY-MM", help="Of a Parquet file of traces: when.")
@json_option
def command(
    *, archive: Path, sources: tuple[Path, ...], papers: Path | None, as_json: bool, **traces: Any
) -> None:
    """Put SOURCES into the folder ARCHIVE, which is made where there is none.

    Each of SOURCES is a workshop's folder, an export of its log, the JSON of a record, or a Parquet
    file of many pulls (with --given, --workshop and --month). The same entry twice is once: give
    the same command again when there is more, or when it was stopped. Exit status 1 when a recorded
    pull came without its trace.
    """
    from clampwright.archive.layout import archive_at

    place = archive_at(archive, create=True)
    done = [_put(place, source, papers, traces) for source in sources]
    if as_json:
        print_json({"archive": str(archive), "put": [_json(one) for one in done]})
    else:
        for source, one in zip(sources, done, strict=True):
            _tell(source, one)
    raise SystemExit(FINDING if any(one.lacking for one in done) else DONE)


def _put(place: Archive, source: Path, papers: Path | None, traces: dict[str, Any]) -> Put:
    from clampwright.archive.sources import open_source
    from clampwright.archive.taking import put
    from clampwright.trace.parquet import MAGIC

    if source.is_file():
        with source.open("rb") as file:
            parquet = file.read(len(MAGIC)) == MAGIC
            file.seek(0)
            if parquet:
                return _put_traces(place, file, str(source), traces)
    with open_source(source, papers) as opened:
        return put(place, opened)


def _put_traces(place: Archive, file: Any, name: str, traces: dict[str, Any]) -> Put:
    from clampwright.archive.taking import put_traces
    from clampwright.errors import Missing
    from clampwright.trace.given import given_from_json
    from clampwright.words import words

    for option in ("given", "workshop", "month"):
        if not traces[option]:
            raise Missing(
                words(
                    "{file} is a file of many pulls: say with {option} what is not in it",
                    file=name,
                    option=f"--{option}",
                ),
                needed=f"--{option}",
            )
    known = given_from_json(read_text(traces["given"]), traces["given"])
    return put_traces(
        place, file, name, given=known, workshop=traces["workshop"], month=traces["month"]
    )


def _json(one: Put) -> dict[str, Any]:
    return {
        "workshop": one.workshop,
        "entries": one.entries,
        "known": one.known,
        "traces": one.traces,
        "samples": one.samples,
        "lacking": one.lacking,
        "why": [{"pull": pull, "why": text_of(why)} for pull, why in one.why],
    }


def _tell(source: Path, one: Put) -> None:
    from clampwright.words import words

    click.echo(
        text_of(
            words(
                "{source}: {workshop}, {entries} entries and {traces} traces are new, {known} were "
                "there",
                source=str(source),
                workshop=one.workshop,
                entries=one.entries,
                traces=one.traces,
                known=one.known,
            )
        )
    )
    if one.lacking:
        click.echo(
            text_of(words("  {count} recorded pulls came without a trace:", count=one.lacking))
        )
        for pull, why in one.why:
            click.echo(f"    {pull}: {text_of(why)}")
