"""The store: a workshop's log on disk, and the only way to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlalchemy import insert, select

from clampwright.errors import Refused
from clampwright.proof.checkpoint import Head
from clampwright.proof.keys import SigningKey
from clampwright.store import failures
from clampwright.store.engine import connect
from clampwright.store.folder import Folder, check_version, folder_at, make_store
from clampwright.store.keyfile import read_key
from clampwright.store.lock import WriterLock
from clampwright.store.reading import LogReader
from clampwright.store.records import write_record
from clampwright.store.schema import CHECKPOINTS
from clampwright.store.transactions import Transactions
from clampwright.store.writing import NewEntry, Receipt, put, timestamp
from clampwright.words import words


def _now() -> datetime:
    return datetime.now(UTC)


class Store(LogReader):
    """A workshop's log. Made with `Store.open`; a context manager.

    What `append` has returned a receipt for is on the disk: it survives the end of the program, and
    a power cut if the disk keeps its promises.

    Parameters
    ----------
    folder : Folder
    transactions : Transactions
    clock : callable
        Says what time it is.
    """

    def __init__(
        self, folder: Folder, transactions: Transactions, clock: Callable[[], datetime]
    ) -> None:
        super().__init__(transactions)
        self.folder = folder
        self._clock = clock

    @classmethod
    def open(
        cls,
        path: str | Path,
        *,
        create: bool = False,
        write: bool = True,
        workshop: str | None = None,
        pass_phrase: str | None = None,
        clock: Callable[[], datetime] = _now,
        busy_seconds: float = 5.0,
    ) -> Self:
        """Open a workshop's store.

        Parameters
        ----------
        path : str or pathlib.Path
            The workshop's folder.
        create : bool
            Make a new store, with a new key, if there is none.
        write : bool
            Take the right to write; only one program at a time may.
        workshop : str, optional
            Name for a new workshop; the folder's if not given.
        pass_phrase : str, optional
            Locks the key of a new workshop.
        clock : callable
            Says what time it is.
        busy_seconds : float
            How long to wait for a program that locks the file, s.

        Returns
        -------
        Store

        Raises
        ------
        StoreBusy
            When another program writes; says which.
        BadFile
            When it is no store, damaged, write-protected, or of a newer version.
        Refused
            When a store cannot be made here.
        StoreFull
            When there is no room.
        """
        if isinstance(path, str) and "://" in path:
            raise Refused(words("{url}: only a folder can be opened", url=path.partition(":")[0]))
        folder = folder_at(Path(path), create=create and write)
        lock = WriterLock(folder.lock) if write else None
        connection = None
        try:
            if not folder.store.is_file():
                name = workshop or folder.path.resolve().name
                make_store(folder, name, pass_phrase, timestamp(clock()))
            connection = connect(folder.store, write=write, busy_seconds=busy_seconds)
            check_version(connection, folder.store, write=write)
            return cls(folder, Transactions(connection, lock, str(folder.store)), clock)
        except BaseException as error:
            if connection is not None:
                connection.close()
            if lock is not None:
                lock.release()
            if isinstance(error, failures.DATABASE_ERRORS):
                raise failures.in_words(error, str(folder.store)) from error
            raise

    def close(self) -> None:
        """Close the store and let others write. A second call does nothing."""
        self._transactions.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    def append(
        self,
        kind: str,
        body: Mapping[str, Any],
        *,
        entry_id: str | None = None,
        job: str | None = None,
        device_time: str | datetime | None = None,
        device_id: str | None = None,
    ) -> Receipt:
        """Put one entry on the log; durable when this returns.

        Parameters
        ----------
        kind, body, entry_id, job, device_time, device_id
            See `NewEntry`.

        Returns
        -------
        Receipt
            The first one again, marked as duplicate, when the same entry is there already.

        Raises
        ------
        Refused
            When the id stands for other content, or the content cannot be taken; nothing changed.
        StoreBusy, StoreFull
            When the file is locked or there is no room; nothing was stored.
        StoreFailed
            When the disk failed; the store takes nothing more until it is opened again.
        """
        more: dict[str, Any] = {"entry_id": entry_id, "device_id": device_id}
        given = {name: value for name, value in more.items() if value is not None}
        (receipt,) = self.append_many(
            [NewEntry(kind, body, job=job, device_time=device_time, **given)]
        )
        return receipt

    def append_many(self, entries: Iterable[NewEntry]) -> list[Receipt]:
        """Put several entries on the log: all of them or none.

        Parameters
        ----------
        entries : iterable of NewEntry

        Returns
        -------
        list of Receipt

        Raises
        ------
        Refused, StoreBusy, StoreFull, StoreFailed
            As `append`.
        """
        receipts: list[Receipt] = []
        with self._transactions.mutex:
            with self._transactions.writing() as connection:
                frontier = self._caught_up(connection, self._frontier)
                recorded = timestamp(self._clock())
                for new in entries:
                    receipt, frontier = put(connection, new, frontier, recorded)
                    receipts.append(receipt)
            self._frontier = frontier
        return receipts

    def sign_checkpoint(self, key: SigningKey | None = None) -> str:
        """Sign the log's present head and keep it.

        Parameters
        ----------
        key : SigningKey, optional
            The workshop's key, from its file if not given.

        Returns
        -------
        str
            The checkpoint; the one kept before, if nothing was added since.

        Raises
        ------
        Refused
            When the key is not the one the log began with.
        """
        with self._transactions.mutex:
            size, root = self.head()
            kept = self._transactions.rows(
                select(CHECKPOINTS.c.note).where(CHECKPOINTS.c.size == size)
            )
            if kept:
                return str(kept[0].note)
            note = Head(self.origin, size, root).sign(self._own(key or self.signing_key()))
            with self._transactions.writing() as connection:
                connection.execute(
                    insert(CHECKPOINTS).values(
                        size=size, root=root, note=note, made=timestamp(self._clock())
                    )
                )
        return note

    def signing_key(self, pass_phrase: str | None = None) -> SigningKey:
        """Read the workshop's key from its file.

        Parameters
        ----------
        pass_phrase : str, optional

        Returns
        -------
        SigningKey

        Raises
        ------
        Missing
            When the file is gone, or a pass phrase is needed.
        Refused
            When it is not the key the log began with, others can read it, or the pass phrase is
            wrong.
        """
        return self._own(read_key(self.folder.key, pass_phrase))

    def _own(self, key: SigningKey) -> SigningKey:
        if key.public != self.public_key:
            raise Refused(
                words(
                    "this is not the key of {workshop}: the log began with the key {wanted}",
                    workshop=self.workshop,
                    wanted=self.public_key.fingerprint,
                )
            )
        return key

    def record(self, job: str, *, key: SigningKey | None = None, also: Sequence[str] = ()) -> bytes:
        """Close a job's record and write it; the same bytes as long as nothing is added.

        Parameters
        ----------
        job : str
        key : SigningKey, optional
            The workshop's key, from its file if not given; not needed for a record written before.
        also : sequence of str
            Ids of entries outside the job that belong to the record (its tools, for one).

        Returns
        -------
        bytes
            See `clampwright.proof.record`.
        """
        return write_record(self, job, key, also)
