"""How often something may be asked from one address: so much at once, then by and by."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Callable

from clampwright.work.people_rules import figure

MOST = 10_000
"""Addresses kept in mind; with more than that it begins anew."""


class Bucket:
    """Counts by address, in memory: the lockout in the store outlives a restart, this need not.

    Parameters
    ----------
    clock : callable
        Says what time it is.
    """

    def __init__(self, clock: Callable[[], dt.datetime]) -> None:
        self._clock = clock
        self._used: dict[str, tuple[float, dt.datetime]] = {}

    def wait(self, address: str) -> int:
        """Count one try, or say how long to wait, s.

        Parameters
        ----------
        address : str

        Returns
        -------
        int
            0 when it may be asked now.
        """
        now, every = self._clock(), figure("asking", "refilled_every_s")
        used, last = self._used.get(address, (0.0, now))
        used = max(0.0, used - max((now - last).total_seconds(), 0.0) / every)
        if used + 1 > figure("asking", "at_once"):
            self._used[address] = (used, now)
            return max(1, math.ceil((used + 1 - figure("asking", "at_once")) * every))
        if len(self._used) >= MOST:
            self._used.clear()
        self._used[address] = (used + 1, now)
        return 0
