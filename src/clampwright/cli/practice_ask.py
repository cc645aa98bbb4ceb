"""``clampwright practice ask``: an exercise, asked or answered."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.practice_common import book_in, now, who_options
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.practice.lesson import Exercise


@click.command(
    epilog='Example: clampwright practice ask clamp:17 --low "20 kN" --high "31 kN"',
    short_help="Ask an exercise, or answer it.",
)
@click.argument("exercise")
@click.option("--low", default="", metavar="FORCE", help="Clamp load that 9 of 10 exceed (5 %).")
@click.option("--high", default="", metavar="FORCE", help="And the upper end (95 %).")
@click.option("--say", "said", default="", metavar="FAULT", help="What you think it is.")
@click.option("--expect", "foreseen", default="", metavar="TEXT", help="What you expect.")
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
              help="Write the trace of a find-the-fault exercise as SVG.")  # fmt: skip
@who_options
@workshop_option
@json_option
def command(
    *,
    exercise: str,
    low: str,
    high: str,
    said: str,
    foreseen: str,
    chart: Path | None,
    group: str,
    learner: str,
    workshop: Path,
    as_json: bool,
) -> None:
    """Ask EXERCISE: first/3 of a lesson, or clamp:17 and fault:17, made from a number.

    With --low and --high, --say or --expect it is answered, and kept where --class and --learner
    are given. A try by hand is noted with: clampwright practice feel.
    """
    from clampwright.bench.practice_answers import Who, answer, find_exercise
    from clampwright.proof.ids import uuid7

    book, who = book_in(workshop), Who(group, learner)
    texts = {"low": low, "high": high, "said": said, "foreseen": foreseen}
    found = find_exercise(book, exercise)
    if chart is not None:
        _draw(found, chart, read=bool(said))
    if not any(texts.values()):
        if as_json:
            print_json({"exercise": exercise, "kind": found.kind, **_told_json(found)})
        else:
            _ask(found)
        return
    done, new = answer(book, exercise, texts, who=who, entry=uuid7(), now=now())
    if as_json:
        says = [str(line) for line in done.says]
        print_json({"exercise": exercise, "outcome": dict(done.outcome), "says": says, "kept": new})
        return
    points = done.outcome.get("points")
    if points is not None:
        from clampwright.words import words

        click.echo(text_of(words("{points} of 100 points", points=points)))
    for line in done.says:
        click.echo(text_of(line))


def _ask(found: Exercise) -> None:
    from clampwright.practice.fault_question import fault_kinds
    from clampwright.practice.lesson import ClampExercise, FaultExercise, WhatIfExercise
    from clampwright.report.lesson_sheet import title_of

    click.echo(click.style(text_of(title_of(found)), bold=True))
    if found.text.template:
        click.echo(text_of(found.text))
    if isinstance(found, ClampExercise):
        condition = found.question.condition
        for label, value in found.question.told():
            click.echo(f"  {text_of(label)}: {value}")
        click.echo(f"  {text_of(condition.title)} ({condition.low:g} – {condition.high:g})")
    elif isinstance(found, FaultExercise):
        for label, value in found.question.told():
            click.echo(f"  {text_of(label)}: {value}")
        for key in found.question.choices:
            click.echo(f"    {key:18}{text_of(fault_kinds()[key].title)}")
    elif isinstance(found, WhatIfExercise):
        click.echo(text_of(found.ask))


def _told_json(found: Exercise) -> dict[str, object]:
    from clampwright.practice.lesson import ClampExercise, FaultExercise, FeelExercise

    if isinstance(found, FeelExercise):
        return {"aimed_Nm": found.aim}
    if isinstance(found, ClampExercise):
        named = found.question.named
        return {"torque_Nm": found.question.torque, "thread": named.thread,
                "strength": named.strength, "friction": named.friction}  # fmt: skip
    if isinstance(found, FaultExercise):
        return {"choices": list(found.question.choices)}
    return {"ask": str(found.ask)}


def _draw(found: Exercise, path: Path, *, read: bool) -> None:
    from clampwright.cli.drawing import check_target, write_drawing
    from clampwright.errors import Missing
    from clampwright.practice.lesson import FaultExercise
    from clampwright.report.fault_drawing import fault_drawing
    from clampwright.report.svg import PAPER
    from clampwright.words import words

    check_target(path)
    if not isinstance(found, FaultExercise):
        raise Missing(words("only a find-the-fault exercise has a trace to draw"), needed="chart")
    asked = found.question
    svg = fault_drawing(asked, asked.read() if read else None, look=PAPER)
    click.echo(write_drawing(path, svg), err=True)
