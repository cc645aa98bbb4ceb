"""One try of the feel trainer: a torque aimed at by hand, and the torque that was reached."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from clampwright.errors import Missing, OutOfRange
from clampwright.words import Words, words

POSTURES: Mapping[str, Words] = MappingProxyType(
    {
        "towards": words("standing, pulling towards me"),
        "down": words("standing, pulling down"),
        "kneeling": words("kneeling"),
        "overhead": words("overhead"),
        "lying": words("lying below it"),
        "reaching": words("at arm's length, one hand"),
    }
)
"""How a person stands to the fastener, by key (common practice, no source)."""

MOST_TORQUE = 2000.0
"""N·m; beyond what a person pulls by hand."""
MOST_LENGTH = 3000.0
"""mm; the longest bar a person takes in hand."""


@dataclass(frozen=True, slots=True)
class Try:
    """One pull by hand to what the person thinks is the torque.

    Parameters
    ----------
    aimed, reached : float
        Torque aimed at, and torque read from the beam or taken live, N·m.
    day : datetime.date
    length : float or None
        From the square to the middle of the grip, mm.
    posture : str
        One of `POSTURES`, or empty where it was not noted.

    Raises
    ------
    OutOfRange
        A torque or a length cannot be.
    Missing
        The posture is not known.

    Examples
    --------
    >>> one = Try(25.0, 23.5, dt.date(2026, 5, 1), length=300.0, posture="down")
    >>> f"{one.error:+.0%}"
    '-6%'
    """

    aimed: float
    reached: float
    day: dt.date
    length: float | None = None
    posture: str = ""

    def __post_init__(self) -> None:
        _between("the torque aimed at", self.aimed, MOST_TORQUE, "N·m")
        _between("the torque reached", self.reached, MOST_TORQUE, "N·m")
        if self.length is not None:
            _between("the length of the wrench", self.length, MOST_LENGTH, "mm")
        if self.posture and self.posture not in POSTURES:
            raise Missing(
                words(
                    "the posture {posture!r} is not known; it is one of {known}",
                    posture=self.posture,
                    known=", ".join(POSTURES),
                ),
                needed="posture",
            )

    @property
    def error(self) -> float:
        """How far off it was, as a share of the torque aimed at; above 0 is too much."""
        return self.reached / self.aimed - 1.0


def _between(what: str, value: float, most: float, unit: str) -> None:
    if math.isfinite(value) and 0.0 < value <= most:
        return
    raise OutOfRange(
        words(
            "{what} is {value:g} {unit}; it must lie above 0 and up to {most:g} {unit}",
            what=what,
            value=value,
            unit=unit,
            most=most,
        ),
        value=value,
        low=0.0,
        high=most,
    )
