"""Live torques to practise by, as they stand: in memory only, nothing of them is kept."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Any

from clampwright.errors import Refused
from clampwright.practice.peak import STALE, Peak
from clampwright.units import factor, format_quantity
from clampwright.words import words

MOST_SOURCES = 40
"""Programs that may send a live torque at once: a class with a wrench each."""
FORGOTTEN = 60.0
"""Seconds after which one that sends nothing more is shown no longer."""


@dataclass(frozen=True, slots=True)
class _Source:
    peak: Peak
    unit: str
    seen: float


class LivePeaks:
    """Live torques as they stand, in memory only: nothing of them is kept."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._sources: dict[str, _Source] = {}

    def take(self, name: str, torque: float, unit: str, *, now: float) -> Peak:
        """Take one sample.

        Parameters
        ----------
        name : str
            Of the wrench or program.
        torque : float
            N·m.
        unit : str
            In which it is to be shown.
        now : float
            s, of a clock that never goes back.
        """
        with self._turn:
            kept = {k: s for k, s in self._sources.items() if now - s.seen < FORGOTTEN or k == name}
            if name not in kept and len(kept) >= MOST_SOURCES:
                raise Refused(words("{most} wrenches are sending already", most=MOST_SOURCES))
            before = kept.get(name)
            fresh = before is not None and now - before.seen <= STALE
            peak = (before.peak if fresh and before else Peak()).after(torque)
            self._sources = kept | {name: _Source(peak, unit, now)}
            return peak

    def shown(self, *, now: float) -> list[dict[str, Any]]:
        """Return every source as it is shown, the freshest first."""
        with self._turn:
            sources = sorted(self._sources.items(), key=lambda one: -one[1].seen)
        return [
            {
                "name": name,
                "torque_Nm": one.peak.torque,
                "highest_Nm": one.peak.highest,
                "now": _shown(one.peak.torque, one.unit),
                "highest": _shown(one.peak.highest, one.unit),
                "age": round(now - one.seen, 2),
                "fresh": now - one.seen <= STALE,
            }
            for name, one in sources
            if now - one.seen < FORGOTTEN
        ]


def _shown(torque: float, unit: str) -> str:
    value = torque * factor("N·m", unit)
    return format_quantity(value, unit, digits=1 if abs(value) >= 10 else 2)
