"""What to do after a pull that is not within: trade practice as a table with its sources."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files

from clampwright.words import Words


@dataclass(frozen=True, slots=True)
class Advice:
    """One row of the recovery table.

    Parameters
    ----------
    id : str
    when : str
        The verdict it answers.
    quantity : str
        ``torque``, ``angle``, ``none``, ``click``, ``unit`` or ``any``.
    advice : Words
    source : str
    """

    id: str
    when: str
    quantity: str
    advice: Words
    source: str


@lru_cache(maxsize=1)
def table() -> tuple[Advice, ...]:
    """Return all rows."""
    text = files(__package__).joinpath("recovery.csv").read_text(encoding="utf-8")
    return tuple(
        Advice(row["id"], row["when"], row["quantity"], Words(row["advice"]), row["source"])
        for row in csv.DictReader(text.splitlines())
    )


def advise(verdict: str, quantity: str) -> Advice | None:
    """Return what trade practice offers after a verdict.

    Parameters
    ----------
    verdict : str
        ``within`` needs no advice and gives None.
    quantity : str
        What was judged: ``torque``, ``angle``, ``none``, ``click`` or ``unit``.

    Returns
    -------
    Advice or None

    Examples
    --------
    >>> advise("short", "angle").id
    'short_angle'
    """
    fitting = [row for row in table() if row.when == verdict]
    exact = [row for row in fitting if row.quantity == quantity]
    general = [row for row in fitting if row.quantity in {"any", "torque"}]
    return next(iter(exact + general), None)
