"""Hold points: what must be found true between two stages before the work goes on.

A shaft that turns freely, the play a dial gauge shows, a feeler gauge, the run-out, the minutes
since the sealer was laid: questions of the job, each after a stage, answered on the log.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal

from clampwright.errors import Refused
from clampwright.units import convert, format_quantity, parse_number, unit_named
from clampwright.words import Words, words
from clampwright.work.fold import JobState
from clampwright.work.job import Hold, Joint
from clampwright.work.plan import Plan

Outcome = Literal["fits", "does not fit", "noted"]


@dataclass(frozen=True, slots=True)
class HoldKey:
    """Which hold point: its number (from 1) in its joint.

    Parameters
    ----------
    joint : str
    number : int
    """

    joint: str
    number: int


@dataclass(frozen=True, slots=True)
class OpenHold:
    """A hold point at which the work stands.

    Parameters
    ----------
    key : HoldKey
    joint : Joint
    hold : Hold
    last : mapping or None
        Body of the last answer, where it did not fit.
    """

    key: HoldKey
    joint: Joint
    hold: Hold
    last: Any = None


def open_hold(plan: Plan, state: JobState) -> OpenHold | None:
    """Return the hold point that comes before the next pull, or None.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    OpenHold or None
        Of the joint at which the work stands; after its last pull too.
    """
    for planned in plan.joints:
        joint = planned.joint
        ahead = [key.stage for key in planned.sequence() if not state.settled(key)]
        reached = min(ahead, default=len(planned.stages) + 1)
        for number, hold in _in_order(joint):
            body = state.holds.get((joint.id, number))
            if hold.after < reached and not _settled(body):
                return OpenHold(HoldKey(joint.id, number), joint, hold, body)
        if ahead:
            return None
    return None


def unanswered(plan: Plan, state: JobState) -> list[tuple[HoldKey, Hold]]:
    """Return every hold point that is not settled yet, in working order.

    Parameters
    ----------
    plan : Plan
    state : JobState

    Returns
    -------
    list of (HoldKey, Hold)
    """
    return [
        (key, hold)
        for key, hold in every_hold(plan)
        if not _settled(state.holds.get((key.joint, key.number)))
    ]


def every_hold(plan: Plan) -> list[tuple[HoldKey, Hold]]:
    """Return every hold point of a job, in working order.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    list of (HoldKey, Hold)
    """
    return [
        (HoldKey(planned.joint.id, number), hold)
        for planned in plan.joints
        for number, hold in _in_order(planned.joint)
    ]


def _in_order(joint: Joint) -> list[tuple[int, Hold]]:
    return sorted(enumerate(joint.holds, 1), key=lambda item: (item[1].after, item[0]))


def _settled(body: Any) -> bool:
    return body is not None and (body["outcome"] != "does not fit" or bool(body["reason"]))


def hold_of(plan: Plan, key: HoldKey) -> Hold:
    """Return a hold point by its key.

    Raises
    ------
    Refused
        When the joint has no such hold point.
    """
    holds = plan.joint(key.joint).joint.holds
    if not 1 <= key.number <= len(holds):
        raise Refused(
            words("joint {joint} has no hold point {number}", joint=key.joint, number=key.number)
        )
    return holds[key.number - 1]


def answer_body(key: HoldKey, hold: Hold, answer: str, reason: str = "") -> dict[str, Any]:
    """Judge an answer to a hold point and return the body of its entry.

    Parameters
    ----------
    key : HoldKey
    hold : Hold
    answer : str
        ``yes`` or ``no``, a figure (with a unit of its own, if it is another), or a note.
    reason : str
        Why the work goes on although it does not fit.

    Returns
    -------
    dict

    Raises
    ------
    Refused
        When the answer is none for this question.

    Examples
    --------
    >>> play = Hold(3, "End play by dial gauge?", "figure", "mm", 0.02, 0.1)
    >>> answer_body(HoldKey("hub", 1), play, "0,06")["outcome"]
    'fits'
    >>> answer_body(HoldKey("hub", 1), play, "0.006 in")["outcome"]
    'does not fit'
    """
    text = " ".join(answer.split())
    outcome, value = _judged(hold, text)
    return {
        "joint": key.joint,
        "hold": key.number,
        "after": hold.after,
        "ask": hold.ask,
        "answer": text,
        "value": value,
        "limits": limits_text(hold),
        "outcome": outcome,
        "reason": reason.strip(),
    }


def _judged(hold: Hold, text: str) -> tuple[Outcome, dict[str, str] | None]:
    if not text:
        raise Refused(words("answer what is asked: {ask}", ask=hold.ask))
    if hold.answer == "note":
        return "noted", None
    if hold.answer == "yes":
        if text.casefold() not in {"yes", "no"}:
            raise Refused(words("answer yes or no: {ask}", ask=hold.ask))
        return ("fits" if text.casefold() == "yes" else "does not fit"), None
    number, unit = _figure(hold, text)
    value = convert(float(number), unit, hold.unit)
    low = hold.low is not None and value < hold.low
    high = hold.high is not None and value > hold.high
    outcome: Outcome = "does not fit" if low or high else "fits"
    return outcome, {"value": str(number), "unit": unit}


def _figure(hold: Hold, text: str) -> tuple[Decimal, str]:
    cut = next((i for i, sign in enumerate(text) if sign not in "0123456789.,+- "), len(text))
    number, unit = parse_number(text[:cut].strip()), text[cut:].strip()
    return number, unit_named(unit).name if unit else hold.unit


def limits_text(hold: Hold) -> str:
    """Return the limits of a figure as a person reads them; empty where there are none."""
    low, high = hold.low, hold.high
    if hold.answer != "figure" or (low is None and high is None):
        return ""
    if low is None:
        return str(words("at most {high}", high=format_quantity(high or 0.0, hold.unit)))
    if high is None:
        return str(words("at least {low}", low=format_quantity(low, hold.unit)))
    return str(
        words(
            "{low} to {high}",
            low=format_quantity(low, hold.unit),
            high=format_quantity(high, hold.unit),
        )
    )


def answered_words(body: Any) -> Words:
    """Say what a hold point asked and what was found.

    Parameters
    ----------
    body : mapping
        Of its entry.

    Returns
    -------
    Words
    """
    asked = {"ask": body["ask"], "answer": _answer_text(body), "outcome": body["outcome"]}
    if body["limits"]:
        told = words("{ask} {answer} (wanted {limits}): {outcome}", **asked, limits=body["limits"])
    else:
        told = words("{ask} {answer}: {outcome}", **asked)
    if body["outcome"] == "does not fit" and body["reason"]:
        return words("{told}; gone on: {reason}", told=told, reason=body["reason"])
    return told


def _answer_text(body: Any) -> str:
    value = body["value"]
    return f"{value['value']} {value['unit']}" if value else str(body["answer"])
