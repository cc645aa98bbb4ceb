"""Connections to a store, set so that what was acknowledged survives.

SQLite here, PostgreSQL in `clampwright.store.server`, and nowhere else: the rest speaks SQLAlchemy.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.pool import NullPool

from clampwright.errors import Refused, StoreFailed
from clampwright.store.where import Database, LogPlace
from clampwright.words import Words, words

OLDEST = (3, 37, 0)
"""First SQLite with STRICT tables (https://www.sqlite.org/stricttables.html)."""


@dataclass(frozen=True, slots=True)
class Journal:
    """How a commit is made durable.

    Parameters
    ----------
    mode : str
        PRAGMA journal_mode.
    synchronous : str
        PRAGMA synchronous.
    synchronous_number : int
        The same as SQLite reads it back.
    """

    mode: str
    synchronous: str
    synchronous_number: int


WAL = Journal("wal", "FULL", 2)
ROLLBACK = Journal("delete", "EXTRA", 3)


def journal_for(version: tuple[int, ...]) -> Journal:
    """Choose the journal by the version of SQLite.

    Before 3.51.3 (and 3.50.7 and 3.44.6, where the repair was taken back) two connections that
    checkpoint a write-ahead log at once can lose committed pages; there the rollback journal is
    used, with the directory synchronised too.

    Parameters
    ----------
    version : tuple of int

    Returns
    -------
    Journal

    Examples
    --------
    >>> journal_for((3, 51, 3)).mode, journal_for((3, 51, 2)).mode
    ('wal', 'delete')
    """
    repaired = (
        version >= (3, 51, 3)
        or (version[:2] == (3, 50) and version >= (3, 50, 7))
        or (version[:2] == (3, 44) and version >= (3, 44, 6))
    )
    return WAL if repaired else ROLLBACK


def connect(place: LogPlace, *, write: bool, busy_seconds: float) -> Connection:
    """Open the one connection of a store; a file must exist.

    A transaction reads, or, with ``writing`` in the connection's ``info``, takes the right to
    write at its beginning.

    Parameters
    ----------
    place : pathlib.Path or Database
    write : bool
        Otherwise the connection refuses to change anything.
    busy_seconds : float
        How long to wait for another program's lock.

    Returns
    -------
    Connection

    Raises
    ------
    Refused
        When SQLite is too old, or the driver for PostgreSQL is not installed.
    """
    if isinstance(place, Database):
        # An extra: loaded only where a log lies on a server.
        from clampwright.store.server import connect_server  # noqa: PLC0415 - as above

        share: Literal["read", "write"] = "write" if write else "read"
        return connect_server(place, share=share, busy_seconds=busy_seconds)
    if sqlite3.sqlite_version_info < OLDEST:
        raise Refused(
            words(
                "this Python brings SQLite {found}; the store needs {wanted} or later",
                found=sqlite3.sqlite_version,
                wanted=".".join(str(part) for part in OLDEST),
            )
        )
    return _engine(place.absolute(), write=write, busy_seconds=busy_seconds).connect()


@lru_cache(maxsize=64)
def _engine(file: Path, *, write: bool, busy_seconds: float) -> Engine:
    """Return what makes connections; kept, because it has the statements compiled."""

    def open_file() -> sqlite3.Connection:
        # mode=rw never makes a file. A reader needs it too: after a crash the first to open the
        # store, be it a reader, rolls back what was half done.
        return sqlite3.connect(
            f"{file.as_uri()}?mode=rw",
            uri=True,
            timeout=busy_seconds,
            isolation_level=None,  # transactions are begun below, and only there
            check_same_thread=False,  # the store has its own lock
        )

    engine = create_engine("sqlite://", creator=open_file, poolclass=NullPool)

    @event.listens_for(engine, "connect")
    def prepare(connection: Any, _record: object) -> None:
        _prepare(connection, write=write)

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writing = connection.info.get("writing", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")

    return engine


def _prepare(connection: sqlite3.Connection, *, write: bool) -> None:
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA recursive_triggers = ON")
    if not write:
        connection.execute("PRAGMA query_only = ON")
        return
    connection.execute("PRAGMA secure_delete = ON")  # an erased name is gone from the file too
    journal = journal_for(sqlite3.sqlite_version_info)
    connection.execute(f"PRAGMA synchronous = {journal.synchronous}")
    (mode,) = connection.execute(f"PRAGMA journal_mode = {journal.mode}").fetchone()
    (synchronous,) = connection.execute("PRAGMA synchronous").fetchone()
    # Better to be turned away now than at the first pull. On a protected file BEGIN IMMEDIATE
    # succeeds, so something must be written to know; it is taken back.
    connection.execute("BEGIN IMMEDIATE")
    connection.execute("PRAGMA user_version = 1")
    connection.execute("ROLLBACK")
    if (mode, synchronous) != (journal.mode, journal.synchronous_number):
        raise StoreFailed(
            words(
                "SQLite would not keep a safe journal (wanted {wanted}, got {mode}); "
                "is the folder on a network drive?",
                wanted=journal.mode,
                mode=str(mode),
            )
        )


def problem_of_pages(connection: Connection) -> Words | None:
    """Let the database check its own file, indexes and constraints.

    PostgreSQL has no such question: there the server's own page checksums tell when a page is read.

    Parameters
    ----------
    connection : Connection

    Returns
    -------
    Words or None
    """
    if connection.dialect.name != "sqlite":
        return None
    answer = connection.exec_driver_sql("PRAGMA integrity_check(1)").scalar_one()
    if answer == "ok":
        return None
    return words("the file is damaged ({problem})", problem=str(answer).replace("\n", " "))
