"""Whose hand made an entry that a device sends, perhaps long after it was made."""

from __future__ import annotations

from contextlib import AbstractContextManager
from dataclasses import replace

from fastapi import Request

from clampwright.bench.acting import acting, present
from clampwright.store.writing import Actor
from clampwright.web.access import RULE, UNKNOWN, Refusal, Rule, to_sign, visitor_of
from clampwright.web.keeper import NOBODY
from clampwright.web.models import Device
from clampwright.web.shared import house
from clampwright.words import words
from clampwright.work.roles import acts, may


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
        found = _hand(request, device, request.scope.get(RULE, UNKNOWN))
    elif found is None and device.late and device.person is not None:
        # carried by hand to where nobody signs in: who brings it did not make it
        found = house(request).keeper.told(device.person)
    return acting(found)


def _hand(request: Request, device: Device, rule: Rule) -> Actor:
    visitor, signs = visitor_of(request.scope), acts()[rule.act].signs
    mine = visitor.actor
    if mine is not None and not signs and device.person in {None, mine.person}:
        return mine
    if device.person is not None and (device.late or not signs):
        keeper = house(request).keeper
        claimed = keeper.claimed(device.person, device.session or "", device.time, visitor)
        if claimed is None and device.late and mine is not None and may(mine.role, rule.act):
            claimed = keeper.told(device.person)  # brought by a hand that may do it too
        if claimed is not None:
            # That somebody was signed in is no signature under what must be signed.
            return replace(claimed, signed="not at the time") if signs else claimed
    if mine is not None and signs:
        raise NotLetIn(to_sign(rule.act))
    locked = visitor.state == "locked"
    sentence = words("locked: the PIN opens it") if locked else words("sign in first")
    raise NotLetIn(Refusal(401, sentence, {"sign_in": True, "locked": locked}))
