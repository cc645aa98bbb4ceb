"""What the commands of practice have in common."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import Command, text_of
from clampwright.locale import figure

if TYPE_CHECKING:
    from clampwright.bench.practice import PracticeBook
    from clampwright.practice.tries import Try
    from clampwright.words import Words


def who_options(command: Command) -> Command:
    """Add ``--class`` and ``--learner`` to a command."""
    command = click.option("--learner", default="", metavar="NAME", help="Number or nick-word.")(
        command
    )
    return click.option(
        "--class", "group", default="", metavar="CLASS", help="Class to keep it for."
    )(command)


def book_in(workshop: Path) -> PracticeBook:
    """Return the results and lessons of a workshop folder."""
    from clampwright.bench.practice import PracticeBook

    return PracticeBook(workshop)


def now() -> dt.datetime:
    """Return the time at the bench."""
    return dt.datetime.now(dt.UTC).astimezone()


def study_json(tries: Sequence[Try]) -> dict[str, Any]:
    """Return what tries say as plain data; shares of the torque aimed at."""
    from clampwright.practice.feel import held_against, spread_of
    from clampwright.practice.results import spread_json

    held = [
        {
            "stage": str(one.tolerance.title),
            "tolerance": one.tolerance.tolerance,
            "source": one.tolerance.source,
            "inside": one.inside,
            "share_range": list(one.share_range),
            "next_within": one.next_within,
        }
        for one in held_against(tries)
    ]
    return spread_json(spread_of(tries)) | {"held": held}


def show_study(tries: Sequence[Try]) -> None:
    """Print what tries say."""
    from clampwright.practice.feel import held_against, spread_of
    from clampwright.words import words

    spread = spread_of(tries)
    click.echo(text_of(words("tries: {count}", count=spread.count)))
    click.echo(_line(words("on average {bias}", bias=_percent(spread.bias)), spread.bias_range))
    if spread.scatter is None:
        click.echo(text_of(words("One try says nothing about scatter; pull again.")))
        return
    scatter = words("scatter from pull to pull {scatter:.1f} %", scatter=100.0 * spread.scatter)
    click.echo(_line(scatter, spread.scatter_range, sign=False))
    click.echo(_line(words("the next pull"), spread.next_range))
    if spread.days is None:
        click.echo(
            text_of(
                words(
                    "What a day brings with it is not in these ranges: that takes tries on three "
                    "days or more, with repeats."
                )
            )
        )
    for one in held_against(tries):
        said = words(
            "±{percent:g} %: {inside} of {count} inside, {chance:.0f} % for the next; {what}",
            percent=100.0 * one.tolerance.tolerance,
            inside=one.inside,
            count=spread.count,
            chance=100.0 * (one.next_within or 0.0),
            what=one.tolerance.title,
        )
        click.echo(f"  {text_of(said)}")


def _percent(share: float, *, sign: bool = True) -> str:
    return f"{figure(100.0 * share, '+.1f' if sign else '.1f')} %"


def _line(said: Words, ends: tuple[float, float] | None, *, sign: bool = True) -> str:
    from clampwright.words import words

    if ends is None:
        return text_of(said)
    low, high = (_percent(end, sign=sign) for end in ends)
    reach = words("{low} to {high} (95 %)", low=low, high=high)
    return f"{text_of(said)}: {text_of(reach)}"
