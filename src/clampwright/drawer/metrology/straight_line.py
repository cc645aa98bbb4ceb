"""A straight line through points, with what is known about it: drift and its bounds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from numpy.typing import ArrayLike

from clampwright.distributions import t_probability, t_quantile
from clampwright.drawer.metrology import _inputs
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import words

Side = Literal["low", "high"]

STEPS = 200


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
    spread_x : float
        Sum of squares of x about its mean.
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
    spread_x: float

    def at(self, x: float) -> float:
        """Return the line at `x`."""
        return self.intercept + self.slope * (x - self.x0)

    def u_at(self, x: float) -> float:
        """Return the standard uncertainty of the line at `x`."""
        n = self.dof + 2
        return self.residual_s * math.sqrt(1.0 / n + (x - self.mean_x) ** 2 / self.spread_x)

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
        half = t_quantile(_inputs.share("confidence", confidence), self.dof) * self.u_of_next(x)
        return self.at(x) + (half if side == "high" else -half)

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
    x, y : array_like, shape (n,), n at least 3
        Points; `x` with at least two different values.
    x0 : float
        Where the intercept is wanted.

    Returns
    -------
    Line

    Raises
    ------
    OutOfRange
        Fewer than three points, or all at the same x.
    ClampwrightError
        Unequal numbers of x and y.

    References
    ----------
    JCGM 100:2008, H.3 (from memory); Draper and Smith, *Applied Regression Analysis*.

    Examples
    --------
    As-found errors of a wrench in percent over months:

    >>> line = fit_line([0, 12, 24, 36, 48], [-0.3, -0.9, -1.2, -1.9, -2.2])
    >>> print(f"{line.slope:.4f} ± {line.u_slope:.5f} per month, {line.intercept:.2f}")
    -0.0400 ± 0.00289 per month, -0.34
    """
    across = _inputs.readings("x", x, least=3)
    up = _inputs.readings("y", y, least=3)
    if across.size != up.size:
        raise ClampwrightError(
            words(
                "a point needs x and y, but there are {x} of x and {y} of y",
                x=across.size,
                y=up.size,
            )
        )
    n, mean_x, mean_y = across.size, float(across.mean()), float(up.mean())
    dx, dy = across - mean_x, up - mean_y
    spread = _inputs.one_above("spread of x", float(dx @ dx))
    slope = float(dx @ dy) / spread
    rest = dy - slope * dx
    total = float(rest @ rest)
    s = math.sqrt(total / (n - 2))
    off = float(_inputs.number("x0", x0)) - mean_x
    u_y0 = s * math.sqrt(1.0 / n + off**2 / spread)
    u_b = s / math.sqrt(spread)
    return Line(
        intercept=mean_y + slope * off,
        slope=slope,
        u_intercept=u_y0,
        u_slope=u_b,
        # Same as cov(y0, b)/(u u): the scatter cancels.
        correlation=off / math.sqrt(spread) / math.sqrt(1.0 / n + off**2 / spread),
        residual_s=s,
        sum_of_squares=total,
        dof=n - 2,
        x0=float(x0),
        mean_x=mean_x,
        spread_x=spread,
    )


def time_to_limit(line: Line, limit: float) -> float:
    """Where a drifting line itself reaches a limit.

    ``x = x0 + (limit − y0)/b``

    Parameters
    ----------
    line : Line
    limit : float

    Returns
    -------
    float
        In the unit of x. Half of the tools of this kind would be out earlier.

    Raises
    ------
    OutOfRange
        The line does not move.

    Examples
    --------
    >>> line = fit_line([0, 12, 24, 36, 48], [-0.3, -0.9, -1.2, -1.9, -2.2])
    >>> print(f"{time_to_limit(line, -4):.1f} months")
    91.5 months
    """
    most = float(_inputs.number("limit", limit))
    if line.slope == 0.0:
        raise OutOfRange(words("a line without slope never reaches a limit"), value=0.0)
    return line.x0 + (most - line.intercept) / line.slope


def bound_to_limit(line: Line, limit: float, *, confidence: float = 0.95) -> float:
    """Where the prediction bound of a drifting line reaches a limit: the date to keep to.

    Parameters
    ----------
    line : Line
    limit : float
        Below the line where it falls, above where it rises.
    confidence : float
        Of the one-sided bound.

    Returns
    -------
    float
        In the unit of x, not before the mean of the points. Do not stretch it far beyond the last
        point (about one interval).

    Raises
    ------
    OutOfRange
        The line does not move towards the limit, or its bound never gets there or is beyond it
        among the points already.

    Examples
    --------
    >>> line = fit_line([0, 12, 24, 36, 48], [-0.3, -0.9, -1.2, -1.9, -2.2])
    >>> print(f"{bound_to_limit(line, -4):.3f} months")
    79.696 months
    """
    side: Side = "low" if line.slope < 0.0 else "high"
    sign = -1.0 if side == "low" else 1.0
    middle = time_to_limit(line, limit)

    def beyond(x: float) -> float:
        return sign * (line.bound(x, side=side, confidence=confidence) - limit)

    low, high = line.mean_x, middle
    if high <= low or beyond(low) > 0.0:
        raise OutOfRange(
            words("the points already lie at the limit {limit:g}: it is due now", limit=limit),
            value=float(limit),
        )
    for _ in range(STEPS):
        half = 0.5 * (low + high)
        low, high = (half, high) if beyond(half) < 0.0 else (low, half)
    return 0.5 * (low + high)
