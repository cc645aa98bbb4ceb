"""Connections to a PostgreSQL server, set so that what was acknowledged survives.

Several programs may have a log open for writing at once. Each holds a shared lock as long as it is
open, and takes the exclusive right to add for one transaction at a time; whoever exchanges the
whole log (restore, rebuild, upgrade, move) holds the first lock alone. All are advisory locks of
the server: they go with the connection, however it ends.
"""

from __future__ import annotations

import math
from contextlib import ExitStack, suppress
from functools import lru_cache
from hashlib import sha256
from types import ModuleType
from typing import Any, Literal

from sqlalchemy import Connection, Engine, create_engine, event, text
from sqlalchemy.exc import OperationalError
from sqlalchemy.pool import NullPool, QueuePool

from clampwright.errors import BadFile, Refused, StoreBusy, StoreFailed
from clampwright.store.schema import MARK
from clampwright.store.where import Database
from clampwright.words import words

OLDEST = 130_000
"""First version of the server that is taken: PostgreSQL 13; tried with 15."""

GIVING_BACK_MS = 500
"""How long the right to open a log is waited for, ms. A server gives back what a program held only
a moment after that program has closed its connection or has been killed."""

KEPT = 2
"""Connections kept from one opening of a log to the next: one to write, one to look."""

Share = Literal["read", "write", "alone"]

MARK_MOVED = f"{MARK}, moved away"
"""Comment on the table once the workshop's log lies elsewhere: it is opened no more."""


def lock_key(schema: str, what: str) -> int:
    """Return the number of an advisory lock; the server keeps them apart by database.

    Parameters
    ----------
    schema, what : str

    Returns
    -------
    int
        64 bits, signed.
    """
    digest = sha256(f"clampwright/{what}/{schema}".encode()).digest()
    return int.from_bytes(digest[:8], "big", signed=True)


def connect_server(
    database: Database, *, share: Share, busy_seconds: float, keep: bool = False
) -> Connection:
    """Open a connection to a workshop's schema; the schema need not be there.

    A transaction reads one state of the store, or, with ``writing`` in the connection's ``info``,
    holds the right to add to it.

    Parameters
    ----------
    database : Database
    share : {"read", "write", "alone"}
        Whether it may add to the log as others do, or needs the log to itself.
    busy_seconds : float
        How long to wait for another program's lock, and for the server to answer.
    keep : bool
        When it is closed, give back its locks and keep it for whoever asks next; see `let_go`.

    Returns
    -------
    Connection

    Raises
    ------
    Refused
        When the driver is not installed, or the server is too old.
    BadFile
        When the server only lets read.
    StoreBusy
        When others write (``alone``), or somebody needs the log to itself.
    StoreFailed
        When the server does not keep what it acknowledges.
    """
    connection = _engine(database, busy_seconds, keep=keep).connect()
    with ExitStack() as unless_ready:
        unless_ready.callback(connection.close)
        connection.info["writing"] = False  # a kept one remembers what was done over it last
        if share != "read":
            _prepare(connection, database, alone=share == "alone")
        unless_ready.pop_all()
    return connection


def let_go(database: Database, *, busy_seconds: float) -> None:
    """Close what is kept open to a database and not in use.

    Parameters
    ----------
    database : Database
    busy_seconds : float
        As it was opened with.
    """
    _engine(database, busy_seconds, keep=True).dispose()


@lru_cache(maxsize=64)
def _engine(database: Database, busy_seconds: float, *, keep: bool) -> Engine:
    """Return what makes connections; kept, because it has learnt the server and the statements."""
    driver = _driver()
    wait = max(1, round(busy_seconds * 1000))
    settings = {
        "search_path": database.schema,
        "lock_timeout": wait,
        # A program that was stopped, or cut off, in the middle gives the right to add back.
        "idle_in_transaction_session_timeout": 60_000,
        "tcp_keepalives_idle": 30,
        "tcp_keepalives_interval": 10,
        "tcp_keepalives_count": 3,
    }

    def open_session() -> Any:
        try:
            return driver.connect(
                database.url,
                options=" ".join(f"-c {name}={value}" for name, value in settings.items()),
                client_encoding="utf8",
                connect_timeout=max(2, math.ceil(busy_seconds)),
                tcp_user_timeout=30_000,
            )
        except driver.ProgrammingError as error:  # the address cannot be read
            raise Refused(
                words(
                    "the address of the database cannot be used: {problem}",
                    problem=" ".join(str(error).split()),
                )
            ) from error

    # What is kept is asked first whether it still lives: the server may have been started again.
    pool = {"poolclass": QueuePool, "pool_size": KEPT, "max_overflow": -1, "pool_pre_ping": True}
    engine = create_engine(
        "postgresql+psycopg://",
        creator=open_session,
        use_native_hstore=False,
        **(pool if keep else {"poolclass": NullPool}),
    )

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        writing = bool(connection.info.get("writing", False))
        raw: Any = connection.connection.dbapi_connection
        if raw.closed:
            raise StoreBusy(
                words(
                    "the connection to {place} was lost; nothing was stored. Open it again",
                    place=str(database),
                )
            )
        raw.read_only = not writing
        # After the lock was waited for, the next statement must see what its last holder added.
        level = driver.IsolationLevel
        raw.isolation_level = level.READ_COMMITTED if writing else level.REPEATABLE_READ
        if writing:
            key = lock_key(database.schema, "add")
            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(%s)", (key,))

    @event.listens_for(engine, "close")
    @event.listens_for(engine, "checkin")
    def give_back(raw: Any, _record: object) -> None:
        # The server notices a little later that a connection is gone; until then whoever opens the
        # log next would be told that it is in use. What is kept holds nothing meanwhile.
        with suppress(driver.Error):
            if raw is not None and not raw.closed:
                raw.rollback()
                raw.read_only = raw.isolation_level = None
                raw.execute("SELECT pg_advisory_unlock_all()")
                raw.rollback()

    return engine


