"""What became of each joint in one job of the past, gathered from the job's entries.

Only what stands at the end counts: pulls that were voided or repeated are left out of the result,
but counted.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from clampwright.errors import ClampwrightError
from clampwright.units import convert
from clampwright.work.fold import Entry, JobState, Pull, fold

NEW_FASTENERS = "new_fasteners"
"""Point of the preparation list by which a person says that new ones were fitted."""
LOOSENING = frozenset({"loosen", "back_off_then"})
TIGHTENING = frozenset({"snug", "torque", "angle", "stretch", "torque_check"})
VERDICTS = ("within", "not known", "doubtful", "short", "over", "void")
"""From the best to the one that needs most care."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What was left of one fastener.

    Parameters
    ----------
    fastener : int
    verdict : str
        The one of its standing pulls that needs most care.
    pulls : int
        How often it was pulled, what was voided included.
    torque, torque_u : float or None
        The last torque it is known to have received, and its standard uncertainty, N·m.
    turned : float or None
        Turned since it was last loose, as far as it was measured, degrees.
    turned_in : tuple of int
        Numbers of the stages in which that was measured.
    stretched : bool
        A trace showed that it stretched for good.
    renewed : bool
        A new fastener took its place during the job.
    breakaway : float or None
        Torque at which it broke loose in taking apart, N·m.
    tools : tuple of str
        Ids of what it was pulled with.
    """

    fastener: int
    verdict: str
    pulls: int
    torque: float | None
    torque_u: float | None
    turned: float | None
    turned_in: tuple[int, ...]
    stretched: bool
    renewed: bool
    breakaway: float | None
    tools: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Visit:
    """One job's work on one joint.

    Parameters
    ----------
    job, title : str
    date : datetime.date
        Day on which the job was begun.
    machine : str
    joint, joint_title : str
    stages : tuple of str
        The procedure, in words.
    turned_on : bool
        Its last tightening was by angle or stretch.
    clamp : tuple of float or None
        Clamp load planned after the last stage: nominal, 5 % and 95 %, N.
    outcomes : tuple of Outcome
        By fastener.
    closed : bool
    new_fitted : bool
        A person ticked that new fasteners were fitted.
    opened : mapping
        Body of the entry that began the job, to work from.
    """

    job: str
    title: str
    date: dt.date
    machine: str
    joint: str
    joint_title: str
    stages: tuple[str, ...]
    turned_on: bool
    clamp: tuple[float, float, float] | None
    outcomes: tuple[Outcome, ...]
    closed: bool
    new_fitted: bool
    opened: Mapping[str, Any] = field(repr=False, compare=False, default_factory=dict)


def visits_of(entries: Iterable[Entry]) -> list[Visit]:
    """Gather what a job did to each of its joints.

    Parameters
    ----------
    entries : iterable of mapping
        Of one job, in the order of the log.

    Returns
    -------
    list of Visit
        Of the joints on which there was a pull, or something was loosened; none when the job was
        not begun.
    """
    listed = list(entries)
    state = fold(listed)
    began = next((entry for entry in listed if entry["kind"] == "job_opened"), None)
    if state.opened is None or began is None:
        return []
    day = dt.datetime.fromisoformat(began["device"]["time"]).date()
    found = []
    for joint in state.opened["plan"]["joints"]:
        outcomes = _outcomes(joint, state)
        if outcomes:
            found.append(_visit(joint, outcomes, state, job=began["job"], day=day))
    return found


def _visit(
    joint: Mapping[str, Any],
    outcomes: tuple[Outcome, ...],
    state: JobState,
    *,
    job: str,
    day: dt.date,
) -> Visit:
    opened = state.opened or {}
    plan = opened["plan"]
    tightening = [one for one in joint["stages"] if one["stage"]["kind"] in TIGHTENING]
    last = next((one for one in reversed(tightening) if one["clamp"]), None)
    return Visit(
        job=job,
        title=plan["title"],
        date=day,
        machine=plan["machine"],
        joint=joint["id"],
        joint_title=joint["title"],
        stages=tuple(one["text"] for one in joint["stages"]),
        turned_on=any(one["stage"]["kind"] in {"angle", "stretch"} for one in tightening),
        clamp=None if last is None else _band(last["clamp"]),
        outcomes=outcomes,
        closed=state.closed,
        new_fitted=_ticked(state, joint["id"]),
        opened=opened,
    )


def _ticked(state: JobState, joint: str) -> bool:
    settled = state.settled_points.get((joint, NEW_FASTENERS))
    return settled is not None and settled.how == "ticked"


def _band(clamp: Mapping[str, str]) -> tuple[float, float, float]:
    return float(clamp["nominal_N"]), float(clamp["p05_N"]), float(clamp["p95_N"])


def _outcomes(joint: Mapping[str, Any], state: JobState) -> tuple[Outcome, ...]:
    name = joint["id"]
    kinds = [one["stage"]["kind"] for one in joint["stages"]]
    loosened = {key[2]: body for key, body in state.apart.items() if key[0] == name}
    pulls = [one for one in state.pulls if one.key.joint == name and one.key.fastener > 0]
    numbers = sorted({one.key.fastener for one in pulls} | set(loosened))
    renewed = {
        one["fastener"] for one in state.restarts if one["joint"] == name and one.get("renewed")
    }
    return tuple(
        _outcome(
            number,
            [one for one in pulls if one.key.fastener == number],
            kinds,
            loosened.get(number),
            renewed=number in renewed,
        )
        for number in numbers
    )


def _outcome(
    number: int,
    pulls: Sequence[Pull],
    kinds: Sequence[str],
    loosened: Mapping[str, Any] | None,
    *,
    renewed: bool,
) -> Outcome:
    latest = {one.key.stage: one for one in pulls if not one.voided}
    standing = [latest[stage] for stage in sorted(latest)]
    torque, torque_u = _torque(standing)
    turned, turned_in = _turned(pulls, standing, kinds)
    return Outcome(
        fastener=number,
        verdict=gravest(one.verdict for one in standing),
        pulls=len(pulls),
        torque=torque,
        torque_u=torque_u,
        turned=turned,
        turned_in=turned_in,
        stretched=any(_stretched(one) for one in standing),
        renewed=renewed,
        breakaway=_value(loosened.get("breakaway"), "N·m") if loosened else None,
        tools=tuple(dict.fromkeys(tool for one in pulls if (tool := one.body.get("tool")))),
    )


def gravest(verdicts: Iterable[str]) -> str:
    """Return the verdict that needs most care; nothing of none.

    Examples
    --------
    >>> gravest(["within", "short", "doubtful"])
    'short'
    """
    places = [VERDICTS.index(one) for one in verdicts if one in VERDICTS]
    return VERDICTS[max(places)] if places else ""


def _torque(standing: Sequence[Pull]) -> tuple[float | None, float | None]:
    """Return the torque of the last pull that tells one."""
    for pull in reversed(standing):
        received = pull.body.get("received")
        if received:
            return (
                _value(received["torque"], "N·m"),
                _value(received.get("standard_uncertainty"), "N·m"),
            )
        found = pull.body.get("found")
        if found and found.get("final_torque_nm") is not None:
            spread = (found.get("uncertainty") or {}).get("final_torque_nm")
            return float(found["final_torque_nm"]), None if spread is None else float(spread)
    return None, None


def _turned(
    pulls: Sequence[Pull], standing: Sequence[Pull], kinds: Sequence[str]
) -> tuple[float | None, tuple[int, ...]]:
    """Add up the angles since the fastener was last loose.

    Of the first stage that counts only what came after snug; a stage by angle counts whole, with
    the parts of it that came short first.
    """
    after = max((number for number, kind in enumerate(kinds, 1) if kind in LOOSENING), default=0)
    total, measured = 0.0, []
    for pull in standing:
        stage = pull.key.stage
        if stage <= after or kinds[stage - 1] not in TIGHTENING:
            continue
        angle = _angle_of(pull, kinds[stage - 1], pulls)
        if angle is not None:
            total += angle
            measured.append(stage)
    return (total if measured else None), tuple(measured)


def _angle_of(pull: Pull, kind: str, pulls: Sequence[Pull]) -> float | None:
    if kind == "angle":
        if pull.body.get("turned") is None:
            return None
        short = [one for one in pulls if _same_short(one, pull)]
        return pull.turned + sum(one.turned for one in short)
    found = pull.body.get("found") or {}
    if kind == "torque" and found.get("turned_after_snug_deg") is not None:
        return float(found["turned_after_snug_deg"])
    return None


def _same_short(one: Pull, pull: Pull) -> bool:
    """Whether a pull was an earlier part of the same angle."""
    return (
        one.key == pull.key
        and one.entry != pull.entry
        and not one.voided
        and one.verdict == "short"
    )


def _stretched(pull: Pull) -> bool:
    found = pull.body.get("found") or {}
    return (found.get("yield") or {}).get("reached") is True


def _value(given: Mapping[str, str] | None, unit: str) -> float | None:
    if not given:
        return None
    try:
        return float(convert(float(given["value"]), given["unit"], unit))
    except (ClampwrightError, ValueError):
        return None
