"""What a joint loses with time after tightening: a rule of thumb, and the published losses."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows
from clampwright.standards.tables import cited, optional

SLOWEST, FASTEST = 0.005, 0.02
"""Loss per natural logarithm of time of ordinary joints (common practice, no source)."""

TIME_SCALE = 1.0
"""Time after which relaxation is looked at, s (common practice, no source)."""

LONGEST = 1e9  # about 30 years: no rule of thumb reaches further
PRACTICE = "common practice, no source"


def relaxed_clamp(
    clamp: ArrayLike, time: ArrayLike, *, rate: ArrayLike, time_scale: ArrayLike = TIME_SCALE
) -> Floats:
    """Clamp load some time after tightening, ``F = F₀ [1 − a ln(1 + t/t₀)]``.

    Parameters
    ----------
    clamp : array_like
        Clamp load when the wrench is off F₀, N; 0 or more.
    time : array_like
        Time since then t, s; 0 to 10⁹.
    rate : array_like
        a, 0.005 to 0.02.
    time_scale : array_like
        t₀, s; 1 if not given.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or is not finite.

    Notes
    -----
    For advice only: hard metal joints without gasket, paint or heat. Where it matters, measure, or
    tighten again after a day.

    References
    ----------
    Common practice, no source. The published losses (`published_losses`) lie inside it.

    Examples
    --------
    >>> [round(float(force)) for force in relaxed_clamp(25_000, [60, 86_400], rate=0.01)]
    [23972, 22158]
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    passed = _checks.within("time", time, low=0.0, high=LONGEST, unit="s", source=PRACTICE)
    a = _checks.within("rate", rate, low=SLOWEST, high=FASTEST, source=PRACTICE)
    scale = _checks.above("time_scale", time_scale, unit="s")
    _checks.shapes_fit(clamp=force, time=passed, rate=a, time_scale=scale)
    return force * (1.0 - a * np.log1p(passed / scale))


def relaxation_range(clamp: ArrayLike, time: ArrayLike) -> tuple[Floats, Floats]:
    """Least and most clamp load to expect some time after tightening an ordinary hard joint.

    Parameters
    ----------
    clamp : array_like
        Clamp load when the wrench is off, N.
    time : array_like
        Time since then, s.

    Returns
    -------
    tuple of float or ndarray
        N: with a = 0.02 and with a = 0.005.

    Raises
    ------
    OutOfRange
        As `relaxed_clamp`.

    References
    ----------
    As `relaxed_clamp`.

    Examples
    --------
    >>> least, most = relaxation_range(25_000, 86_400)
    >>> print(f"{least:.0f} to {most:.0f} N after a day")
    19317 to 23579 N after a day
    """
    return relaxed_clamp(clamp, time, rate=FASTEST), relaxed_clamp(clamp, time, rate=SLOWEST)


@dataclass(frozen=True, slots=True)
class PublishedLoss:
    """A loss of clamp load as published, percent.

    Parameters
    ----------
    joint : str
        What was tightened.
    low, high, typical : float or None
        Percent of the clamp load; None where the source does not say.
    within : str
        In what time.
    source : str
    """

    joint: str
    low: float | None
    high: float | None
    typical: float | None
    within: str
    source: str


def published_losses() -> tuple[PublishedLoss, ...]:
    """Return the published losses.

    Returns
    -------
    tuple of PublishedLoss

    References
    ----------
    Each row names its own; see `PublishedLoss`.

    Examples
    --------
    >>> first = published_losses()[0]
    >>> first.low, first.high, first.typical
    (2.0, 11.0, 5.0)
    """
    return tuple(
        PublishedLoss(
            joint=row["joint"],
            low=optional(row["loss_low_percent"]),
            high=optional(row["loss_high_percent"]),
            typical=optional(row["typical_percent"]),
            within=row["within"],
            source=cited(row),
        )
        for row in rows("relaxation")
    )
