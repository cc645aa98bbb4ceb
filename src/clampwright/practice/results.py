"""Results of practice: what a learner answered and what came of it, one JSON line each.

They are kept beside the workshop, never in its log, and no record of a job knows of them.
"""

from __future__ import annotations

import datetime as dt
import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from clampwright.errors import BadFile, ClampwrightError, OutOfRange
from clampwright.intake import json_of
from clampwright.practice.feel import Spread, spread_of
from clampwright.practice.lesson import KINDS
from clampwright.practice.tries import Try
from clampwright.words import words

CLASS = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
"""Name of a class: stands in addresses and as a file's name."""
LEARNER = re.compile(r"[^\W_][\w \-]{0,23}")
"""What a learner is called: a number or a nick-word; no name is needed."""
ENTRY = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
_FIELDS = ("id", "learner", "time", "kind", "exercise", "answer", "outcome")


@dataclass(frozen=True, slots=True)
class Result:
    """One answer of one learner.

    Parameters
    ----------
    id : str
        UUID of version 7; the same answer sent twice is one answer.
    learner : str
        Number or nick-word.
    time : str
        When it was given, RFC 3339.
    kind : str
        One of `clampwright.practice.lesson.KINDS`.
    exercise : str
        Which: ``first/3`` for exercise 3 of a lesson, ``seed/17`` for one made by the program.
    answer : mapping of str to str
        As it was written.
    outcome : mapping
        What came of it: figures and points.

    Raises
    ------
    OutOfRange
        A part of it cannot be.
    """

    id: str
    learner: str
    time: str
    kind: str
    exercise: str
    answer: Mapping[str, str]
    outcome: Mapping[str, Any]

    def __post_init__(self) -> None:
        known = (
            _fits(ENTRY, self.id),
            _is_time(self.time),
            self.kind in KINDS,
            _fits(re.compile(r".{0,80}"), self.exercise),
            all(_is_mapping(one) for one in (self.answer, self.outcome)),
        )
        if not all(known):
            raise OutOfRange(words("this is no result of practice"), value=math.nan)
        check_learner(self.learner)

    @property
    def day(self) -> dt.date:
        """The day it was given, as the clock beside it had it."""
        return dt.datetime.fromisoformat(self.time).date()

    @property
    def points(self) -> int | None:
        """Points, where the kind has any."""
        found = self.outcome.get("points")
        return int(found) if isinstance(found, int) else None

    def as_try(self) -> Try | None:
        """Return it as a try of the feel trainer; None where it is none."""
        if self.kind != "feel":
            return None
        length = self.outcome.get("length_mm")
        return Try(
            float(self.outcome["aimed_Nm"]),
            float(self.outcome["reached_Nm"]),
            self.day,
            length=None if length is None else float(length),
            posture=str(self.outcome.get("posture", "")),
        )

    def line(self) -> str:
        """Return it as one line of JSON."""
        return json.dumps(asdict(self), ensure_ascii=False, sort_keys=True, allow_nan=False)

    def same_answer(self, other: Result) -> bool:
        """Say whether another result of this id says the same; the time may differ."""
        mine, theirs = ((o.learner, o.kind, o.exercise, dict(o.answer)) for o in (self, other))
        return mine == theirs


def _is_time(text: object) -> bool:
    try:
        return isinstance(text, str) and dt.datetime.fromisoformat(text).tzinfo is not None
    except ValueError:
        return False


def _is_mapping(value: object) -> bool:
    return isinstance(value, Mapping)


def _fits(pattern: re.Pattern[str], text: object) -> bool:
    return isinstance(text, str) and pattern.fullmatch(text) is not None


def check_class(name: str) -> str:
    """Return the name of a class, checked.

    Raises
    ------
    OutOfRange
        It cannot stand in an address.

    Examples
    --------
    >>> check_class("evening-2026")
    'evening-2026'
    """
    if not _fits(CLASS, name):
        raise OutOfRange(
            words(
                "the class {name!r} cannot be called so: use small letters, figures and hyphens, "
                "such as evening-2026",
                name=str(name)[:60],
            ),
            value=math.nan,
        )
    return name


def check_learner(name: str) -> str:
    """Return what a learner is called, checked.

    Raises
    ------
    OutOfRange
        It is empty, too long, or has signs that are neither letter nor figure.

    Examples
    --------
    >>> check_learner("blue spanner")
    'blue spanner'
    """
    if not _fits(LEARNER, name):
        raise OutOfRange(
            words(
                "{name!r}: choose a number or a nick-word of up to 24 letters and figures, such as "
                "7 or blue spanner",
                name=str(name)[:60],
            ),
            value=math.nan,
        )
    return name


