"""An answer to an exercise, worked out and kept: page, API and command line go through here."""

from __future__ import annotations

import datetime as dt
import secrets
from collections.abc import Mapping
from dataclasses import dataclass

from clampwright.bench.practice import PracticeBook
from clampwright.errors import Missing, OutOfRange
from clampwright.practice.answering import Answered, work_out
from clampwright.practice.clamp_question import clamp_question
from clampwright.practice.fault_question import fault_question
from clampwright.practice.lesson import ClampExercise, Exercise, FaultExercise, FeelExercise
from clampwright.practice.results import Result, check_class, check_learner
from clampwright.practice.tries import MOST_TORQUE
from clampwright.units import parse_quantity
from clampwright.words import words

MADE = ("feel", "clamp", "fault")
"""Kinds that the program can make itself: ``feel:25 N·m``, ``clamp:17``, ``fault:17``."""
MOST_SEED = 999_999


@dataclass(frozen=True, slots=True)
class Who:
    """Whose answer it is; both empty where it is not to be kept.

    Parameters
    ----------
    group : str
        The class.
    learner : str
        Number or nick-word.

    Raises
    ------
    Missing
        Only one of them is given.
    OutOfRange
        One of them cannot be.
    """

    group: str = ""
    learner: str = ""

    def __post_init__(self) -> None:
        if bool(self.group) != bool(self.learner):
            raise Missing(
                words("give class and number or nick-word to keep it, or neither"), needed="learner"
            )
        if self.group:
            check_class(self.group)
            check_learner(self.learner)

    def __bool__(self) -> bool:
        """Whether answers are kept."""
        return bool(self.group)


def find_exercise(book: PracticeBook, reference: str) -> Exercise:
    """Return an exercise by what it is called in addresses and results.

    Parameters
    ----------
    book : PracticeBook
    reference : str
        ``first/3`` for exercise 3 of a lesson; ``feel:25 N·m``, ``clamp:17`` or ``fault:17`` for
        one that the program makes.

    Returns
    -------
    Exercise

    Raises
    ------
    Missing
        There is no such exercise.
    OutOfRange, Unreadable, Ambiguous
        The torque of ``feel:`` cannot be read, or cannot be.

    Examples
    --------
    >>> from pathlib import Path
    >>> find_exercise(PracticeBook(Path()), "feel:18 lbf·ft").kind
    'feel'
    """
    kind, sign, rest = reference.partition(":")
    if sign and kind in MADE:
        return _made(kind, rest.strip())
    lesson, sign, number = reference.rpartition("/")
    if sign and number.isascii() and number.isdecimal() and len(number) < 5:
        return book.lesson(lesson).exercise(int(number))
    raise Missing(
        words(
            "there is no exercise {reference!r}; they are called like {example}",
            reference=reference[:60],
            example="first/3, feel:25 N·m, clamp:17, fault:17",
        ),
        needed="entry",
    )


def _made(kind: str, rest: str) -> Exercise:
    if kind == "feel":
        aim = parse_quantity(rest, "torque").value
        if not 0.0 < aim <= MOST_TORQUE:
            raise OutOfRange(
                words(
                    "{aim:g} N·m is no torque to practise by hand; it must lie above 0 and up to "
                    "{most:g} N·m",
                    aim=aim,
                    most=MOST_TORQUE,
                ),
                value=aim,
                low=0.0,
                high=MOST_TORQUE,
            )
        return FeelExercise(aim, rest)
    if not (rest.isascii() and rest.isdecimal() and len(rest) <= len(str(MOST_SEED))):
        raise Missing(
            words(
                "{seed!r} is no number of an exercise; it is one from 0 to {most}",
                seed=rest[:40],
                most=MOST_SEED,
            ),
            needed="entry",
        )
    seed = int(rest)
    if kind == "clamp":
        return ClampExercise(clamp_question(seed))
    fault_question(seed)
    return FaultExercise(seed)


def another(kind: str) -> str:
    """Return the reference of an exercise nobody has seen, drawn by chance.

    Parameters
    ----------
    kind : {"clamp", "fault"}

    Returns
    -------
    str
    """
    return f"{kind}:{secrets.randbelow(MOST_SEED + 1)}"


def answer(
    book: PracticeBook,
    reference: str,
    texts: Mapping[str, str],
    *,
    who: Who,
    entry: str,
    now: dt.datetime,
) -> tuple[Answered, bool]:
    """Work an answer out, and keep it where a class and a learner are named.

    Parameters
    ----------
    book : PracticeBook
    reference : str
        See `find_exercise`.
    texts : mapping of str to str
        What was written; see `clampwright.practice.answering.ANSWERS`.
    who : Who
    entry : str
        UUID of version 7; the same answer sent again is kept once.
    now : datetime.datetime
        With a time zone: the day of a try is the one at the bench.

    Returns
    -------
    Answered, bool
        And whether it was new.

    Raises
    ------
    ClampwrightError
        It cannot be read or kept; nothing is changed.
    """
    exercise = find_exercise(book, reference)
    done = work_out(exercise, texts, day=now.date())
    if not who:
        return done, False
    result = Result(
        id=entry,
        learner=who.learner,
        time=now.isoformat(timespec="seconds"),
        kind=exercise.kind,
        exercise=reference,
        answer=dict(done.answer),
        outcome=dict(done.outcome),
    )
    return done, book.add(who.group, result)
