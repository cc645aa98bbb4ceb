"""A range of friction coefficients as a distribution.

How a friction range is read (ours): as a log-normal distribution whose 2.5 % and 97.5 % points are
the range's ends and whose median is its typical value, or the ends' geometric mean where none is
given. Tables give the range in which coefficients are found, not hard limits; friction cannot be
negative; and what changes it (lubricant, finish, speed) changes it by factors. What multiple of the
standard deviation a table means is not said there; two is a fair reading.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

RANGE_QUANTILE = 1.959963985
"""Ends of a friction range in standard deviations: 2.5 % and 97.5 % points (ours)."""


@dataclass(frozen=True, slots=True)
class FrictionRange:
    """A range of friction coefficients, read as a log-normal distribution.

    Parameters
    ----------
    low, high : float
        Ends of the range, its 2.5 % and 97.5 % points.
    typical : float, optional
        Median; the geometric mean of the ends if not given.

    Raises
    ------
    OutOfRange
        Not 0 < low < high <= 1, or the typical value is not between them.
    Missing
        One end is open.

    Examples
    --------
    >>> round(FrictionRange(0.08, 0.16).median, 4)
    0.1131
    """

    low: float
    high: float
    typical: float | None = None

    def __post_init__(self) -> None:
        for end in ("low", "high"):
            value = getattr(self, end)
            if value is None or value == math.inf:
                raise Missing(
                    words("this friction condition has no upper or lower end; a band needs both"),
                    f"friction {end}",
                )
        low = _checks.above("friction low", self.low)
        high = _checks.friction("friction high", self.high)
        if low >= high:
            _checks.above("friction high", high, low=float(low))
        if self.typical is not None:
            _checks.above("friction typical", self.typical, low=self.low)
            _checks.within("friction typical", self.typical, low=self.low, high=0.9999 * self.high)

    @property
    def median(self) -> float:
        """The value that half of the coefficients do not exceed."""
        return self.typical if self.typical is not None else math.sqrt(self.low * self.high)

    def at(self, z: Floats) -> Floats:
        """Return the coefficient at a standard normal deviate.

        Parameters
        ----------
        z : ndarray

        Returns
        -------
        ndarray
            The median at 0, the ends at ±1.96; where the typical value is off the middle, the two
            sides have different widths.
        """
        down = math.log(self.median / self.low) / RANGE_QUANTILE
        up = math.log(self.high / self.median) / RANGE_QUANTILE
        return self.median * np.exp(np.where(z < 0.0, down, up) * z)


def friction_range(given: Sequence[float | None] | FrictionRange) -> FrictionRange:
    """Return a range from (low, high) or (low, high, typical), checked.

    Parameters
    ----------
    given : sequence of float, or FrictionRange

    Returns
    -------
    FrictionRange

    Raises
    ------
    ClampwrightError
        Not two or three numbers.
    Missing
        An open end.
    OutOfRange
        As `FrictionRange`.

    References
    ----------
    What a range means as a distribution is ours, see the head of this module.

    Examples
    --------
    >>> one = friction_range((0.08, 0.16))
    >>> one.low, one.high
    (0.08, 0.16)
    """
    if isinstance(given, FrictionRange):
        return given
    numbers = tuple(given)
    if len(numbers) not in (2, 3):
        raise ClampwrightError(
            words(
                "friction must be (low, high) or (low, high, typical), not {count} numbers",
                count=len(numbers),
            )
        )
    low, high, *typical = numbers
    if low is None or high is None:
        raise Missing(
            words("this friction condition has no upper or lower end; a band needs both"),
            "friction",
        )
    return FrictionRange(low, high, *typical)
