"""``clampwright judge``: what a recorded pull shows."""

from __future__ import annotations

import io
from pathlib import Path
from typing import IO, TYPE_CHECKING

import click

from clampwright.cli.line_option import line_form
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
    from clampwright.trace.given import Given
    from clampwright.trace.line_form import LineForm
    from clampwright.trace.model import Trace
    from clampwright.trace.verdict import TraceVerdict


@click.command(
    epilog="Example: clampwright judge pull.csv --given limits.json --chart pull.svg",
    short_help="Judge a recorded pull.",
)
@click.argument("trace", required=False)
@click.option("--given", help="JSON file with what is known: limits, joint, wrench.")
@click.option(
    "--batch",
    help="Judge many: a file of JSON objects with id, trace and given, or a Parquet archive.",
)
@click.option(
    "--lines",
    help="How to read lines of a form of their own: a TOML file, or as 'torque 2 N·m; angle 3 deg; "
    "time 1 ms'. Without --given it is tried on TRACE and what was read is shown.",
)
@click.option("--chart", help="Write the pull as an SVG drawing, torque over angle.")
@click.option("--time-chart", help="Write the pull as an SVG drawing, torque over time.")
@json_option
def command(
    *,
    trace: str | None,
    given: str | None,
    batch: str | None,
    lines: str | None,
    chart: str | None,
    time_chart: str | None,
    as_json: bool,
) -> None:
    """Judge the pull recorded in TRACE: a CSV or Parquet file with time, torque and angle.

    The answer speaks about this pull against the limits given; it never says that a joint is safe.
    Exit status 0 when the verdict is within, 1 otherwise. With --batch 0 when every trace could be
    read, 1 when one could not; each answer stands on a line of its own.
    """
    form = None if lines is None else line_form(lines)
    if batch is not None:
        raise SystemExit(_batch(batch, given, form))
    if trace is None or (given is None and form is None):
        raise click.UsageError("Name a TRACE and --given, or --batch.")
    if given is None:
        _try_lines(trace, form, as_json=as_json)
        return
    from clampwright.trace.given import given_from_json
    from clampwright.trace.verdict import judge

    known = given_from_json(read_text(given), given)
    pull = _read(trace, form)
    verdict = judge(pull, known)
    _draw(pull, known, verdict, chart, time_chart)
    if as_json:
        print_json(verdict.as_json())
    else:
        _show(verdict)
    raise SystemExit(DONE if verdict.verdict == "within" else FINDING)


def _read(path: str, form: LineForm | None) -> Trace:
    from clampwright.trace.files import read_trace

    with _opened(path) as file:
        return read_trace(file, path, lines=form)


def _opened(path: str) -> IO[bytes]:
    from clampwright.errors import ClampwrightError
    from clampwright.words import words

    if path == "-":
        return io.BytesIO(read_file(path))
    try:
        return Path(path).open("rb")
    except (OSError, ValueError) as error:
        problem = getattr(error, "strerror", None) or str(error)
        raise ClampwrightError(
            words("{file} cannot be read: {problem}", file=path, problem=problem)
        ) from error


def _batch(path: str, given: str | None, form: LineForm | None) -> int:
    from clampwright.trace.batch import judged_archive, judged_list
    from clampwright.trace.given import given_from_json
    from clampwright.trace.parquet import MAGIC

    known = None if given is None else given_from_json(read_text(given), given)
    status = DONE
    with _opened(path) as file:
        archive = file.read(len(MAGIC)) == MAGIC
        file.seek(0)
        if archive:
            answers = judged_archive(file, _needed(known, path), path)
        else:
            folder = Path() if path == "-" else Path(path).parent
            answers = judged_list(file, lambda name: _read(str(folder / name), form), path, known)
        for answer in answers:
            status = FINDING if "error" in answer else status
            print_json(answer)
    return status


def _needed(given: Given | None, path: str) -> Given:
    from clampwright.errors import Missing
    from clampwright.words import words

    if given is None:
        raise Missing(
            words("{file} is an archive of pulls: say with --given what is known", file=path),
            needed="--given",
        )
    return given


def _try_lines(trace: str, form: LineForm | None, *, as_json: bool) -> None:
    from clampwright.trace.line_form import LineForm
    from clampwright.trace.lines import tried
    from clampwright.trace.reading import limited

    assert isinstance(form, LineForm)  # noqa: S101 - the caller checked it; this tells mypy
    with _opened(trace) as file:
        found = tried(limited(file, trace), form, trace)
    if as_json:
        print_json(found.as_json())
    else:
        for sentence in found.told():
            click.echo(text_of(sentence))


def _draw(
    trace: Trace, given: Given, verdict: TraceVerdict, chart: str | None, time_chart: str | None
) -> None:
    if chart is None and time_chart is None:
        return
    from clampwright.report.charts import charts_svg, torque_angle_chart, torque_time_chart
    from clampwright.report.marked import Marked
    from clampwright.trace.compare import angle_limits, torque_limits

    torque_stage = given.procedure == "torque"
    low, high = torque_limits(given) if torque_stage else angle_limits(given)
    marked = Marked(
        verdict=verdict.verdict,
        reasons=verdict.reasons,
        quantity="torque" if torque_stage else "angle",
        low=low,
        high=high,
        snug_angle=verdict.snug_angle,
        turned_after_snug=verdict.turned_after_snug,
        final_torque=verdict.final_torque,
        yield_angle=verdict.yield_angle,
        slips=tuple(stroke.t1_s for stroke in verdict.strokes if stroke.end == "slipped"),
        end_time=max((stroke.t1_s for stroke in verdict.strokes), default=None),
    )
    specs, paths = [], []
    if chart is not None:
        held = given.previous_torque_Nm or 0.0
        stiffness = given.tool_stiffness_Nm_per_deg
        specs.append(torque_angle_chart(trace, marked, stiffness=stiffness, held=held))
        paths.append(chart)
    if time_chart is not None:
        specs.append(torque_time_chart(trace, marked))
        paths.append(time_chart)
    for path, svg in zip(paths, charts_svg(specs), strict=True):
        _write(path, svg)


def _write(path: str, svg: str) -> None:
    from clampwright.errors import ClampwrightError
    from clampwright.words import words

    try:
        Path(path).write_text(svg, encoding="utf-8")
    except OSError as error:
        raise ClampwrightError(
            words("{file} cannot be written: {problem}", file=path, problem=str(error.strerror))
        ) from error


def _show(verdict: TraceVerdict) -> None:
    from clampwright.trace.history import told
    from clampwright.words import words

    click.echo(click.style(verdict.verdict.upper(), bold=True))
    for reason in verdict.reasons:
        click.echo(f"  {text_of(reason)}")
    for step in verdict.steps:
        click.echo(text_of(words("Done to the data: {step}", step=told(step))))
