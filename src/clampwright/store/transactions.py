"""Reading and writing transactions on a store's one connection, and what stops it.

A SQLite file has one writing program, held by a lock of the operating system. On a PostgreSQL
server several may write: each takes the right for one transaction, and first takes in what others
added.
"""

from __future__ import annotations

import threading
from collections.abc import Generator, Iterator, Sequence
from contextlib import closing, contextmanager
from typing import Any

from sqlalchemy import Connection, NestedTransaction, RootTransaction

from clampwright.errors import ClampwrightError, Refused, StoreFailed
from clampwright.store import failures
from clampwright.store.lock import WriterLock
from clampwright.store.schema import ERASABLE
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
    shared : bool
        It may write, and so may other programs at the same time.
    """

    def __init__(
        self,
        connection: Connection,
        lock: WriterLock | None,
        file: str,
        *,
        shared: bool = False,
    ) -> None:
        self.mutex = threading.RLock()
        self.file = file
        self._connection = connection
        self._lock = lock
        self._shared = shared
        self._stopped = False
        self._closed = False
        self._together: RootTransaction | None = None
        self._lost: ClampwrightError | None = None

    @property
    def writes(self) -> bool:
        """Whether the store is open for writing."""
        return self._lock is not None or self._shared

    @property
    def alone(self) -> bool:
        """Whether nobody else can add to the log meanwhile."""
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
        with self.mutex:
            if self._together is not None:
                with self._looking_between() as connection:
                    yield connection
                return
            if self._connection.in_transaction():
                # Inside one that is open what it wrote itself is seen, and its end is not here.
                yield self._connection
                return
        with self._transaction(writing=False) as connection:
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
        with self.mutex:
            if self._together is not None:
                with self._part() as connection:
                    yield connection
                return
            self._refuse_unless_able()
            with self._transaction(writing=True) as connection:
                yield connection

    def _refuse_unless_able(self) -> None:
        if not self.writes:
            raise Refused(words("{file} is open for reading only", file=self.file))
        if self._stopped:
            raise StoreFailed(
                words(
                    "{file} failed before and takes nothing more; close it and open it again",
                    file=self.file,
                )
            )

    def _refuse_if_closed(self) -> None:
        if self._closed:
            raise Refused(words("{file} was closed", file=self.file))

    @contextmanager
    def together(self) -> Iterator[None]:
        """Let one COMMIT make durable what is written inside; when this ends, it has returned.

        Each `writing` inside is a savepoint: what is refused there leaves the others as they are.
        Where the database itself fails, nothing of it all is stored. Threads may write inside one
        after the other, and another than the one that began may end it.

        Raises
        ------
        Refused, StoreBusy, StoreFull, StoreFailed
            As `writing`, for all that was written inside.
        """
        with self.mutex:
            self._refuse_unless_able()
            self._refuse_if_closed()
            self._connection.info["writing"] = True
            try:
                self._together = begun = self._connection.begin()
            except failures.DATABASE_ERRORS as error:
                self._undo(error)
                raise failures.in_words(error, self.file) from error
        whole = False
        try:
            yield
            whole = True
        finally:
            with self.mutex:
                self._end_together(begun, keep=whole)

    def _end_together(self, begun: RootTransaction, *, keep: bool) -> None:
        lost, self._together, self._lost = self._lost, None, None
        try:
            with begun:
                if not keep or lost is not None:
                    begun.rollback()
        except failures.DATABASE_ERRORS as error:
            self._undo(error)
            if lost is None:
                raise failures.in_words(error, self.file, committing=keep) from error
        if keep and lost is not None:
            raise lost

    @contextmanager
    def _part(self) -> Iterator[Connection]:
        """Hold a savepoint of what is written together."""
        with self._looking_between() as connection:
            part = connection.begin_nested()
        told: ClampwrightError | None = None
        whole = False
        try:
            yield connection
            with self._looking_between():
                part.commit()
            whole = True
        except failures.DATABASE_ERRORS as error:
            told = failures.in_words(error, self.file)
            if failures.is_fatal(error):
                self._stopped, self._lost = True, told
            raise told from error
        finally:
            if not whole:
                self._take_back(part, told)

    def _take_back(self, part: NestedTransaction, told: ClampwrightError | None) -> None:
        """Undo one part; where the database cannot, or has undone more by itself, all is lost."""
        try:
            part.rollback()
        except failures.DATABASE_ERRORS as error:
            self._lost = self._lost or told or failures.in_words(error, self.file)

    @contextmanager
    def _looking_between(self) -> Iterator[Connection]:
        """Use the connection while parts are written together; if that fails, all of it is lost."""
        if self._lost is not None:
            raise self._lost
        try:
            yield self._connection
        except failures.DATABASE_ERRORS as error:
            self._stopped = self._stopped or failures.is_fatal(error)
            self._lost = failures.in_words(error, self.file)
            raise self._lost from error

    def forget_old_pages(self) -> None:
        """Leave nothing of what was erased in the file or beside it.

        SQLite overwrites erased rows with zeros (``PRAGMA secure_delete``); a write-ahead log would
        still hold the old pages, so it is emptied into the file. PostgreSQL writes the tables anew.
        """
        with self.mutex:
            if self.dialect == "sqlite":
                raw: Any = self._connection.connection.dbapi_connection
                raw.execute("PRAGMA wal_checkpoint(TRUNCATE)")
                return
            from clampwright.store.server import (  # noqa: PLC0415 - an extra
                forget_old_rows,
            )

            forget_old_rows(self._connection, ERASABLE)

    @contextmanager
    def _transaction(self, *, writing: bool) -> Iterator[Connection]:
        with self.mutex:
            self._refuse_if_closed()
            self._connection.info["writing"] = writing
            ending = False
            try:
                with self._connection.begin():
                    yield self._connection
                    ending = True
            except failures.DATABASE_ERRORS as error:
                self._undo(error)
                raise failures.in_words(error, self.file, committing=ending and writing) from error

    def _undo(self, error: Exception) -> None:
        """End what a failed statement, or a failed COMMIT, left open."""
        if failures.is_fatal(error):
            self._stopped = True
        if self._connection.invalidated:  # nothing is left to be undone
            return
        try:
            self._connection.connection.rollback()
        except failures.driver_errors():
            self._stopped = True
