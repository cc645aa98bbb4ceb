"""Which fastener of a joint behaved unlike the others: final angle at equal torque, or the reverse.

Compare like with like: one type of fastener, known differences taken out, a trend along the
sequence taken out (`without_trend`). Small sets tell little, and the limits say so. Whatever is
found is reported, never deleted.

=================  ====================================================================
method             what it is good for
=================  ====================================================================
`modified_z`       recommended: one wild value does not hide another
`grubbs`           one outlier at a time in normal data; two equal ones hide each other
`tukey_fences`     a first look; 21 to 33 % of small clean sets raise an alarm
=================  ====================================================================
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.outlier_limits import NORMAL_MAD, grubbs_limit
from clampwright.words import words

Side = Literal["both", "high", "low"]
QuartileRule = Literal["linear", "hinges"]

MEAN_TO_SIGMA = math.sqrt(math.pi / 2.0)
"""Standard deviation over mean absolute deviation of the normal distribution, 1.2533."""

WHISKER = 1.5
"""Multiple of the interquartile range beyond which Tukey's rule calls a value outside."""


@dataclass(frozen=True, slots=True)
class Grubbs:
    """Result of Grubbs' test.

    Parameters
    ----------
    statistic : float
        Largest distance from the mean in standard deviations.
    limit : float
    number : int
        Which value it is, counted from 1.
    outlier : bool
    """

    statistic: float
    limit: float
    number: int
    outlier: bool


def grubbs(values: ArrayLike, *, alpha: float = 0.05, side: Side = "both") -> Grubbs:
    """Test the furthest value of a normal set.

    ``G = max |x − x̄| / s``

    Parameters
    ----------
    values : array_like, shape (n,)
        3 or more; below 6 take it with care.
    alpha : float
        Chance of a false alarm in the whole set, 0.0001 to 0.2.
    side : {"both", "high", "low"}
        Which end is looked at, chosen before seeing the data.

    Returns
    -------
    Grubbs

    Raises
    ------
    OutOfRange
        Fewer than 3 values, a NaN, or all values the same.
    ClampwrightError
        `side` is not one of those named.

    References
    ----------
    Grubbs 1969; NIST/SEMATECH e-Handbook 1.3.5.17.1, from memory.

    Examples
    --------
    >>> found = grubbs([92, 95, 91, 93, 94, 90, 92, 118, 93, 91])
    >>> found.number, round(found.statistic, 4), round(found.limit, 4), found.outlier
    (8, 2.7992, 2.29, True)
    """
    x = _shapes.row("values", values, least=3)
    _shapes.one_of("side", side, ("both", "high", "low"))
    sd = float(x.std(ddof=1))
    if sd == 0.0:
        raise OutOfRange(words("all values are the same; nothing stands out"), value=0.0, low=0.0)
    off = x - x.mean()
    off = {"both": np.abs(off), "high": off, "low": -off}[side]
    worst = int(np.argmax(off))
    statistic = float(off[worst]) / sd
    limit = grubbs_limit(len(x), alpha=alpha, sides=2 if side == "both" else 1)
    return Grubbs(statistic, limit, worst + 1, statistic > limit)


def modified_z(values: ArrayLike, *, resolution: float | None = None) -> Floats:
    """Distance of each value from the median in robust standard deviations.

    ``M_i = 0.6745 (x_i − median) / MAD``

    Parameters
    ----------
    values : array_like, shape (n,)
        2 or more.
    resolution : float, optional
        Step of the readings, in their unit: the MAD is never taken smaller than that.

    Returns
    -------
    ndarray, shape (n,)
        With their sign. Where more than half of the readings agree (MAD = 0) and no resolution is
        given, the mean absolute deviation takes its place: ``(x − median) / (1.2533 mean|x −
        median|)``. All zero where all values are the same.

    Raises
    ------
    OutOfRange
        Fewer than 2 values, a NaN, or a resolution not above 0.

    Notes
    -----
    Judge by `clampwright.joint.outlier_limits.modified_z_limit`; the usual 3.5 cries wolf in one
    small clean set of seven.

    References
    ----------
    Iglewicz and Hoaglin 1993, via NIST/SEMATECH e-Handbook 1.3.5.17, from memory.

    Examples
    --------
    >>> z = modified_z([92, 95, 91, 93, 94, 90, 92, 118, 93, 91])
    >>> round(float(z[7]), 2)
    11.47
    """
    x = _shapes.row("values", values, least=2)
    off = x - np.median(x)
    mad = float(np.median(np.abs(off)))
    if resolution is not None:
        mad = max(mad, float(_checks.above("resolution", resolution)))
    if mad > 0.0:
        return NORMAL_MAD * off / mad
    mean = float(np.abs(off).mean())
    return off / (MEAN_TO_SIGMA * mean) if mean > 0.0 else off


