"""A workshop's log in a PostgreSQL schema: how it comes to be, is brought up to date, is exchanged.

Each of these is one transaction of a connection that has the log to itself: it is there whole, or
nothing has changed.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

from sqlalchemy import Connection, text

from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.proof.checkpoint import Head
from clampwright.proof.merkle import Frontier
from clampwright.store.copying import (
    LogSource,
    fill,
    keep_people,
    log_source,
    reader_of,
    tables_differ,
    write_log,
)
from clampwright.store.failures import DATABASE_ERRORS, in_words
from clampwright.store.folder import Folder, begin_making, opening, refuse_lone_key
from clampwright.store.lock import WriterLock
from clampwright.store.people import PeopleTables
from clampwright.store.reading import LogReader
from clampwright.store.schema import MARK, METADATA
from clampwright.store.server import MARK_MOVED, connect_server, mark_of
from clampwright.store.transactions import Transactions
from clampwright.store.version import version_is_older
from clampwright.store.where import Database
from clampwright.store.writing import put
from clampwright.words import words

PATIENCE = 5.0
"""How long another program's lock is waited for, s."""

GUARDS = ("refuse_change", "grow_at_the_end")
"""Functions of the triggers; they go with the tables."""


@dataclass(frozen=True, slots=True)
class NewLog:
    """What a log is begun with where there is none.

    Parameters
    ----------
    folder : Folder
    workshop : str
    pass_phrase : str or None
        For the key.
    recorded : str
        Time of the first entry.
    """

    folder: Folder
    workshop: str
    pass_phrase: str | None
    recorded: str


def open_log(
    database: Database,
    new: NewLog | None,
    *,
    write: bool,
    busy_seconds: float,
    keep: bool = False,
) -> Connection:
    """Open a log for a store; begin it, or bring it up to date, where that is needed.

    Parameters
    ----------
    database : Database
    new : NewLog or None
        None to open only what is there.
    write : bool
    busy_seconds : float
    keep : bool
        See `clampwright.store.server.connect_server`.

    Returns
    -------
    Connection
    """
    connection = connect_server(
        database, share="write" if write else "read", busy_seconds=busy_seconds, keep=keep
    )
    with ExitStack() as unless_ready:
        unless_ready.callback(connection.close)
        if not write:
            unless_ready.pop_all()
            return connection
        with connection.begin():
            empty = mark_of(connection) is None
        # What is missing is told by whoever looks at the version.
        if new is None if empty else not version_is_older(connection, database):
            unless_ready.pop_all()
            return connection
    if empty and new is not None:
        _make(database, new)
    else:
        _bring_up_to_date(database)
    return connect_server(database, share="write", busy_seconds=busy_seconds, keep=keep)


@contextmanager
def held(database: Database) -> Iterator[Connection]:
    """Have a log to oneself: nobody else can open it for writing meanwhile.

    Parameters
    ----------
    database : Database

    Yields
    ------
    Connection
        No transaction open.

    Raises
    ------
    StoreBusy
        When another program has it open for writing.
    """
    try:
        connection = connect_server(database, share="alone", busy_seconds=PATIENCE)
    except DATABASE_ERRORS as error:
        raise in_words(error, str(database)) from error
    try:
        yield connection
    finally:
        connection.close()


@contextmanager
def one_transaction(connection: Connection, database: Database) -> Iterator[None]:
    """Do something with a log that is held: all of it, or nothing.

    Parameters
    ----------
    connection : Connection
        Of `held`.
    database : Database
        For messages.

    Yields
    ------
    None
    """
    committing = False
    try:
        with connection.begin():
            yield
            committing = True
    except DATABASE_ERRORS as error:
        raise in_words(error, str(database), committing=committing) from error


@contextmanager
def alone(database: Database) -> Iterator[Connection]:
    """Have a log to oneself for one transaction.

    Parameters
    ----------
    database : Database

    Yields
    ------
    Connection
        With the transaction open.

    Raises
    ------
    StoreBusy
        When another program has it open for writing.
    """
    with held(database) as connection, one_transaction(connection, database):
        yield connection


def holds_log(database: Database) -> bool:
    """Say whether a schema holds a log that goes on.

    Parameters
    ----------
    database : Database

    Returns
    -------
    bool
    """
    return _mark(database) == MARK


def holds_something(database: Database) -> bool:
    """Say whether a schema holds a log, or what has taken the place of one.

    Parameters
    ----------
    database : Database

    Returns
    -------
    bool
    """
    return _mark(database) is not None


