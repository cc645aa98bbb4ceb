"""A workshop's log moved into a PostgreSQL database, and back into the folder.

Every entry is copied byte for byte, with the signed heads and the people; the copy is read back
and compared before the folder is switched to it. So all hashes stay, and records handed out before
still fit. What was there before is kept, and marked as no longer in use.
"""

from __future__ import annotations

import datetime as dt
import re
from contextlib import ExitStack
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path
from typing import TYPE_CHECKING

from clampwright.bench.folder import BACKUPS
from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.proof.checkpoint import Head
from clampwright.store.copying import (
    ENDINGS,
    keep_people,
    log_source,
    reader_of,
    remove_store_file,
    tables_differ,
    write_log,
)
from clampwright.store.databasefile import database_at, write_database_file
from clampwright.store.folder import Folder, folder_at
from clampwright.store.keyfile import sync_folder
from clampwright.store.lock import WriterLock
from clampwright.store.reading import LogReader
from clampwright.store.server_log import held, holds_log, mark_moved, write_log_to
from clampwright.store.where import Database, LogPlace
from clampwright.words import words

if TYPE_CHECKING:
    from sqlalchemy import Connection


@dataclass(frozen=True, slots=True)
class Moved:
    """What a move did.

    Parameters
    ----------
    head : Head
        Of the log, the same before and after.
    place : str
        Where it lies now.
    left : str
        Where a copy of it as it was is left.
    """

    head: Head
    place: str
    left: str


def schema_for(origin: str) -> str:
    """Return a name for a workshop's schema, unlike any other's.

    Parameters
    ----------
    origin : str
        Name of its log.

    Returns
    -------
    str

    Examples
    --------
    >>> schema_for("boat-trailer-yard.66687aad")
    'boat_trailer_yard_66687aad'
    """
    plain = re.sub(r"[^a-z0-9]+", "_", origin.lower()).strip("_")
    if not plain[:1].isalpha() or plain.startswith("pg_"):
        plain = f"w_{plain}"
    return plain if len(plain) <= 63 else f"{plain[:54]}{plain[-9:]}"


def move_to_database(path: Path, url: str, schema: str | None, *, now: dt.datetime) -> Moved:
    """Move a workshop's log into a database.

    Parameters
    ----------
    path : pathlib.Path
        The workshop's folder.
    url : str
        ``postgresql://role@host:port/database``, without a password.
    schema : str or None
        Its own there; named after the workshop if not given.
    now : datetime.datetime
        Names what is left behind.

    Returns
    -------
    Moved

    Raises
    ------
    Refused
        When it lies there already, or the schema holds another log; nothing was changed.
    BadFile
        When the log is damaged; nothing was changed.
    StoreBusy
        When another program writes to it, or the server cannot be reached.
    """
    database_at(url, schema or "workshop")  # a bad address is told before anything is read
    with ExitStack() as stack:
        folder, source = _source(path, stack)
        with reader_of(folder.log) as log:
            target = database_at(url, schema or schema_for(log.origin))
            if target == folder.log:
                raise Refused(words("the log lies in {place} already", place=str(target)))
            head = _whole(log)
            _copy_to_database(log, target)
            _compare(log, target)
        left = _left(folder, source, now)
        write_database_file(folder.database, target)
        _leave(folder, source, left)
    return Moved(head, str(target), str(left))


def move_to_folder(path: Path, *, now: dt.datetime) -> Moved:
    """Move a workshop's log out of a database, back into its folder.

    Parameters
    ----------
    path : pathlib.Path
        The workshop's folder.
    now : datetime.datetime
        Names an older file that lies where the log goes.

    Returns
    -------
    Moved

    Raises
    ------
    Refused, BadFile, StoreBusy
        As `move_to_database`.
    """
    with ExitStack() as stack:
        folder, source = _source(path, stack)
        if source is None:
            raise Refused(words("the log lies in {place} already", place=str(folder.store)))
        remove_store_file(folder.unfinished)
        try:
            with reader_of(source.database) as log:
                head = _whole(log)
                write_log(log_source(log), folder.unfinished)
                keep_people(log, folder.unfinished)
                _compare(log, folder.unfinished)
            if folder.store.exists():  # left by a move that was cut off: the log is not there
                _put_aside(folder, _stamped(folder, now))
            folder.unfinished.replace(folder.store)
            folder.database.unlink()
            sync_folder(folder.path)
        except OSError as error:
            raise _not_written(folder, error) from error
        finally:
            remove_store_file(folder.unfinished)
        _leave(folder, source, source.database)
    return Moved(head, str(folder.store), str(source.database))


@dataclass(frozen=True, slots=True)
class _Held:
    """A log in a database that this program has to itself."""

    database: Database
    connection: Connection


def _source(path: Path, stack: ExitStack) -> tuple[Folder, _Held | None]:
    """Hold the log that is to be moved, so that nobody writes to it meanwhile."""
    folder = folder_at(path, create=False)
    place = folder.log
    lock = WriterLock(folder.lock)
    stack.callback(lock.release)
    source = None
    if isinstance(place, Database):
        source = _Held(place, stack.enter_context(held(place)))
    return folder, source


def _whole(log: LogReader) -> Head:
    log.check()
    return Head(log.origin, *log.head())


def _copy_to_database(log: LogReader, target: Database) -> None:
    if not holds_log(target):
        write_log_to(target, log_source(log), log.people)
        return
    # An earlier move may have been cut off when the copy was whole, before the folder was switched.
    with reader_of(target) as there:
        if there.origin != log.origin or there.head() != log.head():
            raise Refused(
                words(
                    "{place} holds another log; name another schema (--schema)",
                    place=str(target),
                )
            )


def _compare(log: LogReader, target: LogPlace) -> None:
    """Read the copy back, entry by entry; the folder is switched only when all is the same."""
    with reader_of(target) as copy:
        copy.check()
        differs = tables_differ(log, copy)
        if differs is None and copy.people.everything() != log.people.everything():
            differs = "people"
        if differs is not None:
            raise BadFile(
                words(
                    "{place}: the table {table} is not the same as before; the workshop stays "
                    "where it was",
                    place=str(target),
                    table=differs,
                ),
                file=str(target),
            )


def _stamped(folder: Folder, now: dt.datetime) -> Path:
    stamp = now.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    names = chain([stamp], (f"{stamp}-{n}" for n in count(2)))
    places = (folder.path / BACKUPS / f"moved-{name}" for name in names)
    return next(place for place in places if not place.exists())


def _left(folder: Folder, source: _Held | None, now: dt.datetime) -> LogPlace:
    """Return where the log as it was will be found."""
    return _stamped(folder, now) / folder.store.name if source is None else source.database


def _leave(folder: Folder, source: _Held | None, left: LogPlace) -> None:
    """Let nobody take what was left for the log."""
    if source is not None:
        mark_moved(source.connection, source.database)
    elif isinstance(left, Path):
        try:
            _put_aside(folder, left.parent)
        except OSError as error:
            raise _not_written(folder, error) from error


def _put_aside(folder: Folder, target: Path) -> None:
    target.mkdir(parents=True)
    for ending in ENDINGS:
        path = folder.path / (folder.store.name + ending)
        if path.exists():
            path.replace(target / path.name)
    sync_folder(target)
    sync_folder(folder.path)


def _not_written(folder: Folder, error: OSError) -> StoreFull:
    return StoreFull(
        words(
            "the store in {folder} could not be made: {problem}",
            folder=str(folder.path),
            problem=str(error.strerror),
        )
    )
