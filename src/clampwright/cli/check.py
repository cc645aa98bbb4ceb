"""``clampwright check``: a job's procedures against physics, good order and the drawer."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.procedure.check import Finding
    from clampwright.work.job import Job


SEVERITY_WORDS: dict[str, Words] = {
    "stop": words("STOP"),
    "ask": words("ASK"),
    "note": words("NOTE"),
}
"""What stands before a finding."""


@click.command(
    epilog="Example: clampwright check demo-workshop/jobs/coupling-as-typed.toml --why",
    short_help="Check a job's procedures against physics.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--drawer",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Drawer file; without it the nearest drawer.toml above the job.",
)
@click.option("--today", help="Day to check for, as 2026-05-01; today if not given.")
@click.option("--why", is_flag=True, help="Say of every point why it matters, and its source.")
@json_option
def command(job: Path, drawer: Path | None, today: str | None, *, why: bool, as_json: bool) -> None:
    """Check JOB before the first pull: figures, units, surface, order, tools.

    It asks; it does not decide. Exit status 1 when something must be settled first, 0 when there
    is nothing, or only points to keep in mind.
    """
    from clampwright.bench.days import today as this_day
    from clampwright.bench.folder import load_plan
    from clampwright.cli.days import day
    from clampwright.work.check import check_plan

    plan = load_plan(job, drawer, today=day(today) if today else this_day())
    findings = check_plan(plan)
    if as_json:
        print_json(_data(plan.job, findings))
    else:
        _show(plan.job, findings, why=why)
    if any(one.serious for one in findings):
        raise SystemExit(FINDING)


def _data(job: Job, findings: Sequence[Finding]) -> dict[str, object]:
    return {
        "job": job.id,
        "title": job.title,
        "invented": job.invented,
        "counts": _counts(findings),
        "findings": [one.as_json() for one in findings],
    }


def _counts(findings: Sequence[Finding]) -> dict[str, int]:
    from clampwright.procedure.check import SEVERITIES

    return {severity: sum(one.severity == severity for one in findings) for severity in SEVERITIES}


def _show(job: Job, findings: Sequence[Finding], *, why: bool) -> None:
    from clampwright.cli.screen import console

    screen = console()
    screen.print(job.title, style="bold", markup=False)
    screen.print(job.machine, markup=False)
    if job.invented:
        screen.print(text_of(words("Invented for demonstration: not for any real machine.")))
    screen.print(text_of(_summary(findings)), style="bold", markup=False)
    titles = {joint.id: joint.title for joint in job.joints}
    for one in findings:
        _show_one(one, titles, why=why)
    screen.print()
    for line in _closing(findings, why=why):
        screen.print(text_of(line), markup=False)


def _summary(findings: Sequence[Finding]) -> Words:

    counts = _counts(findings)
    if not findings:
        return words("The check found nothing to ask.")
    return words(
        "{stop} to stop for, {ask} to ask, {note} to keep in mind",
        stop=counts["stop"],
        ask=counts["ask"],
        note=counts["note"],
    )


def _heading(one: Finding, titles: dict[str, str]) -> Words:

    joint = titles.get(one.joint, one.joint)
    if one.stage is None:
        return words("{severity}  {joint}", severity=text_of(_label(one)), joint=joint)
    return words(
        "{severity}  {joint}, stage {stage}",
        severity=text_of(_label(one)),
        joint=joint,
        stage=one.stage,
    )


def _label(one: Finding) -> Words:
    return SEVERITY_WORDS[one.severity]


def _show_one(one: Finding, titles: dict[str, str], *, why: bool) -> None:
    from clampwright.cli.screen import console

    screen = console()
    screen.print()
    screen.print(text_of(_heading(one, titles)), style="bold", markup=False)
    _indented(_sentence(one.message), 2)
    for line in one.details:
        _indented(text_of(line), 4)
    if one.question is not None:
        _indented(text_of(words("Question: {question}", question=text_of(one.question))), 2)
    if why:
        _indented(text_of(words("Why: {why}", why=text_of(one.why))), 2)
        _indented(text_of(words("Source: {source}", source=one.source)), 2)


def _indented(text: str, columns: int) -> None:
    from clampwright.cli.screen import console

    indent = " " * columns
    click.echo(
        textwrap.fill(
            text,
            width=max(40, console().width),
            initial_indent=indent,
            subsequent_indent=indent + "  ",
            break_long_words=False,
        )
    )


def _sentence(message: Words) -> str:
    text = text_of(message)
    return text[:1].upper() + text[1:] + "."


def _closing(findings: Sequence[Finding], *, why: bool) -> list[Words]:

    lines = [] if why or not findings else [words("Say --why for the reason behind each point.")]
    return [
        *lines,
        words("A check asks, it does not decide, and it never says that a joint is safe."),
        words("The manufacturer's information comes first wherever it differs."),
    ]
