"""Quantiles, mean and spread of a quantity by quadrature: no random numbers, no sampling noise.

The inputs are independent standard normal variables. One of them, the inner one, is integrated
exactly: along it the quantity rises all the way, so that "the quantity is at most x" means "the
inner variable is at most z(x)", whose probability is known. What is left to integrate over the
other variables is smooth, and few nodes are enough. Taking the variable that matters most as the
inner one keeps it smooth.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np
from numpy.polynomial.hermite_e import hermegauss

from clampwright.joint._checks import Floats

REACH = 4.8
"""The inner variable runs to ±4.8 standard deviations; 2 in 10⁶ lie beyond."""

INNER_STEPS = 72
PER_AXIS = {1: 40, 2: 16, 3: 8}
"""Gauss nodes per outer variable, by how many there are; beyond, a lattice."""

LATTICE_POINTS = 1024
LATTICE = (1, 182_667, 469_891, 498_753, 110_745, 446_247, 250_185, 118_627, 245_333, 283_199)
"""Generating vector of a rank-1 lattice (Cools, Kuo and Nuyens 2006, from memory). Its worth here
does not hang on memory: tests measure the error of what is computed with it."""

CLOSE = 1e-7
"""A quantile is found when its share is right to this, or its place to this part of itself."""

TINY = 1e-300  # keeps a division alive

ALONE = 33  # Gauss nodes when one input varies alone


class Nodes(NamedTuple):
    """Points and weights of the outer variables: ``z`` has one row per variable."""

    z: Floats
    weight: Floats


@lru_cache(maxsize=16)
def alone() -> Nodes:
    """Return nodes for one variable varying alone; the middle one is 0."""
    return _gauss(ALONE)


@lru_cache(maxsize=16)
def outer(count: int) -> Nodes:
    """Return nodes for `count` outer variables."""
    if count == 0:
        return Nodes(np.zeros((0, 1)), np.ones(1))
    if count in PER_AXIS:
        z, weight = _gauss(PER_AXIS[count])
        grids = np.meshgrid(*[z] * count, indexing="ij")
        weights = np.meshgrid(*[weight] * count, indexing="ij")
        return Nodes(np.array([g.ravel() for g in grids]), np.prod(weights, axis=0).ravel())
    return Nodes(_lattice(count), np.full(LATTICE_POINTS, 1.0 / LATTICE_POINTS))


@lru_cache(maxsize=1)
def inner() -> Nodes:
    """Return evenly spaced nodes of the inner variable, with weights for mean and spread."""
    z = np.linspace(-REACH, REACH, INNER_STEPS + 1)
    weight = np.exp(-0.5 * z**2)
    return Nodes(z, weight / weight.sum())


def moments(values: Floats, weight: Floats) -> tuple[float, float]:
    """Return mean and standard deviation of values on inner (rows) and outer (columns) nodes.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
    weight : ndarray, shape (outer,)

    Returns
    -------
    tuple of float
    """
    rows = inner().weight
    mean = float(rows @ values @ weight)
    return mean, math.sqrt(max(0.0, float(rows @ (values - mean) ** 2 @ weight)))


def quantile(values: Floats, weight: Floats, share: float) -> float:
    """Return the value that a given share of the distribution does not exceed.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
        The quantity on the nodes; it must not fall along the inner axis.
    weight : ndarray, shape (outer,)
        Weights of the outer nodes.
    share : float
        Between 0 and 1.

    Returns
    -------
    float
    """
    columns = np.arange(values.shape[1])
    z = inner().z

    def excess(x: float) -> float:
        cell = np.minimum((values[1:-1] <= x).sum(axis=0, dtype=np.uint8), INNER_STEPS - 1)
        low, high = values[cell, columns], values[cell + 1, columns]
        width = high - low
        part = (x - low) / np.where(width > 0.0, width, 1.0)
        part = np.minimum(np.maximum(part, 0.0), 1.0)
        return float(_probability(z[cell] + part * _STEP) @ weight) - share

    # The share is passed, in each column, between these two rows; so in the mixture between the
    # least value of the one and the largest of the other.
    row = int((NormalDist().inv_cdf(share) + REACH) / _STEP)
    low, high = float(values[row].min()), float(values[row + 1].max())
    steepness = (
        _density(z[row]) * _STEP / max(float((values[row + 1] - values[row]) @ weight), TINY)
    )
    return _root(excess, low, high, guess=float(values[row] @ weight), slope=steepness)


def share_above(values: Floats, limit: float, weight: Floats) -> float:
    """Return the probability that a quantity exceeds a limit; it may rise and fall.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
    limit : float
    weight : ndarray, shape (outer,)

    Returns
    -------
    float
    """
    over = values - limit
    above = over > 0.0
    if not above.any():
        return 0.0
    z, at = inner().z, _probability(inner().z)
    inside = float(np.diff(at) @ (above[:-1] & above[1:]) @ weight)
    # Where a cell holds the crossing, the part of it on the upper side counts.
    cell, column = np.nonzero(above[:-1] != above[1:])
    first, last = over[cell, column], over[cell + 1, column]
    crossing = _probability(z[cell] + _STEP * first / (first - last))
    part = np.where(last > 0.0, at[cell + 1] - crossing, crossing - at[cell])
    return min(1.0, (inside + float(part @ weight[column])) / float(at[-1] - at[0]))


_STEP = 2.0 * REACH / INNER_STEPS


def _gauss(count: int) -> Nodes:
    z, weight = hermegauss(count)
    return Nodes(z, weight / weight.sum())


def _lattice(count: int) -> Floats:
    """Return the lattice's points; each coordinate runs through the same normal quantiles."""
    inverse = NormalDist().inv_cdf
    folded = [(2 * k + 1) / LATTICE_POINTS for k in range(LATTICE_POINTS // 2)]
    half = [inverse(share) for share in folded]
    levels = np.array([*half, *reversed(half)])  # folding makes the integrand periodic
    index = np.arange(LATTICE_POINTS)
    generators = [LATTICE[k % len(LATTICE)] + 2 * (k // len(LATTICE)) for k in range(count)]
    return np.array([levels[index * g % LATTICE_POINTS] for g in generators])


@lru_cache(maxsize=1)
def _table() -> tuple[Floats, Floats]:
    z = np.linspace(-REACH, REACH, 8001)
    return z, np.array([0.5 * math.erfc(-x / math.sqrt(2.0)) for x in z])


def _probability(z: Floats) -> Floats:
    """Return the standard normal distribution function by a table; error below 2e-7."""
    return np.interp(z, *_table())


def _density(z: float) -> float:
    return math.exp(-0.5 * z**2) / math.sqrt(2.0 * math.pi)


def _root(
    excess: Callable[[float], float], low: float, high: float, *, guess: float, slope: float
) -> float:
    """Find where a rising function passes zero: secants, kept inside the limits by halving."""
    x, at = guess, excess(guess)
    for _ in range(80):
        if at < 0.0:
            low = x
        else:
            high = x
        if abs(at) < CLOSE or high - low <= CLOSE * abs(high):
            break
        following = x - at / slope
        if not low < following < high:
            following = (low + high) / 2.0
        after = excess(following)
        if after != at:
            slope = max((after - at) / (following - x), TINY)
        x, at = following, after
    return x
