"""What has to be signed and was done where nobody could: held open until the person signs.

An act that a person answers for by a signature takes no effect on a job while it is held open. It
ends when the same entry comes signed, or when somebody who may says why it is not to count.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from clampwright.words import Words, words
from clampwright.work.roles import ACTS, may

AWAITED, REFUSED = "signature_awaited", "signature_refused"
"""Kinds of entries."""


@dataclass(frozen=True, slots=True)
class Unsigned:
    """One act that is held open, or was.

    Parameters
    ----------
    entry : str
        Id of the entry that holds it open.
    sent_as : str
        Id of the entry that it becomes when it is signed.
    way : str
        What it was sent as: the part of the address, such as ``acceptances``.
    act : str
        As in ``work/roles.csv``.
    content : mapping
        As it was sent.
    sha256 : str
        Of the content.
    person, role : str
        Who is said to have done it (id), and what that person was then; empty where not known.
    device : mapping
        ``id``, ``time`` and ``counter`` of the device it was made on.
    signed : bool
    refused : str
        Why it is not to count; empty where nobody said so.
    """

    entry: str
    sent_as: str
    way: str
    act: str
    content: Mapping[str, Any]
    sha256: str
    person: str
    role: str
    device: Mapping[str, Any]
    signed: bool = False
    refused: str = ""

    @property
    def open(self) -> bool:
        """Whether it still waits."""
        return not (self.signed or self.refused)

    @property
    def own(self) -> bool:
        """Whether the person itself may do it; else anybody may sign whose role allows it."""
        return may(self.role, self.act)


def held_open(unsigned: tuple[Unsigned, ...], entry: Mapping[str, Any]) -> tuple[Unsigned, ...]:
    """Return what was held open after an entry of kind ``signature_awaited``."""
    body, device = entry["body"], entry["device"]
    by = body.get("made_by") or {}
    one = Unsigned(
        entry["id"],
        body["entry"],
        body["way"],
        body["act"],
        body["content"],
        body["sha256"],
        by.get("person", ""),
        by.get("role", ""),
        {**device, "counter": body.get("sent", {}).get("counter", 0)},
    )
    return (*unsigned, one)


def refused(unsigned: tuple[Unsigned, ...], entry: Mapping[str, Any]) -> tuple[Unsigned, ...]:
    """Return what was held open after an entry of kind ``signature_refused``."""
    body = entry["body"]
    return tuple(
        replace(one, refused=body["reason"]) if one.entry == body["entry"] and one.open else one
        for one in unsigned
    )


def signed(unsigned: tuple[Unsigned, ...], entry: str) -> tuple[Unsigned, ...]:
    """Return what was held open after any entry came: the one that it was waiting for ends it."""
    return tuple(
        replace(one, signed=True) if one.sent_as == entry and one.open else one for one in unsigned
    )


def waiting(unsigned: tuple[Unsigned, ...]) -> tuple[Unsigned, ...]:
    """Return what still waits to be signed."""
    return tuple(one for one in unsigned if one.open)


def what_words(one: Unsigned) -> Words:
    """Say what was done.

    Parameters
    ----------
    one : Unsigned

    Returns
    -------
    Words
    """
    act, reason = ACTS[one.act], str(one.content.get("reason") or "").strip()
    joint = str(one.content.get("joint") or "")
    if joint and reason:
        return words("{act}, {joint}: {reason}", act=act, joint=joint, reason=reason)
    if joint:
        return words("{act}, {joint}", act=act, joint=joint)
    return words("{act}: {reason}", act=act, reason=reason) if reason else act


def waits_words(one: Unsigned, names: Mapping[str, str]) -> Words:
    """Say who has to sign it, or what became of it.

    Parameters
    ----------
    one : Unsigned
    names : mapping of str to str
        Names of people by id; who is not in it is called by the id.

    Returns
    -------
    Words
    """
    if one.signed:
        return words("signed since")
    if one.refused:
        return words("not to count: {reason}", reason=one.refused)
    if one.own:
        return words("waits for {name} to sign", name=names.get(one.person, one.person))
    return words("waits for somebody to sign who may do this")


def told(one: Unsigned, names: Mapping[str, str]) -> Words:
    """Say what was done where nobody could sign, and who has to sign it.

    Parameters
    ----------
    one : Unsigned
    names : mapping of str to str

    Returns
    -------
    Words
    """
    return words("{what} ({waits})", what=what_words(one), waits=waits_words(one, names))
