"""Mean, standard deviation and autocorrelation of a row of results without loss of digits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from numpy.typing import ArrayLike

from clampwright.drawer.metrology import _inputs


@dataclass(frozen=True, slots=True)
class Summary:
    """A row of results in three numbers.

    Parameters
    ----------
    n : int
    mean : float
    s : float
        Standard deviation, n − 1 below.
    autocorrelation : float
        Lag 1: near 0 where results follow each other by chance, near 1 where they drift. NaN where
        nothing scatters.
    """

    n: int
    mean: float
    s: float
    autocorrelation: float

    @property
    def u_mean(self) -> float:
        """Standard uncertainty of the mean (type A), s/√n."""
        return self.s / math.sqrt(self.n)


def summary(values: ArrayLike) -> Summary:
    """Summarise a row of results.

    ``r1 = Σ (x_i − x̄)(x_(i+1) − x̄) / Σ (x_i − x̄)²``

    Parameters
    ----------
    values : array_like, shape (n,), n at least 2
        Results in the order of time, one unit.

    Returns
    -------
    Summary

    Raises
    ------
    OutOfRange
        Fewer than two results, or one that is not finite.

    Notes
    -----
    Two passes with exactly rounded sums. The short form Σx² − n x̄² would lose every digit of the
    scatter where the mean is large beside it.

    References
    ----------
    Definitions as in NIST Statistical Reference Datasets, univariate summary statistics.

    Examples
    --------
    >>> found = summary([10000001, 10000003, 10000002])
    >>> found.mean, found.s, found.autocorrelation
    (10000002.0, 1.0, -0.5)
    """
    row = _inputs.readings("values", values, least=2).tolist()
    n = len(row)
    mean = math.fsum(row) / n
    gaps = [x - mean for x in row]
    # The last term takes out what rounding of the mean left in the gaps.
    total = math.fsum(gap * gap for gap in gaps) - math.fsum(gaps) ** 2 / n
    lag = math.fsum(a * b for a, b in pairwise(gaps))
    return Summary(n, mean, math.sqrt(total / (n - 1)), lag / total if total > 0.0 else math.nan)
