"""Whether a whole store is as it was written: every entry hashed again, every signature checked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clampwright.errors import BadFile, ClampwrightError
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import read_entry
from clampwright.proof.merkle import Frontier
from clampwright.store.engine import problem_of_pages
from clampwright.store.schema import CHECKPOINTS, LOG
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.store.reading import LogReader
    from clampwright.store.transactions import Transactions

PAGE = 500
"""Entries read at once."""


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
    frontier = Frontier()
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
                problem = _problem_of_head(heads.pop(0), frontier, store)
                if problem is not None:
                    raise _bad(transactions.file, problem)
        full = len(page) == PAGE
    if heads:
        raise _bad(transactions.file, words("entries at the end of the log are missing"))
    return frontier.size


def _problem_of_entry(row: Any, place: int, counts: dict[str | None, int]) -> Words | None:
    if row.idx != place:
        return words("entry {place} of the log is missing", place=place)
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


def _problem_of_head(row: Any, frontier: Frontier, store: LogReader) -> Words | None:
    try:
        checkpoint = read_checkpoint(row.note)
    except ClampwrightError as error:
        return error.message
    head = checkpoint.head
    if (head.origin, head.size, head.root) != (store.origin, frontier.size, frontier.root):
        return words("the log does not fit the head signed over {size} entries", size=row.size)
    if row.root != head.root or not checkpoint.signed_by(store.public_key):
        return words("the head over {size} entries is not signed by the log's key", size=row.size)
    return None


def _bad(file: str, problem: Words) -> BadFile:
    return BadFile(
        words("{file}: {problem}", file=file, problem=str(problem)),
        file=file,
        expected="a log as it was written",
    )
