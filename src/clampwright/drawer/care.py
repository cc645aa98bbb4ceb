"""What a tool asks for, at the moment it asks for it."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType
from typing import Literal

from clampwright.drawer.tools import Tool
from clampwright.words import Words

Moment = Literal["before_use", "after_job", "loosening"]


@dataclass(frozen=True, slots=True)
class Care:
    """One thing to do.

    Parameters
    ----------
    tool : Tool
    say : Words
    event : str
        What it becomes on the log when it is ticked; empty where there is nothing to tick.
    source : str
    """

    tool: Tool
    say: Words
    event: str
    source: str


@lru_cache(maxsize=1)
def _table() -> tuple[dict[str, str], ...]:
    text = resources.files(__package__).joinpath("care.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def care_for(tool: Tool, moment: Moment) -> tuple[Care, ...]:
    """Return what a tool asks for at a moment.

    Parameters
    ----------
    tool : Tool
    moment : {"before_use", "after_job", "loosening"}

    Returns
    -------
    tuple of Care
        Empty where it asks for nothing: a wrench fixed to one torque is not wound down.

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> print(care_for(wrench, "after_job")[0].say)
    Wind it down to 10.0 N·m, its lowest mark; never below.
    """
    found = []
    for row in _table():
        fits = row["moment"] == moment and tool.kind in row["kinds"].split()
        if fits and row["mechanism"] in {"any", tool.mechanism}:
            values = MappingProxyType({"lowest": _lowest(tool)} if "{" in row["say"] else {})
            found.append(Care(tool, Words(row["say"], values), row["event"], row["source"]))
    return tuple(found)


def _lowest(tool: Tool) -> str:
    return " / ".join(scale.text(scale.low) for scale in tool.scales)
