"""Putting entries at the end of the log, inside a transaction that is already open."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from sqlalchemy import Connection, func, insert, select

from clampwright.errors import Refused, StoreBusy
from clampwright.proof.entry import LOG_OPENED, RECORD_MADE, compose, read_entry
from clampwright.proof.ids import uuid7
from clampwright.proof.keychain import KEY_CHANGED
from clampwright.proof.merkle import Frontier, leaf_hash
from clampwright.proof.strictjson import normalised
from clampwright.store.schema import LOG
from clampwright.words import words
from clampwright.work.roles import act_of, refuse_unless

THIS_DEVICE = "workshop"
"""Name of the device when none is given: the computer that holds the store."""


UNSIGNED = frozenset({LOG_OPENED, RECORD_MADE, KEY_CHANGED, "paper_made"})
"""Entries that the program makes of itself: nobody's hand is in them."""

MADE_BY = "made_by"


@dataclass(frozen=True, slots=True)
class Actor:
    """Whose hand makes an entry.

    Parameters
    ----------
    person : str
        Random id; the name stands apart from the log.
    role : str
        What the person was at that time.
    signed : str
        ``pin`` or ``password`` (in the moment it was done), ``session`` (signed in when it was
        done), ``terminal`` (named on the command line), ``not at the time`` (made while no
        session covered it, and sent later).
    """

    person: str
    role: str
    signed: str

    def as_body(self) -> dict[str, str]:
        """Return it as it stands in the body of an entry."""
        return {"person": self.person, "role": self.role, "signed": self.signed}


