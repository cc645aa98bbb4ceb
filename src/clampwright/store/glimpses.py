"""A look at very many entries: a few members of each, taken out by the database itself.

An entry of a pull has some 2 kB; a look back over all of them needs a tenth of it. What was written
is read without proving its canonical form again; `LogReader.check` proves the whole log.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Select, Text, cast, func, select

from clampwright.errors import BadFile
from clampwright.store.schema import LOG
from clampwright.store.transactions import Transactions
from clampwright.words import words

QUICK_PAGE = 20_000
"""Places of the log read at once: each page costs a search of its own."""

TIME = "device.time"
"""Member that every entry has; it comes with every glimpse."""

Glimpse = Sequence[Any]
"""Id, kind, job, device time, the single members, and JSON text of those taken together."""


def whole(transactions: Transactions, kinds: Sequence[str]) -> Iterator[dict[str, Any]]:
    """Go through whole entries of some kinds, in the order of the log.

    Parameters
    ----------
    transactions : Transactions
    kinds : sequence of str

    Yields
    ------
    dict
        The entry as it was written.
    """
    for row in _paged(transactions, select(LOG.c.bytes), kinds):
        yield _content(transactions, row)


def glimpses(
    transactions: Transactions,
    kinds: Sequence[str],
    single: Sequence[str],
    together: Sequence[str],
) -> Iterator[Glimpse]:
    """Go through some members of entries of some kinds, in the order of the log.

    Parameters
    ----------
    transactions : Transactions
    kinds : sequence of str
    single : sequence of str
        Members that hold a text or a number, by their path (``body.tool``): each one by itself.
    together : sequence of str
        Any members: a JSON array of all of them, as text. Equal texts come again and again, and
        then need to be read only once.

    Yields
    ------
    sequence
        Id, kind, job, device time, each of `single`, and the text of `together`. A member that an
        entry does not have is None (``null``).
    """
    if transactions.dialect != "sqlite":
        for entry in whole(transactions, kinds):
            yield glimpse_of(entry, single, together)
        return
    content = cast(LOG.c.bytes, Text)
    columns: list[ColumnElement[Any]] = [LOG.c.id, LOG.c.kind, LOG.c.job]
    columns += [func.json_extract(content, f"$.{path}") for path in (TIME, *single)]
    # Of one path it would give the member itself; of two or more it gives an array.
    columns += [func.json_extract(content, *(f"$.{path}" for path in (*together, together[-1])))]
    for row in _paged(transactions, select(*columns), kinds):
        if row[3] is None:
            raise damaged(transactions.file)
        yield row


def glimpse_of(entry: Mapping[str, Any], single: Sequence[str], together: Sequence[str]) -> Glimpse:
    """Return the same of one entry, without a database.

    Parameters
    ----------
    entry : mapping
    single, together : sequence of str
        As for `glimpses`.

    Returns
    -------
    sequence

    Examples
    --------
    >>> entry = {"id": "1", "kind": "pull", "job": "wheel", "device": {"time": "2026-03-01"},
    ...          "body": {"tool": "click", "reading": {"value": "44"}}}
    >>> glimpse_of(entry, ["body.tool"], ["body.reading", "body.setting"])
    ('1', 'pull', 'wheel', '2026-03-01', 'click', '[{"value":"44"},null,null]')
    """
    several = [_member(entry, path) for path in (*together, together[-1])]
    text = json.dumps(several, ensure_ascii=False, separators=(",", ":"))
    alone = (_member(entry, path) for path in (TIME, *single))
    return (entry["id"], entry["kind"], entry["job"], *alone, text)


def damaged(file: str) -> BadFile:
    """Return the error for a log that is not as it was written."""
    return BadFile(
        words(
            "{file}: entries of the log are missing or changed; nothing was written. Keep the "
            "file, and restore a backup beside it",
            file=file,
        ),
        file=file,
        expected="a log that fits its signed heads",
    )


def _member(entry: Mapping[str, Any], path: str) -> Any:
    held: Any = entry
    for name in path.split("."):
        held = held.get(name) if isinstance(held, dict) else None
    return held


def _paged(transactions: Transactions, query: Select[Any], kinds: Sequence[str]) -> Iterator[Any]:
    """Go through the rows page by page; between pages no lock is held."""
    query = query.where(LOG.c.kind.in_(kinds)).order_by(LOG.c.idx)
    last = transactions.rows(select(func.coalesce(func.max(LOG.c.idx), -1)))[0][0]
    for start in range(0, int(last) + 1, QUICK_PAGE):
        # By place, not by count: the database need sort no more than the page.
        end = min(start + QUICK_PAGE, int(last) + 1)
        yield from transactions.rows(query.where(LOG.c.idx >= start, LOG.c.idx < end))


def _content(transactions: Transactions, row: Any) -> dict[str, Any]:
    try:
        content: dict[str, Any] = json.loads(row.bytes)
    except (TypeError, ValueError) as error:
        raise damaged(transactions.file) from error
    return content
