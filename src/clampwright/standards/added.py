"""Friction conditions that installed packages bring, beside those of the tables.

They can be named like any other. Where no condition is stated the range is that of the tables
alone: what is installed never changes a job that does not name it.
"""

from __future__ import annotations

import re
from functools import lru_cache

from clampwright.errors import ClampwrightError
from clampwright.extensions import FRICTION, Brought, Found, found, table
from clampwright.standards.friction import CLIMBS, FrictionCondition, every_name
from clampwright.standards.tables import cited
from clampwright.words import words

FILE = "friction.csv"
COLUMNS = ("name", "title", "low", "high", "basis", "source", "flag", "climbs_with_reuse")
BASES = ("seen", "computed", "memory", "ours")
HIGHEST = 1.0
_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")


@lru_cache(maxsize=1)
def added_conditions() -> Found[FrictionCondition]:
    """Return the conditions that packages bring.

    Returns
    -------
    Found of FrictionCondition
    """
    checked = found(FRICTION, check_condition, every_name())
    return Found(tuple(_with_package(one) for one in checked.brought), checked.left_out)


def _with_package(one: Brought[FrictionCondition]) -> Brought[FrictionCondition]:
    """Let the source name the package: it stands in every plan and record that relies on it."""
    told = one.value
    source = f"{told.source}; brought by package {one.package} {one.version}"
    value = FrictionCondition(
        told.name, told.title, told.low, told.high, None, source, told.flag, told.caution
    )
    return Brought(one.group, one.name, one.package, one.version, value)


def check_condition(name: str, module: object) -> FrictionCondition:
    """Take a condition out of the table of a package.

    Parameters
    ----------
    name : str
        Of the entry point: the row of this name is meant.
    module : module
        Holds ``friction.csv`` with the columns `COLUMNS`.

    Returns
    -------
    FrictionCondition

    Raises
    ------
    ClampwrightError
        Says what is wrong with the row.
    """
    rows = [row for row in table(module, FILE, COLUMNS) if row["name"] == name]
    if len(rows) != 1 or not _NAME.fullmatch(name):
        raise ClampwrightError(
            words(
                "{file} must hold one row named {name}, in small letters, figures and _",
                file=FILE,
                name=name,
            )
        )
    row = rows[0]
    try:
        low, high = float(row["low"]), float(row["high"])
    except ValueError:
        low = high = 0.0
    if not 0 < low < high <= HIGHEST:
        raise ClampwrightError(
            words(
                "{file}: low and high must be figures above 0, low below high, and not above "
                "{limit:g}",
                file=FILE,
                limit=HIGHEST,
            )
        )
    if not row["title"].strip() or not row["source"].strip() or row["basis"] not in BASES:
        raise ClampwrightError(
            words(
                "{file}: title and source must be said, and basis is one of {known}",
                file=FILE,
                known=", ".join(BASES),
            )
        )
    if row["climbs_with_reuse"] not in {"", "yes"}:
        raise ClampwrightError(words("{file}: climbs_with_reuse is yes or empty", file=FILE))
    return FrictionCondition(
        name=name,
        title=words("{title}", title=row["title"].strip()),
        low=low,
        high=high,
        typical=None,
        source=cited(row),
        flag=row["flag"],
        caution=CLIMBS if row["climbs_with_reuse"] else None,
    )