def quartiles(values: ArrayLike, *, rule: QuartileRule = "linear") -> tuple[float, float]:
    """Lower and upper quartile by either rule.

    Parameters
    ----------
    values : array_like, shape (n,)
        2 or more.
    rule : {"linear", "hinges"}
        Linear interpolation between ranks, or Tukey's hinges: medians of the two halves, the
        middle value in both where the count is odd. They differ in small sets.

    Returns
    -------
    tuple of float

    Raises
    ------
    OutOfRange
        Fewer than 2 values, or a NaN.
    ClampwrightError
        `rule` is not one of those named.

    References
    ----------
    Tukey, *Exploratory Data Analysis*, from memory.

    Examples
    --------
    >>> angles = [92, 95, 91, 93, 94, 90, 92, 118, 93, 91]
    >>> quartiles(angles), quartiles(angles, rule="hinges")
    ((91.25, 93.75), (91.0, 94.0))
    """
    x = np.sort(_shapes.row("values", values, least=2))
    _shapes.one_of("rule", rule, ("linear", "hinges"))
    if rule == "linear":
        low, high = np.quantile(x, (0.25, 0.75))
        return float(low), float(high)
    half = (len(x) + 1) // 2
    return float(np.median(x[:half])), float(np.median(x[-half:]))


def tukey_fences(values: ArrayLike, *, rule: QuartileRule = "linear") -> tuple[float, float]:
    """Fences beyond which a value is called outside, ``Q1 − 1.5 IQR`` and ``Q3 + 1.5 IQR``.

    Parameters
    ----------
    values : array_like, shape (n,)
        4 or more.
    rule : {"linear", "hinges"}
        As `quartiles`.

    Returns
    -------
    tuple of float

    Raises
    ------
    OutOfRange
        Fewer than 4 values, or a NaN.
    ClampwrightError
        `rule` is not one of those named.

    Notes
    -----
    For a first look only: 21 to 33 % of small clean sets have a value outside.

    References
    ----------
    Tukey, *Exploratory Data Analysis*, from memory.

    Examples
    --------
    >>> tukey_fences([92, 95, 91, 93, 94, 90, 92, 118, 93, 91])
    (87.5, 97.5)
    """
    x = _shapes.row("values", values, least=4)
    low, high = quartiles(x, rule=rule)
    reach = WHISKER * (high - low)
    return low - reach, high + reach


def without_trend(values: ArrayLike) -> Floats:
    """Take a steady trend along the sequence of tightening out of a set.

    Parameters
    ----------
    values : array_like, shape (n,)
        In the order in which the fasteners were taken; 4 or more.

    Returns
    -------
    ndarray, shape (n,)
        Values with the median slope taken out; the middle of the sequence stays where it was.

    Raises
    ------
    OutOfRange
        Fewer than 4 values, or a NaN.

    References
    ----------
    Median of all pairwise slopes (Theil 1950, Sen 1968), from memory: one outlier does not tilt it.

    Examples
    --------
    >>> without_trend([90, 91, 92, 110, 94, 95]).tolist()
    [92.5, 92.5, 92.5, 109.5, 92.5, 92.5]
    """
    x = _shapes.row("values", values, least=4)
    place = np.arange(len(x), dtype=np.float64)
    first, later = np.triu_indices(len(x), k=1)
    slope = float(np.median((x[later] - x[first]) / (later - first)))
    result: Floats = x - slope * (place - place.mean())
    return result
