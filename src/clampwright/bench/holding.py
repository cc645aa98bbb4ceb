"""Hold points and taking apart at the bench, on the log."""

from __future__ import annotations

from typing import Unpack

from clampwright.bench.session import Made, Session
from clampwright.errors import Refused
from clampwright.store.writing import Receipt
from clampwright.units import convert, parse_quantity
from clampwright.words import words
from clampwright.work.apart import ApartStep, apart_steps, loosened_body, next_apart
from clampwright.work.hold import HoldKey, OpenHold, answer_body, hold_of, open_hold


def standing_at(session: Session) -> OpenHold | None:
    """Return the hold point that comes before the next pull, or None.

    Parameters
    ----------
    session : Session

    Returns
    -------
    OpenHold or None
    """
    return open_hold(session.plan, session.state)


def answer_hold(
    session: Session, key: HoldKey, answer: str, *, reason: str = "", **made: Unpack[Made]
) -> Receipt:
    """Answer a hold point; what does not fit stays open until it does, or a reason is given.

    Parameters
    ----------
    session : Session
    key : HoldKey
    answer : str
        ``yes`` or ``no``, a figure, or a note.
    reason : str
        Why the work goes on although it does not fit.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When there is no such hold point, or the answer is none for it.
    """
    body = answer_body(key, hold_of(session.plan, key), answer, reason)
    return session.put("hold_answered", body, **made)


def to_loosen(session: Session) -> ApartStep | None:
    """Return the next fastener to loosen in taking the job apart, or None when all are out.

    Parameters
    ----------
    session : Session

    Returns
    -------
    ApartStep or None
    """
    return next_apart(session.job, session.state)


def note_loosened(
    session: Session,
    joint: str,
    turn: int,
    fastener: int,
    *,
    breakaway: str = "",
    tool: str = "",
    note: str = "",
    **made: Unpack[Made],
) -> Receipt:
    """Note that a fastener was eased or taken out, and what it took to break loose.

    Parameters
    ----------
    session : Session
    joint : str
    turn : int
        Which round.
    fastener : int
    breakaway : str
        Torque with its unit, where it was read; empty where not.
    tool : str
        Id of a tool of the drawer, or what was used in words.
    note : str
        Anything odd.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When taking apart has no such step, or it is done already.
    ClampwrightError
        When the breakaway is no torque.
    """
    steps = apart_steps(session.job.joint(joint))
    step = next((s for s in steps if (s.turn, s.fastener) == (turn, fastener)), None)
    if step is None:
        raise Refused(
            words(
                "taking {joint} apart has no round {turn} for fastener {fastener}",
                joint=joint,
                turn=turn,
                fastener=fastener,
            )
        )
    if (joint, turn, fastener) in session.state.apart:
        raise Refused(
            words(
                "fastener {fastener} is done in round {turn} already", fastener=fastener, turn=turn
            )
        )
    noted = None
    if breakaway.strip():
        quantity = parse_quantity(breakaway, "torque")
        convert(float(quantity.written_value), quantity.written_unit, "N·m")
        noted = {"value": str(quantity.written_value), "unit": quantity.written_unit}
    return session.put("fastener_loosened", loosened_body(step, noted, tool, note), **made)
