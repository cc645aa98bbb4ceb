"""From an exercise and what a learner wrote to a result: the same for page, command and API."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from clampwright.errors import Missing
from clampwright.practice.clamp_question import ClampScore, scored
from clampwright.practice.fault_question import FaultAnswer, answered
from clampwright.practice.lesson import (
    ClampExercise,
    Exercise,
    FaultExercise,
    FeelExercise,
    WhatIfExercise,
)
from clampwright.practice.tries import Try
from clampwright.practice.what_if import WhatIf
from clampwright.units import parse_quantity
from clampwright.words import Words, words

ANSWERS: Mapping[str, tuple[str, ...]] = {
    "feel": ("reached", "length", "posture"),
    "clamp": ("low", "high"),
    "fault": ("said",),
    "what_if": ("foreseen",),
}
"""What a learner writes, by kind of exercise."""
LONGEST = 2000
"""Letters kept of one answer."""

Found = Try | ClampScore | FaultAnswer | WhatIf


@dataclass(frozen=True, slots=True)
class Answered:
    """An answer, worked out.

    Parameters
    ----------
    answer : mapping of str to str
        As it was written.
    outcome : mapping
        Figures and points, as they are kept.
    says : tuple of Words
        What the learner is told.
    found : Try, ClampScore, FaultAnswer or WhatIf
    """

    answer: Mapping[str, str]
    outcome: Mapping[str, Any]
    says: tuple[Words, ...]
    found: Found


def work_out(exercise: Exercise, texts: Mapping[str, str], *, day: date) -> Answered:
    """Work an answer out.

    Parameters
    ----------
    exercise : Exercise
    texts : mapping of str to str
        What was written in the fields that `ANSWERS` names for its kind.
    day : datetime.date
        The day it was given.

    Returns
    -------
    Answered

    Raises
    ------
    Missing
        A field is empty that is needed.
    ClampwrightError
        What was written cannot be read, or cannot be.

    Examples
    --------
    >>> done = work_out(FeelExercise(25.0, "25 N·m"), {"reached": "23,5 Nm"}, day=date(2026, 5, 1))
    >>> done.outcome["reached_Nm"], str(done.says[0])
    (23.5, '23.5 N·m: 6.0 % too little.')
    """
    kept = {
        name: text.strip()[:LONGEST]
        for name in ANSWERS[exercise.kind]
        if (text := texts.get(name) or "").strip()
    }
    if isinstance(exercise, FeelExercise):
        return _feel(exercise, kept, day)
    if isinstance(exercise, ClampExercise):
        return _clamp(exercise, kept)
    if isinstance(exercise, FaultExercise):
        return _fault(exercise, kept)
    return _what_if(exercise, kept)


def _feel(exercise: FeelExercise, texts: Mapping[str, str], day: date) -> Answered:
    reached = parse_quantity(_needed(texts, "reached"), "torque").value
    length = parse_quantity(texts["length"], "length").value if "length" in texts else None
    found = Try(exercise.aim, reached, day, length=length, posture=texts.get("posture", ""))
    outcome: dict[str, Any] = {"aimed_Nm": found.aimed, "reached_Nm": found.reached}
    if found.length is not None:
        outcome["length_mm"] = found.length
    if found.posture:
        outcome["posture"] = found.posture
    return Answered(texts, outcome, (try_words(found),), found)


def try_words(found: Try) -> Words:
    """Tell how far off a try was."""
    if abs(found.error) < 0.0005:
        return words("{reached:.1f} N·m: to the point.", reached=found.reached)
    if found.error < 0.0:
        return words(
            "{reached:.1f} N·m: {off:.1f} % too little.",
            reached=found.reached,
            off=-100.0 * found.error,
        )
    return words(
        "{reached:.1f} N·m: {off:.1f} % too much.", reached=found.reached, off=100.0 * found.error
    )


def _clamp(exercise: ClampExercise, texts: Mapping[str, str]) -> Answered:
    low, high = (parse_quantity(_needed(texts, name), "force").value for name in ("low", "high"))
    found = scored(exercise.question, low, high)
    outcome = {
        "low_N": low,
        "high_N": high,
        "p05_N": found.band.p05,
        "p95_N": found.band.p95,
        "score_N": found.score,
        "best_N": found.best,
        "held": found.held,
        "points": found.points,
    }
    return Answered(texts, outcome, found.says(), found)


def _fault(exercise: FaultExercise, texts: Mapping[str, str]) -> Answered:
    found = answered(exercise.question, _needed(texts, "said"))
    outcome = {"truth": found.truth, "outcome": found.outcome, "points": found.points}
    return Answered(texts, outcome, found.says(), found)


def _what_if(exercise: WhatIfExercise, texts: Mapping[str, str]) -> Answered:
    """Keep what was foreseen; nothing but the learner can compare words with a drawing."""
    _needed(texts, "foreseen")
    found = exercise.request.study()
    outcome = {
        "least_planned_N": float(found.planned.nominal.min()),
        "least_changed_N": float(found.changed.nominal.min()),
    }
    return Answered(texts, outcome, found.says(), found)


def _needed(texts: Mapping[str, str], name: str) -> str:
    if name not in texts:
        raise Missing(words("write {what} first", what=_CALLED[name]), needed=name)
    return texts[name]


_CALLED: Mapping[str, Words] = {
    "reached": words("the torque you reached"),
    "low": words("the lower end of your interval"),
    "high": words("the upper end of your interval"),
    "said": words("what you think it is"),
    "foreseen": words("what you expect"),
}
