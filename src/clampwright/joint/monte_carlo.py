"""How uncertain inputs make an uncertain result: by sampling (supplement 1 to the GUM)."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.propagation import Model, checked_correlation
from clampwright.joint.uncertain import Distribution, LogNormal, Normal
from clampwright.words import words

FEWEST, MOST = 1_000, 20_000_000
"""Samples: fewer say nothing about ends of an interval, more do not fit in memory (ours)."""


@dataclass(frozen=True, slots=True)
class Sampled:
    """Samples of a result.

    Parameters
    ----------
    values : ndarray, shape (samples,)
        In the order they were drawn.
    """

    values: Floats

    @property
    def value(self) -> float:
        """Mean."""
        return float(self.values.mean())

    @property
    def u(self) -> float:
        """Standard deviation."""
        return float(self.values.std(ddof=1))

    def quantile(self, share: float) -> float:
        """Return the value that a share of the samples does not exceed.

        Parameters
        ----------
        share : float
            0 to 1.

        Returns
        -------
        float
        """
        part = float(_checks.within("share", share, low=0.0, high=1.0, source="a share"))
        return float(np.quantile(self.values, part))

    def symmetric(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the interval that leaves as many samples below as above.

        Parameters
        ----------
        coverage : float
            Above 0 and below 1.

        Returns
        -------
        tuple of float

        References
        ----------
        JCGM 101:2008, 7.7 (from memory).
        """
        tail = 0.5 * (1.0 - _coverage(coverage))
        low, high = np.quantile(self.values, (tail, 1.0 - tail))
        return float(low), float(high)

    def shortest(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the shortest interval that holds a share of the samples.

        Parameters
        ----------
        coverage : float
            Above 0 and below 1.

        Returns
        -------
        tuple of float
            Its width is steady; its place wobbles with the samples more than that of the
            symmetric interval.

        References
        ----------
        JCGM 101:2008, 7.7.3 (from memory).
        """
        ordered = np.sort(self.values)
        inside = math.floor(_coverage(coverage) * len(ordered) + 0.5)
        inside = min(max(inside, 1), len(ordered) - 1)
        width = ordered[inside:] - ordered[: len(ordered) - inside]
        first = int(np.argmin(width))
        return float(ordered[first]), float(ordered[first + inside])


def monte_carlo(
    model: Model,
    inputs: Mapping[str, Distribution],
    *,
    seed: int,
    samples: int = 1_000_000,
    correlation: ArrayLike | None = None,
) -> Sampled:
    """Draw samples of a model's result.

    Parameters
    ----------
    model : callable
        Takes an array of samples for each input by name, returns an array.
    inputs : mapping of str to Distribution
    seed : int
        The same seed gives the same samples; 0 or more.
    samples : int
        1,000 to 20 million.
    correlation : array_like, shape (n, n), optional
        Correlation matrix in the order of the inputs (of the logarithms for log-normal ones);
        for `Normal` and `LogNormal` inputs only.

    Returns
    -------
    Sampled

    Raises
    ------
    Missing
        There is no input.
    OutOfRange
        As the model; a number of samples outside its limits; a correlation outside −1 to 1.
    ClampwrightError
        The matrix is no correlation matrix, belongs to other distributions, or the model does not
        give one result per sample.

    References
    ----------
    JCGM 101:2008, clauses 6 and 7 (from memory).

    Examples
    --------
    >>> from clampwright.joint.uncertain import Rectangular
    >>> four = {name: Rectangular(-3**0.5, 3**0.5) for name in "abcd"}
    >>> found = monte_carlo(lambda a, b, c, d: a + b + c + d, four, seed=1, samples=100_000)
    >>> print(f"u {found.u:.2f}")
    u 2.00
    """
    if not inputs:
        raise Missing(words("a model needs at least one uncertain input"), "inputs")
    count = _shapes.whole("samples", samples, low=FEWEST, high=MOST)
    rng = np.random.default_rng(_shapes.whole("seed", seed, low=0))
    drawn = (
        {name: given.sample(rng, count) for name, given in inputs.items()}
        if correlation is None
        else _correlated(inputs, correlation, rng, count)
    )
    found = _checks.number("the model's result", model(**drawn))
    if found.shape != (count,):
        raise ClampwrightError(
            words(
                "the model must give one result for each of {count} samples, not shape {shape}",
                count=count,
                shape=str(found.shape),
            )
        )
    return Sampled(found)


def numerical_tolerance(u: float, *, digits: int = 2) -> float:
    """Half a unit of the last significant digit of a standard uncertainty.

    Parameters
    ----------
    u : float
        Above 0.
    digits : int
        Significant digits that matter, 1 or 2.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    JCGM 101:2008, 7.9.2 (from memory).

    Examples
    --------
    >>> numerical_tolerance(0.0539, digits=1)
    0.005
    """
    size = float(_checks.above("u", u))
    places = _shapes.whole("digits", digits, low=1, high=2)
    exponent = math.floor(math.log10(size)) - places + 1
    # Rounding may carry into the next place: 0.0996 to two digits is 0.10.
    if round(size / 10.0**exponent) >= 10**places:
        exponent += 1
    return float(f"5e{exponent - 1}")


def law_validated(
    law: tuple[float, float], sampled: tuple[float, float], *, u: float, digits: int = 2
) -> bool:
    """Tell whether the law of propagation may be used, by comparing intervals with Monte Carlo.

    Parameters
    ----------
    law, sampled : tuple of float
        Ends of the coverage interval by the law and by sampling.
    u : float
        Standard uncertainty, above 0.
    digits : int
        Significant digits that matter, 1 or 2.

    Returns
    -------
    bool
        True if both ends agree to half of u's last digit.

    Raises
    ------
    OutOfRange
        As `numerical_tolerance`, or an end is NaN.

    References
    ----------
    JCGM 101:2008, clause 8 (from memory).

    Examples
    --------
    >>> law_validated((1.1285, 1.3395), (1.0834, 1.3825), u=0.0539, digits=1)
    False
    """
    tolerance = numerical_tolerance(u, digits=digits)
    apart = np.abs(_checks.number("law", law) - _checks.number("sampled", sampled))
    return bool((apart <= tolerance).all())


def _coverage(coverage: float) -> float:
    part = float(_checks.above("coverage", coverage))
    _checks.above("1 − coverage", 1.0 - part)
    return part


def _correlated(
    inputs: Mapping[str, Distribution],
    correlation: ArrayLike,
    rng: np.random.Generator,
    count: int,
) -> dict[str, Floats]:
    r = checked_correlation(correlation, len(inputs))
    # By eigenvalues: full correlation has no Cholesky factor.
    values, vectors = np.linalg.eigh(r)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    z = root @ rng.standard_normal((len(inputs), count))
    drawn = {}
    for (name, given), row in zip(inputs.items(), z, strict=True):
        if not isinstance(given, Normal | LogNormal):
            raise ClampwrightError(
                words(
                    "{name} is correlated but neither normal nor log-normal;"
                    " correlated samples are drawn of those only",
                    name=name,
                )
            )
        drawn[name] = given.from_normal(row)
    return drawn
