"""One tool against another: normalized error, pulls in pairs, limits of agreement.

A statistically significant difference may be of no importance, and an important one may be hidden
in scatter: every result carries its interval, to be held against what the joint can bear.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import t_probability, t_quantile
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import words

Importance = Literal["negligible", "important", "not known"]


def normalized_error(
    value: ArrayLike,
    *,
    U: ArrayLike,
    reference: ArrayLike,
    U_reference: ArrayLike,
    correlation: ArrayLike = 0.0,
) -> Floats:
    """Difference of two results over its expanded uncertainty.

    ``E_n = (x − x_ref) / √(U² + U_ref² − 2 r U U_ref)``

    Parameters
    ----------
    value, reference : array_like
        The two results, same unit.
    U, U_reference : array_like
        Their *expanded* uncertainties (k = 2), same unit; above 0.
    correlation : array_like
        Between the two, −1 to 1: above 0 where both rest on the same device.

    Returns
    -------
    float or ndarray
        |E_n| at most 1 is satisfactory. A tool with a large U passes anything: ask also that U
        is small against the tolerance.

    Raises
    ------
    OutOfRange
        An uncertainty is not above 0, or the correlation leaves no uncertainty at all.

    References
    ----------
    ISO/IEC 17043, ISO 13528 (from memory).

    Examples
    --------
    >>> round(float(normalized_error(81.30, U=1.10, reference=80.45, U_reference=0.62)), 6)
    0.673163
    """
    x, ref = _inputs.number("value", value), _inputs.number("reference", reference)
    u, v = _inputs.above("U", U), _inputs.above("U_reference", U_reference)
    r = _inputs.within("correlation", correlation, low=-1.0, high=1.0)
    square = u**2 + v**2 - 2.0 * r * u * v
    _inputs.above("uncertainty of the difference", square)
    return (x - ref) / np.sqrt(square)


@dataclass(frozen=True, slots=True)
class Difference:
    """Mean difference of two tools with its interval.

    Parameters
    ----------
    mean : float
        Mean of tool less reference, unit of the readings.
    s : float
        Standard deviation of the differences; of one tool's readings combined where not paired.
    u : float
        Standard uncertainty of the mean difference.
    t : float
        Mean over `u`.
    dof : float
        Degrees of freedom.
    p : float
        Chance of so large a difference between equal tools, both sides.
    low, high : float
        Interval of the mean difference.
    confidence : float
        Of the interval.
    """

    mean: float
    s: float
    u: float
    t: float
    dof: float
    p: float
    low: float
    high: float
    confidence: float

    @property
    def significant(self) -> bool:
        """Whether zero lies outside the interval; says nothing about importance."""
        return self.low > 0.0 or self.high < 0.0

    def importance(self, tolerance: float) -> Importance:
        """Hold the interval against what can be borne.

        Parameters
        ----------
        tolerance : float
            Largest difference that does not matter, unit of the readings.

        Returns
        -------
        {"negligible", "important", "not known"}
            "not known" where the interval holds both: pull more pairs.
        """
        bound = _inputs.one_above("tolerance", tolerance)
        if max(abs(self.low), abs(self.high)) <= bound:
            return "negligible"
        if self.low > bound or self.high < -bound:
            return "important"
        return "not known"


def paired_difference(
    tool: ArrayLike, reference: ArrayLike, *, confidence: float = 0.95
) -> Difference:
    """Difference of two tools from pulls in pairs: both on the same joint, one after the other.

    Parameters
    ----------
    tool, reference : array_like, shape (n,), n at least 2
        Readings, same unit, in the same order.
    confidence : float
        Of the interval, 0 to 1.

    Returns
    -------
    Difference

    Raises
    ------
    OutOfRange
        Fewer than two pairs, or no scatter at all (the resolution hides it).
    ClampwrightError
        Unequal numbers of readings.

    References
    ----------
    Student's t for paired data, any textbook of statistics.

    Examples
    --------
    >>> found = paired_difference([80.9, 81.4, 81.6, 81.1, 81.5], [80.2, 80.7, 80.6, 80.3, 80.5])
    >>> print(f"{found.mean:.2f} [{found.low:.4f}, {found.high:.4f}] t {found.t:.3f}")
    0.84 [0.6517, 1.0283] t 12.385
    """
    one, two = _pairs(tool, reference, least=2)
    gap = one - two
    s = _scatter(gap)
    return _difference(float(gap.mean()), s, s / math.sqrt(gap.size), gap.size - 1.0, confidence)


def unpaired_difference(
    tool: ArrayLike, reference: ArrayLike, *, confidence: float = 0.95
) -> Difference:
    """Difference of two tools from separate sets of readings (Welch).

    Parameters
    ----------
    tool, reference : array_like, shape (n,) and (m,), at least 2 each
        Readings, same unit.
    confidence : float
        Of the interval, 0 to 1.

    Returns
    -------
    Difference
        `s` is the root of the two variances' mean.

    Raises
    ------
    OutOfRange
        Fewer than two readings on a side, or no scatter at all.

    References
    ----------
    Welch, Biometrika 34 (1947), from memory.

    Examples
    --------
    >>> found = unpaired_difference([80.9, 81.4, 81.6, 81.1, 81.5], [80.2, 80.7, 80.6, 80.3, 80.5])
    >>> print(f"t {found.t:.2f}, {found.dof:.4f} degrees of freedom, p {found.p:.7f}")
    t 5.25, 7.2224 degrees of freedom, p 0.0010741
    """
    one = _inputs.readings("tool", tool, least=2)
    two = _inputs.readings("reference", reference, least=2)
    a, b = one.var(ddof=1) / one.size, two.var(ddof=1) / two.size
    u = math.sqrt(_inputs.one_above("scatter of the readings", float(a + b)))
    dof = float((a + b) ** 2 / (a**2 / (one.size - 1) + b**2 / (two.size - 1)))
    s = math.sqrt(float(one.var(ddof=1) + two.var(ddof=1)) / 2.0)
    return _difference(float(one.mean() - two.mean()), s, u, dof, confidence)


@dataclass(frozen=True, slots=True)
class Agreement:
    """How far two ways of measuring the same thing lie apart.

    Parameters
    ----------
    mean : float
        Mean difference (bias).
    s : float
        Standard deviation of the differences.
    low, high : float
        Limits of agreement: about 95 % of single differences lie between them.
    u_mean, u_limit : float
        Standard errors of the bias and of each limit.
    correlation : float
        Between the two; high correlation does not mean agreement.
    """

    mean: float
    s: float
    low: float
    high: float
    u_mean: float
    u_limit: float
    correlation: float


def agreement(first: ArrayLike, second: ArrayLike, *, multiple: float = 2.0) -> Agreement:
    """Limits of agreement of two ways of measuring, ``d̄ ± 2 s``.

    Parameters
    ----------
    first, second : array_like, shape (n,), n at least 3
        Results on the same subjects, same unit and order.
    multiple : float
        Standard deviations to each side: 2 as first published, 1.96 for exactly 95 %.

    Returns
    -------
    Agreement

    Raises
    ------
    OutOfRange
        Fewer than three pairs, or no scatter at all.
    ClampwrightError
        Unequal numbers of results.

    References
    ----------
    Bland and Altman, Lancet 327 (1986) 307 (from memory): standard error of a limit √(3 s²/n).

    Examples
    --------
    >>> found = agreement([494, 395, 516, 434], [512, 430, 520, 428])
    >>> print(f"{found.mean:.2f}, limits {found.low:.1f} to {found.high:.1f}")
    -12.75, limits -48.4 to 22.9
    """
    one, two = _pairs(first, second, least=3)
    factor = _inputs.one_above("multiple", multiple)
    gap = one - two
    s, mean = _scatter(gap), float(gap.mean())
    return Agreement(
        mean,
        s,
        mean - factor * s,
        mean + factor * s,
        s / math.sqrt(gap.size),
        s * math.sqrt(3.0 / gap.size),
        _correlation(one, two),
    )


def _pairs(first: ArrayLike, second: ArrayLike, *, least: int) -> tuple[Floats, Floats]:
    one = _inputs.readings("first row of readings", first, least=least)
    two = _inputs.readings("second row of readings", second, least=least)
    if one.size != two.size:
        raise ClampwrightError(
            words(
                "pairs are needed, but one row holds {one} readings and the other {two}",
                one=one.size,
                two=two.size,
            )
        )
    return one, two


def _scatter(gap: Floats) -> float:
    s = float(gap.std(ddof=1))
    if not s > 0.0:
        raise OutOfRange(
            words(
                "all differences are the same: the resolution hides the scatter, read more finely"
            ),
            value=s,
            low=0.0,
        )
    return s


def _correlation(one: Floats, two: Floats) -> float:
    a, b = one - one.mean(), two - two.mean()
    below = math.sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / below if below > 0.0 else math.nan


def _difference(mean: float, s: float, u: float, dof: float, confidence: float) -> Difference:
    level = _inputs.share("confidence", confidence)
    t = mean / u
    half = t_quantile(0.5 + level / 2.0, dof) * u
    p = 2.0 * t_probability(-abs(t), dof)
    return Difference(mean, s, u, t, dof, p, mean - half, mean + half, level)