def read_results(data: bytes, name: str) -> tuple[Result, ...]:
    """Read the results of a class.

    Parameters
    ----------
    data : bytes
        One JSON object a line.
    name : str
        Name of the file, for messages.

    Returns
    -------
    tuple of Result

    Raises
    ------
    BadFile
        A line is no result; names the line.
    """
    found = []
    for number, line in enumerate(data.splitlines(), 1):
        if not line.strip():
            continue
        try:
            found.append(Result(**json_of(line, "practice results", name)))
            found[-1].as_try()
        except (ValueError, KeyError, TypeError, ClampwrightError) as error:
            raise BadFile(
                words("{file}, line {line}: this is no result of practice", file=name, line=number),
                file=name,
                line=number,
                expected="one JSON object with " + ", ".join(_FIELDS),
            ) from error
    return tuple(found)


@dataclass(frozen=True, slots=True)
class Learner:
    """What one learner has done.

    Parameters
    ----------
    name : str
    answers : int
    feel : Spread or None
        Of all tries of the feel trainer.
    clamp_points, clamp_held : float or None
        Mean points of the estimates, and mean share of fasteners the intervals held; they were to
        hold 90 %.
    faults : int
        Faults asked.
    faults_right : int
    foreseen : int
        Answers to "what would happen if".
    """

    name: str
    answers: int
    feel: Spread | None
    clamp_points: float | None
    clamp_held: float | None
    faults: int
    faults_right: int
    foreseen: int

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data; shares of the torque aimed at."""
        feel = self.feel
        return {
            "learner": self.name,
            "answers": self.answers,
            "feel": None if feel is None else spread_json(feel),
            "clamp_points": self.clamp_points,
            "clamp_held": self.clamp_held,
            "faults": self.faults,
            "faults_right": self.faults_right,
            "foreseen": self.foreseen,
        }


def spread_json(spread: Spread) -> dict[str, Any]:
    """Return bias and scatter as plain data: shares of the torque aimed at."""
    days = spread.days
    return {
        "tries": spread.count,
        "bias": spread.bias,
        "bias_range": _pair(spread.bias_range),
        "scatter": spread.scatter,
        "scatter_range": _pair(spread.scatter_range),
        "next_range": _pair(spread.next_range),
        "days": None
        if days is None
        else {"days": days.days, "within": days.within, "between": days.between},
    }


def _pair(found: tuple[float, float] | None) -> list[float] | None:
    return None if found is None else list(found)


def tries_of(results: Sequence[Result], learner: str | None = None) -> list[Try]:
    """Return the tries of the feel trainer, of one learner or of all, in the order of time."""
    mine = [one for one in results if learner in {None, one.learner}]
    mine.sort(key=lambda one: dt.datetime.fromisoformat(one.time))
    return [found for one in mine if (found := one.as_try()) is not None]


def learners(results: Sequence[Result]) -> tuple[Learner, ...]:
    """Return what each learner has done, by their numbers and nick-words.

    Parameters
    ----------
    results : sequence of Result

    Returns
    -------
    tuple of Learner
        Numbers first, in their order; no ranking.
    """
    names = sorted({one.learner for one in results}, key=_by_number)
    return tuple(_learner(name, [one for one in results if one.learner == name]) for name in names)


def _by_number(name: str) -> tuple[int, int, str]:
    return (0, int(name), "") if name.isascii() and name.isdecimal() else (1, 0, name.casefold())


def _learner(name: str, results: Sequence[Result]) -> Learner:
    tries = tries_of(results)
    clamps = [one for one in results if one.kind == "clamp"]
    faults = [one for one in results if one.kind == "fault"]
    return Learner(
        name=name,
        answers=len(results),
        feel=spread_of(tries) if tries else None,
        clamp_points=_mean([float(one.points or 0) for one in clamps]),
        clamp_held=_mean([float(one.outcome["held"]) for one in clamps]),
        faults=len(faults),
        faults_right=sum(one.outcome.get("outcome") == "right" for one in faults),
        foreseen=sum(one.kind == "what_if" for one in results),
    )


def _mean(values: Sequence[float]) -> float | None:
    return math.fsum(values) / len(values) if values else None
