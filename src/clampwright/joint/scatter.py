"""Scatter of clamp load within a joint and between joints, and the least of a set.

What all fasteners of a joint share (lubricant lot, wrench, procedure) is the **common** part; what
differs from one to the next is the **individual** part: ``F_i = F̄ (1 + C + e_i)``. The common part
does not show in the scatter of one joint: that scatter bounds the individual part only.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.words import words

LARGEST_SET = 10_000
MOST_SCATTER = 0.5
"""Largest relative standard deviation taken (ours): beyond, nothing was controlled."""

_REACH = 9.0  # standard deviations over which an expectation is integrated
_NODES = 1801


@lru_cache(maxsize=256)
def expected_minimum(count: int) -> float:
    """Return the expected smallest of n independent standard normal values.

    ``E[min] = −n ∫ z φ(z) Φ(z)^(n−1) dz``

    Parameters
    ----------
    count : int
        n, 1 to 10,000.

    Returns
    -------
    float
        In standard deviations from the mean; the expected largest is its opposite.

    Raises
    ------
    OutOfRange
        The count lies outside its range.

    References
    ----------
    Order statistics, from memory; −1.4236 for n = 8 agrees with printed tables.

    Examples
    --------
    >>> [round(expected_minimum(n), 3) for n in (2, 4, 8)]
    [-0.564, -1.029, -1.424]
    """
    n = _shapes.whole("count", count, low=1, high=LARGEST_SET)
    z = np.linspace(-_REACH, _REACH, _NODES)
    below = _normal_below(z)
    density = np.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi)
    return -n * float(np.sum(z * density * below ** (n - 1))) * float(z[1] - z[0])


def minimum_quantile(count: int, share: float) -> float:
    """Value that the smallest of n independent standard normal values does not exceed.

    ``z = Φ⁻¹[1 − (1 − p)^(1/n)]``

    Parameters
    ----------
    count : int
        n, 1 to 10,000.
    share : float
        Probability p, above 0 and below 1.

    Returns
    -------
    float
        In standard deviations from the mean.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Order statistics; derived.

    Examples
    --------
    >>> round(minimum_quantile(8, 0.05), 3)
    -2.49
    """
    n = _shapes.whole("count", count, low=1, high=LARGEST_SET)
    part = float(_checks.above("share", share))
    _checks.above("1 − share", 1.0 - part)
    return NormalDist().inv_cdf(-math.expm1(math.log1p(-part) / n))


@dataclass(frozen=True, slots=True)
class LeastClamp:
    """The loosest fastener of a joint.

    Parameters
    ----------
    expected : float
        Expected clamp load of it, N.
    p05, p50, p95 : float
        5 %, 50 % and 95 % points of it over many joints, N.
    """

    expected: float
    p05: float
    p50: float
    p95: float


def least_clamp(
    mean: float, *, count: int, common_u_rel: float, individual_u_rel: float
) -> LeastClamp:
    """Clamp load of the loosest fastener of a joint.

    Parameters
    ----------
    mean : float
        Mean clamp load over all joints, N.
    count : int
        Fasteners in the joint, 1 to 10,000.
    common_u_rel, individual_u_rel : float
        Relative standard deviations of what the fasteners share and of what they do not, 0 to 0.5.

    Returns
    -------
    LeastClamp

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Normal model ``F̄ (1 + C + e_i)``; derived, checked by Monte Carlo.

    Examples
    --------
    >>> found = least_clamp(25_000, count=8, common_u_rel=0.05, individual_u_rel=0.08)
    >>> print(f"{found.expected:.0f} N expected, {found.p05:.0f} N or less in 1 joint of 20")
    22153 N expected, 19218 N or less in 1 joint of 20
    """
    force = float(_checks.above("mean", mean, unit="N"))
    n = _shapes.whole("count", count, low=1, high=LARGEST_SET)
    together, alone = (
        _scatter("common_u_rel", common_u_rel),
        _scatter("individual_u_rel", individual_u_rel),
    )
    low, middle, high = (_least_quantile(n, together, alone, p) for p in (0.05, 0.5, 0.95))
    expected = 1.0 + alone * expected_minimum(n)
    return LeastClamp(force * expected, force * low, force * middle, force * high)


@dataclass(frozen=True, slots=True)
class ScatterParts:
    """Scatter split into what joints share and what fasteners have of their own.

    Parameters
    ----------
    mean : float
        Mean over all, in the unit of the data.
    common_u_rel : float
        Relative standard deviation between joints, beyond what the individual part explains.
    individual_u_rel : float
        Relative standard deviation within a joint.
    joints, fasteners : int
        How many of each stand behind it.
    """

    mean: float
    common_u_rel: float
    individual_u_rel: float
    joints: int
    fasteners: int


def split_scatter(joints: Sequence[ArrayLike]) -> ScatterParts:
    """Split measured clamp loads (or torques) of several joints into common and individual scatter.

    Parameters
    ----------
    joints : sequence of array_like
        One row per joint, 2 values or more in each; rows may differ in length.

    Returns
    -------
    ScatterParts
        The common part is 0 where the means differ no more than the individual part explains.

    Raises
    ------
    OutOfRange
        Fewer than 2 joints, a row of fewer than 2 values, or a mean not above 0.
    ClampwrightError
        A row is no row of numbers.

    References
    ----------
    One-way analysis of variance with random effects, from memory.

    Examples
    --------
    >>> found = split_scatter([[24.1, 25.0, 25.6], [27.9, 28.8, 28.2], [25.2, 26.1, 24.8]])
    >>> print(f"common {found.common_u_rel:.1%}, individual {found.individual_u_rel:.1%}")
    common 6.9%, individual 2.4%
    """
    rows = [_shapes.row("joint", values, least=2) for values in joints]
    if len(rows) < 2:
        raise OutOfRange(
            words("scatter between joints needs at least 2 joints, got {count}", count=len(rows)),
            value=float(len(rows)),
            low=2.0,
        )
    sizes = np.array([len(row) for row in rows], dtype=np.float64)
    everything = float(sizes.sum())
    mean = float(sum(row.sum() for row in rows)) / everything
    _checks.above("mean", mean)
    within = sum(float(((row - row.mean()) ** 2).sum()) for row in rows)
    within /= everything - len(rows)
    between = sum(len(row) * (float(row.mean()) - mean) ** 2 for row in rows) / (len(rows) - 1)
    size = (everything - float((sizes**2).sum()) / everything) / (len(rows) - 1)
    common = max(between - within, 0.0) / size
    return ScatterParts(
        mean=mean,
        common_u_rel=math.sqrt(common) / mean,
        individual_u_rel=math.sqrt(within) / mean,
        joints=len(rows),
        fasteners=int(everything),
    )


def clamp_factors(
    count: int, *, samples: int, common_u_rel: float, individual_u_rel: float, seed: int
) -> Floats:
    """Draw what each fastener of a joint gets over what was aimed at, joint by joint.

    Parameters
    ----------
    count : int
        Fasteners in the joint, 1 to 10,000.
    samples : int
        Joints to draw, 1 or more.
    common_u_rel, individual_u_rel : float
        Relative standard deviations, 0 to 0.5.
    seed : int
        The same seed gives the same samples; 0 or more.

    Returns
    -------
    ndarray, shape (samples, count)
        Log-normal factors with mean 1, for `clampwright.joint.passes`.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Log-normal because friction varies by factors and clamp load cannot be negative (ours).

    Examples
    --------
    >>> factors = clamp_factors(8, samples=2000, common_u_rel=0.05, individual_u_rel=0.08, seed=1)
    >>> factors.shape, round(float(factors.mean()), 2)
    ((2000, 8), 1.0)
    """
    n = _shapes.whole("count", count, low=1, high=LARGEST_SET)
    joints = _shapes.whole("samples", samples, low=1)
    together, alone = (
        math.sqrt(math.log1p(_scatter(name, value) ** 2))
        for name, value in (("common_u_rel", common_u_rel), ("individual_u_rel", individual_u_rel))
    )
    rng = np.random.default_rng(_shapes.whole("seed", seed, low=0))
    shared = together * rng.standard_normal((joints, 1))
    own = alone * rng.standard_normal((joints, n))
    return np.exp(shared + own - 0.5 * (together**2 + alone**2))


def _scatter(name: str, value: float) -> float:
    return float(_checks.within(name, value, low=0.0, high=MOST_SCATTER, source="ours"))


def _normal_below(z: Floats) -> Floats:
    return np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in z])


def _least_quantile(count: int, common: float, alone: float, share: float) -> float:
    """Return the point of 1 + C + e_min below which a share of joints lies."""
    if alone == 0.0:
        return 1.0 + common * NormalDist().inv_cdf(share)
    if common == 0.0:
        return 1.0 + alone * minimum_quantile(count, share)
    z = np.linspace(-_REACH, _REACH, 181)
    weight = np.exp(-0.5 * z**2)
    weight /= weight.sum()

    def below(x: float) -> float:
        over = _normal_below((common * z - x) / alone)  # chance that one fastener lies above
        return float(weight @ (1.0 - over**count))

    reach = _REACH * (common + alone)
    low, high = -reach, reach
    for _ in range(60):
        middle = 0.5 * (low + high)
        if below(middle) < share:
            low = middle
        else:
            high = middle
    return 1.0 + 0.5 * (low + high)
