"""What a unit is, and the table of them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from clampwright.words import Words, words

Kind = Literal["torque", "force", "length", "stress", "angle", "time", "temperature", "mass"]

FOLDER = Path(__file__).parent

KIND_WORDS: MappingProxyType[Kind, Words] = MappingProxyType(
    {
        "torque": words("a torque"),
        "force": words("a force"),
        "length": words("a length"),
        "stress": words("a stress or pressure"),
        "angle": words("an angle"),
        "time": words("a time"),
        "temperature": words("a temperature"),
        "mass": words("a mass"),
    }
)


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit and what it is in the library's own unit of the same kind.

    Parameters
    ----------
    name : str
        Canonical name, such as ``ft·lbf``.
    kind : str
        What it measures, such as ``torque``; see `Kind`.
    factor : Fraction
        Exact size in N·m, N, mm, MPa, deg, s, °C or kg.
    offset : Fraction
        Added to a value before it is multiplied; other than 0 only for °F.
    symbol, plural : str
        How it is printed after 1 and after any other number.
    spaced : bool
        Whether a space stands before the symbol.
    source : str
        Where the factor comes from.
    """

    name: str
    kind: Kind
    factor: Fraction
    offset: Fraction = Fraction(0)
    symbol: str = ""
    plural: str = ""
    spaced: bool = True
    source: str = ""


def read_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of one of this room's tables.

    Parameters
    ----------
    name : str
        ``units``, ``spellings``, ``products`` or ``asked``.

    Returns
    -------
    list of dict
    """
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@lru_cache(maxsize=1)
def units() -> MappingProxyType[str, Unit]:
    """Return all known units by canonical name.

    Returns
    -------
    mapping of str to Unit

    Examples
    --------
    >>> units()["ft·lbf"].factor
    Fraction(3389544870828501, 2500000000000000)
    """
    return MappingProxyType({row["name"]: _unit(row) for row in read_rows("units")})


def _unit(row: dict[str, str]) -> Unit:
    symbol = row["symbol"] or row["name"]
    return Unit(
        name=row["name"],
        kind=row["kind"],  # type: ignore[arg-type]  # the table's kinds are held by a test
        factor=Fraction(row["factor"]),
        offset=Fraction(row["offset"]),
        symbol=symbol,
        plural=row["plural"] or symbol,
        spaced=row["joined"] != "yes",
        source=row["source"],
    )
