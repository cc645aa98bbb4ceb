"""The store: a workshop's log on disk, and the only way to it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from sqlalchemy import Connection, insert, select

from clampwright.errors import Refused
from clampwright.proof.checkpoint import Head
from clampwright.proof.keychain import KEY_CHANGED, Reason, compose_change
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import Frontier
from clampwright.store import failures
from clampwright.store.engine import connect
from clampwright.store.folder import Folder, bring_up_to_date, folder_at, make_store
from clampwright.store.keyfile import check_own, own_key, replace_key, sync_folder
from clampwright.store.lock import WriterLock
from clampwright.store.reading import LogReader
from clampwright.store.records import write_record
from clampwright.store.schema import CHECKPOINTS
from clampwright.store.transactions import Transactions
from clampwright.store.version import check_version
from clampwright.store.where import Database, place_of
from clampwright.store.writing import NewEntry, Receipt, put, refuse_if_added, timestamp
from clampwright.words import words

BUSY_SECONDS = 5.0
"""How long a program that locks the log is waited for, where nothing else is said, s."""


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
        self._own_places: set[int] = set()
        self._sharing = False
        self._nobody_else_since: int | None = None

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
        busy_seconds: float = BUSY_SECONDS,
        keep: bool = False,
    ) -> Self:
        """Open a workshop's store.

        Parameters
        ----------
        path : str or pathlib.Path
            The workshop's folder.
        create : bool
            Make a new store, with a new key, if there is none.
        write : bool
            Open it for writing. Of a log in the folder only one program at a time may; of one in a
            database several, which take turns.
        workshop : str, optional
            Name for a new workshop; the folder's if not given.
        pass_phrase : str, optional
            Locks the key of a new workshop, and opens that of an old one.
        clock : callable
            Says what time it is.
        busy_seconds : float
            How long to wait for a program that locks the file, s.
        keep : bool
            When it is closed, keep the connection to a database for the next opening: it holds no
            lock meanwhile. For a program that opens its log again and again; see `let_go`.

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
        place = folder.log
        name, recorded = workshop or folder.path.resolve().name, timestamp(clock())
        lock = None
        connection = None
        try:
            if isinstance(place, Database):
                from clampwright.store.server_log import (  # noqa: PLC0415 - only where a log lies on a server: most have none, and no driver for it
                    NewLog,
                    open_log,
                )

                new = NewLog(folder, name, pass_phrase, recorded) if create and write else None
                connection = open_log(place, new, write=write, busy_seconds=busy_seconds, keep=keep)
            else:
                lock = WriterLock(folder.lock) if write else None
                if not place.is_file():
                    make_store(folder, name, pass_phrase, recorded)
                elif write:
                    bring_up_to_date(folder, busy_seconds=busy_seconds)
                connection = connect(place, write=write, busy_seconds=busy_seconds)
            check_version(connection, place)
            shared = write and isinstance(place, Database)
            transactions = Transactions(connection, lock, str(place), shared=shared)
            return cls(folder, transactions, clock, pass_phrase)
        except BaseException as error:
            if connection is not None:
                connection.close()
            if lock is not None:
                lock.release()
            if isinstance(error, failures.DATABASE_ERRORS):
                raise failures.in_words(error, str(place)) from error
            raise

    @staticmethod
    def let_go(path: str | Path) -> None:
        """Close the connections that were kept by `open` with ``keep``.

        Parameters
        ----------
        path : str or pathlib.Path
            The workshop's folder.
        """
        place = place_of(Path(path))
        if isinstance(place, Database):
            from clampwright.store.server import let_go  # noqa: PLC0415 - only where a log lies on a server: most have none, and no driver for it

            let_go(place, busy_seconds=BUSY_SECONDS)

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
        seen: int | None = None,
    ) -> Receipt:
        """Put one entry on the log; durable when this returns (or when `together` ends).

        Parameters
        ----------
        kind, body, entry_id, job, device_time, device_id, seen
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
            When the file is locked or there is no room, or another program has added to the job
            since it was looked at; nothing was stored.
        StoreFailed
            When the disk failed; the store takes nothing more until it is opened again.
        """
        more: dict[str, Any] = {"entry_id": entry_id, "device_id": device_id}
        given = {name: value for name, value in more.items() if value is not None}
        (receipt,) = self.append_many(
            [NewEntry(kind, body, job=job, device_time=device_time, seen=seen, **given)]
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
        own = set(self._own_places)
        with self._transactions.mutex:
            with self._transactions.writing() as connection:
                frontier = self._where_it_ends(connection)
                recorded = timestamp(self._clock())
                for new in entries:
                    receipt, frontier = put(connection, new, frontier, recorded, self.actor)
                    if not self._transactions.alone:
                        if not self._knew_all(new):
                            refuse_if_added(connection, new, receipt, own)
                        own.add(receipt.index)
                    receipts.append(receipt)
            self._frontier, self._own_places = frontier, own
            self._fresh.wrote(receipts)
        return receipts

    def _where_it_ends(self, connection: Connection) -> Frontier:
        """Return the frontier of the log; while entries share a COMMIT it is looked for once."""
        if self._ends_where_known():
            return self._frontier
        frontier = self._caught_up(connection, self._frontier)
        if self._sharing:
            self._frontier, self._nobody_else_since = frontier, frontier.size
        return frontier

    def _ends_where_known(self) -> bool:
        # The lock, or the transaction that is shared, keeps all others from adding.
        return self._transactions.alone or self._nobody_else_since is not None

    def _knew_all(self, new: NewEntry) -> bool:
        """Whether its maker looked when nobody else could add to the log any more."""
        since = self._nobody_else_since
        return since is not None and new.seen is not None and new.seen >= since

    @contextmanager
    def together(self) -> Iterator[None]:
        """Let one COMMIT make durable what is appended inside: all of it, or nothing.

        A receipt given inside counts only when this has ended without an error. What is refused
        inside is not stored and leaves the others as they are. Threads may append inside, and
        another than the one that began may end it; meanwhile nothing else is to be written.

        Raises
        ------
        Refused, StoreBusy, StoreFull, StoreFailed
            As `append`, for all that was appended inside.
        """
        before = self._frontier, self._own_places
        whole = False
        try:
            with self._transactions.together():
                self._sharing = True
                yield
            whole = True
        finally:
            self._sharing, self._nobody_else_since = False, None
            if not whole:
                self._frontier, self._own_places = before
                self._fresh.forget()

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
            kept = self._kept_head(self.head()[0])
            if kept is not None:
                return kept
            key = key or self.signing_key()
            with self._transactions.writing() as connection:
                # Another program may have added to the log, or signed this head, meanwhile.
                frontier = self._caught_up(connection, self._frontier)
                note = self._kept_head(frontier.size)
                if note is None:
                    head = Head(self.origin, frontier.size, frontier.root)
                    note = head.sign(self._own(key))
                    connection.execute(
                        insert(CHECKPOINTS).values(
                            size=head.size,
                            root=head.root,
                            note=note,
                            made=timestamp(self._clock()),
                            peaks=b"".join(frontier.peaks),
                        )
                    )
            self._frontier = frontier
        return note

    def _kept_head(self, size: int) -> str | None:
        """Return the head kept over so many entries."""
        query = select(CHECKPOINTS.c.note).where(CHECKPOINTS.c.size == size)
        rows = self._transactions.rows(query)
        return str(rows[0].note) if rows else None

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
            # The new key is on the disk before the log names it; if the program ends in between,
            # the old key still fits, and if it ends right after, `own_key` finds the new one.
            with self._transactions.writing() as connection:
                frontier = self._caught_up(connection, self._frontier)
                before = Head(self.origin, frontier.size, frontier.root)
                owner = self.public_key if old is None else self._own(old)
                body = compose_change(before, owner, new, reason)
                change = NewEntry(KEY_CHANGED, body)
                recorded = timestamp(self._clock())
                _, frontier = put(connection, change, frontier, recorded, self.actor)
                replace_key(self.folder.next_key, new, pass_phrase)
            self._frontier = frontier
            self.folder.next_key.replace(self.folder.key)
            sync_folder(self.folder.path)
            self._pass_phrase = pass_phrase
            # Signed with the key as it lies there now: this shows that it can be opened again.
            return self.sign_checkpoint()

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
