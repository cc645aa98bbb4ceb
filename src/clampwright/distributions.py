"""Probabilities and quantiles of the normal, Student, chi-square, beta and F distributions.

Written with the standard library alone, so that an interval or a control limit needs no numerical
library. The incomplete beta and gamma functions are summed by continued fractions and series
(Abramowitz and Stegun, *Handbook of Mathematical Functions*, 26.5.8, 6.5.29 and 6.5.31, from
memory); quantiles are found by Newton's method kept between bounds. Tests hold every function
against a second library to 10 digits or better.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from clampwright.errors import OutOfRange
from clampwright.words import words

SMALLEST = 1e-300
"""Keeps the continued fractions from dividing by zero."""

LARGE = 30.0
"""From here on ln Γ(a + 1/2) − ln Γ(a) is taken from its series."""

NORMAL_FROM = 1e9
"""Degrees of freedom from which t and the normal distribution agree to eight digits."""

ROUNDS = 500
CLOSE = 1e-15
NEAR_ENOUGH = 1e-14


def normal_probability(z: float) -> float:
    """Share of a standard normal distribution that lies below `z`.

    Parameters
    ----------
    z : float

    Returns
    -------
    float

    References
    ----------
    Through the complementary error function, which keeps small tails exact.

    Examples
    --------
    >>> round(normal_probability(1.6448536), 6)
    0.95
    """
    return 0.5 * math.erfc(-z / math.sqrt(2.0))


def normal_quantile(p: float) -> float:
    """Return the value below which a share of a standard normal distribution lies.

    Parameters
    ----------
    p : float
        Above 0 and below 1.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        `p` is not between 0 and 1.

    References
    ----------
    Wichura, algorithm AS 241, as in the standard library.

    Examples
    --------
    >>> round(normal_quantile(0.975), 6)
    1.959964
    """
    from statistics import NormalDist  # noqa: PLC0415 - loads decimal and random, only when used

    return NormalDist().inv_cdf(_share(p))


def t_probability(t: float, dof: float) -> float:
    """Share of Student's t distribution that lies below `t`.

    Parameters
    ----------
    t : float
    dof : float
        Degrees of freedom, above 0; need not be whole.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        `dof` is not above 0.

    Examples
    --------
    >>> round(t_probability(2.776445, 4), 6)
    0.975
    """
    dof = _positive("dof", dof)
    if math.isnan(t):
        raise OutOfRange(words("t is nan; it must be a number"), value=t)
    if dof >= NORMAL_FROM:
        return normal_probability(t)
    # The nearer of the two arguments of the beta function keeps the digits of a small tail.
    square = t * t
    part, rest = square / (dof + square), dof / (dof + square)
    if square < dof and abs(t) < 1.0:
        middle = 0.5 * _beta_share(part, rest, 0.5, dof / 2.0)
        return 0.5 + math.copysign(middle, t)
    tail = 0.5 * _beta_share(rest, part, dof / 2.0, 0.5)
    return 1.0 - tail if t > 0.0 else tail


def t_quantile(p: float, dof: float) -> float:
    """Return the value below which a share of Student's t distribution lies.

    Parameters
    ----------
    p : float
        Above 0 and below 1.
    dof : float
        Degrees of freedom, above 0; need not be whole, and may be infinite (normal distribution).

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    Examples
    --------
    >>> round(t_quantile(0.975, 4), 4)
    2.7764
    """
    p, dof = _share(p), _positive("dof", dof)
    if dof >= NORMAL_FROM:
        return normal_quantile(p)
    if p == 0.5:
        return 0.0
    if p > 0.5:
        return -t_quantile(1.0 - p, dof)
    low = -1.0
    while t_probability(low, dof) > p:
        low *= 2.0
    scale = _half_step(dof / 2.0) - 0.5 * math.log(dof * math.pi)

    def density(t: float) -> float:
        return math.exp(scale - (dof + 1.0) / 2.0 * math.log1p(t * t / dof))

    return _root(lambda t: t_probability(t, dof) - p, density, low, 0.0)


def coverage_factor(coverage: float, dof: float) -> float:
    """Return how many standard uncertainties cover a share of the values on both sides.

    Parameters
    ----------
    coverage : float
        Above 0 and below 1, such as 0.95.
    dof : float
        Effective degrees of freedom, above 0, or infinite.

    Returns
    -------
    float
        t_p(ν).

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    JCGM 100:2008, G.3 (from memory).

    Examples
    --------
    >>> round(coverage_factor(0.99, 16), 2)
    2.92
    """
    return t_quantile(0.5 + 0.5 * _share(coverage), dof)


def chi_square_probability(x: float, dof: float) -> float:
    """Share of a chi-square distribution that lies below `x`.

    Parameters
    ----------
    x : float
    dof : float
        Degrees of freedom, above 0.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        `dof` is not above 0.

    Examples
    --------
    >>> round(chi_square_probability(9.487729, 4), 6)
    0.95
    """
    half = _positive("dof", dof) / 2.0
    if x <= 0.0:
        return 0.0
    x = x / 2.0
    front = math.exp(half * math.log(x) - x - math.lgamma(half))
    if x < half + 1.0:
        term = total = 1.0 / half
        for step in range(1, ROUNDS * 20):
            term *= x / (half + step)
            total += term
            if term < CLOSE * total:
                break
        return front * total
    return 1.0 - front * _gamma_fraction(half, x)


def chi_square_quantile(p: float, dof: float) -> float:
    """Return the value below which a share of a chi-square distribution lies.

    Parameters
    ----------
    p : float
        Above 0 and below 1.
    dof : float
        Degrees of freedom, above 0.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    Examples
    --------
    >>> round(chi_square_quantile(0.95, 4), 4)
    9.4877
    """
    p, dof = _share(p), _positive("dof", dof)
    high = dof + 1.0
    while chi_square_probability(high, dof) < p:
        high *= 2.0
    half = dof / 2.0

    def density(x: float) -> float:
        if x <= 0.0:
            return 0.0
        return 0.5 * math.exp((half - 1.0) * math.log(x / 2.0) - x / 2.0 - math.lgamma(half))

    return _root(lambda x: chi_square_probability(x, dof) - p, density, 0.0, high)


def beta_probability(x: float, a: float, b: float) -> float:
    """Share of a beta distribution that lies below `x` (regularised incomplete beta function).

    Parameters
    ----------
    x : float
    a, b : float
        Shape, above 0.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        `a` or `b` is not above 0.

    Examples
    --------
    >>> beta_probability(0.5, 2, 2)
    0.5
    """
    a, b = _positive("a", a), _positive("b", b)
    if x <= 0.0:
        return 0.0
    if x >= 1.0:
        return 1.0
    return _beta_share(x, 1.0 - x, a, b)


def beta_quantile(p: float, a: float, b: float) -> float:
    """Return the value below which a share of a beta distribution lies.

    Parameters
    ----------
    p : float
        Above 0 and below 1.
    a, b : float
        Shape, above 0.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    Examples
    --------
    >>> round(beta_quantile(0.025, 46, 5), 6)
    0.807657
    """
    p, a, b = _share(p), _positive("a", a), _positive("b", b)
    scale = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b)

    def density(x: float) -> float:
        if not 0.0 < x < 1.0:
            return 0.0
        return math.exp(scale + (a - 1.0) * math.log(x) + (b - 1.0) * math.log1p(-x))

    return _root(lambda x: beta_probability(x, a, b) - p, density, 0.0, 1.0)


def f_probability(f: float, dof_above: float, dof_below: float) -> float:
    """Share of an F distribution that lies below `f`.

    Parameters
    ----------
    f : float
        Ratio of two variances.
    dof_above, dof_below : float
        Degrees of freedom of the numerator and the denominator, above 0.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        A number of degrees of freedom is not above 0.

    Examples
    --------
    >>> round(f_probability(3.354131, 2, 27), 6)
    0.95
    """
    above, below = _positive("dof_above", dof_above), _positive("dof_below", dof_below)
    if f <= 0.0:
        return 0.0
    return beta_probability(above * f / (above * f + below), above / 2.0, below / 2.0)


def _beta_share(x: float, rest: float, a: float, b: float) -> float:
    """Return the incomplete beta function from x and 1 − x, each with all its digits."""
    if x == 0.0:
        return 0.0
    log_x = math.log(x) if x < 0.5 else math.log1p(-rest)
    log_rest = math.log(rest) if rest < 0.5 else math.log1p(-x)
    front = math.exp(a * log_x + b * log_rest - _log_beta(a, b))
    if x < (a + 1.0) / (a + b + 2.0):
        return front * _beta_fraction(x, a, b) / a
    return 1.0 - front * _beta_fraction(rest, b, a) / b


def _log_beta(a: float, b: float) -> float:
    if 0.5 in (a, b):
        return math.lgamma(0.5) - _half_step(b if a == 0.5 else a)
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _half_step(a: float) -> float:
    """Return ln Γ(a + 1/2) − ln Γ(a); two large logarithms would lose digits to each other."""
    if a < LARGE:
        return math.lgamma(a + 0.5) - math.lgamma(a)
    w = 1.0 / a**2
    series = -1.0 / 8.0 + w * (1.0 / 192.0 + w * (-1.0 / 640.0 + w * 17.0 / 14336.0))
    return 0.5 * math.log(a) + series / a


def _beta_fraction(x: float, a: float, b: float) -> float:
    """Sum the continued fraction of the incomplete beta function by Lentz's method."""
    c, d = 1.0, _not_zero(1.0 - (a + b) * x / (a + 1.0))
    d = 1.0 / d
    value = d
    for m in range(1, ROUNDS * 20):
        even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0))
        for part in (even, odd):
            d = 1.0 / _not_zero(1.0 + part * d)
            c = _not_zero(1.0 + part / c)
            value *= d * c
        if abs(d * c - 1.0) < CLOSE:
            break
    return value


