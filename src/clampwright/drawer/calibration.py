"""Calibration of a wrench: how far it is off, how well that is known, and for how long.

The relative deviation is ``a_s = (X_a − X_r) / X_r`` with X_a shown or set and X_r the reference:
it is divided by the reference, and a *negative* one means that the fastener received *more* than
the wrench said (ISO 6789-1:2017 clause 7, from memory).
"""

from __future__ import annotations

import calendar
import datetime as dt
from bisect import bisect_left
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, Literal, TypeVar

from clampwright.errors import OutOfRange
from clampwright.words import Words, words

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Direction = Literal["cw", "ccw"]
DIRECTIONS: dict[str, Words] = {"cw": words("cw"), "ccw": words("ccw")}
"""How a direction is told; in files and where a person types it stands as it is."""
Number = TypeVar("Number", "float", "NDArray[np.float64]")

MONTHS = 12
USES = 5000
"""Recalibrate after 12 months or 5000 uses, whichever comes first: ISO 6789-1:2017 clause 5.3
(from memory); FAA AC 43.13-1B 7-40a asks for the year."""
HOLD_PERCENT = 2.5
"""How far beside an end point it still speaks for a setting; beyond, nothing is known (our own
choice)."""


def deviation_percent(indicated: Number, reference: Number) -> Number:
    """Return the relative deviation a_s of a torque tool.

    Parameters
    ----------
    indicated : float or array
        What the tool showed or was set to.
    reference : float or array
        What the calibration device measured, same unit.

    Returns
    -------
    float or array
        Percent of the reference.

    Examples
    --------
    >>> round(deviation_percent(20.0, 20.15), 6)
    -0.744417
    """
    return (indicated - reference) / reference * 100


def reference_of(indicated: Number, deviation: Number | float) -> Number:
    """Return the torque really given, from what the tool shows and its deviation.

    Parameters
    ----------
    indicated : float or array
    deviation : float or array
        a_s, percent.

    Returns
    -------
    float or array
        ``X_a / (1 + a_s / 100)``, unit of `indicated`.

    Examples
    --------
    >>> round(reference_of(100.0, -5.2), 6)
    105.485232
    """
    return indicated / (1 + deviation / 100)


def indicated_for(reference: Number, deviation: Number | float) -> Number:
    """Return what the tool must show for a wanted torque, given its deviation.

    Parameters
    ----------
    reference : float or array
        Wanted torque.
    deviation : float or array
        a_s, percent.

    Returns
    -------
    float or array
        ``X_r (1 + a_s / 100)``, unit of `reference`.

    Examples
    --------
    >>> indicated_for(50.0, -2.0)
    49.0
    """
    return reference * (1 + deviation / 100)


@dataclass(frozen=True, slots=True)
class Point:
    """One calibrated point, in one direction.

    Parameters
    ----------
    torque : float
        What was set or shown, N·m.
    deviation : float
        a_s, percent.
    u_rel : float
        Relative standard uncertainty of the deviation (expanded uncertainty over k), as a fraction.
    direction : str
        ``cw`` or ``ccw``.
    """

    torque: float
    deviation: float
    u_rel: float
    direction: Direction = "cw"

    @property
    def reference(self) -> float:
        """The torque really given at this point, N·m."""
        return reference_of(self.torque, self.deviation)


