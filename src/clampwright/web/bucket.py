"""How often something may be asked from one address or in one session: at once, then slowly.

The figures stand in ``work/people.toml``. Counted in memory: the lockout after wrong tries stands
in the store and outlives a restart, this need not.
"""

from __future__ import annotations

import csv
import datetime as dt
import math
from collections.abc import Callable
from functools import cache
from importlib.resources import files

from clampwright.work.people_rules import figure, figures

MOST = 10_000
"""Askers kept in mind; with more than that it begins anew."""

EVERYBODY = "everybody"

KEEPS = frozenset(
    {("POST", "/practice/exercise"), ("PUT", "/api/practice/classes/{group}/answers/{entry}")}
)
"""Where something is kept of who has not signed in."""


class Bucket:
    """Counts by asker.

    Parameters
    ----------
    clock : callable
        Says what time it is.
    part : str
        Of the figures.
    """

    def __init__(self, clock: Callable[[], dt.datetime], part: str = "asking") -> None:
        self._clock = clock
        self._used: dict[str, tuple[float, dt.datetime]] = {}
        self._most = figure(part, "at_once")
        slow = "refilled_every_s" in figures()[part]
        self._every = (
            float(figure(part, "refilled_every_s")) if slow else 60 / figure(part, "a_minute")
        )

    def wait(self, asker: str) -> int:
        """Count one request, or say how long to wait, s.

        Parameters
        ----------
        asker : str

        Returns
        -------
        int
            0 when it may be asked now.
        """
        now = self._clock()
        used, last = self._used.get(asker, (0.0, now))
        used = max(0.0, used - max((now - last).total_seconds(), 0.0) / self._every)
        if used + 1 > self._most:
            self._used[asker] = (used, now)
            return max(1, math.ceil((used + 1 - self._most) * self._every))
        if len(self._used) >= MOST:
            self._used.clear()
        self._used[asker] = (used + 1, now)
        return 0


@cache
def dear() -> frozenset[tuple[str, str]]:
    """Return method and path of what costs much to answer, of ``dear.csv`` beside this file."""
    text = files("clampwright.web").joinpath("dear.csv").read_text("utf-8")
    return frozenset((row["method"], row["path"]) for row in csv.DictReader(text.splitlines()))


class Limits:
    """How often each sort of request may come.

    Parameters
    ----------
    clock : callable
        Says what time it is.
    """

    def __init__(self, clock: Callable[[], dt.datetime]) -> None:
        parts = ("acting", "acting_session", "dear", "dear_session", "strangers", "all_strangers")
        self._buckets = {part: Bucket(clock, part) for part in parts}

    def wait(
        self, way: tuple[str, str], *, address: str, session: str | None, stranger: bool
    ) -> int:
        """Count one request, or say how long to wait, s.

        Parameters
        ----------
        way : tuple of str
            Method, and path as it stands in the list of addresses.
        address : str
            Where it comes from.
        session : str or None
            Id of the session, where somebody is signed in.
        stranger : bool
            Nobody is signed in where people are set up.

        Returns
        -------
        int
            0 when it may be asked now.
        """
        sort = "dear" if way in dear() else "acting" if way[0] in {"PUT", "POST", "SOCKET"} else ""
        asked = [(sort, address), (f"{sort}_session", session)] if sort else []
        if stranger and way in KEEPS:
            asked += [("strangers", address), ("all_strangers", EVERYBODY)]
        return max((self._buckets[part].wait(who) for part, who in asked if who), default=0)
