"""The limits and pairs the check works with, each row with its source."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of the check.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
    meaning, source : str
    """

    value: float
    unit: str
    meaning: str
    source: str

    @property
    def part(self) -> float:
        """The limit as a fraction, where it is given in percent."""
        return self.value / 100


@dataclass(frozen=True, slots=True)
class UnitPair:
    """Two units that are taken for each other.

    Parameters
    ----------
    written, meant : str
        Canonical names.
    source : str
    """

    written: str
    meant: str
    source: str


@dataclass(frozen=True, slots=True)
class Lubricant:
    """What a procedure's words on lubrication mean for the friction to reckon with.

    Parameters
    ----------
    stated : frozenset of str
        Codes of a reading, such as ``oil_threads``.
    condition : str
        Name of the friction condition they stand for.
    agrees : frozenset of str
        Names of all friction conditions that do not contradict them.
    source : str
    """

    stated: frozenset[str]
    condition: str
    agrees: frozenset[str]
    source: str


def _rows(name: str) -> list[dict[str, str]]:
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


@lru_cache(maxsize=1)
def _limits() -> dict[str, Limit]:
    return {
        row["name"]: Limit(float(row["value"]), row["unit"], row["meaning"], row["source"])
        for row in _rows("check_limits.csv")
    }


def limit(name: str) -> Limit:
    """Return a limit by its name.

    Parameters
    ----------
    name : str

    Returns
    -------
    Limit

    Examples
    --------
    >>> limit("least_share").part
    0.1
    """
    return _limits()[name]


@lru_cache(maxsize=1)
def unit_pairs() -> tuple[UnitPair, ...]:
    """Return the units that are taken for each other."""
    return tuple(
        UnitPair(row["written"], row["meant"], row["source"]) for row in _rows("check_units.csv")
    )


@lru_cache(maxsize=1)
def lubricants() -> tuple[Lubricant, ...]:
    """Return what statements on lubrication mean, the most particular first."""
    return tuple(
        Lubricant(
            frozenset(row["lubrication"].split()),
            row["condition"],
            frozenset(row["agrees"].split()),
            row["source"],
        )
        for row in _rows("check_lubrication.csv")
    )
