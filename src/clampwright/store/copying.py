"""A log copied, entry by entry, into a new store file that is whole or is not there.

Backup, restore, import, rebuild and upgrade all rest on this one thing: the log only grows, so its
first entries can be read page by page while others are added, without holding a lock; everything
else in a store file is made again from them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice, zip_longest
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from sqlalchemy import Connection, insert
from sqlalchemy.exc import IntegrityError

from clampwright.errors import BadFile, ClampwrightError, StoreFull
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.entry import LOG_OPENED, Entry, read_entry
from clampwright.proof.keychain import KEY_CHANGED, follow
from clampwright.proof.keys import public_key_from
from clampwright.proof.merkle import Frontier
from clampwright.store.engine import connect
from clampwright.store.failures import DATABASE_ERRORS, in_words
from clampwright.store.folder import Folder
from clampwright.store.keyfile import sync_folder
from clampwright.store.lock import WriterLock
from clampwright.store.schema import CHECKPOINTS, LOG
from clampwright.store.transactions import Transactions
from clampwright.store.version import check_version
from clampwright.store.where import Database, LogPlace
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.store.reading import LogReader

AT_ONCE = 2_000
"""Entries written in one statement."""

ENDINGS = ("", "-journal", "-wal", "-shm")
"""What SQLite may leave beside a file."""


class SignedHead(NamedTuple):
    """A signed head as it is kept.

    Parameters
    ----------
    note : str
        The checkpoint's text.
    made : str
        When it was signed (RFC 3339, UTC).
    """

    note: str
    made: str


@dataclass(frozen=True, slots=True)
class LogSource:
    """What a new store file is made from.

    Parameters
    ----------
    name : str
        For messages.
    entries : iterable of bytes
        The exact bytes of the log's entries, from the first.
    heads : sequence of SignedHead
        In order of size; each must lie within the entries.
    """

    name: str
    entries: Iterable[bytes]
    heads: Sequence[SignedHead]


def log_source(store: LogReader, size: int | None = None) -> LogSource:
    """Take the first entries of a store as a source.

    Parameters
    ----------
    store : LogReader
        May go on growing meanwhile.
    size : int, optional
        How many entries; as many as there are now, if not given.

    Returns
    -------
    LogSource
    """
    size = store.head()[0] if size is None else size
    return LogSource(
        store.file, islice(store.raw_entries(), size), tuple(store.signed_heads(up_to=size))
    )


def write_log(source: LogSource, file: Path) -> Head:
    """Make a new store file from a log; durable and checked when this returns.

    Parameters
    ----------
    source : LogSource
    file : pathlib.Path
        Must not exist.

    Returns
    -------
    Head
        Of the whole log.

    Raises
    ------
    BadFile
        When the entries are no log, or do not fit a signed head; no file is left.
    StoreFull
        When there is no room.
    """
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    try:
        file.touch(mode=0o600, exist_ok=False)
        connection = connect(file, write=True, busy_seconds=5.0)
        try:
            with connection.begin():
                upgrade(connection)
                head = fill(connection, source)
        finally:
            connection.close()
        sync_folder(file.parent)
    except BaseException as error:
        if not isinstance(error, FileExistsError):
            remove_store_file(file)
        if isinstance(error, DATABASE_ERRORS):
            raise in_words(error, str(file)) from error
        if isinstance(error, OSError):
            raise StoreFull(
                words(
                    "{file} could not be written: {problem}",
                    file=str(file),
                    problem=str(error.strerror),
                )
            ) from error
        raise
    return head


def remove_store_file(file: Path) -> None:
    """Remove a store file and what SQLite left beside it.

    Parameters
    ----------
    file : pathlib.Path
    """
    for ending in ENDINGS:
        (file.parent / (file.name + ending)).unlink(missing_ok=True)


def fill(connection: Connection, source: LogSource) -> Head:
    """Write all entries and heads inside the transaction that is open, into empty tables.

    Parameters
    ----------
    connection : Connection
    source : LogSource

    Returns
    -------
    Head
        Of the whole log.

    Raises
    ------
    BadFile
        When the entries are no log, or do not fit a signed head.
    """
    entries = iter(source.entries)
    first = next(entries, None)
    opened = _opening(source, first)
    frontier, changes = Frontier(), list[Entry]()
    waiting = list(reversed(source.heads))
    for page in _pages(entries, first):
        read = [_read(source, data, place) for place, data in enumerate(page, frontier.size)]
        rows = [_row(entry) for entry in read]
        try:
            connection.execute(insert(LOG), rows)
        except IntegrityError as error:
            raise _bad(
                source, words("an entry, or the place of one in its job, stands in it twice")
            ) from error
        changes += [entry for entry in read if entry.kind == KEY_CHANGED]
        start, leaves, done = frontier.size, [row["leaf_hash"] for row in rows], 0
        while waiting and _size_of(source, waiting[-1]) <= start + len(page):
            signed = waiting.pop()
            size = _size_of(source, signed)
            frontier = frontier.extend(leaves[done : size - start])
            done = size - start
            _keep_head(connection, source, signed, str(opened["origin"]), frontier)
        frontier = frontier.extend(leaves[done:])
    if waiting:
        raise _bad(source, words("entries at the end of the log are missing"))
    _check_signatures(source, opened, changes)
    return Head(str(opened["origin"]), frontier.size, frontier.root)


def _check_signatures(source: LogSource, opened: Any, changes: Sequence[Entry]) -> None:
    chain = follow(public_key_from(str(opened["public_key"])), str(opened["origin"]), changes)
    if isinstance(chain, Words):
        raise _bad(source, chain)
    for signed in source.heads:
        checkpoint = read_checkpoint(signed.note, source.name)
        if not checkpoint.signed_by(chain.key_for(checkpoint.head.size)):
            raise _bad(source, words("a signed head does not bear the signature of the log's key"))


def _opening(source: LogSource, first: bytes | None) -> Any:
    """Return the body of the log's first entry."""
    if first is None:
        raise _bad(source, words("it holds no entries"))
    try:
        entry = read_entry(first, 0)
    except ClampwrightError as error:
        raise _bad(source, error.message) from error
    if entry.kind != LOG_OPENED or not {"origin", "public_key", "workshop"} <= entry.body.keys():
        raise _bad(source, words("its first entry does not open a log"))
    return entry.body