def _mark(database: Database) -> str | None:
    try:
        connection = connect_server(database, share="read", busy_seconds=PATIENCE)
        try:
            with connection.begin():
                return mark_of(connection)
        finally:
            connection.close()
    except DATABASE_ERRORS as error:
        raise in_words(error, str(database)) from error


def _make(database: Database, new: NewLog) -> None:
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    lock = WriterLock(new.folder.lock)  # of those that share the folder one makes the key
    try:
        with alone(database) as connection:
            if mark_of(connection) is not None:
                return  # another program was first
            refuse_lone_key(new.folder)
            key = begin_making(new.folder, new.pass_phrase)
            _make_schema(connection, database)
            upgrade(connection)
            put(connection, opening(new.workshop, key), Frontier(), new.recorded)
        new.folder.unfinished.unlink()
    except OSError as error:
        raise StoreFull(
            words(
                "the store in {folder} could not be made: {problem}",
                folder=str(new.folder.path),
                problem=str(error.strerror),
            )
        ) from error
    finally:
        lock.release()


def _bring_up_to_date(database: Database) -> None:
    """Apply the missing steps and check the whole log, in one transaction."""
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    with alone(database) as connection:
        upgrade(connection)
        LogReader(Transactions(connection, None, str(database))).check()


def write_log_to(database: Database, source: LogSource, people: PeopleTables | None = None) -> Head:
    """Make a log in a schema out of another one's entries; whole and durable when this returns.

    Parameters
    ----------
    database : Database
    source : LogSource
    people : PeopleTables, optional
        Rows to take over.

    Returns
    -------
    Head

    Raises
    ------
    Refused
        When there is a log.
    BadFile
        When the entries are no log, or the schema holds something else.
    StoreBusy
        When another program has it open for writing.
    """
    with alone(database) as connection:
        if mark_of(connection) is not None:
            raise Refused(
                words("{place} holds a log already; name another schema", place=str(database))
            )
        return _filled(connection, database, source, people)


def exchange(connection: Connection, database: Database, source: LogReader) -> Head:
    """Put another log in the place of the one in a schema, with its people; all or nothing.

    Parameters
    ----------
    connection : Connection
        Of `held`.
    database : Database
    source : LogReader
        Must lie elsewhere.

    Returns
    -------
    Head
    """
    with one_transaction(connection, database):
        mark = mark_of(connection)
        if mark is not None and mark not in {MARK, MARK_MOVED}:
            raise BadFile(
                words("{place} holds something else than a log", place=str(database)),
                file=str(database),
                expected="a schema of its own",
            )
        if mark is not None:
            _clear(connection)
        return _filled(connection, database, log_source(source), source.people)


def _filled(
    connection: Connection, database: Database, source: LogSource, people: PeopleTables | None
) -> Head:
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    _make_schema(connection, database)
    upgrade(connection)
    head = fill(connection, source)
    if people is not None:
        people.copy_to(connection)
    return head


def rebuild_on_server(folder: Folder, database: Database) -> str | None:
    """Make a log's tables anew from its entries; see `clampwright.store.copying.rebuild`.

    Parameters
    ----------
    folder : Folder
        The log is written there once, in a file that is gone afterwards.
    database : Database

    Returns
    -------
    str or None
        Name of the first table that was not as its entries say.
    """
    with (
        held(database) as connection,
        TemporaryDirectory(dir=folder.path, prefix="rebuilding-") as place,
    ):
        made = Folder(Path(place)).store
        with reader_of(database) as old:
            write_log(log_source(old), made)
            keep_people(old, made)
            with reader_of(made) as new:
                differs = tables_differ(old, new)
        with reader_of(made) as new:
            exchange(connection, database, new)
    return differs


def mark_moved(connection: Connection, database: Database) -> None:
    """Mark a log as one that was moved away: no program opens it any more.

    Parameters
    ----------
    connection : Connection
        Of `held`.
    database : Database
    """
    with one_transaction(connection, database):
        connection.exec_driver_sql(f"COMMENT ON TABLE log IS '{MARK_MOVED}'")


def _make_schema(connection: Connection, database: Database) -> None:
    """Make the schema, unless somebody with more rights has made it for this role."""
    there = connection.execute(
        text("SELECT to_regnamespace(:name) IS NOT NULL"), {"name": database.schema}
    ).scalar_one()
    if not there:
        connection.exec_driver_sql(f"CREATE SCHEMA {database.schema}")


def _clear(connection: Connection) -> None:
    """Take away the tables of a log, and nothing that is not of it."""
    METADATA.drop_all(connection, checkfirst=True)
    connection.exec_driver_sql("DROP TABLE IF EXISTS alembic_version")
    for guard in GUARDS:
        connection.exec_driver_sql(f"DROP FUNCTION IF EXISTS {guard}()")