@dataclass(frozen=True, slots=True)
class Known:
    """What a calibration says about one setting.

    Parameters
    ----------
    torque : float
        The setting, N·m.
    deviation : float
        a_s there, percent, interpolated between the points beside it.
    u_rel : float
        The larger relative standard uncertainty of those points, as a fraction.
    """

    torque: float
    deviation: float
    u_rel: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """A certificate, or the date of one.

    Parameters
    ----------
    date : datetime.date
        When it was done.
    points : tuple of Point
        Empty when only the date is known.
    due : datetime.date or None
        Stated end; else `months` count.
    months : int
        Interval in calendar months.
    includes_resolution : bool
        Whether the stated uncertainty already holds the reading of the wrench's own scale.

    Raises
    ------
    OutOfRange
        When the points of a direction do not rise from one to the next.
    """

    date: dt.date
    points: tuple[Point, ...] = ()
    due: dt.date | None = None
    months: int = MONTHS
    includes_resolution: bool = False
    _by_direction: dict[str, tuple[Point, ...]] = field(
        init=False, repr=False, compare=False, default_factory=dict
    )

    def __post_init__(self) -> None:
        for direction in ("cw", "ccw"):
            some = (point for point in self.points if point.direction == direction)
            rising = tuple(sorted(some, key=lambda point: point.torque))
            for left, right in pairwise(rising):
                _check_rising(left, right)
            self._by_direction[direction] = rising

    @property
    def due_on(self) -> dt.date:
        """The last day on which it holds."""
        return self.due or months_after(self.date, self.months)

    def in_direction(self, direction: Direction) -> tuple[Point, ...]:
        """Return the points of a direction, by rising torque."""
        return self._by_direction[direction]

    def at(self, torque: float, direction: Direction) -> Known | None:
        """Return what is known about a setting.

        Parameters
        ----------
        torque : float
            Set or shown, N·m.
        direction : str

        Returns
        -------
        Known or None
            None outside the calibrated points: nothing is carried on beyond them.

        Examples
        --------
        >>> points = (Point(20, -1.0, 0.005), Point(100, -3.0, 0.005))
        >>> Calibration(dt.date(2025, 3, 1), points).at(60, "cw").deviation
        -2.0
        """
        points = self.in_direction(direction)
        if not points or not _held(points, torque):
            return None
        place = bisect_left(points, torque, key=lambda point: point.torque)
        if place in {0, len(points)}:
            end = points[min(place, len(points) - 1)]
            return Known(torque, end.deviation, end.u_rel)
        left, right = points[place - 1], points[place]
        slope = (right.deviation - left.deviation) / (right.torque - left.torque)
        deviation = left.deviation + slope * (torque - left.torque)
        return Known(torque, deviation, max(left.u_rel, right.u_rel))

    def setting_for(self, reference: float, direction: Direction) -> Known | None:
        """Return the setting that gives a wanted torque; the exact inverse of `at`.

        Parameters
        ----------
        reference : float
            Wanted at the square, N·m.
        direction : str

        Returns
        -------
        Known or None
            None when the setting lies outside the calibrated points.

        Notes
        -----
        Between two points the deviation is a straight line in the setting, so that
        ``X_a = X_r (1 + (a + s (X_a − x)) / 100)`` is linear in X_a.
        """
        points = self.in_direction(direction)
        if not points:
            return None
        place = bisect_left(points, reference, key=lambda point: point.reference)
        if place in {0, len(points)}:
            end = points[min(place, len(points) - 1)]
            torque = indicated_for(reference, end.deviation)
        else:
            torque = _between(points[place - 1], points[place], reference)
        return self.at(torque, direction)


def _check_rising(left: Point, right: Point) -> None:
    if left.torque < right.torque and left.reference < right.reference:
        return
    raise OutOfRange(
        words(
            "the points at {left:.6g} N·m and {right:.6g} N·m ({direction}) do not rise in both "
            "setting and reference; write each point of a direction once, and check the deviations",
            left=left.torque,
            right=right.torque,
            direction=left.direction,
        ),
        value=right.torque,
        low=left.torque,
    )


def _between(left: Point, right: Point, reference: float) -> float:
    slope = (right.deviation - left.deviation) / (right.torque - left.torque) / 100
    start = 1 + left.deviation / 100 - slope * left.torque
    return reference * start / (1 - slope * reference)


def _held(points: tuple[Point, ...], torque: float) -> bool:
    first, last = points[0], points[-1]
    below, above = (
        max(HOLD_PERCENT, abs(point.deviation)) / 100 * point.torque for point in (first, last)
    )
    return first.torque - below <= torque <= last.torque + above


@lru_cache(maxsize=4096)
def months_after(date: dt.date, months: int) -> dt.date:
    """Return the same day some months later, or the last day of a shorter month.

    Parameters
    ----------
    date : datetime.date
    months : int

    Returns
    -------
    datetime.date

    Examples
    --------
    >>> months_after(dt.date(2024, 2, 29), 12)
    datetime.date(2025, 2, 28)
    """
    year, month = divmod(date.month - 1 + months, 12)
    year, month = date.year + year, month + 1
    return dt.date(year, month, min(date.day, calendar.monthrange(year, month)[1]))
