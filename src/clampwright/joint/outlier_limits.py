"""Limits for outliers in small sets: how far chance alone carries the furthest of n values."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from clampwright.distributions import t_quantile
from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._tables import rows
from clampwright.words import words

NORMAL_MAD = 0.6745
"""Median absolute deviation of the standard normal distribution, as its source rounds it."""

USUAL = 3.5
"""The usual limit for the modified z (Iglewicz and Hoaglin 1993), made for large sets."""

_CHUNK = 50_000


def grubbs_limit(count: int, *, alpha: float = 0.05, sides: int = 2) -> float:
    """Return the largest Grubbs statistic that chance gives in clean normal data.

    ``g = (n−1)/√n · √[t²/(n−2+t²)]``, ``t = t_{α/(2n), n−2}`` (one-sided ``α/n``)

    Parameters
    ----------
    count : int
        n, 3 or more; below 6 take it with care.
    alpha : float
        Chance of a false alarm in the whole set, 0.0001 to 0.2.
    sides : {1, 2}
        Whether one end only was looked at, chosen before seeing the data.

    Returns
    -------
    float
        Always below (n−1)/√n, which the statistic can never exceed.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Grubbs 1969; NIST/SEMATECH e-Handbook 1.3.5.17.1, from memory.

    Examples
    --------
    >>> [round(grubbs_limit(n), 4) for n in (4, 8, 12)]
    [1.4813, 2.1266, 2.4116]
    """
    n = _shapes.whole("count", count, low=3, high=10_000)
    chance = float(_checks.within("alpha", alpha, low=1e-4, high=0.2, source="ours"))
    _shapes.one_of("sides", sides, (1, 2))
    t = t_quantile(1.0 - chance / (sides * n), n - 2)
    return (n - 1) / math.sqrt(n) * math.sqrt(t**2 / (n - 2 + t**2))


@dataclass(frozen=True, slots=True)
class ZLimit:
    """Limit of the modified z for a set of a given size.

    Parameters
    ----------
    count : int
    limit : float
        For one false alarm in 20 clean sets.
    false_alarms : float
        Share of clean sets in which the usual limit of 3.5 raises at least one false alarm.
    source : str
    """

    count: int
    limit: float
    false_alarms: float
    source: str


def modified_z_limit(count: int) -> ZLimit:
    """Return the limit of the modified z at which 1 clean set in 20 raises an alarm.

    Parameters
    ----------
    count : int
        Values in the set, 4 to 100.

    Returns
    -------
    ZLimit

    Raises
    ------
    OutOfRange
        The count lies outside the table.

    Notes
    -----
    Odd sets have larger limits than their even neighbours, since the median is one of the values.

    References
    ----------
    Simulation of a million clean normal sets per count, 300,000 above 40 (`simulated_limit` does
    it again).

    Examples
    --------
    >>> found = modified_z_limit(8)
    >>> found.limit, round(found.false_alarms, 2)
    (4.92, 0.14)
    """
    table = {int(row["count"]): row for row in rows("modified_z_limits")}
    n = _shapes.whole("count", count, low=1)
    if n not in table:
        low, high = min(table), max(table)
        raise OutOfRange(
            words(
                "there are {count} values; limits of the modified z are known for {low} to {high}",
                count=n,
                low=low,
                high=high,
            ),
            value=float(n),
            low=float(low),
            high=float(high),
            source=table[low]["source"],
        )
    row = table[n]
    share = float(row["false_alarms_at_3_5_percent"]) / 100.0
    return ZLimit(n, float(row["limit"]), share, row["source"])


def simulated_limit(count: int, *, sets: int, seed: int, rate: float = 0.05) -> tuple[float, float]:
    """Find the limit of the modified z again, by simulation.

    Parameters
    ----------
    count : int
        Values in a set, 4 to 1,000.
    sets : int
        Clean normal sets to draw, 1,000 or more.
    seed : int
        0 or more.
    rate : float
        Share of clean sets that may raise an alarm, 0.001 to 0.5.

    Returns
    -------
    tuple of float
        The limit, and the share of sets in which 3.5 raises an alarm.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Modified z as in Iglewicz and Hoaglin, How to Detect and Handle Outliers, ASQC 1993 (from
    memory); a limit for each size of set, by simulation, is ours.

    Examples
    --------
    >>> limit, alarms = simulated_limit(8, sets=20_000, seed=1)
    >>> 4.7 < limit < 5.1, 0.12 < alarms < 0.15
    (True, True)
    """
    n = _shapes.whole("count", count, low=4, high=1_000)
    left = _shapes.whole("sets", sets, low=1_000)
    part = float(_checks.within("rate", rate, low=1e-3, high=0.5, source="ours"))
    rng = np.random.default_rng(_shapes.whole("seed", seed, low=0))
    furthest = []
    while left > 0:
        values = rng.standard_normal((min(left, _CHUNK), n))
        off = np.abs(values - np.median(values, axis=1, keepdims=True))
        furthest.append(NORMAL_MAD * off.max(axis=1) / np.median(off, axis=1))
        left -= _CHUNK
    z = np.concatenate(furthest)
    return float(np.quantile(z, 1.0 - part)), float((z > USUAL).mean())
