"""A tool found out: which earlier pulls it may have spoilt, and by how much.

Between the last good check and the finding nobody knows when it went. Two stories stand side by
side: it drifted evenly, or it shifted all at once at an unknown moment. Critical joints take the
worse of the two. Time may be days or, better, uses of the tool.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.distributions import normal_probability
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.drawer.metrology.likely_torque import LookBack, likely_torques
from clampwright.errors import OutOfRange
from clampwright.words import words

__all__ = [
    "Finding",
    "LookBack",
    "beyond_by_drift",
    "drift_crossing",
    "drift_crossing_range",
    "drifted",
    "look_back",
    "shifted_before",
]

STEPS = 200


@dataclass(frozen=True, slots=True)
class Finding:
    """What is known about the tool at both ends of the window.

    Parameters
    ----------
    before, found : float
        Deviation as left at the last good check, and as found now, percent; negative ones mean
        that the joints received more.
    window : float
        Time between the two, days or uses; above 0.
    u_before, u_found : float
        Standard uncertainties of the two, percent.

    Raises
    ------
    OutOfRange
        The window is not above 0, an uncertainty is negative, or a deviation is −100 % or less.

    Examples
    --------
    >>> Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4).window
    365
    """

    before: float
    found: float
    window: float
    u_before: float = 0.0
    u_found: float = 0.0

    def __post_init__(self) -> None:
        _inputs.one_above("window", self.window)
        for name in ("before", "found"):
            _inputs.one_above(name, getattr(self, name), low=-100.0, unit="%")
        for name in ("u_before", "u_found"):
            _inputs.not_negative(name, getattr(self, name), unit="%")


def drifted(finding: Finding, time: ArrayLike) -> Floats:
    """Deviation at a time if the tool drifted evenly, ``e = e0 + (e1 − e0) t/T``.

    Parameters
    ----------
    finding : Finding
    time : array_like
        Since the last good check, 0 to the window.

    Returns
    -------
    float or ndarray
        Percent.

    Raises
    ------
    OutOfRange
        A time lies outside the window.

    Examples
    --------
    >>> found = Finding(before=-0.6, found=-5.2, window=365)
    >>> print(f"{drifted(found, 300):.6f} %")
    -4.380822 %
    """
    share = _share_of_window(finding, time)
    return finding.before + (finding.found - finding.before) * share


def drift_crossing(finding: Finding, limit: float) -> float:
    """Time at which an even drift crossed a limit, ``t = T (L − e0)/(e1 − e0)``.

    Parameters
    ----------
    finding : Finding
    limit : float
        Percent; between the two deviations.

    Returns
    -------
    float
        Since the last good check, unit of the window.

    Raises
    ------
    OutOfRange
        The limit does not lie between the two deviations.

    Examples
    --------
    >>> print(f"{drift_crossing(Finding(before=-0.6, found=-5.2, window=365), -4):.4f}")
    269.7826
    """
    share = _crossing_share(finding, float(_inputs.number("limit", limit)))
    return finding.window * share


def drift_crossing_range(
    finding: Finding, limit: float, *, coverage: float = 0.95
) -> tuple[float, float]:
    """Range of the time at which an even drift crossed a limit.

    Parameters
    ----------
    finding : Finding
        With uncertainties.
    limit : float
        Percent; between the two deviations.
    coverage : float
        0 to 1.

    Returns
    -------
    tuple of float
        Since the last good check, unit of the window, kept within the window.

    Raises
    ------
    OutOfRange
        The limit does not lie between the two deviations.

    Notes
    -----
    The crossing lies before t exactly when the drifted deviation at t is beyond the limit; the
    range is where that chance passes its two tails.

    Examples
    --------
    >>> found = Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4)
    >>> low, high = drift_crossing_range(found, -4)
    >>> print(f"{low:.0f} to {high:.0f}")
    225 to 326
    """
    drift_crossing(finding, limit)
    tail = 0.5 - _inputs.share("coverage", coverage) / 2.0
    return _time_at(finding, limit, tail), _time_at(finding, limit, 1.0 - tail)


def beyond_by_drift(finding: Finding, time: ArrayLike, limit: float) -> Floats:
    """Chance that the tool was beyond a limit at a time, even drift, normal uncertainties.

    Parameters
    ----------
    finding : Finding
        With uncertainties; without them the chance is 0 or 1.
    time : array_like
        Since the last good check, 0 to the window.
    limit : float
        Percent; beyond means below it where the tool went down, above where it went up.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        A time lies outside the window.

    Examples
    --------
    >>> found = Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4)
    >>> print(f"{beyond_by_drift(found, 300, -4):.5f}")
    0.87120
    """
    share = _share_of_window(finding, time)
    sign = -1.0 if finding.found < finding.before else 1.0
    over = sign * (drifted(finding, time) - float(_inputs.number("limit", limit)))
    return _chance_above_zero(over, _u_drifted(finding, share))


def shifted_before(finding: Finding, time: ArrayLike) -> Floats:
    """Chance that a sudden shift at an unknown moment came before a time, ``t/T``.

    Parameters
    ----------
    finding : Finding
    time : array_like
        Since the last good check, 0 to the window.

    Returns
    -------
    float or ndarray
        With that chance the pull saw the full deviation as found. After a known drop it is 1.

    Raises
    ------
    OutOfRange
        A time lies outside the window.

    Examples
    --------
    >>> print(f"{shifted_before(Finding(before=-0.6, found=-5.2, window=365), 300):.6f}")
    0.821918
    """
    return _share_of_window(finding, time)


def look_back(
    finding: Finding, *, time: ArrayLike, indicated: ArrayLike, low: ArrayLike, high: ArrayLike
) -> LookBack:
    """Judge every pull in the window against its own joint's limits.

    Parameters
    ----------
    finding : Finding
        With uncertainties; u_found serves for the shifted tool, u_before for the good one.
    time : array_like, shape (n,)
        When each pull was made, since the last good check, 0 to the window.
    indicated : array_like, shape (n,)
        What the tool was set to or showed, N·m; above 0.
    low, high : array_like
        Limits of each joint, N·m (not those of the tool); infinite where there is none.

    Returns
    -------
    LookBack

    Raises
    ------
    OutOfRange
        A time lies outside the window, a torque is not above 0, or limits do not rise.
    ClampwrightError
        The arrays do not fit together.

    Notes
    -----
    A limit T on the torque is a limit ``100 (X_a/T − 1)`` on the deviation, so the chance follows
    from the normal distribution of the deviation. By the shift the pull saw the deviation found
    with chance t/T and the good one otherwise.

    References
    ----------
    ISO 10012:2003, 8.3.3 and ISO 9001:2015, 7.1.5.2 ask for the look-back (from memory); the two
    models are ours.

    Examples
    --------
    >>> found = Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4)
    >>> pulls = look_back(found, time=[20, 300], indicated=[100, 100], low=95, high=104)
    >>> [f"{torque:.2f} N·m, {chance:.3f}"
    ...  for torque, chance in zip(pulls.drift_torque, pulls.worse)]
    ['100.86 N·m, 0.055', '104.58 N·m, 0.944']
    """
    return likely_torques(
        share=_share_of_window(finding, time),
        indicated=indicated,
        low=low,
        high=high,
        before=finding.before,
        found=finding.found,
        u_before=finding.u_before,
        u_found=finding.u_found,
    )


def _share_of_window(finding: Finding, time: ArrayLike) -> Floats:
    when = _inputs.within("time", time, low=0.0, high=float(finding.window))
    return when / finding.window


def _crossing_share(finding: Finding, limit: float) -> float:
    change = finding.found - finding.before
    share = (limit - finding.before) / change if change else math.nan
    if not 0.0 <= share <= 1.0:
        raise OutOfRange(
            words(
                "the limit {limit:g} % does not lie between {before:g} % as left and {found:g} %"
                " as found",
                limit=limit,
                before=finding.before,
                found=finding.found,
            ),
            value=limit,
            low=min(finding.before, finding.found),
            high=max(finding.before, finding.found),
        )
    return share


def _u_drifted(finding: Finding, share: Floats) -> Floats:
    return np.hypot(finding.u_before * (1.0 - share), finding.u_found * share)


def _time_at(finding: Finding, limit: float, chance: float) -> float:
    low, high = 0.0, float(finding.window)
    for _ in range(STEPS):
        half = 0.5 * (low + high)
        if float(beyond_by_drift(finding, half, limit)) < chance:
            low = half
        else:
            high = half
    return 0.5 * (low + high)


def _chance_above_zero(over: Floats, u: Floats) -> Floats:
    z = np.where(u > 0.0, over / np.where(u > 0.0, u, 1.0), np.copysign(np.inf, over))
    return np.asarray(_NORMAL(z), dtype=np.float64)[()]


_NORMAL = np.frompyfunc(normal_probability, 1, 1)
