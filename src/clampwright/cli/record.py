"""``clampwright record``: what is left of a job for others to rely on."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.phrase import pass_phrase, phrase_option


@click.command(
    epilog="Example: clampwright record trailer-wheel --workshop demo-workshop",
    short_help="Write the record of a job.",
)
@click.argument("job")
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    default=Path(),
    show_default="this folder",
    help="Workshop folder.",
)
@click.option(
    "--out", type=click.Path(dir_okay=False, path_type=Path), help="Where to write the file."
)
@click.option("--pdf/--no-pdf", default=True, show_default=True, help="Make the paper too.")
@click.option("--text", "as_text", is_flag=True, help="Print it to read, instead of writing it.")
@phrase_option
@json_option
def command(
    job: str,
    workshop: Path,
    out: Path | None,
    *,
    phrase_file: Path | None,
    pdf: bool,
    as_text: bool,
    as_json: bool,
) -> None:
    """Write the record of JOB (its id): JSON that `clampwright verify` can check, and a PDF."""
    from clampwright.bench.folder import Workshop, open_store
    from clampwright.bench.names import Names
    from clampwright.bench.records import record_of, record_text, write_record
    from clampwright.words import words

    place = Workshop(workshop)
    with open_store(place, pass_phrase=pass_phrase(workshop, phrase_file)) as store:
        if as_text:
            for line in record_text(record_of(store, job), Names(workshop).all()):
                click.echo(line)
            return
        written = write_record(place, store, job, out, paper=pdf)
    if as_json:
        paper = str(written.pdf) if written.pdf else None
        print_json({"job": job, "file": str(written.json), "pdf": paper})
        return
    click.echo(text_of(words("Record written: {file}", file=str(written.json))))
    if written.pdf is not None:
        click.echo(text_of(words("On paper: {file}", file=str(written.pdf))))