def _pages(entries: Iterator[bytes], first: bytes | None) -> Iterator[list[bytes]]:
    page = [] if first is None else [first]
    while page := [*page, *islice(entries, AT_ONCE - len(page))]:
        yield page
        page = []


def _read(source: LogSource, data: bytes, place: int) -> Entry:
    try:
        return read_entry(data, place)
    except ClampwrightError as error:
        raise _bad(source, error.message) from error


def _row(entry: Entry) -> dict[str, Any]:
    """Make a row from an entry's bytes, and from nothing else."""
    return {
        "idx": entry.index,
        "id": entry.id,
        "job": entry.job,
        "job_seq": entry.job_seq,
        "kind": entry.kind,
        "leaf_hash": entry.leaf_hash,
        "bytes": entry.data,
        "recorded": entry.recorded,
    }


def _size_of(source: LogSource, signed: SignedHead) -> int:
    return read_checkpoint(signed.note, source.name).head.size


def _keep_head(
    connection: Connection, source: LogSource, signed: SignedHead, origin: str, frontier: Frontier
) -> None:
    wanted = Head(origin, frontier.size, frontier.root)
    if read_checkpoint(signed.note, source.name).head != wanted:
        raise _bad(
            source,
            words("the log does not fit the head signed over {size} entries", size=wanted.size),
        )
    connection.execute(
        insert(CHECKPOINTS).values(
            size=wanted.size,
            root=wanted.root,
            note=signed.note,
            made=signed.made,
            peaks=b"".join(frontier.peaks),
        )
    )


def _bad(source: LogSource, problem: Words) -> BadFile:
    return BadFile(
        words("{file}: {problem}", file=source.name, problem=str(problem)),
        file=source.name,
        expected="a log as it was written",
    )


@contextmanager
def reader_of(place: LogPlace) -> Iterator[LogReader]:
    """Open a store by itself, wherever it lies, for reading.

    Parameters
    ----------
    place : pathlib.Path or Database

    Yields
    ------
    LogReader
    """
    from clampwright.store.reading import LogReader  # noqa: PLC0415 - it names SignedHead from here

    try:
        connection = connect(place, write=False, busy_seconds=5.0)
    except DATABASE_ERRORS as error:
        raise in_words(error, str(place)) from error
    try:
        try:
            check_version(connection, place)
        except DATABASE_ERRORS as error:
            raise in_words(error, str(place)) from error
        yield LogReader(Transactions(connection, None, str(place)))
    finally:
        connection.close()


def rebuild(folder: Folder) -> str | None:
    """Make a workshop's store anew from its entries, and put it in the place of the old one.

    Parameters
    ----------
    folder : Folder
        Nobody may be writing.

    Returns
    -------
    str or None
        Name of the first table that was not as its entries say; None when nothing differed.

    Raises
    ------
    BadFile
        When the entries do not fit their signed heads; nothing was changed.
    StoreBusy
        When another program writes.
    """
    place = folder.log
    if isinstance(place, Database):
        from clampwright.store.server_log import rebuild_on_server  # noqa: PLC0415 - an extra

        return rebuild_on_server(folder, place)
    lock = WriterLock(folder.lock)
    try:
        new = folder.path / (folder.store.name + ".rebuilt")
        remove_store_file(new)
        with reader_of(folder.store) as old:
            write_log(log_source(old), new)
            keep_people(old, new)
            with reader_of(new) as made:
                differs = tables_differ(old, made)
        new.replace(folder.store)
        sync_folder(folder.path)
    finally:
        lock.release()
    return differs


def keep_people(old: LogReader, file: Path) -> None:
    """Take the people of a store over into a store file made anew from its log.

    Parameters
    ----------
    old : LogReader
    file : pathlib.Path
        The new store file.
    """
    connection = connect(file, write=True, busy_seconds=5.0)
    try:
        with connection.begin():
            old.people.copy_to(connection)
    finally:
        connection.close()


def tables_differ(one: LogReader, other: LogReader) -> str | None:
    """Compare two stores row by row, all tables.

    Parameters
    ----------
    one, other : LogReader

    Returns
    -------
    str or None
        Name of the first table that differs.
    """
    for table in (LOG, CHECKPOINTS):
        made_later = {CHECKPOINTS.c.peaks.name}  # not there in stores of the first version
        columns = [column for column in table.c if column.name not in made_later]
        rows = (store.table_rows(table, *columns) for store in (one, other))
        if any(left != right for left, right in zip_longest(*rows)):
            return table.name
    return None
