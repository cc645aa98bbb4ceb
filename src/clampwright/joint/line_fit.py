"""A straight line through measured points, with what is doubtful about it.

Ordinary least squares: all scatter in y, the same for all points. The intercept is that at a
reference point of one's choice, which GUM H.3 recommends near the data.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import coverage_factor, t_probability, t_quantile
from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.words import words

Side = Literal["low", "high"]


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line ``y = y0 + b (x − x0)``.

    Parameters
    ----------
    intercept, slope : float
        y0 at the reference `x0`, and b.
    u_intercept, u_slope : float
        Their standard uncertainties.
    correlation : float
        Between the two.
    residual_s : float
        Standard deviation of the points about the line.
    sum_of_squares : float
        Of the points about the line.
    dof : int
        Degrees of freedom: points less two.
    x0 : float
        Reference of `intercept`.
    mean_x : float
        Middle of the points.
    """

    intercept: float
    slope: float
    u_intercept: float
    u_slope: float
    correlation: float
    residual_s: float
    sum_of_squares: float
    dof: int
    x0: float
    mean_x: float

    def at(self, x: float) -> float:
        """Return the line at `x`."""
        return self.intercept + self.slope * (x - self.x0)

    def u_at(self, x: float) -> float:
        """Return the standard uncertainty of the line at `x` (JCGM 100:2008, H.3.4)."""
        away = (x - self.x0) * self.u_slope
        square = self.u_intercept**2 + away**2 + 2.0 * away * self.correlation * self.u_intercept
        return math.sqrt(max(square, 0.0))

    def u_of_next(self, x: float) -> float:
        """Return the standard uncertainty of one more point at `x`."""
        return math.hypot(self.residual_s, self.u_at(x))

    def bound(self, x: float, *, side: Side, confidence: float = 0.95) -> float:
        """Return the one-sided prediction bound of one more point at `x`.

        Parameters
        ----------
        x : float
        side : {"low", "high"}
        confidence : float
            Chance that the point does not lie beyond it.

        Returns
        -------
        float
        """
        part = float(_checks.within("confidence", confidence, low=0.0, high=1.0))
        half = t_quantile(part, self.dof) * self.u_of_next(x)
        return self.at(x) + (half if side == "high" else -half)

    def interval(self, coverage: float = 0.95) -> tuple[float, float]:
        """Return the interval that covers the slope.

        Parameters
        ----------
        coverage : float

        Returns
        -------
        tuple of float
        """
        half = coverage_factor(coverage, self.dof) * self.u_slope
        return self.slope - half, self.slope + half

    @property
    def t(self) -> float:
        """Slope over its uncertainty."""
        return self.slope / self.u_slope if self.u_slope > 0.0 else math.inf

    @property
    def p(self) -> float:
        """Chance of so large a slope where there is none, both sides."""
        return 2.0 * t_probability(-abs(self.t), self.dof)


def fit_line(x: ArrayLike, y: ArrayLike, *, x0: float = 0.0) -> Line:
    """Fit a straight line by least squares.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        At least 3 points, not all at one x.
    x0 : float
        x at which the intercept is wanted.

    Returns
    -------
    Line

    Raises
    ------
    OutOfRange
        Fewer than 3 points, a number that is NaN, or all x the same.
    ClampwrightError
        x and y are no rows of equal length.

    References
    ----------
    JCGM 100:2008, H.3 (from memory); Draper and Smith, *Applied Regression Analysis*.

    Examples
    --------
    >>> line = fit_line([1, 2, 3, 4], [2.1, 3.9, 6.1, 7.9])
    >>> print(f"{line.intercept:.2f} + {line.slope:.2f} x, u(slope) {line.u_slope:.3f}")
    0.10 + 1.96 x, u(slope) 0.057
    """
    across, up = _points(x, y, least=3)
    count, middle = len(across), float(across.mean())
    off, up = across - middle, up - (height := float(up.mean()))
    spread = float(off @ off)
    slope = float(off @ up) / spread
    rest = up - slope * off
    total = float(rest @ rest)
    sd = math.sqrt(total / (count - 2))
    # Everything is known at the mean of x; the reference point lies `shift` away from it.
    shift = float(_checks.number("x0", x0)) - middle
    wide = math.sqrt(1.0 / count + shift**2 / spread)
    return Line(
        intercept=height + slope * shift,
        slope=slope,
        u_intercept=sd * wide,
        u_slope=sd / math.sqrt(spread),
        # Same as cov(y0, b)/(u u): the scatter cancels.
        correlation=shift / math.sqrt(spread) / wide,
        residual_s=sd,
        sum_of_squares=total,
        dof=count - 2,
        x0=float(x0),
        mean_x=middle,
    )


