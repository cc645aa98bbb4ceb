"""Partial pooling of groups: what each group says, drawn towards what all of them say.

One-way model with random effects: a value of group i is ``θ_i`` plus scatter of variance ``σ²``,
and the groups' own means ``θ_i`` scatter with variance ``τ²`` about a common mean. The variances
are those of restricted maximum likelihood; a group's mean is then drawn towards the common one the
more, the fewer values it has (best linear unbiased prediction).

References
----------
Robinson, "That BLUP is a good thing", Statistical Science 6 (1991) 15; Searle, Casella and
McCulloch, *Variance Components* (1992), chapters 3, 4 and 7; both from memory. The explanation is
in ``docs/explanation/how-workshops-are-pooled.md``.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import OutOfRange
from clampwright.words import words

COVERAGE_FACTOR = 1.959963984540054
"""Of 95 % of a normal distribution."""
_STEPS = 97
_WIDEST = 1e6
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0
_CLOSE = 1e-10


@dataclass(frozen=True, slots=True)
class Group:
    """Values of one group, as far as they matter.

    Parameters
    ----------
    count : int
        1 or more.
    mean : float
    squares : float
        Sum of the squared distances from `mean`.
    """

    count: int
    mean: float
    squares: float = 0.0


def group_of(values: Iterable[float]) -> Group:
    """Gather the values of a group, one after the other.

    Parameters
    ----------
    values : iterable of float
        At least one.

    Returns
    -------
    Group

    References
    ----------
    Welford, Technometrics 4 (1962) 419, from memory.

    Examples
    --------
    >>> group_of([1.0, 2.0, 6.0])
    Group(count=3, mean=3.0, squares=14.0)
    """
    count, mean, squares = 0, 0.0, 0.0
    for value in values:
        count += 1
        off = value - mean
        mean += off / count
        squares += off * (value - mean)
    return Group(count, mean, squares)


@dataclass(frozen=True, slots=True)
class Drawn:
    """A group after pooling.

    Parameters
    ----------
    own : float
        Mean of its own values.
    weight : float
        Share of its own mean in `mean`; the rest is the common one.
    mean : float
    u : float
        Standard uncertainty of `mean`, that of the common mean included.
    """

    own: float
    weight: float
    mean: float
    u: float

    @property
    def interval(self) -> tuple[float, float]:
        """Within it the group's true mean lies, 19 times in 20."""
        half = COVERAGE_FACTOR * self.u
        return self.mean - half, self.mean + half


@dataclass(frozen=True, slots=True)
class Pooled:
    """What groups have in common, and each of them after pooling.

    Parameters
    ----------
    mean, u_mean : float
        Common mean and its standard uncertainty.
    between : float
        τ, standard deviation from group to group.
    within : float
        σ, standard deviation inside a group.
    groups : tuple of Drawn
        In the order they were given.
    values : int
    """

    mean: float
    u_mean: float
    between: float
    within: float
    groups: tuple[Drawn, ...]
    values: int

    @property
    def next_group(self) -> tuple[float, float]:
        """Where one value of a group that was never seen lies, 19 times in 20."""
        half = COVERAGE_FACTOR * math.hypot(self.u_mean, self.between, self.within)
        return self.mean - half, self.mean + half


def pooled(groups: Sequence[Group]) -> Pooled:
    """Pool groups.

    Parameters
    ----------
    groups : sequence of Group
        At least 2, and at least one of them with 2 values or more.

    Returns
    -------
    Pooled

    Raises
    ------
    OutOfRange
        Too few groups, no group with two values, or values that do not scatter at all.

    Notes
    -----
    The uncertainties take the two variances as known; with few groups they are too small.

    Examples
    --------
    >>> found = pooled([Group(5, 10.0, 8.0), Group(5, 12.0, 8.0), Group(5, 17.0, 8.0)])
    >>> print(f"{found.mean:.3f} {found.between:.3f} {found.within:.3f}")
    13.000 3.550 1.414
    >>> [round(one.mean, 3) for one in found.groups]
    [10.092, 12.031, 16.877]
    """
    n = np.array([one.count for one in groups], np.float64)
    y = np.array([one.mean for one in groups])
    inside = math.fsum(one.squares for one in groups)
    if len(groups) < 2 or n.sum() <= len(groups):
        raise OutOfRange(
            words(
                "{groups} groups with {values} values are too few to pool: at least two groups, "
                "and one of them with two values",
                groups=len(groups),
                values=int(n.sum()),
            ),
            value=float(len(groups)),
            low=2.0,
        )
    if inside <= 0.0 and float(np.ptp(y)) == 0.0:
        raise OutOfRange(words("all values are the same; there is nothing to pool"), value=0.0)
    fit = _Fit(n, y, inside)
    ratio = fit.best()
    weights, mean, variance = fit.at(ratio)
    within, between = variance, ratio * variance
    u_mean = math.sqrt(variance / float(weights.sum()))
    share = ratio * n / (1.0 + ratio * n)
    drawn = mean + share * (y - mean)
    u = np.sqrt(between * (1.0 - share) + (1.0 - share) ** 2 * u_mean**2)
    rows = zip(y.tolist(), share.tolist(), drawn.tolist(), u.tolist(), strict=True)
    return Pooled(
        mean,
        u_mean,
        math.sqrt(between),
        math.sqrt(within),
        tuple(Drawn(*row) for row in rows),
        int(n.sum()),
    )


class _Fit:
    """Restricted likelihood over the ratio of the variances, τ²/σ²."""

    def __init__(self, n: np.ndarray, y: np.ndarray, inside: float) -> None:
        self._n, self._y, self._inside = n, y, inside
        self._dof = float(n.sum()) - 1.0

    def at(self, ratio: float) -> tuple[np.ndarray, float, float]:
        """Return the groups' weights, the common mean and σ² at a ratio."""
        weights = self._n / (1.0 + ratio * self._n)
        mean = float(weights @ self._y / weights.sum())
        square = self._inside + float(weights @ (self._y - mean) ** 2)
        return weights, mean, square / self._dof

    def loss(self, ratio: float) -> float:
        """Minus twice the logarithm of the restricted likelihood, but for a constant."""
        weights, _mean, variance = self.at(ratio)
        if variance <= 0.0:
            return math.inf
        spread = float(np.log1p(ratio * self._n).sum())
        return self._dof * math.log(variance) + spread + math.log(float(weights.sum()))

    def best(self) -> float:
        """Return the ratio with the largest likelihood; 0 where the groups do not differ."""
        if self._inside <= 0.0:
            return _WIDEST
        tried = [0.0, *np.geomspace(1.0 / _WIDEST, _WIDEST, _STEPS).tolist()]
        losses = [self.loss(ratio) for ratio in tried]
        place = int(np.argmin(losses))
        if place == 0:
            return 0.0
        low, high = math.log(max(tried[place - 1], 1e-9)), math.log(tried[min(place + 1, _STEPS)])
        found = math.exp(self._narrowed(low, high))
        return found if self.loss(found) < losses[0] else 0.0

    def _narrowed(self, low: float, high: float) -> float:
        """Narrow down by golden sections."""
        a, b = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
        at_a, at_b = self.loss(math.exp(a)), self.loss(math.exp(b))
        while high - low > _CLOSE:
            if at_a < at_b:
                high, b, at_b = b, a, at_a
                a = high - _GOLDEN * (high - low)
                at_a = self.loss(math.exp(a))
            else:
                low, a, at_a = a, b, at_b
                b = low + _GOLDEN * (high - low)
                at_b = self.loss(math.exp(b))
        return (low + high) / 2.0
