"""Holding an act open until it is signed, refusing it, and naming the hand nobody knew."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Unpack

from clampwright.bench.asides import aside_id, content_hash
from clampwright.bench.names import plain
from clampwright.bench.session import Made, Session
from clampwright.errors import Missing, Refused
from clampwright.proof.strictjson import normalised
from clampwright.store.writing import Receipt
from clampwright.words import words
from clampwright.work.hands import NAMED, NOT_KNOWN, nobodys
from clampwright.work.unsigned import AWAITED, REFUSED, Unsigned


def hold_open(
    session: Session,
    sent_as: str,
    way: str,
    act: str,
    content: Mapping[str, Any],
    **made: Unpack[Made],
) -> Receipt:
    """Hold an act open, word for word; holding it open again changes nothing.

    Parameters
    ----------
    session : Session
        Whose actor is who is said to have done it.
    sent_as : str
        Id of the entry that it becomes when it is signed.
    way, act : str
    content : mapping
    **made
        See `Made`.

    Returns
    -------
    Receipt
    """
    sha256 = content_hash(session.job_id, way, content)
    made["entry_id"] = aside_id(sent_as, f"{AWAITED} {sha256}")
    known = next((one for one in session.state.unsigned if one.entry == made["entry_id"]), None)
    if known is not None:
        line = session.store.line(known.entry)
        return Receipt(line.index, known.entry, line.leaf_hash, duplicate=True)
    body = {
        "entry": sent_as,
        "way": way,
        "act": act,
        "content": normalised(dict(content)),
        "sha256": sha256,
    }
    return session.put(AWAITED, body, **made)


def held(session: Session, sent_as: str) -> Unsigned | None:
    """Return what was held open under an entry's id, whatever became of it; None where nothing."""
    return next((one for one in session.state.unsigned if one.sent_as == sent_as), None)


def refuse_unsigned(session: Session, entry: str, reason: str, **made: Unpack[Made]) -> Receipt:
    """Say why an act that is held open is not to count.

    Parameters
    ----------
    session : Session
    entry : str
        Id of the entry that holds it open.
    reason : str
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        Without a reason, or when nothing of that id waits.
    """
    if not reason.strip():
        raise Refused(words("say why it is not to count: it stands in the record"))
    one = next((one for one in session.state.unsigned if one.entry == entry), None)
    if one is None or not one.open:
        raise Refused(words("nothing waits to be signed as {entry} in this job", entry=entry))
    return session.put(REFUSED, {"entry": entry, "reason": reason.strip()}, **made)


def name_hand(
    session: Session, entry: str, person: str, reason: str, **made: Unpack[Made]
) -> Receipt:
    """Say whose hand made an entry of which nobody knew it.

    Parameters
    ----------
    session : Session
    entry : str
        Id of that entry.
    person : str
        Id, or name, of somebody who works here.
    reason : str
        How that is known; it stands in the record.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        Without a reason, or when the hand is known already.
    Missing
        When there is no such person.
    """
    if not reason.strip():
        raise Refused(words("say how it is known whose hand it was: it stands in the record"))
    people = session.store.people
    known = people.get(person) or people.named(plain(person))
    if known is None or known.erased or known.id == NOT_KNOWN:
        raise Missing(words("there is no person {name} here", name=person), needed="person")
    if entry not in {one["id"] for one in nobodys(session.state.log)}:
        raise Refused(words("{entry} is no entry of this job without a person", entry=entry))
    body = {"entry": entry, "person": known.id, "role": known.role, "reason": reason.strip()}
    return session.put(NAMED, body, **made)
