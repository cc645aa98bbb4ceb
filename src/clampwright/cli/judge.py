"""``clampwright judge``: what a recorded pull shows."""

from __future__ import annotations

import io
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

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
@click.option(
    "--set",
    "as_set",
    is_flag=True,
    help="With --batch: the pulls are the fasteners of one joint; tell at the end which differ.",
)
@click.option(
    "--good",
    help="Learn from earlier pulls of this fastening what is ordinary: a list as for --batch.",
)
@click.option(
    "--tuning", help="TOML file with criteria and priors of your own, each with its source."
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
    as_set: bool,
    good: str | None,
    tuning: str | None,
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
    if as_set and batch is None:
        raise click.UsageError("--set goes with --batch.")
    if batch is None and given is None and form is None:
        raise click.UsageError("Name a TRACE and --given, or --batch.")
    from clampwright.trace.tuning import in_force, tuning_from_toml

    own = None if tuning is None else tuning_from_toml(read_file(tuning), tuning)
    with in_force(own):
        if batch is not None:
            raise SystemExit(_batch(batch, given, form, as_set=as_set))
        if trace is None:
            raise click.UsageError("Name a TRACE and --given, or --batch.")
        if given is None:
            _try_lines(trace, form, as_json=as_json)
            return
        verdict = _one(trace, given, good, form, charts=(chart, time_chart))
    told = own.told() if own else []
    if as_json:
        print_json(verdict.as_json() | ({"own": [str(one) for one in told]} if told else {}))
    else:
        _show(verdict)
        for sentence in told:
            click.echo(text_of(sentence))
    raise SystemExit(DONE if verdict.verdict == "within" else FINDING)


def _one(
    trace: str,
    given: str,
    good: str | None,
    form: LineForm | None,
    *,
    charts: tuple[str | None, str | None],
) -> TraceVerdict:
    from clampwright.trace.given import given_from_json

    known = given_from_json(read_text(given), given)
    from clampwright.trace.verdict import as_tightening

    pull = as_tightening(_read(trace, form), known)
    verdict = _judged(pull, known, good, form)
    _draw(pull, known, verdict, *charts)
    return verdict


def _judged(pull: Trace, known: Given, good: str | None, form: LineForm | None) -> TraceVerdict:
    """Judge a pull; with good ones before it, say what of it is unusual."""
    from clampwright.trace.verdict import judge

    verdict = judge(pull, known)
    if good is None:
        return verdict
    from clampwright.trace.learned import learned, remembered

    with _opened(good) as file:
        answers = [one for one in _answers(good, file, known, form) if "error" not in one]
    ordinary = learned(remembered(one) for one in answers)
    return replace(verdict, reasons=(*verdict.reasons, *ordinary.unusual(verdict)))


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


def _batch(path: str, given: str | None, form: LineForm | None, *, as_set: bool) -> int:
    from clampwright.trace.given import given_from_json

    known = None if given is None else given_from_json(read_text(given), given)
    status, kept = DONE, []
    with _opened(path) as file:
        for answer in _answers(path, file, known, form):
            status = FINDING if "error" in answer else status
            print_json(answer)
            if as_set and "error" not in answer:
                kept.append({key: answer[key] for key in _OF_A_SET if key in answer})
    if as_set:
        _tell_set(kept)
    return status


_OF_A_SET = (
    "id",
    "verdict",
    "pattern",
    "fault",
    "turned_after_snug_deg",
    "final_torque_nm",
    "slope_nm_per_deg",
    "uncertainty",
)
"""What is kept of each answer until all are known."""


def _answers(
    path: str, file: IO[bytes], known: Given | None, form: LineForm | None
) -> Iterator[dict[str, Any]]:
    from clampwright.trace.batch import judged_archive, judged_list
    from clampwright.trace.parquet import MAGIC

    archive = file.read(len(MAGIC)) == MAGIC
    file.seek(0)
    if archive:
        return judged_archive(file, _needed(known, path), path)
    folder = Path() if path == "-" else Path(path).parent
    return judged_list(file, lambda name: _read(str(folder / name), form), path, known)


def _tell_set(answers: list[dict[str, Any]]) -> None:
    from clampwright.trace.learned import odd_ones_out, remembered

    pulls = {str(one["id"]): remembered(one) for one in answers}
    odd = odd_ones_out(pulls, ("turned_after_snug", "final_torque", "slope"))
    print_json({"set": len(pulls), "odd": [one.as_json() for one in odd]})


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
    from clampwright.report.stroke_marks import Bar
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
        strokes=tuple(
            Bar(stroke.t0_s, stroke.t1_s, stroke.turned_deg, stroke.end == "slipped")
            for stroke in verdict.strokes
        ),
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
    from clampwright.report.phrases import verdict_words
    from clampwright.trace.history import told
    from clampwright.words import words

    click.echo(click.style(text_of(verdict_words(verdict.verdict)).upper(), bold=True))
    for reason in verdict.reasons:
        click.echo(f"  {text_of(reason)}")
    for step in verdict.steps:
        click.echo(text_of(words("Done to the data: {step}", step=told(step))))
