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
from clampwright.proof.keychain import KEY_CHANGED, Reason, compose_change
from clampwright.proof.keys import SigningKey
from clampwright.store import failures
from clampwright.store.engine import connect
from clampwright.store.folder import (
    Folder,
    bring_up_to_date,
    check_version,
    folder_at,
    make_store,
)
from clampwright.store.keyfile import check_own, own_key, replace_key, sync_folder
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
    pass_phrase : str, optional
        Opens the key when something is signed.
    """

    def __init__(
        self,
        folder: Folder,
        transactions: Transactions,
        clock: Callable[[], datetime],
        pass_phrase: str | None = None,
    ) -> None:
        super().__init__(transactions)
        self.folder = folder
        self._clock = clock
        self._pass_phrase = pass_phrase

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
            Locks the key of a new workshop, and opens that of an old one.
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
            elif write:
                bring_up_to_date(folder)
            connection = connect(folder.store, write=write, busy_seconds=busy_seconds)
            check_version(connection, folder.store)
            return cls(
                folder, Transactions(connection, lock, str(folder.store)), clock, pass_phrase
            )
        except BaseException as error:
            if connection is not None:
                connection.close()
            if lock is not None:
                lock.release()
            if isinstance(error, failures.DATABASE_ERRORS):
                raise failures.in_words(error, str(folder.store)) from error
            raise

    def now(self) -> datetime:
        """Say what time it is, by the store's clock."""
        return self._clock()

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
                    receipt, frontier = put(connection, new, frontier, recorded, self.actor)
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
                        size=size,
                        root=root,
                        note=note,
                        made=timestamp(self._clock()),
                        peaks=b"".join(self._frontier.peaks),
                    )
                )
        return note

    def signing_key(self, pass_phrase: str | None = None) -> SigningKey:
        """Read the workshop's key from its file.

        Parameters
        ----------
        pass_phrase : str, optional
            The one given when the store was opened, if not given here.

        Returns
        -------
        SigningKey

        Raises
        ------
        Missing
            When the file is gone, or a pass phrase is needed.
        Refused
            When it is not the key the log is signed with now, others can read it, or the pass
            phrase is wrong.
        """
        return own_key(
            self.folder, self.public_key, self.workshop, pass_phrase or self._pass_phrase
        )

    def change_key(
        self, new: SigningKey, reason: Reason, *, old: SigningKey | None, pass_phrase: str | None
    ) -> str:
        """Change the workshop's key; the new one's file takes the place of the old one's.

        Parameters
        ----------
        new : SigningKey
        reason : str
            ``planned``, ``lost`` or ``stolen``.
        old : SigningKey or None
            None when it is lost.
        pass_phrase : str or None
            Locks the new key.

        Returns
        -------
        str
            A checkpoint over the change, signed with the new key.

        Raises
        ------
        Refused
            When the old key is not the log's, or a planned change lacks it; nothing was changed.
        """
        with self._transactions.mutex:
            if old is not None:
                old = self._own(old)
            before = Head(self.origin, *self.head())
            body = compose_change(before, old or self.public_key, new, reason)
            # The new key is on the disk before the log names it; if the program ends in between,
            # the old key still fits, and if it ends right after, `own_key` finds the new one.
            replace_key(self.folder.next_key, new, pass_phrase)
            self.append(KEY_CHANGED, body)
            self.folder.next_key.replace(self.folder.key)
            sync_folder(self.folder.path)
            self._pass_phrase = pass_phrase
            return self.sign_checkpoint(new)

    def _own(self, key: SigningKey) -> SigningKey:
        return check_own(key, self.public_key, self.workshop)

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
