"""Keeping beside the log what it could not take from a device, and settling it in words."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from typing import Any, Unpack

from clampwright.bench.session import Made, Session
from clampwright.errors import Refused
from clampwright.proof.strictjson import canonical, normalised
from clampwright.store.writing import Receipt
from clampwright.words import Words, as_data, words
from clampwright.work.aside import Aside


def content_hash(job: str, way: str, content: Mapping[str, Any]) -> str:
    """Return the hash by which a device and the log agree on what an entry says.

    Parameters
    ----------
    job : str
    way : str
        What it is sent as: the part of the address, such as ``pulls``.
    content : mapping
        What was sent, without ``device``.

    Returns
    -------
    str
        SHA-256 over the canonical form (RFC 8785) of an object with the three, hexadecimal.

    Examples
    --------
    >>> content_hash("wheel", "restarts", {"joint": "wheel", "fastener": 3})[:16]
    'fe902408b12f14e9'
    """
    whole = normalised({"job": job, "way": way, "content": dict(content)})
    return hashlib.sha256(canonical(whole)).hexdigest()


def aside_id(entry: str, sha256: str) -> str:
    """Return the id under which a second content of an entry is kept: always the same one.

    The time is that of the first id; the rest follows from both, so that sending it again finds it.

    Examples
    --------
    >>> aside_id("01890a5d-ac96-774b-bcce-b302099a8057", "00" * 32)
    '01890a5d-ac96-7439-a7ec-de6546238e14'
    """
    mixed = bytearray(hashlib.sha256(f"{entry} {sha256}".encode()).digest()[:10])
    mixed[0] = 0x70 | (mixed[0] & 0x0F)
    mixed[2] = 0x80 | (mixed[2] & 0x3F)
    rest = mixed.hex()
    return f"{entry[:14]}{rest[:4]}-{rest[4:8]}-{rest[8:]}"


def keep_aside(
    session: Session,
    sent_as: str,
    way: str,
    content: Mapping[str, Any],
    why: Words,
    **made: Unpack[Made],
) -> Receipt:
    """Keep a content that could not be taken, word for word; keeping it again changes nothing.

    Parameters
    ----------
    session : Session
    sent_as : str
        Id under which it was sent.
    way : str
    content : mapping
    why : Words
        Why it was not taken.
    **made
        See `Made`.

    Returns
    -------
    Receipt
    """
    sha256 = content_hash(session.job_id, way, content)
    made["entry_id"] = aside_id(sent_as, sha256)
    known = next((one for one in session.state.aside if one.entry == made["entry_id"]), None)
    if known is not None:
        line = session.store.line(known.entry)
        return Receipt(line.index, known.entry, line.leaf_hash, duplicate=True)
    body = {
        "entry": sent_as,
        "way": way,
        "content": normalised(dict(content)),
        "sha256": sha256,
        "why": as_data(why),
    }
    return session.put("kept_aside", body, **made)


def settle_aside(session: Session, entry: str, reason: str, **made: Unpack[Made]) -> Receipt:
    """Say in words what became of a content kept aside.

    Parameters
    ----------
    session : Session
    entry : str
        Id of the entry that keeps it.
    reason : str
        Which reading stands and why, or what was done; it stands in the record.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        Without a reason, or when nothing of that name is open.
    """
    if not reason.strip():
        raise Refused(words("say which of them stands and why: it stands in the record"))
    one = next((one for one in session.state.aside if one.entry == entry), None)
    if one is None:
        raise Refused(words("nothing is kept aside as {entry} in this job", entry=entry))
    if one.settled:
        raise Refused(words("{entry} is settled already: {how}", entry=entry, how=one.settled))
    return session.put("aside_settled", {"entry": entry, "reason": reason.strip()}, **made)


def open_asides(session: Session) -> tuple[Aside, ...]:
    """Return what is kept aside in a job and not settled."""
    return tuple(one for one in session.state.aside if not one.settled)
