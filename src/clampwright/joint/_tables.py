"""The CSV tables beside the code of this room: read once, as text, each row with its source."""

from __future__ import annotations

import csv
from functools import lru_cache
from pathlib import Path

FOLDER = Path(__file__).parent

Row = dict[str, str]


@lru_cache(maxsize=16)
def rows(name: str) -> tuple[Row, ...]:
    """Return the rows of a table.

    Parameters
    ----------
    name : str
        File name without ``.csv``.

    Returns
    -------
    tuple of dict
        Texts by column name; empty where the source has nothing.
    """
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))
