"""Taking a joint apart: in the reverse order, in steps, with the breakaway of each fastener noted.

A joint let go at one end is levered at the other, and a head can warp. So every fastener is eased a
little before any is taken out. What each took to break loose says how it was: one low bolt of ten
is information.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from clampwright.joint.outlier_limits import modified_z_limit
from clampwright.joint.outliers import modified_z
from clampwright.units import convert
from clampwright.words import Words, words
from clampwright.work.fold import JobState
from clampwright.work.job import Job, Joint
from clampwright.work.sequence import general_order

EASE = 90.0
"""Degrees by which each fastener is eased first: a quarter turn (common practice, no source)."""

LEAST_TO_COMPARE = 4
"""Fasteners of one joint below which their breakaway torques are not compared (ours)."""

MOST_TABULATED = 100
"""Largest set the table of limits has; larger ones are held to its limit."""

RESOLUTION = 1.0
"""Step of a breakaway reading, N·m (ours): readings that agree more closely are held equal."""

SOURCE = "in reverse order, ends first, a little at a time, cold: common practice, no source"


@dataclass(frozen=True, slots=True)
class ApartStep:
    """One fastener in one round of taking apart.

    Parameters
    ----------
    joint : Joint
    turn, turns : int
        Which round, and of how many.
    fastener : int
    angle : float or None
        Degrees to turn back; None for fully.
    left : int
        Steps left in the job, this one included.
    """

    joint: Joint
    turn: int
    turns: int
    fastener: int
    angle: float | None
    left: int = 0

    def words(self) -> Words:
        """Say what to do."""
        if self.angle is None:
            return words("loosen fully and take it out")
        return words("turn back {angle:g}° and leave it in", angle=self.angle)


def apart_steps(joint: Joint) -> tuple[ApartStep, ...]:
    """Return how a joint is taken apart.

    Parameters
    ----------
    joint : Joint

    Returns
    -------
    tuple of ApartStep
        Every fastener eased in the reverse order, then every one taken out; a single fastener is
        taken out at once.
    """
    order = tuple(reversed(joint.order or general_order(joint.layout)))
    rounds = (EASE, None) if len(order) > 1 else (None,)
    return tuple(
        ApartStep(joint, turn, len(rounds), fastener, angle)
        for turn, angle in enumerate(rounds, 1)
        for fastener in order
    )


def next_apart(job: Job, state: JobState) -> ApartStep | None:
    """Return the next fastener to loosen, or None when all are out.

    Parameters
    ----------
    job : Job
    state : JobState

    Returns
    -------
    ApartStep or None
        The last joint of a job is taken apart first.
    """
    ahead = [
        step
        for joint in reversed(job.joints)
        for step in apart_steps(joint)
        if (joint.id, step.turn, step.fastener) not in state.apart
    ]
    if not ahead:
        return None
    first = ahead[0]
    return ApartStep(
        first.joint, first.turn, first.turns, first.fastener, first.angle, left=len(ahead)
    )


def breakaways(joint: Joint, state: JobState) -> dict[int, float]:
    """Return what each fastener took to break loose, N·m, where it was noted.

    Parameters
    ----------
    joint : Joint
    state : JobState

    Returns
    -------
    dict of int to float
    """
    found: dict[int, float] = {}
    for (where, _turn, fastener), body in state.apart.items():
        if where == joint.id and body["breakaway"] is not None and fastener not in found:
            noted = body["breakaway"]
            found[fastener] = convert(float(noted["value"]), noted["unit"], "N·m")
    return dict(sorted(found.items()))


def apart_remarks(joint: Joint, state: JobState) -> tuple[Words, ...]:
    """Say which fasteners broke loose unlike the others of their joint.

    Parameters
    ----------
    joint : Joint
    state : JobState

    Returns
    -------
    tuple of Words

    References
    ----------
    Robust distance from the median: Iglewicz and Hoaglin 1993, see
    `clampwright.joint.outliers.modified_z`; that one low bolt is information: common practice, no
    source.
    """
    known = breakaways(joint, state)
    if len(known) < LEAST_TO_COMPARE:
        return ()
    values = list(known.values())
    middle = sorted(values)[len(values) // 2]
    far = modified_z(values, resolution=RESOLUTION)
    limit = modified_z_limit(min(len(values), MOST_TABULATED)).limit
    return tuple(
        words(
            "fastener {number} broke loose at {value:.3g} N·m, the middle of the group is "
            "{middle:.3g} N·m: look at its thread, hole, lubricant and length",
            number=number,
            value=value,
            middle=middle,
        )
        for (number, value), z in zip(known.items(), far, strict=True)
        if abs(float(z)) > limit
    )


def loosened_body(
    step: ApartStep, breakaway: dict[str, str] | None, tool: str, note: str
) -> dict[str, Any]:
    """Return the body of the entry of one loosening.

    Parameters
    ----------
    step : ApartStep
    breakaway : dict or None
        ``value`` and ``unit`` as they were read.
    tool : str
        Id of a tool of the drawer, or what was used in words.
    note : str
        Anything odd.

    Returns
    -------
    dict
    """
    return {
        "joint": step.joint.id,
        "round": step.turn,
        "rounds": step.turns,
        "fastener": step.fastener,
        "breakaway": breakaway,
        "tool": tool.strip(),
        "note": note.strip(),
    }


def loosened_words(body: Any) -> Words:
    """Say what became of one loosening.

    Parameters
    ----------
    body : mapping
        Of its entry.

    Returns
    -------
    Words
    """
    noted = body["breakaway"]
    told = words("{value} {unit}", **noted) if noted else words("not read")
    return words(
        "fastener {number}, round {turn} of {turns}: {breakaway} {note}",
        number=body["fastener"],
        turn=body["round"],
        turns=body["rounds"],
        breakaway=told,
        note=body["note"],
    )
