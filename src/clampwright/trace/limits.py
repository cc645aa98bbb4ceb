"""The criteria of strokes, features and patterns: one table beside the code, none in it."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from contextvars import ContextVar
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType


@dataclass(frozen=True, slots=True)
class Limit:
    """One criterion.

    Parameters
    ----------
    name : str
    value : float
    unit : str
    meaning : str
    source : str
        ``ours`` where no published figure is known.
    """

    name: str
    value: float
    unit: str
    meaning: str
    source: str


OWN: ContextVar[Mapping[str, Limit]] = ContextVar("own limits", default=MappingProxyType({}))
"""Criteria of a person's own that are in force just now; see `clampwright.trace.tuning`."""


@lru_cache(maxsize=1)
def limits() -> Mapping[str, Limit]:
    """Return the table of criteria, by name.

    Returns
    -------
    mapping of str to Limit

    Examples
    --------
    >>> limits()["yield_slope_ratio"].value
    0.5
    """
    text = resources.files("clampwright.trace").joinpath("limits.csv").read_text("utf-8")
    rows = csv.DictReader(text.splitlines())
    return MappingProxyType(
        {
            row["name"]: Limit(
                row["name"], float(row["value"]), row["unit"], row["meaning"], row["source"]
            )
            for row in rows
        }
    )


def limit(name: str) -> float:
    """Return the value of one criterion: one's own while it is in force, else the table's.

    Parameters
    ----------
    name : str
        Its name in the table.

    Returns
    -------
    float
        In the unit the table names.
    """
    own = OWN.get().get(name)
    return limits()[name].value if own is None else own.value
