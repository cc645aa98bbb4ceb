"""When to calibrate again: by what share was found good, and by steps.

Only *as-found* results speak: adjusting first hides the drift. By drift itself: see
`clampwright.drawer.metrology.straight_line`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from clampwright.distributions import beta_quantile
from clampwright.drawer.metrology import _inputs
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import Words, words

LARGEST_CHANGE = 2.0
"""An interval is not more than doubled or halved at once (ours)."""

WELL_INSIDE = 0.8
"""Share of the permissible error within which a tool counts as well inside (ours; ILAC-G24 gives
it as an example, from memory)."""

LENGTHEN, SHORTEN = 1.25, 0.6
"""Steps of the staircase (ours; ILAC-G24 leaves them open)."""


@dataclass(frozen=True, slots=True)
class Interval:
    """A proposed calibration interval.

    Parameters
    ----------
    length : float
        In the unit of the interval before (months, or uses).
    low, high : float
        What the interval could as well be, from the scatter of so few results; high may be
        infinite.
    note : Words or None
        What a person should know about it.
    """

    length: float
    low: float
    high: float
    note: Words | None = None


def binomial_interval(good: int, total: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Exact interval of a share found good.

    Parameters
    ----------
    good, total : int
        How many of how many.
    confidence : float
        0 to 1.

    Returns
    -------
    tuple of float

    Raises
    ------
    OutOfRange
        More good ones than there are, or none at all.

    References
    ----------
    Clopper and Pearson, Biometrika 26 (1934) 404 (from memory).

    Examples
    --------
    >>> low, high = binomial_interval(46, 50)
    >>> print(f"{low:.6f} {high:.6f}")
    0.807657 0.977772
    """
    _counts(good, total)
    tail = 0.5 - _inputs.share("confidence", confidence) / 2.0
    low = 0.0 if good == 0 else beta_quantile(tail, good, total - good + 1)
    high = 1.0 if good == total else beta_quantile(1.0 - tail, good + 1, total - good)
    return low, high


def interval_for_reliability(
    interval: float, *, good: int, total: int, target: float = 0.95
) -> Interval:
    """Interval at which the wanted share of tools is still good, exponential model.

    ``I' = I ln(R_target)/ln(R_observed)``

    Parameters
    ----------
    interval : float
        The interval after which they were found so, months or uses.
    good, total : int
        How many of how many were found within their limits, as found.
    target : float
        Wanted share, 0 to 1.

    Returns
    -------
    Interval
        Bounds from the exact 95 % interval of the observed share.

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or none was found good.

    Notes
    -----
    Where all were found good the model divides by zero; 1 − 0.5/n stands for the observed share
    then, and the result says so.

    References
    ----------
    Exponential reliability; idea of NCSLI RP-1 (from memory) and NASA RP-1342, 6.3.3.

    Examples
    --------
    >>> found = interval_for_reliability(12, good=46, total=50, target=0.95)
    >>> print(f"{found.length:.6f} months ({found.low:.1f} to {found.high:.1f})")
    7.381958 months (2.9 to 27.4)
    """
    before, wanted = _inputs.one_above("interval", interval), _inputs.share("target", target)
    _counts(good, total)
    if good == 0:
        raise OutOfRange(
            words(
                "none of {total} was found good: the exponential model says nothing", total=total
            ),
            value=0.0,
            low=1.0,
        )
    note = None
    seen = good / total
    if good == total:
        seen = 1.0 - 0.5 / total
        note = words(
            "all {total} were found good; half a tool is counted as bad, so that the model does not"
            " say forever",
            total=total,
        )
    low, high = binomial_interval(good, total)
    return Interval(
        _stretched(before, wanted, seen),
        _stretched(before, wanted, low),
        _stretched(before, wanted, high),
        note,
    )


def staircase(
    interval: float, *, worst_share: float, shortest: float = 1.0, longest: float | None = None
) -> Interval:
    """Lengthen the interval of a tool found well inside its limits, shorten it if found outside.

    Parameters
    ----------
    interval : float
        The interval just past, months or uses.
    worst_share : float
        Largest deviation as found over the permissible one; 1 is at the limit.
    shortest, longest : float
        The interval is kept between them; twice the interval at most if `longest` is not given.

    Returns
    -------
    Interval

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    ILAC-G24 / OIML D 10, automatic adjustment (from memory); the steps are ours.

    Examples
    --------
    >>> staircase(12, worst_share=0.5).length, round(staircase(12, worst_share=1.3).length, 1)
    (15.0, 7.2)
    """
    before = _inputs.one_above("interval", interval)
    used = float(_inputs.not_negative("worst_share", worst_share))
    least = _inputs.one_above("shortest", shortest)
    most = LARGEST_CHANGE * before if longest is None else _inputs.one_above("longest", longest)
    if used > 1.0:
        step, note = SHORTEN, words("found outside its limits: shortened")
    elif used <= WELL_INSIDE:
        step, note = LENGTHEN, words("found well inside its limits: lengthened")
    else:
        step, note = 1.0, words("found inside its limits, but not by much: kept")
    length = min(max(before * step, least), most)
    return Interval(length, least, most, note)


def _stretched(interval: float, target: float, seen: float) -> float:
    if seen >= 1.0:
        return math.inf
    return 0.0 if seen <= 0.0 else interval * math.log(target) / math.log(seen)


def _counts(good: int, total: int) -> None:
    if any(isinstance(count, bool) or int(count) != count for count in (good, total)):
        raise ClampwrightError(words("good and total must be whole numbers"))
    if not (total >= 1 and 0 <= good <= total):
        raise OutOfRange(
            words("{good} good of {total} is not possible", good=good, total=total),
            value=float(good),
            low=0.0,
            high=float(total),
        )
