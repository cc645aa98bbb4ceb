"""What the pulls of a joint say about one another: unlike the good ones before, unlike the set.

Read from the entries of recorded pulls only; nothing is judged again. A pull that is unusual keeps
its verdict: what is said is a reason to look.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from clampwright.errors import Missing
from clampwright.trace.learned import Learned, learned, odd_ones_out, remembered
from clampwright.trace.verdict import TraceVerdict
from clampwright.words import Words
from clampwright.work.fold import JobState, Pull, PullKey


def with_the_unusual(
    found: TraceVerdict, state: JobState, key: PullKey, *others: JobState
) -> TraceVerdict:
    """Return a verdict that also says what of it is unlike the good pulls before.

    Parameters
    ----------
    found : TraceVerdict
    state : JobState
        The job of the pull.
    key : PullKey
        Which pull; the others of its joint and stage count, whatever the fastener.
    *others : JobState
        Further jobs of the workshop: those on the same machine whose joint has the same id, thread
        and stage are learnt from too.

    Returns
    -------
    TraceVerdict
        The same one where there are too few good pulls to learn from.
    """
    known = learned_here(state, key, *others)
    if known is None:
        return found
    return replace(found, reasons=(*found.reasons, *known.unusual(found)))


def learned_here(state: JobState, key: PullKey, *others: JobState) -> Learned | None:
    """Return what is ordinary at a stage of a joint; None with too few good pulls.

    Parameters
    ----------
    state : JobState
    key : PullKey
    *others : JobState
        See `with_the_unusual`.

    Returns
    -------
    Learned or None
    """
    here = _stage_of(state, key)
    alike = [state, *(one for one in others if one is not state and _stage_of(one, key) == here)]
    pulls = [pull for one in alike for pull in one.pulls if _same(pull.key, key)]
    try:
        return learned(_found(pull) for pull in pulls if not pull.voided and _recorded(pull))
    except Missing:
        return None


def odd_ones(state: JobState, joint: str, stage: int) -> list[Words]:
    """Say which fasteners of a joint turned or rose unlike the others at a stage.

    Parameters
    ----------
    state : JobState
    joint : str
    stage : int
        Counted from 1.

    Returns
    -------
    list of Words
        The most different first; empty with fewer than four recorded pulls.
    """
    pulls = {
        key.fastener: _found(pull)
        for key, pull in state.latest.items()
        if (key.joint, key.stage) == (joint, stage) and _recorded(pull)
    }
    by_angle = any(
        (pull.body.get("limits") or {}).get("quantity") == "angle"
        for key, pull in state.latest.items()
        if (key.joint, key.stage) == (joint, stage)
    )
    other = "final_torque" if by_angle else "turned_after_snug"
    return [odd.told for odd in odd_ones_out(pulls, (other, "slope"))]


def _same(one: PullKey, other: PullKey) -> bool:
    return (one.joint, one.stage) == (other.joint, other.stage)


def _stage_of(state: JobState, key: PullKey) -> tuple[Any, ...] | None:
    """Return what must be the same for pulls of two jobs to be compared."""
    plan = (state.opened or {}).get("plan") or {}
    for joint in plan.get("joints", ()):
        if joint["id"] != key.joint:
            continue
        stages = [(stage["text"], stage["limits"]) for stage in joint["stages"][: key.stage]]
        names = ("thread", "strength", "friction", "fasteners")
        return (plan.get("machine"), *(joint.get(name) for name in names), stages)
    return None


def _recorded(pull: Pull) -> bool:
    return bool(pull.body.get("found"))


def _found(pull: Pull) -> TraceVerdict:
    """Return the figures of a recorded pull as they stand in its entry."""
    return remembered(pull.body["found"], pull.verdict)
