"""Whose hand made an entry that a device sends, perhaps long after it was made."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace

from fastapi import Request

from clampwright.bench.acting import acting, present
from clampwright.errors import Refused
from clampwright.store.writing import Actor
from clampwright.web.access import RULE, UNKNOWN, Refusal, Rule, to_sign, visitor_of
from clampwright.web.keeper import NOBODY, Visitor
from clampwright.web.models import Device
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.hands import NOT_KNOWN
from clampwright.work.roles import acts, may
from clampwright.work.unsigned import Unsigned

LATE = "not at the time"
"""How an entry is signed of which a device says who made it."""

SIGNATURES = frozenset({"pin", "password"})
"""How an entry is signed in the moment it is signed."""

AT_ONCE = dt.timedelta(seconds=2)
"""What is made so shortly before a session is made in it: clocks are read to the second."""


class NotLetIn(Exception):  # noqa: N818 - a state of the request, not a fault
    """Nobody could be found whose hand an entry may be.

    Parameters
    ----------
    why : Refusal
    """

    def __init__(self, why: Refusal) -> None:
        super().__init__(str(why.sentence))
        self.why = why


def by_the_hand_of(request: Request, device: Device) -> AbstractContextManager[None]:
    """Let an entry be made by whose hand it is.

    Parameters
    ----------
    request : Request
    device : Device
        What the device says of itself, and of who tapped.

    Returns
    -------
    context manager

    Raises
    ------
    NotLetIn
        When nobody is signed in and nobody is named who could have made it.
    """
    found = present()
    if found is NOBODY:
        return acting(_hand(request, device, request.scope.get(RULE, UNKNOWN)))
    if found is None and device.late and device.person is not None:
        # carried by hand to where nobody signs in: who brings it did not make it
        return acting(house(request).keeper.told(device.person))
    return nullcontext()  # who was named at the terminal brings what names nobody


def still_to_sign(request: Request) -> str:
    """Return the act that is still to be signed, where it was done while nobody could sign it.

    Parameters
    ----------
    request : Request
        While `by_the_hand_of` holds.

    Returns
    -------
    str
        Empty where nothing is to be signed.
    """
    hand, act = present(), request.scope.get(RULE, UNKNOWN).act
    late = hand is not None and hand.signed == LATE
    return act if late and act in acts() and acts()[act].signs else ""


def may_sign(one: Unsigned, names: Mapping[str, str]) -> None:
    """Refuse a signature under what is held open for another person.

    Parameters
    ----------
    one : Unsigned
    names : mapping of str to str
        Names of people by id.

    Raises
    ------
    NotLetIn
        When nobody signed.
    Refused
        When somebody else did, or it was said that it is not to count.
    """
    if one.refused:
        raise Refused(words("it was said that this is not to count: {reason}", reason=one.refused))
    hand = present()
    if hand is None or hand.signed not in SIGNATURES:
        raise NotLetIn(to_sign(one.act))
    if one.own and hand.person != one.person:
        name = names.get(one.person, one.person)
        raise Refused(
            words(
                "this waits for {name} to sign: others may say that it is not to count", name=name
            )
        )


def _hand(request: Request, device: Device, rule: Rule) -> Actor:
    visitor, signs = visitor_of(request.scope), acts()[rule.act].signs
    mine = visitor.actor
    if mine is not None and not signs and device.person in {None, mine.person}:
        if device.person is None and _made_before(visitor, device, house(request).desk.now()):
            return Actor(NOT_KNOWN, mine.role, "not known")
        return mine
    if device.person is not None and (device.late or not signs):
        keeper = house(request).keeper
        claimed = keeper.claimed(device.person, device.session or "", device.time, visitor)
        if claimed is None and device.late and mine is not None and may(mine.role, rule.act):
            claimed = keeper.told(device.person)  # brought by a hand that may do it too
        if claimed is not None:
            # That somebody was signed in is no signature under what must be signed.
            return replace(claimed, signed=LATE) if signs else claimed
    if mine is not None and signs:
        raise NotLetIn(to_sign(rule.act))
    locked = visitor.state == "locked"
    sentence = words("locked: the PIN opens it") if locked else words("sign in first")
    raise NotLetIn(Refusal(401, sentence, {"sign_in": True, "locked": locked}))


def _made_before(visitor: Visitor, device: Device, now: dt.datetime) -> bool:
    """Whether an entry was made before its sender signed in, by the device's clock put right."""
    if visitor.row is None:
        return False
    made, started = (dt.datetime.fromisoformat(one) for one in (device.time, visitor.row.started))
    if device.now is not None:
        made -= dt.datetime.fromisoformat(device.now) - now
    return made < started - AT_ONCE