def _gamma_fraction(a: float, x: float) -> float:
    """Sum the continued fraction of the upper incomplete gamma function by Lentz's method."""
    b = x + 1.0 - a
    c, d = 1.0 / SMALLEST, 1.0 / _not_zero(b)
    value = d
    for step in range(1, ROUNDS * 20):
        part = -step * (step - a)
        b += 2.0
        d = 1.0 / _not_zero(part * d + b)
        c = _not_zero(b + part / c)
        value *= d * c
        if abs(d * c - 1.0) < CLOSE:
            break
    return value


def _not_zero(value: float) -> float:
    return value if abs(value) > SMALLEST else SMALLEST


def _root(
    excess: Callable[[float], float], slope: Callable[[float], float], low: float, high: float
) -> float:
    """Find where a rising function is zero: Newton's method, halving where it would leave."""
    x = 0.5 * (low + high)
    for _ in range(ROUNDS):
        off = excess(x)
        if off == 0.0:
            return x
        low, high = (x, high) if off < 0.0 else (low, x)
        steep = slope(x)
        step = x - off / steep if steep > 0.0 else math.nan
        new = step if low < step < high else 0.5 * (low + high)
        if abs(new - x) <= NEAR_ENOUGH * abs(new):
            return new
        x = new
    return x


def _share(p: float) -> float:
    if not 0.0 < p < 1.0:
        raise OutOfRange(
            words("a share of {p:g} has no quantile; it must lie between 0 and 1", p=p),
            value=p,
            low=0.0,
            high=1.0,
        )
    return p


def _positive(name: str, value: float) -> float:
    if not value > 0.0:
        raise OutOfRange(
            words("{name} is {value:g}; it must be greater than 0", name=name, value=value),
            value=value,
            low=0.0,
        )
    return float(value)
