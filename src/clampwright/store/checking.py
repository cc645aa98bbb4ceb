"""Whether a whole store is as it was written: every entry hashed again, every signature checked.

`verify_log` is the quick look: bytes, hashes and signed heads, near the speed of SHA-256 itself.
`check_store` also reads every entry's content and compares the columns made from it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, select

from clampwright.errors import BadFile, ClampwrightError
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import read_entry
from clampwright.proof.merkle import Frontier, leaf_hashes
from clampwright.store.engine import problem_of_pages
from clampwright.store.schema import CHECKPOINTS, LOG
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.proof.keychain import KeyChain
    from clampwright.store.reading import LogReader
    from clampwright.store.transactions import Transactions

PAGE = 500
"""Entries read at once."""

HASHED_AT_ONCE = 16_384
"""Entries hashed at once; between pages no lock is held."""
READ_AT_ONCE = 256
"""Of these, so many are read before they are hashed, so that they are still near the processor."""


def verify_log(store: LogReader, transactions: Transactions) -> int:
    """Hash every entry's bytes again and compare with the heads signed over them.

    Parameters
    ----------
    store : LogReader
    transactions : Transactions

    Returns
    -------
    int
        Number of entries.

    Raises
    ------
    BadFile
        Names the first entry or head that does not fit.
    """
    heads = transactions.rows(select(CHECKPOINTS).order_by(CHECKPOINTS.c.size))
    frontier, waiting, keys = Frontier(), list(reversed(heads)), store.keys()
    for leaves in _leaves(transactions):
        start, done = frontier.size, 0
        while waiting and waiting[-1].size <= start + len(leaves):
            row = waiting.pop()
            frontier = frontier.extend(leaves[done : row.size - start])
            done = row.size - start
            problem = _problem_of_head(row, frontier, store, keys)
            if problem is not None:
                raise _bad(transactions.file, problem)
        frontier = frontier.extend(leaves[done:])
    if waiting:
        raise _bad(transactions.file, words("entries at the end of the log are missing"))
    return frontier.size


def _leaves(transactions: Transactions) -> Iterator[list[bytes]]:
    """Hash the log again, page by page, and compare with the hashes kept beside the entries."""
    start = 0
    query = select(LOG.c.bytes, LOG.c.leaf_hash).order_by(LOG.c.idx)
    last = select(func.coalesce(func.max(LOG.c.idx), -1))
    while start <= transactions.rows(last)[0][0]:
        end = start + HASHED_AT_ONCE
        rows = query.where(LOG.c.idx >= start, LOG.c.idx < end)
        with closing(transactions.plain_rows(rows, READ_AT_ONCE)) as batches:
            leaves = _hashed(batches, transactions.file)
        wanted = end if leaves is None else min(end, transactions.rows(last)[0][0] + 1)
        if leaves is None or start + len(leaves) != wanted:
            raise _bad(transactions.file, _first_problem(transactions, start, end))
        yield leaves
        start = wanted


def _hashed(batches: Iterable[Sequence[Any]], file: str) -> list[bytes] | None:
    """Return the hashes of entries, or None where one is not the hash kept beside its entry."""
    leaves: list[bytes] = []
    for batch in batches:
        entries, kept = zip(*batch, strict=True)
        try:
            found = leaf_hashes(entries)
        except TypeError:  # a damaged page can give back anything, whatever the table promises
            raise _bad(file, words("an entry is not made of bytes")) from None
        if found != list(kept):
            return None
        leaves += found
    return leaves


def _first_problem(transactions: Transactions, start: int, end: int) -> Words:
    """Name the first entry that is missing, or is not what was hashed."""
    place = start
    query = select(LOG.c.idx, LOG.c.bytes, LOG.c.leaf_hash).order_by(LOG.c.idx)
    for idx, data, kept in transactions.rows(query.where(LOG.c.idx >= start, LOG.c.idx < end)):
        if idx != place:
            break
        if leaf_hashes([data]) != [kept]:
            return words("entry {place}: its content is not what was hashed", place=place)
        place += 1
    return words("entry {place} of the log is missing", place=place)


def check_store(store: LogReader, transactions: Transactions) -> int:
    """Check a store against itself and against the heads signed over it.

    Parameters
    ----------
    store : LogReader
    transactions : Transactions

    Returns
    -------
    int
        Number of entries.

    Raises
    ------
    BadFile
        Names the first entry or head that does not fit.
    """
    with transactions.reading() as connection:
        problem_of_file = problem_of_pages(connection)
    if problem_of_file is not None:
        raise _bad(transactions.file, problem_of_file)
    heads = list(transactions.rows(select(CHECKPOINTS).order_by(CHECKPOINTS.c.size)))
    frontier, keys = Frontier(), store.keys()
    counts: dict[str | None, int] = {}
    full = True
    while full:
        page = transactions.rows(
            select(LOG).where(LOG.c.idx >= frontier.size).order_by(LOG.c.idx).limit(PAGE)
        )
        for row in page:
            problem = _problem_of_entry(row, frontier.size, counts)
            if problem is not None:
                raise _bad(transactions.file, problem)
            frontier = frontier.append(row.leaf_hash)
            if heads and heads[0].size == frontier.size:
                problem = _problem_of_head(heads.pop(0), frontier, store, keys)
                if problem is not None:
                    raise _bad(transactions.file, problem)
        full = len(page) == PAGE
    if heads:
        raise _bad(transactions.file, words("entries at the end of the log are missing"))
    return frontier.size


def _problem_of_entry(row: Any, place: int, counts: dict[str | None, int]) -> Words | None:
    if row.idx != place:
        return words("entry {place} of the log is missing", place=place)
    if not isinstance(row.bytes, bytes):  # a damaged page can give back anything
        return words("an entry is not made of bytes")
    try:
        entry = read_entry(row.bytes, row.idx)
    except ClampwrightError as error:
        return error.message
    if row.leaf_hash != entry.leaf_hash:
        return words("entry {place}: its content is not what was hashed", place=place)
    columns = (row.id, row.job, row.job_seq, row.kind, row.recorded)
    if columns != (entry.id, entry.job, entry.job_seq, entry.kind, entry.recorded):
        return words("entry {place}: its columns are not those of its content", place=place)
    if entry.job_seq != (None if entry.job is None else counts.get(entry.job, 0)):
        return words("entry {place}: its place in its job is wrong", place=place)
    counts[entry.job] = counts.get(entry.job, 0) + 1
    return None


def _problem_of_head(
    row: Any, frontier: Frontier, store: LogReader, keys: KeyChain
) -> Words | None:
    try:
        checkpoint = read_checkpoint(row.note)
    except ClampwrightError as error:
        return error.message
    head = checkpoint.head
    if (head.origin, head.size, head.root) != (store.origin, frontier.size, frontier.root):
        return words("the log does not fit the head signed over {size} entries", size=row.size)
    if row.peaks is not None and row.peaks != b"".join(frontier.peaks):
        return words("the tree kept with the head over {size} entries is wrong", size=row.size)
    if row.root != head.root or not checkpoint.signed_by(keys.key_for(row.size)):
        return words("the head over {size} entries is not signed by the log's key", size=row.size)
    return None


def _bad(file: str, problem: Words) -> BadFile:
    return BadFile(
        words("{file}: {problem}", file=file, problem=str(problem)),
        file=file,
        expected="a log as it was written",
    )
