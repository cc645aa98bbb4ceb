"""What can happen to a tool between calibrations, and what each of it does to the trust in it."""

from __future__ import annotations

import csv
import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from types import MappingProxyType

from clampwright.errors import ClampwrightError
from clampwright.words import Words, words

CALIBRATION, CHECK = "calibration", "check"
"""What ends a doubt besides another event: a calibration, or a check that found the tool right."""


@dataclass(frozen=True, slots=True)
class EventRule:
    """What one sort of event means.

    Parameters
    ----------
    name : str
    title : Words
        What happened.
    say : str
        Template of the doubt, with the day as ``{date}``; empty where it raises none.
    spread : float
        How much of the permissible deviation the tool may be off beside what its certificate says,
        as a half width; 0 where the event does not lower trust.
    forbids : int
        The tool is not taken for harm levels up to this one; 0 for none.
    ended_by : frozenset of str
        What ends the doubt: ``calibration``, ``check`` or the name of another event.
    needs_count : bool
        Whether a number of uses belongs to it.
    source : str
    """

    name: str
    title: Words
    say: str
    spread: float
    forbids: int
    ended_by: frozenset[str]
    needs_count: bool
    source: str

    @property
    def raises_doubt(self) -> bool:
        """Whether the tool is worth less after it."""
        return bool(self.say)


@lru_cache(maxsize=1)
def event_rules() -> Mapping[str, EventRule]:
    """Return all sorts of events by name.

    Returns
    -------
    mapping of str to EventRule

    Examples
    --------
    >>> event_rules()["dropped"].forbids
    2
    """
    text = resources.files(__package__).joinpath("event_rules.csv").read_text("utf-8")
    return MappingProxyType(
        {
            row["event"]: EventRule(
                row["event"],
                Words(row["title"]),
                row["say"],
                float(row["spread"]),
                int(row["forbids"]),
                frozenset(row["ended_by"].split()),
                row["needs_count"] == "yes",
                row["source"],
            )
            for row in csv.DictReader(text.splitlines())
        }
    )


@dataclass(frozen=True, slots=True)
class Happened:
    """One event of one tool.

    Parameters
    ----------
    event : str
        One of `event_rules`.
    date : datetime.date
    note : str
        In the person's own words.
    count, high : int
        Uses entered by hand, and how many of them near the largest torque.
    entry : str
        Id of the entry on the log; empty where there is none.

    Raises
    ------
    ClampwrightError
        An event nobody knows, or a count that does not fit.

    Examples
    --------
    >>> print(Happened("dropped", dt.date(2026, 3, 4)).doubt)
    it was dropped on 2026-03-04 and not checked since
    """

    event: str
    date: dt.date
    note: str = ""
    count: int = 0
    high: int = 0
    entry: str = ""

    def __post_init__(self) -> None:
        if self.event not in event_rules():
            raise ClampwrightError(
                words(
                    "{event!r} is no event of a tool; it must be one of: {known}",
                    event=self.event,
                    known=", ".join(name.replace("_", "-") for name in event_rules()),
                )
            )
        if self.rule.needs_count and not 0 < self.count <= 1_000_000:
            raise ClampwrightError(
                words("say how many uses: a whole number above 0, not {count}", count=self.count)
            )
        if not 0 <= self.high <= self.count:
            raise ClampwrightError(
                words(
                    "{high} uses at high load cannot be part of {count} uses",
                    high=self.high,
                    count=self.count,
                )
            )

    @property
    def rule(self) -> EventRule:
        """What this sort of event means."""
        return event_rules()[self.event]

    @property
    def doubt(self) -> Words | None:
        """What speaks against the tool since; None where nothing does."""
        if not self.rule.raises_doubt:
            return None
        return Words(self.rule.say, MappingProxyType({"date": self.date.isoformat()}))