def _driver() -> ModuleType:
    try:
        import psycopg
    except ImportError as error:
        raise Refused(
            words(
                "the log lies in a PostgreSQL database, and the driver for it is not installed: "
                "pip install 'psycopg[binary]'"
            )
        ) from error
    return psycopg


_FACTS = text(
    "SELECT current_setting('server_version_num')::int AS version,"
    " pg_is_in_recovery() AS standby,"
    " current_setting('server_encoding') AS encoding,"
    " current_setting('fsync') AS fsync,"
    " current_setting('full_page_writes') AS pages,"
    " current_setting('synchronous_commit') AS synchronous"
)


def _prepare(connection: Connection, database: Database, *, alone: bool) -> None:
    """Better to be turned away now than at the first pull."""
    with connection.begin():
        facts = connection.execute(_FACTS).one()
    if facts.standby:
        raise read_only(str(database))
    if facts.version < OLDEST or facts.encoding != "UTF8":
        raise Refused(
            words(
                "{place}: the server must be PostgreSQL 13 or later, the database in UTF8; it is "
                "{version}, {encoding}",
                place=str(database),
                version=str(facts.version // 10_000),
                encoding=str(facts.encoding),
            )
        )
    if facts.fsync != "on" or facts.pages != "on":
        raise StoreFailed(
            words(
                "{place}: the server may lose what it acknowledged (fsync or full_page_writes is "
                "off); nothing is written to it",
                place=str(database),
            )
        )
    key = lock_key(database.schema, "open")
    take = "pg_advisory_lock" if alone else "pg_advisory_lock_shared"
    with connection.begin():
        if facts.synchronous in {"off", "local", "remote_write"}:
            connection.exec_driver_sql("SET synchronous_commit TO on")
    try:
        with connection.begin():
            connection.exec_driver_sql(f"SET LOCAL lock_timeout = {GIVING_BACK_MS}")
            connection.exec_driver_sql(f"SELECT {take}(%s)", (key,))
    except OperationalError as error:
        if getattr(error.orig, "sqlstate", None) == _driver().errors.LockNotAvailable.sqlstate:
            raise _busy(database, alone=alone) from None
        raise
    connection.info["writing"] = alone


def _busy(database: Database, *, alone: bool) -> StoreBusy:
    if alone:
        return StoreBusy(
            words("other programs are writing to {place}; close them first", place=str(database))
        )
    return StoreBusy(
        words("{place} is being exchanged by another program; try again", place=str(database))
    )


def read_only(place: str) -> BadFile:
    """Return the error for a server that lets nobody write.

    Parameters
    ----------
    place : str

    Returns
    -------
    BadFile
    """
    return BadFile(
        words(
            "{place} can only be read: the server is a standby, or was set so; nothing was stored",
            place=place,
        ),
        file=place,
        expected="a server that may be written to",
    )


def mark_of(connection: Connection) -> str | None:
    """Return what the schema says of itself: the comment on its log; None where there is no log.

    Parameters
    ----------
    connection : Connection
        With a transaction open.

    Returns
    -------
    str or None
        Empty where a table of that name belongs to something else.
    """
    row = connection.exec_driver_sql(
        "SELECT obj_description(c.oid, 'pg_class') FROM pg_class c WHERE c.oid = to_regclass('log')"
    ).first()
    return None if row is None else row[0] or ""


def forget_old_rows(connection: Connection, tables: tuple[str, ...]) -> None:
    """Write tables anew, so that nothing of an erased row is left in their files.

    Parameters
    ----------
    connection : Connection
        No transaction open.
    tables : tuple of str
    """
    raw: Any = connection.connection.dbapi_connection
    driver = _driver()
    try:
        raw.read_only = raw.isolation_level = None
        raw.autocommit = True  # VACUUM runs in no transaction
        try:
            for table in tables:
                raw.execute(f"VACUUM (FULL) {table}")
        finally:
            raw.autocommit = False
    except driver.Error as error:
        raise StoreFailed(
            words(
                "what was erased is gone from the tables, but their files could not be written "
                "anew ({problem}): have VACUUM FULL run on {tables}",
                problem=" ".join(str(error).split()),
                tables=", ".join(tables),
            )
        ) from error
