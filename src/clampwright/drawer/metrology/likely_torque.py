"""What every pull of a window probably received: many pulls, a deviation for each of them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.drawer.calibration import reference_of
from clampwright.drawer.metrology import _inputs
from clampwright.drawer.metrology._inputs import Floats
from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class LookBack:
    """What each pull probably received. Arrays have one element per pull.

    Parameters
    ----------
    drift_deviation : ndarray
        Deviation of the tool at the pull by even drift, percent.
    drift_torque, shift_torque : ndarray
        Torque received by even drift, and if the full shift was there, N·m.
    drift_chance, shift_chance : ndarray
        Chance that the pull lay outside the joint's own limits, by each story.
    """

    drift_deviation: Floats
    drift_torque: Floats
    shift_torque: Floats
    drift_chance: Floats
    shift_chance: Floats

    @property
    def worse(self) -> Floats:
        """The larger of the two chances."""
        return np.maximum(self.drift_chance, self.shift_chance)


def likely_torques(
    *,
    share: ArrayLike,
    indicated: ArrayLike,
    low: ArrayLike,
    high: ArrayLike,
    before: ArrayLike,
    found: ArrayLike,
    u_before: ArrayLike = 0.0,
    u_found: ArrayLike = 0.0,
    shift_at: float | None = None,
) -> LookBack:
    """Judge every pull in a window against its own joint's limits; a deviation for each pull.

    Parameters
    ----------
    share : array_like, shape (n,)
        When each pull was made: 0 at the last good check, 1 at the finding.
    indicated : array_like
        What the tool was set to or showed, N·m; above 0.
    low, high : array_like
        Limits of each joint, N·m; 0 or infinite where there is none.
    before, found : array_like
        Deviation of the tool at this setting as left and as found, percent.
    u_before, u_found : array_like
        Their standard uncertainties, percent.
    shift_at : float, optional
        When the shift came, as a share of the window, where a drop or an overload is known: before
        it the tool counts as good, from it on as found. Unknown if not given.

    Returns
    -------
    LookBack

    Raises
    ------
    OutOfRange
        A share lies outside 0 to 1, a torque is not above 0, or limits do not rise.
    ClampwrightError
        The arrays do not fit together.

    Notes
    -----
    A limit T on the torque is a limit ``100 (X_a/T − 1)`` on the deviation, so the chance follows
    from the normal distribution of the deviation. By the shift the pull saw the deviation found
    with chance t/T (or surely, after a known drop) and the good one otherwise.

    Examples
    --------
    >>> pulls = likely_torques(share=[0.2, 0.9], indicated=100, low=95, high=104, before=-0.6,
    ...                        found=-5.2, u_before=0.4, u_found=0.4, shift_at=0.5)
    >>> [f"{chance:.2f}" for chance in pulls.shift_chance]
    ['0.00', '1.00']
    """
    when = _inputs.within("share", share, low=0.0, high=1.0)
    shown = _inputs.above("indicated", indicated, unit="N·m")
    least, most = _joint_limits(low, high)
    try:
        when, shown, least, most, e0, e1, u0, u1 = (
            np.asarray(one, dtype=np.float64)
            for one in np.broadcast_arrays(
                when, shown, least, most, before, found, u_before, u_found
            )
        )
    except ValueError:
        raise ClampwrightError(
            words("time, indicated, low and high must have one value for each pull")
        ) from None
    drift = e0 + (e1 - e0) * when
    edges = (100.0 * (shown / most - 1.0), _upper_edge(shown, least))
    by_drift = _chance_outside(drift, np.hypot(u0 * (1.0 - when), u1 * when), edges)
    good, bad = (_chance_outside(e, u, edges) for e, u in ((e0, u0), (e1, u1)))
    shifted = when if shift_at is None else np.where(when >= shift_at, 1.0, 0.0)
    return LookBack(
        drift,
        reference_of(shown, drift),
        reference_of(shown, e1),
        by_drift,
        shifted * bad + (1.0 - shifted) * good,
    )


def _upper_edge(shown: Floats, least: Floats) -> Floats:
    """Deviation above which the torque falls below its lower limit; none where that is 0."""
    held = least > 0.0
    return np.where(held, 100.0 * (shown / np.where(held, least, 1.0) - 1.0), np.inf)


def _joint_limits(low: ArrayLike, high: ArrayLike) -> tuple[Floats, Floats]:
    least, most = np.asarray(low, dtype=np.float64), np.asarray(high, dtype=np.float64)
    if np.isnan(least).any() or np.isnan(most).any() or np.any(least < 0.0):
        raise OutOfRange(
            words("a limit of a joint must be a torque of 0 N·m or more"), value=math.nan, low=0.0
        )
    if np.any(least >= most):
        raise OutOfRange(
            words("the lower limit of a joint must lie below its upper one"),
            value=float(np.max(least)),
        )
    return least, most


def _chance_outside(mean: Floats, u: Floats, edges: tuple[Floats, Floats]) -> Floats:
    return _chance_above_zero(edges[0] - mean, u) + _chance_above_zero(mean - edges[1], u)


def _chance_above_zero(over: Floats, u: Floats) -> Floats:
    z = np.where(u > 0.0, over / np.where(u > 0.0, u, 1.0), np.copysign(np.inf, over))
    return np.asarray(0.5 * _ERFC(-z / math.sqrt(2.0)), dtype=np.float64)[()]


_ERFC = np.frompyfunc(math.erfc, 1, 1)
