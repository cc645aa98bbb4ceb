"""``clampwright read``: what was understood of a written procedure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.fastener import fastener_options, reckoning_from
from clampwright.cli.output import DONE, FINDING, json_option, print_json, read_text, text_of

if TYPE_CHECKING:
    from clampwright.procedure.check_physics import Reckoning
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
@click.option("--settle", is_flag=True, help="Ask the open questions one after the other.")
@fastener_options
@json_option
def command(
    file: str | None,
    locale: str,
    batch: str | None,
    *,
    settle: bool,
    as_json: bool,
    **fastener: Any,
) -> None:
    """Read the procedure in FILE (- is standard input) and say what was understood.

    The text is shown with every figure marked by what it became. With thread, strength and head,
    readings are shown with what they would do to the fastener. Exit status 1 when the text can be
    read in two ways, 2 when no procedure can be taken from it.
    """
    from clampwright.procedure.reader import read

    if batch is not None:
        _batch(batch)
        return
    if file is None:
        raise click.UsageError("Name a FILE, or - for standard input.")
    if settle and (as_json or file == "-"):
        raise click.UsageError("--settle asks on the terminal: name a FILE, and leave out --json.")
    text = read_text(file)
    reading = read(text, locale)
    reckoning = reckoning_from(fastener, reading.lubrication)
    if as_json:
        print_json(reading.as_json())
    else:
        _show(text, reading, reckoning, asks=settle)
    if settle and reading.ambiguous:
        _settle(reading, reckoning)
        return
    raise SystemExit({"ok": DONE, "ambiguous": FINDING}.get(reading.status, 2))


def _batch(path: str) -> None:
    from clampwright.errors import BadFile
    from clampwright.intake import json_of
    from clampwright.procedure.reader import read
    from clampwright.words import words

    for number, line in enumerate(read_text(path).split("\n"), 1):
        if not line.strip():
            continue
        try:
            case = json_of(line, "list of texts", path)
            text, tag = str(case["text"]), str(case.get("locale", "en"))
        except (BadFile, KeyError, TypeError, AttributeError) as error:
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


def _settle(reading: Reading, reckoning: Reckoning | None) -> None:
    from clampwright.cli.settle import settle
    from clampwright.words import words
    from clampwright.work.settling import settled

    number = settle(reading, reckoning)
    count = len(reading.candidates)
    click.echo(text_of(words("Reading {number} of {count}:", number=number, count=count)))
    for step, stage in enumerate(settled(reading, number), 1):
        click.echo(f"  {step}. {_stage_line(stage)}")
    click.echo(text_of(words("In a job file: choice = {number}", number=number)))


def _show(text: str, reading: Reading, reckoning: Reckoning | None, *, asks: bool) -> None:
    from clampwright.words import words

    if reading.error is not None:
        click.echo(text_of(words("No procedure can be taken from this:")))
        click.echo(f"  {text_of(reading.error.say)}")
        return
    _show_marked(text, reading)
    if reading.why and not asks:
        click.echo(text_of(words("This must be settled first:")))
        for sentence in reading.why:
            click.echo(f"  {text_of(sentence)}")
    _show_stages(reading)
    if not asks:
        _show_readings(reading, reckoning)
    if reading.lubrication:
        click.echo(text_of(words("Surface: {state}", state=", ".join(reading.lubrication))))
    if reading.reuse:
        click.echo(text_of(words("Fasteners: {rule}", rule=reading.reuse.replace("_", " "))))
    for code in reading.warnings:
        click.echo(text_of(words("Look at this: {code}", code=code.replace("_", " "))))


def _show_marked(text: str, reading: Reading) -> None:
    from clampwright.cli.marks import marked_lines
    from clampwright.procedure.marked import marked
    from clampwright.words import words

    click.echo(text_of(words("The text, each figure marked by what it became:")))
    for line in marked_lines(marked(text, reading)):
        click.echo(f"  {line}" if line else "")


def _show_stages(reading: Reading) -> None:
    from clampwright.words import words

    if reading.stages:
        click.echo(text_of(words("Understood:")))
    for number, stage in enumerate(reading.stages, 1):
        click.echo(f"  {number}. {_stage_line(stage)}")


def _show_readings(reading: Reading, reckoning: Reckoning | None) -> None:
    if not reading.candidates:
        return
    from clampwright.words import words
    from clampwright.work.settling import informed

    for number, candidate in enumerate(reading.candidates, 1):
        click.echo(text_of(words("Reading {number}:", number=number)))
        for place, stage in enumerate(candidate):
            click.echo(f"  - {_stage_line(stage)}")
            if reckoning is not None:
                for line in informed(candidate, place, reckoning):
                    click.echo(f"    {text_of(line)}")


def _stage_line(stage: Stage) -> str:
    from clampwright.procedure.describe import describe, remarks

    return "; ".join(text_of(part) for part in (describe(stage), *remarks(stage)))
