"""The CSV tables beside the code: read once, as text, with the source of each row."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

FOLDER = Path(__file__).parent

Row = dict[str, str]

_BASIS = {
    "memory": "from memory",
    "computed": "computed",
    "ours": "our own reading",
}


@lru_cache(maxsize=32)
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of a table.

    Parameters
    ----------
    name : str
        File name without ``.csv``, such as ``threads_metric`` or ``published/units``.

    Returns
    -------
    tuple of dict
        Texts by column name; empty where the source has nothing.
    """
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def cited(row: Row) -> str:
    """Return a row's source, saying so where the figures were not seen in it.

    Parameters
    ----------
    row : dict

    Returns
    -------
    str

    Examples
    --------
    >>> cited({"source": "ISO 273", "basis": "memory"})
    'ISO 273 (from memory)'
    """
    basis = _BASIS.get(row["basis"], "")
    told = not basis or any(word in row["source"] for word in ("memory", "recalled", basis))
    return row["source"] if told else f"{row['source']} ({basis})"


def optional(text: str) -> float | None:
    """Return a figure, or None where the table has nothing.

    Parameters
    ----------
    text : str

    Returns
    -------
    float or None
    """
    return float(text) if text else None


def nearest(text: str, known: Iterable[str], count: int = 3) -> tuple[str, ...]:
    """Return the known names that look most like a text, best first.

    Parameters
    ----------
    text : str
    known : iterable of str
    count : int
        How many at most.

    Returns
    -------
    tuple of str
    """
    import difflib  # noqa: PLC0415 - needed only for a message

    return tuple(difflib.get_close_matches(text, list(known), n=count, cutoff=0.5))
