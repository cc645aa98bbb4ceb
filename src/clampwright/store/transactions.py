"""Reading and writing transactions on a store's one connection, and what stops it."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Generator, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import Any

from sqlalchemy import Connection

from clampwright.errors import Refused, StoreFailed
from clampwright.store import failures
from clampwright.store.lock import WriterLock
from clampwright.words import words


class Transactions:
    """The only way to a store's connection: one transaction at a time, errors in words.

    Parameters
    ----------
    connection : Connection
    lock : WriterLock or None
        The right to write; None to read only.
    file : str
        Name of the store, for messages.
    """

    def __init__(self, connection: Connection, lock: WriterLock | None, file: str) -> None:
        self.mutex = threading.RLock()
        self.file = file
        self._connection = connection
        self._lock = lock
        self._stopped = False
        self._closed = False

    @property
    def writes(self) -> bool:
        """Whether the right to write is held."""
        return self._lock is not None

    @property
    def dialect(self) -> str:
        """Which database it is, as SQLAlchemy names it."""
        return self._connection.dialect.name

    def close(self) -> None:
        """Close the connection and give back the right to write. A second call does nothing."""
        with self.mutex:
            if not self._closed:
                self._closed = True
                self._connection.close()
                if self._lock is not None:
                    self._lock.release()

    def rows(self, query: Any) -> Sequence[Any]:
        """Return all rows of a query.

        Parameters
        ----------
        query : sqlalchemy.Select

        Returns
        -------
        sequence of rows
        """
        with self.reading() as connection:
            return connection.execute(query).all()

    def plain_rows(self, query: Any, batch: int) -> Generator[Sequence[Any], None, None]:
        """Yield the rows of a query as the driver gives them: plain tuples, nothing converted.

        For the few places that go over a whole log: making a row object of each entry would take as
        long as hashing it. The transaction lasts until the last batch was asked for.

        Parameters
        ----------
        query : sqlalchemy.Select
            Its values stand in the text: for integers only.
        batch : int
            Rows at once; few enough that they are still near the processor when they are used.

        Yields
        ------
        sequence of tuple
        """
        with self.reading() as connection:
            text = query.compile(connection.engine, compile_kwargs={"literal_binds": True})
            with closing(connection.connection.cursor()) as cursor:
                cursor.execute(str(text))
                while rows := cursor.fetchmany(batch):
                    yield rows

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Hold a transaction that sees one state of the store.

        Yields
        ------
        Connection
        """
        with self._transaction("BEGIN") as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Hold a transaction that may write; when it ends without an error, COMMIT has returned.

        Yields
        ------
        Connection

        Raises
        ------
        Refused
            When the store is open for reading only.
        StoreFailed
            When the disk failed before: what is on it now is not known.
        """
        if self._lock is None:
            raise Refused(words("{file} is open for reading only", file=self.file))
        if self._stopped:
            raise StoreFailed(
                words(
                    "{file} failed before and takes nothing more; close it and open it again",
                    file=self.file,
                )
            )
        with self._transaction("BEGIN IMMEDIATE") as connection:
            yield connection

    def forget_old_pages(self) -> None:
        """Leave nothing of what was erased in the file or beside it.

        Erased rows are overwritten with zeros (``PRAGMA secure_delete``); a write-ahead log would
        still hold the old pages, so it is emptied into the file.
        """
        if self.dialect == "sqlite":
            with self.mutex:
                raw: Any = self._connection.connection.dbapi_connection
                raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    @contextmanager
    def _transaction(self, begin: str) -> Iterator[Connection]:
        with self.mutex:
            if self._closed:
                raise Refused(words("{file} was closed", file=self.file))
            self._connection.info["begin"] = begin
            try:
                with self._connection.begin():
                    yield self._connection
            except failures.DATABASE_ERRORS as error:
                self._undo(error)
                raise failures.in_words(error, self.file) from error

    def _undo(self, error: Exception) -> None:
        """End what a failed statement, or a failed COMMIT, left open."""
        try:
            self._connection.connection.rollback()
        except sqlite3.Error:
            self._stopped = True
        if failures.is_fatal(error):
            self._stopped = True
