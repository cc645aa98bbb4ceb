"""Quantiles, mean and spread of a quantity by quadrature: no random numbers, no sampling noise.

The inputs are independent standard normal variables. One of them, the inner one, is integrated
exactly: along it the quantity rises all the way, so that "the quantity is at most x" means "the
inner variable is at most z(x)", whose probability is known. What is left to integrate over the
other variables is smooth, and few nodes are enough. Taking the variable that matters most as the
inner one keeps it smooth.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from functools import lru_cache
from statistics import NormalDist
from typing import Any, NamedTuple

import numpy as np
from numpy.polynomial.hermite_e import hermegauss
from numpy.typing import NDArray

from clampwright.joint._checks import Floats

REACH = 4.8
"""The inner variable runs to ±4.8 standard deviations; 2 in 10⁶ lie beyond."""

INNER_STEPS, FEWER_STEPS = 72, 36
"""Steps of the inner variable: with a product of Gauss nodes, and with a lattice, whose own error
is larger (36, 48 and 72 steps were measured to give the same there)."""

PER_AXIS = {1: (40,), 2: (20, 14), 3: (8, 6, 5)}
"""Gauss nodes of each outer variable, by how many there are, the one that matters most first;
beyond, a lattice."""

FEW, MOST_AXES, FEW_POINTS = 3, 3, 32
"""Gauss nodes per variable, for how many, and points of the lattice beyond, see `few`."""

LATTICE_POINTS = 2048
LATTICE = (1, 182_667, 469_891, 498_753, 110_745, 446_247, 250_185, 118_627, 245_333, 283_199)
"""Generating vector of a rank-1 lattice (Cools, Kuo and Nuyens 2006, from memory). Its worth here
does not hang on memory: tests measure the error of what is computed with it."""

CLOSE = 1e-6
"""A quantile is found when its share is right to this, or its place to this part of itself."""

BENT = 8e-5
"""Straight lines between nodes may lead this far astray, relative, before they are refined."""

REFINED = 3  # rounds; each looks at every outer node once

TINY = 1e-300  # keeps a division alive

ALONE = 33  # Gauss nodes when one input varies alone


Again = Callable[[Floats], Floats]
Counts = NDArray[np.unsignedinteger[Any]]


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
        return _product(PER_AXIS[count])
    return Nodes(lattice(count, LATTICE_POINTS), np.full(LATTICE_POINTS, 1.0 / LATTICE_POINTS))


@lru_cache(maxsize=16)
def few(count: int) -> Nodes:
    """Return as few nodes for `count` outer variables as do where these hardly matter."""
    if count == 0:
        return outer(0)
    if count <= MOST_AXES:
        return _product((FEW,) * count)
    return Nodes(lattice(count, FEW_POINTS), np.full(FEW_POINTS, 1.0 / FEW_POINTS))


def inner(count: int = 0) -> Nodes:
    """Return nodes of the inner variable beside `count` outer ones, with weights for moments."""
    return evenly(INNER_STEPS if count <= MOST_AXES else FEWER_STEPS)


@lru_cache(maxsize=4)
def evenly(steps: int) -> Nodes:
    """Return evenly spaced nodes of the inner variable, with weights for mean and spread."""
    z = np.linspace(-REACH, REACH, steps + 1)
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
    rows = _nodes(values).weight
    mean = float(rows @ values @ weight)
    return mean, math.sqrt(max(0.0, float(rows @ (values - mean) ** 2 @ weight)))


def quantile(values: Floats, weight: Floats, share: float, again: Again | None = None) -> float:
    """Return the value that a given share of the distribution does not exceed.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
        The quantity on the nodes; it must not fall along the inner axis.
    weight : ndarray, shape (outer,)
        Weights of the outer nodes.
    share : float
        Between 0 and 1.
    again : callable, optional
        Gives the quantity at other places of the inner variable, one for each outer node. Where
        the quantity bends so much that straight lines between the nodes are not close enough, it
        is asked at the places that count.

    Returns
    -------
    float
    """
    z = _nodes(values).z
    # The share is passed, in each column, between these two rows; so in the mixture between the
    # least value of the one and the largest of the other.
    row = _row(share, z)
    low, high = float(values[row].min()), float(values[row + 1].max())
    steepness = (
        _density(z[row]) * _step(z) / max(float((values[row + 1] - values[row]) @ weight), TINY)
    )
    crossing = _Crossing(values, weight, share)
    x = _root(crossing.excess, low, high, guess=float(values[row] @ weight), slope=steepness)
    if again is None or crossing.bend(x) < BENT * abs(x):
        return x
    return _refined(crossing, x, again)


class _Crossing:
    """Where each column of a table of rising values passes a value, by straight lines."""

    def __init__(self, values: Floats, weight: Floats, share: float) -> None:
        self.values, self.weight, self.share = values, weight, share
        self.columns = np.arange(values.shape[1])
        self.z = _nodes(values).z
        self.last = len(values) - 2

    def cells(self, x: float) -> Counts:
        """Return in which cell of each column the value lies."""
        cell: Counts = (self.values[1:-1] <= x).sum(axis=0, dtype=np.uint8)
        return np.minimum(cell, np.uint8(self.last))

    def place(self, x: float) -> tuple[Counts, Floats]:
        """Return the cells and the places of the inner variable."""
        cell = self.cells(x)
        low, high = self.values[cell, self.columns], self.values[cell + 1, self.columns]
        return cell, self.z[cell] + _part(x, low, high) * _step(self.z)

    def excess(self, x: float) -> float:
        """Return how much more of the distribution than the share lies at or below a value."""
        return float(_probability(self.place(x)[1]) @ self.weight) - self.share

    def bend(self, x: float) -> float:
        """Return about how far straight lines lead astray at a value."""
        cell, z = self.place(x)
        near = np.clip(cell.astype(np.int16) + np.arange(-1, 3)[:, None], 0, self.last + 1)
        at = self.values[near, self.columns]
        rise = np.diff(at, axis=0)
        astray = np.abs(np.diff(rise, axis=0)).max(axis=0) / 8.0
        counts = self.weight * np.exp(-0.5 * z**2) / np.maximum(rise[1], TINY)
        return float(counts @ astray / counts.sum())


class _Lines(NamedTuple):
    """A straight line in each column: two places and the values there."""

    first: Floats
    last: Floats
    low: Floats
    high: Floats

    def place(self, x: float) -> Floats:
        return self.first + _part(x, self.low, self.high) * (self.last - self.first)

    def cut(self, x: float, z: Floats, at: Floats) -> _Lines:
        """Return the part on that side of a place with its value where x lies."""
        over = at > x
        return _Lines(
            np.where(over, self.first, z),
            np.where(over, z, self.last),
            np.where(over, self.low, at),
            np.where(over, at, self.high),
        )


def _refined(crossing: _Crossing, x: float, again: Again) -> float:
    """Ask the quantity itself where the straight lines put it, and draw shorter ones."""
    cell, z = crossing.place(x)
    values, columns, nodes = crossing.values, crossing.columns, crossing.z
    lines = _Lines(nodes[cell], nodes[cell + 1], values[cell, columns], values[cell + 1, columns])
    for _ in range(REFINED):
        at = again(z)
        off = float(np.abs(at - x).max())
        excess = _excess(lines, z, at, crossing)
        x = _root(excess, x - off, x + off, guess=x, slope=1.0 / max(off, TINY))
        lines = lines.cut(x, z, at)
        z = lines.place(x)
    return x


def _excess(lines: _Lines, z: Floats, at: Floats, crossing: _Crossing) -> Callable[[float], float]:
    """Return `_Crossing.excess` by lines that are cut at z, where the values are known."""

    def excess(x: float) -> float:
        share = float(_probability(lines.cut(x, z, at).place(x)) @ crossing.weight)
        return share - crossing.share

    return excess


def _part(x: float, low: Floats, high: Floats) -> Floats:
    """Return how far between two values another lies, 0 to 1."""
    width = high - low
    part = (x - low) / np.where(width > 0.0, width, 1.0)
    return np.minimum(np.maximum(part, 0.0), 1.0)


def slopes_near(values: Floats, share: float, count: int) -> list[float]:
    """Return how steep a quantity is where a share of the inner variable is passed.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
        Rising along the inner axis.
    share : float
        Between 0 and 1.
    count : int
        How many outer variables there are.

    Returns
    -------
    list of float
        Along the inner variable, then along each outer one, per standard deviation.
    """
    z, weight = outer(count)
    nodes = _nodes(values).z
    row = _row(share, nodes)
    rise = np.maximum(values[row + 1] - values[row], TINY)
    # The geometric mean: an inner variable that does nothing on some of the nodes is a poor one.
    inside = math.exp(float(np.log(rise) @ weight)) / _step(nodes)
    return [inside, *np.abs(z @ (values[row] * weight)).tolist()]


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
    z = _nodes(values).z
    at = _probability(z)
    inside = float(np.diff(at) @ (above[:-1] & above[1:]) @ weight)
    # Where a cell holds the crossing, the part of it on the upper side counts.
    cell, column = np.nonzero(above[:-1] != above[1:])
    first, last = over[cell, column], over[cell + 1, column]
    crossing = _probability(z[cell] + _step(z) * first / (first - last))
    part = np.where(last > 0.0, at[cell + 1] - crossing, crossing - at[cell])
    return min(1.0, (inside + float(part @ weight[column])) / float(at[-1] - at[0]))


def _nodes(values: Floats) -> Nodes:
    """Return the inner nodes that a table of values has rows for."""
    return evenly(len(values) - 1)


def _step(z: Floats) -> float:
    return 2.0 * REACH / (len(z) - 1)


def _product(counts: Sequence[int]) -> Nodes:
    rules = [_gauss(count) for count in counts]
    grids = np.meshgrid(*(rule.z for rule in rules), indexing="ij")
    weights = np.meshgrid(*(rule.weight for rule in rules), indexing="ij")
    return Nodes(np.array([g.ravel() for g in grids]), np.prod(weights, axis=0).ravel())


def level(values: Floats, weight: Floats, share: float) -> float:
    """Return the quantile of a quantity that may rise and fall along the inner axis, by halving.

    Parameters
    ----------
    values : ndarray, shape (inner, outer)
    weight : ndarray, shape (outer,)
    share : float
        Between 0 and 1.

    Returns
    -------
    float
    """
    low, high = float(values.min()), float(values.max())
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if share_above(values, middle, weight) > 1.0 - share else (
            low, middle)  # fmt: skip
    return 0.5 * (low + high)


def _row(share: float, z: Floats) -> int:
    return int((NormalDist().inv_cdf(share) + REACH) / _step(z))


def _gauss(count: int) -> Nodes:
    z, weight = hermegauss(count)
    return Nodes(z, weight / weight.sum())


@lru_cache(maxsize=16)
def lattice(count: int, points: int) -> Floats:
    """Return the points of a lattice, one row per variable; each runs through the same quantiles.

    They are not folded back on themselves: that made seven inputs worse (measured), for what is
    integrated has bends.

    Parameters
    ----------
    count : int
        Variables.
    points : int
        A power of 2, at most 2 to the power of 20.

    Returns
    -------
    ndarray, shape (count, points)
        Standard normal values.
    """
    inverse = NormalDist().inv_cdf
    levels = np.array([inverse((k + 0.5) / points) for k in range(points)])
    index = np.arange(points)
    generators = [LATTICE[k % len(LATTICE)] + 2 * (k // len(LATTICE)) for k in range(count)]
    return np.array([levels[index * g % points] for g in generators])


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