@dataclass(frozen=True, slots=True)
class NewEntry:
    """What is to be put on the log.

    Parameters
    ----------
    kind : str
        Small letters, digits and underscores.
    body : mapping
        JSON without binary floats; text is brought into Unicode form NFC.
    entry_id : str, optional
        UUID of version 7, made where the entry was made; the same id twice is one entry.
    job : str, optional
    device_time : str or datetime.datetime, optional
        What the clock of the device said (RFC 3339 or with a time zone); the time of recording if
        not given.
    device_id : str
    seen : int, optional
        How many entries of the log its maker knew. If another program has added to the same job
        since, it is turned away: what it says may not fit any more.
    """

    kind: str
    body: Mapping[str, Any]
    entry_id: str = field(default_factory=uuid7)
    job: str | None = None
    device_time: str | datetime | None = None
    device_id: str = THIS_DEVICE
    seen: int | None = None


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the store says when an entry is durable.

    Parameters
    ----------
    index : int
        Its place in the log, counted from 0.
    id : str
    leaf_hash : bytes
        32 bytes.
    duplicate : bool
        It was there already, with the same content.
    data : bytes
        What was put on the log; empty for a duplicate.
    """

    index: int
    id: str
    leaf_hash: bytes
    duplicate: bool = False
    data: bytes = field(default=b"", repr=False, compare=False)


def made_by(new: NewEntry, actor: Actor | None) -> NewEntry:
    """Return an entry with whose hand made it, where that is known and a hand made it at all.

    Parameters
    ----------
    new : NewEntry
    actor : Actor or None

    Returns
    -------
    NewEntry
    """
    if actor is None or new.kind in UNSIGNED:
        return new
    return replace(new, body={**new.body, MADE_BY: actor.as_body()})


def timestamp(time: datetime) -> str:
    """Return a time as it stands in entries: RFC 3339, UTC, microseconds.

    Parameters
    ----------
    time : datetime.datetime
        With a time zone.

    Returns
    -------
    str

    Examples
    --------
    >>> from datetime import UTC
    >>> timestamp(datetime(2026, 1, 31, 14, 5, tzinfo=UTC))
    '2026-01-31T14:05:00.000000Z'
    """
    offset = time.utcoffset()
    if offset is None:
        raise Refused(words("the time {time} has no time zone", time=time.isoformat()))
    utc = (time - offset).replace(tzinfo=None)
    return utc.isoformat(timespec="microseconds") + "Z"


def put(
    connection: Connection,
    new: NewEntry,
    frontier: Frontier,
    recorded: str,
    actor: Actor | None = None,
) -> tuple[Receipt, Frontier]:
    """Put one entry at the end of the log, or find that it is there.

    Parameters
    ----------
    connection : Connection
        With a writing transaction open.
    new : NewEntry
    frontier : Frontier
        Of the log before it.
    recorded : str
        Time of recording.
    actor : Actor, optional
        Whose hand makes it, where that is known.

    Returns
    -------
    Receipt, Frontier

    Raises
    ------
    Refused
        When the id is taken by an entry with other content, the content cannot be taken, or the
        person's role may not do it.
    """
    known = connection.execute(
        select(LOG.c.idx, LOG.c.leaf_hash, LOG.c.bytes).where(LOG.c.id == new.entry_id)
    ).first()
    if known is not None:
        first = read_entry(known.bytes, known.idx)
        place = None if new.job is None else first.job_seq or 0
        again = _composed(_by_the_first(new, first.body), place, first.recorded)
        if again != known.bytes:
            raise Refused(
                words(
                    "entry {id} is on the log already with other content; nothing was changed",
                    id=new.entry_id,
                )
            )
        return Receipt(known.idx, new.entry_id, known.leaf_hash, duplicate=True), frontier
    if actor is not None:
        refuse_unless(actor.role, act_of(new.kind))
    new = made_by(new, actor)
    job = normalised(new.job)
    place = None if job is None else _next_place(connection, job)
    data = _composed(new, place, recorded)
    leaf = leaf_hash(data)
    connection.execute(
        insert(LOG).values(
            idx=frontier.size,
            id=new.entry_id,
            job=job,
            job_seq=place,
            kind=new.kind,
            leaf_hash=leaf,
            bytes=data,
            recorded=recorded,
        )
    )
    return Receipt(frontier.size, new.entry_id, leaf, data=data), frontier.append(leaf)


def refuse_if_added(
    connection: Connection, new: NewEntry, receipt: Receipt, own: Collection[int]
) -> None:
    """Refuse an entry whose maker does not know what its job has come to.

    Parameters
    ----------
    connection : Connection
        With the transaction open in which the entry was put.
    new : NewEntry
    receipt : Receipt
        Its own.
    own : collection of int
        Places of entries that the same maker put on the log.

    Raises
    ------
    StoreBusy
        When another program has added to the job since the maker looked.
    """
    if new.job is None or new.seen is None or receipt.duplicate or receipt.index <= new.seen:
        return
    between = select(LOG.c.idx).where(
        LOG.c.job == normalised(new.job), LOG.c.idx >= new.seen, LOG.c.idx < receipt.index
    )
    if any(place not in own for place in connection.execute(between).scalars()):
        raise StoreBusy(
            words(
                "another program has just added to the job {job}; nothing was stored. Look again",
                job=new.job,
            )
        )


def _by_the_first(new: NewEntry, first: Mapping[str, Any]) -> NewEntry:
    """Sent again, an entry stays by the hand that made it, whoever is signed in by now."""
    body = {name: value for name, value in new.body.items() if name != MADE_BY}
    if MADE_BY in first:
        body[MADE_BY] = first[MADE_BY]
    return replace(new, body=body)


def _composed(new: NewEntry, place: int | None, recorded: str) -> bytes:
    time = new.device_time
    if isinstance(time, datetime):
        time = timestamp(time)
    return compose(
        id=new.entry_id,
        kind=new.kind,
        body=normalised(new.body),
        job=normalised(new.job),
        job_seq=place,
        device_id=normalised(new.device_id),
        device_time=recorded if time is None else time,
        recorded=recorded,
    )


def _next_place(connection: Connection, job: str) -> int:
    if not str(job).isprintable():
        return 0  # refused when it is composed; PostgreSQL cannot even be asked for such a name
    last = connection.execute(select(func.max(LOG.c.job_seq)).where(LOG.c.job == job)).scalar()
    return 0 if last is None else last + 1
