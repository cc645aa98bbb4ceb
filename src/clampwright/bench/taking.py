"""Taking in what another workshop handed over: once, under a free name, with its origin kept.

Nothing is merged. Where a name is in use here, a person says under which other one it is to be
taken, or that only the file is kept. The file itself stays among the kept files: with the entries
of the other workshop, their places in its log and the proofs.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.bench import taking_parts as parts
from clampwright.bench.acting import id_for
from clampwright.bench.folder import Workshop
from clampwright.bench.names import Names, checked_name
from clampwright.errors import BadFile, Refused
from clampwright.proof.handover import TAKEN_IN, Handover
from clampwright.proof.ids import uuid7
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.store.writing import NewEntry
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Taken:
    """Something that came from another workshop.

    Parameters
    ----------
    body : mapping
        Of the entry that says so.
    index : int
        Its place in this workshop's log.
    recorded : str
        When it was taken in (RFC 3339, UTC).
    """

    body: Mapping[str, Any]
    index: int
    recorded: str


@dataclass(frozen=True, slots=True)
class Prospect:
    """What taking something in would do.

    Parameters
    ----------
    name : str
        Under which id; empty where only the file would be kept.
    notes : tuple of Words
        What the person should know first.
    """

    name: str
    notes: tuple[Words, ...] = ()


def taken_in(store: LogReader) -> list[Taken]:
    """Return everything that came from other workshops, in the order of the log.

    Parameters
    ----------
    store : LogReader

    Returns
    -------
    list of Taken
    """
    return [Taken(line.body, line.index, line.recorded) for line in store.of_kind(TAKEN_IN)]


def prospect(
    place: Workshop,
    store: LogReader,
    given: Handover,
    *,
    name: str | None = None,
    file_only: bool = False,
) -> Prospect:
    """Say what taking something in would do; refuses what cannot be taken.

    Parameters
    ----------
    place : Workshop
    store : LogReader
    given : Handover
    name : str, optional
        Id it is to have here; the one it has there if not given.
    file_only : bool
        Keep the file and its origin, and set up nothing.

    Returns
    -------
    Prospect

    Raises
    ------
    Refused
        When it was taken in before, comes from this very log, or its name is in use here.
    BadFile
        When what is in it cannot be used here.
    """
    if given.head.origin == store.origin:
        raise Refused(words("this was handed over by this workshop itself; it is here already"))
    for one in taken_in(store):
        if one.body["entry"] == given.id:
            raise Refused(
                words(
                    "this was taken in already, on {date}, as {what} {name}; nothing was changed",
                    date=one.recorded[:10],
                    what=given.what,
                    name=one.body["as"] or "-",
                )
            )
    if file_only:
        return Prospect("")
    wanted = parts.checked_id(name or given.name)
    return Prospect(wanted, _looked_at(place, store, given, wanted))


def _looked_at(place: Workshop, store: LogReader, given: Handover, name: str) -> tuple[Words, ...]:
    """Look at what is in a handover: signed does not mean well formed, anybody has a key."""
    try:
        return parts.LOOKED_AT[given.what](place, store, given, name)
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise BadFile(
            words("this cannot be used here: what is in it has not the form of a {what}",
                  what=given.what),
            file="handover",
        ) from error  # fmt: skip


def take_in(
    place: Workshop,
    store: Store,
    given: Handover,
    data: bytes,
    by: str,
    *,
    name: str | None = None,
    file_only: bool = False,
    today: dt.date,
) -> Taken:
    """Take in what another workshop handed over.

    Parameters
    ----------
    place : Workshop
    store : Store
        Open for writing.
    given : Handover
    data : bytes
        The file.
    by : str
        Name of the person who takes it in.
    name : str, optional
    file_only : bool
        As `prospect`.
    today : datetime.date

    Returns
    -------
    Taken

    Raises
    ------
    Refused, BadFile, Missing
        As `prospect`, or when no name of a person is given; nothing was changed then.
    """
    checked_name(by)
    found = prospect(place, store, given, name=name, file_only=file_only)
    paper = place.papers.keep(data)
    for one in given.files.values():
        place.papers.keep(one)
    person = id_for(store, Names(place.folder), by)
    origin = {"origin": given.head.origin, "entry": given.id}
    body = {
        "what": given.what,
        "name": given.name,
        "as": found.name,
        "title": given.title,
        "workshop": given.workshop,
        "origin": given.head.origin,
        "key": given.key.text,
        "size": given.head.size,
        "root": given.head.root.hex(),
        "entry": given.id,
        "file": paper,
        "entries": [
            {"id": one.entry["id"], "index": one.index, "leaf": one.leaf} for one in given.entries
        ],
        "by": person,
    }
    entries = [NewEntry(TAKEN_IN, body, entry_id=str(uuid7()))]
    if found.name:
        made = parts.ENTRIES[given.what](given, found.name, person, today)
        entries += [
            NewEntry(kind, {**more, "received": origin}, entry_id=str(uuid7()))
            for kind, more in made
        ]
        # The file comes first: an entry that names a job or tool without one would be worse than
        # a file that no entry names yet. It is removed again if the log cannot be written.
        undo = parts.WRITTEN[given.what](place, given, found.name)
    else:
        undo = parts.nothing
    done = False
    try:
        receipts = store.append_many(entries)
        done = True
    finally:
        if not done:
            undo()
    line = store.line(receipts[0].id)
    return Taken(line.body, line.index, line.recorded)