@dataclass(frozen=True, slots=True)
class Bend:
    """How far points depart from a straight line, by a parabola through them.

    Parameters
    ----------
    curvature : float
        Second derivative of the parabola.
    u_curvature : float
        Its standard uncertainty.
    significance : float
        Probability that straight points scatter into a bend like this; small means bent.
    departure : float
        Largest distance between parabola and straight line over the points, as a share of the
        range of y.
    """

    curvature: float
    u_curvature: float
    significance: float
    departure: float


def bend(x: ArrayLike, y: ArrayLike) -> Bend:
    """Tell how far points depart from a straight line.

    Parameters
    ----------
    x, y : array_like, shape (n,)
        At least 4 points at 3 or more different x.

    Returns
    -------
    Bend

    Raises
    ------
    OutOfRange
        Too few points, a number that is NaN, fewer than 3 different x, or all y the same.
    ClampwrightError
        x and y are no rows of equal length.

    References
    ----------
    Least squares with a quadratic term, t test of that term; derived.

    Examples
    --------
    >>> found = bend([0, 1, 2, 3, 4], [0.0, 1.1, 2.0, 3.1, 4.0])
    >>> found.significance > 0.05, round(found.departure, 3)
    (True, 0.007)
    """
    across, up = _points(x, y, least=4)
    if len(np.unique(across)) < 3:
        raise OutOfRange(
            words("a bend needs at least 3 different places"),
            value=float(len(np.unique(across))),
            low=3.0,
        )
    tall = float(np.ptp(up))
    if tall == 0.0:
        raise OutOfRange(words("all values are the same; nothing was measured"), value=0.0, low=0.0)
    scale = float(np.ptp(across)) / 2.0
    v = (across - across.mean()) / scale
    # The part of the square that neither a constant nor a line can take over.
    base = np.column_stack([np.ones_like(v), v])
    square = v**2 - base @ np.linalg.lstsq(base, v**2, rcond=None)[0]
    flat = up - base @ np.linalg.lstsq(base, up, rcond=None)[0]
    weight = float(square @ square)
    coefficient = float(square @ flat) / weight
    rest = flat - coefficient * square
    dof = len(up) - 3
    sd = math.sqrt(float(rest @ rest) / dof)
    u = sd / math.sqrt(weight)
    # Without any scatter a bend is certain, and so is its absence.
    noise = 1e-12 * float(np.abs(up).max())
    t = abs(coefficient) / u if u > noise else math.inf if abs(coefficient) > noise else 0.0
    return Bend(
        curvature=2.0 * coefficient / scale**2,
        u_curvature=2.0 * u / scale**2,
        significance=0.0 if t == math.inf else 2.0 * t_probability(-t, dof),
        departure=float(np.abs(coefficient * square).max()) / tall,
    )


def _points(x: ArrayLike, y: ArrayLike, *, least: int) -> tuple[Floats, Floats]:
    across = _shapes.row("x", x, least=least)
    up = _shapes.row("y", y, least=least)
    _checks.shapes_fit(x=across, y=up)
    if np.ptp(across) == 0.0:
        raise OutOfRange(
            words("all points stand at the same x, {value:g}", value=float(across[0])),
            value=float(across[0]),
        )
    return across, up
