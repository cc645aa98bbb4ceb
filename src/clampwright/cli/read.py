"""``clampwright read``: what was understood of a written procedure."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_text, text_of

if TYPE_CHECKING:
    from clampwright.procedure.reading import Reading
    from clampwright.procedure.stage import Stage


@click.command(
    epilog="Example: echo 'Step 1: 30 Nm, step 2: +90°' | clampwright read -",
    short_help="Read a written procedure.",
)
@click.argument("file", required=False)
@click.option(
    "--locale",
    default="en",
    show_default=True,
    help="Language tag of the text, such as de-DE; und when not known.",
)
@click.option(
    "--batch",
    help="Read many: a file of JSON objects, one a line, with id, text and locale.",
)
@json_option
def command(file: str | None, locale: str, batch: str | None, *, as_json: bool) -> None:
    """Read the procedure in FILE (- is standard input) and say what was understood.

    Exit status 1 when the text can be read in two ways, 2 when no procedure can be taken from it.
    """
    from clampwright.procedure.reader import read

    if batch is not None:
        _batch(batch)
        return
    if file is None:
        raise click.UsageError("Name a FILE, or - for standard input.")
    reading = read(read_text(file), locale)
    if as_json:
        print_json(reading.as_json())
    else:
        _show(reading)
    raise SystemExit({"ok": DONE, "ambiguous": FINDING}.get(reading.status, 2))


def _batch(path: str) -> None:
    from clampwright.errors import BadFile
    from clampwright.procedure.reader import read
    from clampwright.words import words

    for number, line in enumerate(read_text(path).split("\n"), 1):
        if not line.strip():
            continue
        try:
            case = json.loads(line)
            text, tag = str(case["text"]), str(case.get("locale", "en"))
        except (ValueError, KeyError, TypeError, AttributeError) as error:
            raise BadFile(
                words(
                    "{file}, line {line}: expected a JSON object with id, text and locale",
                    file=path,
                    line=number,
                ),
                file=path,
                line=number,
            ) from error
        print_json({"id": case.get("id"), **read(text, tag).as_json()})


def _show(reading: Reading) -> None:
    from clampwright.words import words

    if reading.error is not None:
        click.echo(text_of(words("No procedure can be taken from this:")))
        click.echo(f"  {text_of(reading.error.say)}")
        return
    if reading.why:
        click.echo(text_of(words("This must be settled first:")))
        for sentence in reading.why:
            click.echo(f"  {text_of(sentence)}")
    _show_stages(reading)
    if reading.lubrication:
        click.echo(text_of(words("Surface: {state}", state=", ".join(reading.lubrication))))
    if reading.reuse:
        click.echo(text_of(words("Fasteners: {rule}", rule=reading.reuse.replace("_", " "))))
    for code in reading.warnings:
        click.echo(text_of(words("Look at this: {code}", code=code.replace("_", " "))))


def _show_stages(reading: Reading) -> None:
    from clampwright.words import words

    if reading.stages:
        click.echo(text_of(words("Understood:")))
    for number, stage in enumerate(reading.stages, 1):
        click.echo(f"  {number}. {_stage_line(stage)}")
    for number, candidate in enumerate(reading.candidates, 1):
        click.echo(text_of(words("Reading {number}:", number=number)))
        for stage in candidate:
            click.echo(f"  - {_stage_line(stage)}")


def _stage_line(stage: Stage) -> str:
    from clampwright.procedure.describe import describe, remarks

    return "; ".join(text_of(part) for part in (describe(stage), *remarks(stage)))
