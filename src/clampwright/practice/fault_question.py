"""Find-the-fault: a simulated trace is shown, the learner says what it is."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources

import numpy as np

from clampwright.errors import Missing
from clampwright.practice.made_cases import MADE, made_case
from clampwright.trace.drawn import drawn
from clampwright.trace.given import Given
from clampwright.trace.model import Trace
from clampwright.trace.verdict import TraceVerdict, judge
from clampwright.words import Words, words

CHOICES = 6
"""Answers offered."""
RIGHT, NEAR = 100, 40
"""Points for the fault itself, and for one that looks much like it."""
_TOLERANCE = 0.05
"""Of a torque stage for which the simulator states none (common practice, no source)."""
_LOOKED_FOR = 40
"""Seeds tried for a pull whose fault can be seen in the curve."""


@dataclass(frozen=True, slots=True)
class FaultKind:
    """One thing that can be wrong with a pull.

    Parameters
    ----------
    key : str
    title, why, advice : Words
        What it is called, what in the curve shows it, and what to do.
    alike : tuple of str
        Kinds whose curve looks much like it.
    weight : int
        How often it is asked.
    source : str
    """

    key: str
    title: Words
    why: Words
    advice: Words
    alike: tuple[str, ...]
    weight: int
    source: str


@lru_cache(maxsize=1)
def fault_kinds() -> Mapping[str, FaultKind]:
    """Return everything that can be asked, by key."""
    text = resources.files(__package__).joinpath("faults.csv").read_text("utf-8")
    return {
        row["kind"]: FaultKind(
            row["kind"],
            Words(row["title"]),
            Words(row["why"]),
            Words(row["advice"]),
            tuple(row["alike"].split()),
            int(row["weight"]),
            row["source"],
        )
        for row in csv.DictReader(text.splitlines())
    }


@dataclass(frozen=True, slots=True)
class FaultQuestion:
    """A trace, what is told about it, and the answers offered.

    Parameters
    ----------
    trace : Trace
    given : Given
    choices : tuple of str
        Keys of `fault_kinds`, in the order they are offered.
    truth : str
        What was simulated.
    """

    trace: Trace
    given: Given
    choices: tuple[str, ...]
    truth: str

    @property
    def kind(self) -> FaultKind:
        """What was simulated, with its explanation."""
        return fault_kinds()[self.truth]

    def read(self) -> TraceVerdict:
        """Return what the program itself reads from the curve."""
        return judge(self.trace, self.given)

    def told(self) -> tuple[tuple[Words, str], ...]:
        """Return what the learner is told, as labels and values."""
        given = self.given
        rows: list[tuple[Words, str]] = []
        if given.wanted_angle is not None:
            rows.append((words("Snug torque"), f"{given.snug_torque_Nm:g} N·m"))
            rows.append((words("Then turned by"), f"{given.wanted_angle:g}°"))
        elif given.target_torque_Nm is not None:
            rows.append((words("Target torque"), f"{given.target_torque_Nm:g} N·m"))
        if given.torque_low is not None and given.torque_high is not None:
            limits = f"{given.torque_low:g} – {given.torque_high:g} N·m"
            rows.append((words("Torque at the end should be"), limits))
        expected = given.nominal.torque_rate_Nm_per_deg
        if expected is not None:
            rows.append((words("Slope expected"), f"{expected:.2f} N·m/°"))
        return tuple(rows)


@dataclass(frozen=True, slots=True)
class FaultAnswer:
    """What the learner said, and what it was.

    Parameters
    ----------
    said, truth : str
    points : int
    outcome : str
        ``right``, ``near`` (a curve much like it) or ``other``.
    """

    said: str
    truth: str
    points: int
    outcome: str

    def says(self) -> tuple[Words, ...]:
        """Tell what in the curve shows it, and what is to be done."""
        kind = fault_kinds()[self.truth]
        what = words("It is: {what}.", what=kind.title)
        return (_OUTCOME[self.outcome], what, kind.why, kind.advice)


_OUTCOME: Mapping[str, Words] = {
    "right": words("Right."),
    "near": words("Near: the two curves look much alike. Look again at what sets them apart."),
    "other": words("It is something else."),
}


@lru_cache(maxsize=64)
def fault_question(seed: int, kind: str | None = None) -> FaultQuestion:
    """Make a question.

    Parameters
    ----------
    seed : int
        0 or more.
    kind : str, optional
        What is to be simulated, one of `fault_kinds`; drawn by `seed` if not given.

    Returns
    -------
    FaultQuestion
        The same for the same seed and kind.

    Raises
    ------
    Missing
        The kind is not known.

    Examples
    --------
    >>> asked = fault_question(7, "slip_off")
    >>> asked.truth in asked.choices, len(asked.choices)
    (True, 6)
    """
    kinds = fault_kinds()
    if kind is not None and kind not in kinds:
        raise Missing(
            words(
                "the fault {kind!r} is not known; it is one of {known}",
                kind=kind,
                known=", ".join(kinds),
            ),
            needed="pattern",
        )
    rng = np.random.default_rng([seed, 3])
    weights = np.array([one.weight for one in kinds.values()], dtype=np.float64)
    by_chance = str(rng.choice(list(kinds), p=weights / weights.sum()))
    truth = kind or by_chance
    trace, given = _pull(truth, seed)
    return FaultQuestion(trace, given, _choices(truth, rng), truth)


def answered(question: FaultQuestion, said: str) -> FaultAnswer:
    """Hold an answer against what was simulated.

    Parameters
    ----------
    question : FaultQuestion
    said : str
        One of `FaultQuestion.choices`.

    Returns
    -------
    FaultAnswer

    Raises
    ------
    Missing
        The answer was not offered.

    Examples
    --------
    >>> answered(fault_question(7, "slip_off"), "slip_off").points
    100
    """
    if said not in question.choices:
        raise Missing(
            words(
                "the answer {said!r} is not offered; choose one of {known}",
                said=said,
                known=", ".join(question.choices),
            ),
            needed="said",
        )
    if said == question.truth:
        return FaultAnswer(said, question.truth, RIGHT, "right")
    if said in question.kind.alike:
        return FaultAnswer(said, question.truth, NEAR, "near")
    return FaultAnswer(said, question.truth, 0, "other")


def _choices(truth: str, rng: np.random.Generator) -> tuple[str, ...]:
    """Offer the truth, what looks like it, an ordinary pull, and others."""
    kinds = fault_kinds()
    first = dict.fromkeys([truth, *kinds[truth].alike, "normal"])
    others = [key for key in kinds if key not in first]
    rng.shuffle(others)
    offered = [*first, *others][:CHOICES]
    order = list(kinds)  # always in one order, so that the place betrays nothing
    return tuple(sorted(offered, key=order.index))


def _pull(kind: str, seed: int) -> tuple[Trace, Given]:
    """Return the first pull from a seed on whose curve shows what was simulated.

    A fault drawn mildly may not be seen by anybody; asking for it would teach guessing.
    """
    first: tuple[Trace, Given] | None = None
    for step in range(_LOOKED_FOR):
        found = _simulated(kind, seed + 1_000_003 * step)
        if found is None:
            continue
        first = first or found
        if _shows(kind, judge(*found)):
            return found
    if first is None:
        raise Missing(words("no pull of that kind could be simulated"), needed="pattern")
    return first


def _simulated(kind: str, seed: int) -> tuple[Trace, Given] | None:
    if kind in MADE:
        return made_case(kind, seed)
    one = drawn(seed, kind)
    # Turned by an angle to yield it is what was wanted; as a fault it belongs to a torque stage.
    wanted = one.given.procedure == "torque" or kind not in {"plastic", "normal"}
    return (one.trace, _with_limits(one.given)) if wanted else None


def _with_limits(given: Given) -> Given:
    """Give a torque stage limits, so that an end can be held against something."""
    target = given.target_torque_Nm
    if given.procedure != "torque" or target is None or given.torque_low is not None:
        return given
    low, high = round((1.0 - _TOLERANCE) * target, 1), round((1.0 + _TOLERANCE) * target, 1)
    return replace(given, torque_low=low, torque_high=high)


_MADE_SHOWS: Mapping[str, tuple[tuple[str, ...], str]] = {
    "dry": (("slope_out_of_band",), "doubtful"),
    "wrong_unit": (("normal",), "over"),
    "stop_early": (("normal",), "short"),
    "wrong_snug": (("normal", "false_seat"), "doubtful"),
}
"""What the judge must read from a curve of those kinds: pattern and verdict."""


def _shows(kind: str, verdict: TraceVerdict) -> bool:
    if kind in MADE:
        patterns, outside = _MADE_SHOWS[kind]
        return verdict.pattern in patterns and verdict.verdict == outside
    return verdict.pattern == kind and (kind != "normal" or verdict.verdict == "within")
