"""Where a drifting tool reaches a limit, by the straight line through its errors."""

from __future__ import annotations

from clampwright.drawer.metrology import _inputs
from clampwright.errors import OutOfRange
from clampwright.joint.line_fit import Line, Side
from clampwright.words import words

STEPS = 200


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
    >>> from clampwright.joint.line_fit import fit_line
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
    >>> from clampwright.joint.line_fit import fit_line
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
