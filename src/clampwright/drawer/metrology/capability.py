"""Capability: how well the scatter of a tool fits into the limits, and how surely.

Capability of a click wrench on a bench is not capability of the joint: friction is not in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from numpy.typing import ArrayLike

from clampwright.distributions import chi_square_quantile, normal_quantile
from clampwright.drawer.metrology import _inputs
from clampwright.errors import OutOfRange
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class Capability:
    """Indices of one distribution in its limits.

    Parameters
    ----------
    spread : float
        Cp (or Cm, Pp, by which standard deviation went in).
    worst_side : float
        Cpk (or Cmk, Ppk).
    off_centre : float
        k: distance of the mean from the middle over half the width.
    on_target : float or None
        Cpm; None without a target.
    """

    spread: float
    worst_side: float
    off_centre: float
    on_target: float | None = None


def capability(
    *, mean: float, s: float, low: float, high: float, target: float | None = None
) -> Capability:
    """Capability indices from mean and standard deviation.

    ``Cp = (U − L)/(6 s)``, ``Cpk = min(U − x̄, x̄ − L)/(3 s)``,
    ``Cpm = (U − L)/{6 √[s² + (x̄ − T)²]}``

    Parameters
    ----------
    mean, s : float
        Of the results, one unit; `s` above 0. Short-run data of the tool alone give Cm and Cmk,
        the total standard deviation Pp and Ppk.
    low, high : float
        The limits, same unit.
    target : float, optional
        For Cpm.

    Returns
    -------
    Capability

    Raises
    ------
    OutOfRange
        The standard deviation is not above 0, or the limits do not rise.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6 (from memory).

    Examples
    --------
    >>> found = capability(mean=16, s=2, low=8, high=20, target=14)
    >>> print(f"{found.spread:.1f} {found.worst_side:.4f} {found.on_target:.6f}")
    1.0 0.6667 0.707107
    """
    x, scatter = float(_inputs.number("mean", mean)), _inputs.one_above("s", s)
    least, most = float(_inputs.number("low", low)), float(_inputs.number("high", high))
    _inputs.one_above("high", most, low=least)
    width, middle = most - least, (most + least) / 2.0
    about = None
    if target is not None:
        gap = x - float(_inputs.number("target", target))
        about = width / (6.0 * math.hypot(scatter, gap))
    return Capability(
        width / (6.0 * scatter),
        min(most - x, x - least) / (3.0 * scatter),
        abs(x - middle) / (width / 2.0),
        about,
    )


def capability_of(
    values: ArrayLike, *, low: float, high: float, target: float | None = None
) -> Capability:
    """Capability indices of a row of results; see `capability`.

    Parameters
    ----------
    values : array_like, shape (n,), n at least 2
        Results, one unit.
    low, high, target : float
        As `capability`.

    Returns
    -------
    Capability

    Raises
    ------
    OutOfRange
        Fewer than two results, no scatter, or limits that do not rise.

    Examples
    --------
    >>> print(f"{capability_of([99.6, 100.2, 100.9, 100.3], low=96, high=104).spread:.2f}")
    2.50
    """
    row = _inputs.readings("values", values, least=2)
    return capability(
        mean=float(row.mean()), s=float(row.std(ddof=1)), low=low, high=high, target=target
    )


def spread_interval(index: float, *, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval of Cp (Cm, Pp) from `n` results.

    Parameters
    ----------
    index : float
        Cp as found; above 0.
    n : int
        How many results it came from; at least 2.
    confidence : float
        0 to 1.

    Returns
    -------
    tuple of float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Chi-square interval of a standard deviation, any textbook of statistics.

    Examples
    --------
    >>> low, high = spread_interval(1.0, n=50)
    >>> print(f"{low:.6f} {high:.6f}")
    0.802482 1.197126
    """
    found, dof = _inputs.one_above("index", index), _count(n) - 1
    tail = 0.5 - _inputs.share("confidence", confidence) / 2.0
    low, high = (math.sqrt(chi_square_quantile(p, dof) / dof) for p in (tail, 1.0 - tail))
    return found * low, found * high


def worst_side_interval(index: float, *, n: int, confidence: float = 0.95) -> tuple[float, float]:
    """Interval of Cpk (Cmk, Ppk) from `n` results, normal approximation.

    ``Cpk ± z √[1/(9 n) + Cpk²/(2 (n − 1))]``

    Parameters
    ----------
    index : float
        Cpk as found.
    n : int
        How many results it came from; at least 2.
    confidence : float
        0 to 1.

    Returns
    -------
    tuple of float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Bissell, Applied Statistics 39 (1990) 331 (from memory).

    Examples
    --------
    >>> low, high = worst_side_interval(2 / 3, n=50)
    >>> print(f"{low:.6f} {high:.6f}")
    0.505551 0.827782
    """
    found, count = float(_inputs.number("index", index)), _count(n)
    z = normal_quantile(0.5 + _inputs.share("confidence", confidence) / 2.0)
    half = z * math.sqrt(1.0 / (9.0 * count) + found**2 / (2.0 * (count - 1)))
    return found - half, found + half


def _count(n: int) -> int:
    if n < 2:
        raise OutOfRange(
            words("an interval needs at least 2 results, not {n}", n=n), value=float(n), low=2.0
        )
    return int(n)
