"""Reading a log: its head, its entries, its tree."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import Column, Connection, Table, func, select

from clampwright.errors import BadFile, ClampwrightError, Missing
from clampwright.proof.entry import LOG_OPENED, Entry, read_entry
from clampwright.proof.keychain import KEY_CHANGED, KeyChain, follow
from clampwright.proof.keys import PublicKey, public_key_from
from clampwright.proof.merkle import HASH_BYTES, Frontier, Tree
from clampwright.store import failures
from clampwright.store.checking import check_store, verify_log
from clampwright.store.copying import SignedHead
from clampwright.store.fresh import Fresh
from clampwright.store.glimpses import Glimpse, damaged, glimpses, whole
from clampwright.store.people import PeopleTables
from clampwright.store.schema import CHECKPOINTS, LOG
from clampwright.store.transactions import Transactions
from clampwright.store.writing import Actor
from clampwright.words import Words, words

HASHED_AT_OPENING = 20_000
"""A log of at most so many signed entries is hashed whole whenever it is opened (some 40 ms)."""

PAGE = 500
"""Entries read at once; between pages no lock is held, so that a slow reader stops no writer."""


class LogReader:
    """The part of a store that only looks.

    Parameters
    ----------
    transactions : Transactions

    Attributes
    ----------
    people : PeopleTables
        Who works here; apart from the log.
    actor : Actor or None
        Whose hand is at work; where nobody is named, entries say nothing of it.

    Raises
    ------
    BadFile
        When entries are missing, or do not fit the newest signed head.
    """

    def __init__(self, transactions: Transactions) -> None:
        self._transactions = transactions
        self.people = PeopleTables(transactions)
        self.actor: Actor | None = None
        self._frontier = self._taken_in()
        self._tree = Tree()
        self._fresh = Fresh()
        opened = self._first()
        if opened is None or opened.kind != LOG_OPENED:
            raise failures.not_a_store(transactions.file)
        self._opened: Mapping[str, Any] = opened.body

    @property
    def workshop(self) -> str:
        """Name of the workshop."""
        return str(self._opened["workshop"])

    @property
    def origin(self) -> str:
        """Name of the log, unlike any other's."""
        return str(self._opened["origin"])

    @property
    def public_key(self) -> PublicKey:
        """The key that signs the log's heads now."""
        return self.keys().current

    def keys(self) -> KeyChain:
        """Return the log's keys: the one it began with, and every change since.

        Returns
        -------
        KeyChain

        Raises
        ------
        BadFile
            When a change of key does not hold.
        """
        first = public_key_from(str(self._opened["public_key"]))
        chain = follow(first, self.origin, self.of_kind(KEY_CHANGED))
        if isinstance(chain, Words):
            raise BadFile(
                words("{file}: {problem}", file=self._transactions.file, problem=str(chain)),
                file=self._transactions.file,
                expected="changes of key signed by their keys",
            )
        return chain

    def of_kind(self, kind: str) -> list[Entry]:
        """Return all entries of one kind, in the order of the log.

        Parameters
        ----------
        kind : str

        Returns
        -------
        list of Entry
        """
        query = select(LOG.c.idx, LOG.c.bytes).where(LOG.c.kind == kind).order_by(LOG.c.idx)
        return [self._entry(row) for row in self._transactions.rows(query)]

    def head(self) -> tuple[int, bytes]:
        """Return the number of entries and the root hash over them.

        Returns
        -------
        int, bytes
        """
        with self._transactions.mutex:
            if not self._transactions.alone:
                with self._transactions.reading() as connection:
                    self._frontier = self._caught_up(connection, self._frontier)
            return self._frontier.size, self._frontier.root

    def entries(
        self, job: str | None = None, since: int = 0, *, kinds: Sequence[str] = ()
    ) -> Iterator[dict[str, Any]]:
        """Go through entries in the order of the log.

        Parameters
        ----------
        job : str, optional
            Those of this job only.
        since : int
            From this place in the log on.
        kinds : sequence of str
            Those of these kinds only; all if empty.

        Yields
        ------
        dict
            The entry as it was written.
        """
        for line in self.lines(job, since, kinds=kinds):
            yield line.content

    def quick_entries(self, kinds: Sequence[str]) -> Iterator[dict[str, Any]]:
        """Go through entries of some kinds for a look at very many of them.

        What was written is read without proving its canonical form again, which takes most of the
        time of `entries`; `check` proves the whole log.

        Parameters
        ----------
        kinds : sequence of str

        Yields
        ------
        dict
            The entry as it was written.
        """
        return whole(self._transactions, kinds)

    def glimpses(
        self, kinds: Sequence[str], single: Sequence[str], together: Sequence[str]
    ) -> Iterator[Glimpse]:
        """Go through a few members of very many entries; see `clampwright.store.glimpses`.

        Parameters
        ----------
        kinds : sequence of str
        single : sequence of str
            Paths of members that hold a text or a number.
        together : sequence of str
            Paths of any members, given as one JSON text.

        Yields
        ------
        sequence
            Id, kind, job, device time, each of `single`, and the text of `together`.
        """
        return glimpses(self._transactions, kinds, single, together)

    def lines(
        self, job: str | None = None, since: int = 0, *, kinds: Sequence[str] = ()
    ) -> Iterator[Entry]:
        """Go through entries with their places and exact bytes.

        Parameters
        ----------
        job, since, kinds
            As for `entries`.

        Yields
        ------
        Entry
        """
        if job is None and not kinds and self._ends_where_known():
            known = self._fresh.between(since, self._frontier.size)
            if known is not None:
                yield from known
                return
        query = select(LOG.c.idx, LOG.c.bytes).order_by(LOG.c.idx).limit(PAGE)
        if job is not None and not job.isprintable():
            return  # no entry bears such a name, and PostgreSQL cannot even be asked for one
        if job is not None:
            query = query.where(LOG.c.job == job)
        if kinds:
            query = query.where(LOG.c.kind.in_(kinds))
        while True:
            page = self._transactions.rows(query.where(LOG.c.idx >= since))
            for row in page:
                yield self._entry(row)
            if len(page) < PAGE:
                return
            since = page[-1].idx + 1

    @property
    def file(self) -> str:
        """Name of the store, for messages."""
        return self._transactions.file

    def raw_entries(self) -> Iterator[bytes]:
        """Go through the exact bytes of all entries, in the order of the log, without reading them.

        Yields
        ------
        bytes
        """
        for row in self.table_rows(LOG, LOG.c.idx, LOG.c.bytes):
            yield row.bytes

    def signed_size(self) -> int:
        """Return how many entries the newest signed head covers.

        Returns
        -------
        int
        """
        rows = self._transactions.rows(select(func.max(CHECKPOINTS.c.size)))
        return int(rows[0][0] or 0)

    def signed_heads(self, up_to: int) -> Iterator[SignedHead]:
        """Go through the kept checkpoints over at most `up_to` entries, the smallest first.

        Parameters
        ----------
        up_to : int

        Yields
        ------
        SignedHead
        """
        for row in self.table_rows(CHECKPOINTS):
            if row.size <= up_to:
                yield SignedHead(str(row.note), str(row.made))

    def table_rows(self, table: Table, *columns: Column[Any]) -> Iterator[Any]:
        """Go through a table in the order of its key, page by page.

        Parameters
        ----------
        table : sqlalchemy.Table
            With one key column, a number from 0 up.
        *columns : sqlalchemy.Column
            Those wanted, the key first; all, if none is named.

        Yields
        ------
        row
        """
        key = next(iter(table.primary_key))
        query = select(*(columns or (table,))).order_by(key).limit(PAGE)
        start = 0
        while page := self._transactions.rows(query.where(key >= start)):
            yield from page
            start = page[-1][0] + 1

    def line(self, entry_id: str) -> Entry:
        """Return one entry with its place and exact bytes.

        Parameters
        ----------
        entry_id : str

        Returns
        -------
        Entry

        Raises
        ------
        Missing
            When the log has no such entry.
        """
        if (known := self._fresh.named(entry_id)) is not None:
            return known
        query = select(LOG.c.idx, LOG.c.bytes).where(LOG.c.id == entry_id)
        rows = self._transactions.rows(query) if entry_id.isprintable() else []
        if not rows:
            raise Missing(words("there is no entry {id} on the log", id=entry_id), "entry")
        return self._entry(rows[0])

    def get(self, entry_id: str) -> dict[str, Any]:
        """Return one entry as it was written.

        Parameters
        ----------
        entry_id : str

        Returns
        -------
        dict

        Raises
        ------
        Missing
            When the log has no such entry.
        """
        return self.line(entry_id).content

    def checkpoint_covering(self, index: int) -> str | None:
        """Return the first kept checkpoint that covers an entry.

        Parameters
        ----------
        index : int
            Place of the entry in the log.

        Returns
        -------
        str or None
        """
        rows = self._transactions.rows(
            select(CHECKPOINTS.c.note)
            .where(CHECKPOINTS.c.size > index)
            .order_by(CHECKPOINTS.c.size)
            .limit(1)
        )
        return str(rows[0].note) if rows else None

    def tree(self) -> Tree:
        """Return the tree over all entries, for proofs; it is kept and grows with the log.

        Returns
        -------
        Tree
        """
        with self._transactions.mutex:
            with self._transactions.reading() as connection:
                self._tree.extend(self._leaves(connection, self._tree.size))
            return self._tree

    def verify_log(self) -> int:
        """Hash every entry again and check every signed head; contents are not read.

        Returns
        -------
        int
            Number of entries.

        Raises
        ------
        BadFile
            Names the first entry or head that does not fit.
        """
        return verify_log(self, self._transactions)

    def check(self) -> int:
        """Check everything: hashes, signed heads, contents, columns, the database's own pages.

        In little memory, whatever the size of the log.

        Returns
        -------
        int
            Number of entries.

        Raises
        ------
        BadFile
            Names the first entry or head that does not fit.
        """
        return check_store(self, self._transactions)

    def _ends_where_known(self) -> bool:
        """Whether nobody else can have added to the log since it was looked at."""
        return self._transactions.alone

    def _first(self) -> Entry | None:
        query = select(LOG.c.idx, LOG.c.bytes).order_by(LOG.c.idx).limit(1)
        return next(map(self._entry, self._transactions.rows(query)), None)

    def _caught_up(self, connection: Connection, known: Frontier) -> Frontier:
        """Return the frontier of what is on the disk; usually the one that is known."""
        size = connection.execute(select(func.coalesce(func.max(LOG.c.idx) + 1, 0))).scalar_one()
        if size == known.size:
            return known
        frontier = known.extend(self._leaves(connection, known.size))
        if size != frontier.size:
            raise self._damaged()
        return frontier

    def _taken_in(self) -> Frontier:
        """Take in the log when it is opened, and compare it with its newest signed head."""
        with self._transactions.reading() as connection:
            newest = connection.execute(
                select(CHECKPOINTS.c.size, CHECKPOINTS.c.root, CHECKPOINTS.c.peaks)
                .order_by(CHECKPOINTS.c.size.desc())
                .limit(1)
            ).one_or_none()
            signed = Frontier()
            if newest is not None:
                signed = self._signed(connection, newest)
                if (signed.size, signed.root) != (newest.size, newest.root):
                    raise self._damaged()
            return self._caught_up(connection, signed)

    def _signed(self, connection: Connection, newest: Any) -> Frontier:
        """Return the right edge under the newest signed head.

        A short log is hashed again. Of a long one the edge kept with the head is taken: its root is
        the signed one, so it is right; that the entries below fit it, `verify_log` shows.
        """
        if newest.size <= HASHED_AT_OPENING or newest.peaks is None:
            return Frontier().extend(self._leaves(connection, 0, newest.size))
        try:
            return Frontier.from_peaks(newest.size, newest.peaks)
        except ValueError:
            raise self._damaged() from None

    def _damaged(self) -> BadFile:
        return damaged(self._transactions.file)

    def _leaves(
        self, connection: Connection, start: int, end: int | None = None
    ) -> Iterator[bytes]:
        query = select(LOG.c.leaf_hash).where(LOG.c.idx >= start).order_by(LOG.c.idx)
        if end is not None:
            query = query.where(LOG.c.idx < end)
        for leaf in connection.execute(query).scalars():
            # A damaged page can give back anything, whatever the table's constraints promise.
            if not isinstance(leaf, bytes) or len(leaf) != HASH_BYTES:
                raise self._damaged()
            yield leaf

    def _entry(self, row: Any) -> Entry:
        if not isinstance(row.bytes, bytes):
            raise self._damaged()
        if (known := self._fresh.read(row.bytes, row.idx)) is not None:
            return known
        try:
            return read_entry(row.bytes, row.idx)
        except ClampwrightError as error:
            raise BadFile(
                words("{file}: {problem}", file=self._transactions.file, problem=str(error)),
                file=self._transactions.file,
                expected="a log as it was written",
            ) from error
