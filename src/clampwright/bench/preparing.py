"""The preparation list at the bench: settling its points, or going on without, on the log."""

from __future__ import annotations

from typing import Unpack

from clampwright.bench import bodies
from clampwright.bench.session import Made, Session
from clampwright.errors import Refused
from clampwright.procedure.preparation import Point
from clampwright.store.writing import Receipt
from clampwright.words import words
from clampwright.work.fold import PullKey
from clampwright.work.preparation import checked_answer, open_before, point_named


def open_points(session: Session, key: PullKey) -> tuple[Point, ...]:
    """Return the points of the preparation list that are open before a pull.

    Parameters
    ----------
    session : Session
    key : PullKey

    Returns
    -------
    tuple of Point
        Empty once the pull they were due for was taken, or a reason for going on was given.
    """
    return open_before(session.plan, session.state, key)


def settle_point(
    session: Session,
    joint: str,
    name: str,
    how: str,
    *,
    answer: str = "",
    reason: str = "",
    **made: Unpack[Made],
) -> Receipt:
    """Settle a point of the preparation list; a later answer replaces an earlier one.

    Parameters
    ----------
    session : Session
    joint, name : str
        The joint and its point.
    how : str
        ``ticked``, ``chosen``, ``answered`` or ``skipped``.
    answer : str
        The option chosen, or the answer.
    reason : str
        Why it is skipped.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Missing
        When the joint's list has no such point.
    Refused
        When the way does not fit the point, or an answer or reason is missing.
    """
    point = point_named(session.plan.joint(joint), name)
    answer, reason = answer.strip(), reason.strip()
    checked_answer(point, how, answer, reason)
    body = bodies.point_settled(joint, point, how=how, answer=answer, reason=reason)
    return session.put("preparation_settled", body, **made)


def pass_over(session: Session, key: PullKey, reason: str, **made: Unpack[Made]) -> Receipt:
    """Go on although points of the preparation list are open, with a reason for the record.

    Parameters
    ----------
    session : Session
    key : PullKey
        The pull that comes next.
    reason : str
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When nothing is open, or no reason is given.
    """
    names = [point.name for point in open_points(session, key)]
    if not names:
        raise Refused(words("no point of the preparation list is open here"))
    if not reason.strip():
        raise Refused(words("give the reason for going on: it stands in the record"))
    body = {"joint": key.joint, "open": names, "reason": reason.strip()}
    return session.put("preparation_passed_over", body, **made)
