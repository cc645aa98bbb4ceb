"""``clampwright judge``: what a recorded pull shows."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import (
    DONE,
    FINDING,
    json_option,
    print_json,
    read_file,
    read_text,
    text_of,
)

if TYPE_CHECKING:
    from clampwright.trace.verdict import TraceVerdict


@click.command(
    epilog="Example: clampwright judge pull.csv --given limits.json",
    short_help="Judge a recorded pull.",
)
@click.argument("trace", required=False)
@click.option("--given", help="JSON file with what is known: limits, joint, wrench.")
@click.option("--batch", help="Judge many: a file of JSON objects with id, trace and given.")
@json_option
def command(trace: str | None, given: str | None, batch: str | None, *, as_json: bool) -> None:
    """Judge the pull recorded in TRACE: a CSV file with time_s, torque_Nm and angle_deg.

    Exit status 0 when the verdict is within, 1 otherwise.
    """
    if batch is not None:
        _batch(batch)
        return
    if trace is None or given is None:
        raise click.UsageError("Name a TRACE and --given, or --batch.")
    verdict = _judge(trace, read_text(given), given)
    if as_json:
        print_json(verdict.as_json())
    else:
        _show(verdict)
    raise SystemExit(DONE if verdict.verdict == "within" else FINDING)


def _judge(trace: str, given: str, name: str) -> TraceVerdict:
    from clampwright.trace.given import given_from_json
    from clampwright.trace.reading import read_csv
    from clampwright.trace.verdict import judge

    return judge(read_csv(read_file(trace), trace), given_from_json(given, name))


def _batch(path: str) -> None:
    from clampwright.errors import BadFile
    from clampwright.words import words

    folder = Path(path).parent
    for number, line in enumerate(read_text(path).splitlines(), 1):
        if not line.strip():
            continue
        try:
            case: dict[str, Any] = json.loads(line)
            file, given = str(folder / case["trace"]), json.dumps(case["given"])
        except (ValueError, KeyError, TypeError) as error:
            raise BadFile(
                words(
                    "{file}, line {line}: expected a JSON object with id, trace and given",
                    file=path,
                    line=number,
                ),
                file=path,
                line=number,
            ) from error
        print_json({"id": case.get("id"), **_judge(file, given, f"{path}:{number}").as_json()})


def _show(verdict: TraceVerdict) -> None:
    from clampwright.words import words

    click.echo(click.style(verdict.verdict.upper(), bold=True))
    for reason in verdict.reasons:
        click.echo(f"  {text_of(reason)}")
    for step in verdict.steps:
        click.echo(text_of(words("Done to the data: {step}", step=str(step))))
