"""What the torque to loosen a fastener tells about the clamp load it had.

A pair of tightening and loosening torque gives the clamp load as a small difference of large
numbers. It is a plausibility check, not a measurement: the results say how little they know.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.joint.evaluation import clamp_from_torque_pair
from clampwright.words import Words, words

PAIR_MODEL_U_REL = 0.30
"""Relative standard deviation of the clamp load from pairs in a load cell, beyond that of the
torques (laboratory pairs on anchor rods, five lubricants: seen; breakaway, galling, embedding)."""

HEALTHY = (0.55, 0.85)
"""Loosening over tightening torque that healthy friction gives (ours, from laboratory pairs and
from the long form at friction 0.08 to 0.20)."""

HIGH, LOW = 0.90, 0.50
"""Above: suspect galling, corrosion or locking. Below: suspect lost clamp load or low friction
(ours)."""


@dataclass(frozen=True, slots=True)
class PairEstimate:
    """Clamp load and friction from a pair of torques.

    Parameters
    ----------
    clamp : float or ndarray
        N.
    u_reading : float or ndarray
        Standard uncertainty from the torques alone, N.
    u : float or ndarray
        With what pairs are known to miss by, N: about 30 % at best.
    friction : float or ndarray
        One friction coefficient for thread and bearing face together.
    ratio : float or ndarray
        Loosening over tightening torque, both without the prevailing torque.
    """

    clamp: Floats
    u_reading: Floats
    u: Floats
    friction: Floats
    ratio: Floats


def clamp_estimate_from_pair(
    torque_on: ArrayLike,
    torque_off: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    torque_on_u_rel: ArrayLike,
    torque_off_u_rel: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
    model_u_rel: ArrayLike = PAIR_MODEL_U_REL,
) -> PairEstimate:
    """Estimate clamp load and friction from tightening and loosening torque, with its uncertainty.

    ``F = π (T_on − T_off)/P``, ``u(F)/F = √(u_on² + u_off²)/(T_on − T_off)``,
    ``μ = [(T_on + T_off − 2 T_p)/(2F)] / (0.577 d2 + D_b/2)``

    Parameters
    ----------
    torque_on, torque_off : array_like
        Running torque when tightening and when loosening, N·m; the second is the smaller.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    torque_on_u_rel, torque_off_u_rel : array_like
        Relative standard uncertainties of the torques.
    prevailing_torque : array_like
        Prevailing torque, N·m; below both torques. It cancels in the clamp load.
    model_u_rel : array_like
        What pairs miss by beyond the torques, relative; 0.30 if not given.

    Returns
    -------
    PairEstimate

    Raises
    ------
    OutOfRange
        An argument is NaN or negative, the torques do not differ, or the prevailing torque is not
        below both.

    Notes
    -----
    A loosening torque taken at first movement is too high (static friction) and makes F too low;
    relaxation in between lowers it and makes F too high.

    References
    ----------
    Derived: difference and sum of the long form in both directions. Scatter of real pairs: load
    cell, anchor rods of 1 to 2 in, five lubricants (seen): standard deviation about 30 %.

    Examples
    --------
    >>> found = clamp_estimate_from_pair(37.62, 25.68, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                                  torque_on_u_rel=0.05, torque_off_u_rel=0.05)
    >>> print(f"{found.clamp / 1000:.1f} ± {found.u / 1000:.1f} kN, friction {found.friction:.3f}")
    25.0 ± 8.9 kN, friction 0.109
    """
    force = np.asarray(clamp_from_torque_pair(torque_on, torque_off, P=P))
    _checks.above("torque_on − torque_off", force, unit="N of clamp load")
    on = np.asarray(torque_on, dtype=np.float64)
    off = np.asarray(torque_off, dtype=np.float64)
    locking = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    diameter = _checks.above("d2", d2, unit="mm")
    bearing = _checks.above("bearing_diameter", bearing_diameter, unit="mm")
    u_on = on * _checks.not_negative("torque_on_u_rel", torque_on_u_rel)
    u_off = off * _checks.not_negative("torque_off_u_rel", torque_off_u_rel)
    model = _checks.not_negative("model_u_rel", model_u_rel)
    _checks.shapes_fit(
        torques=force,
        prevailing_torque=locking,
        d2=diameter,
        bearing_diameter=bearing,
        torque_on_u_rel=u_on,
        torque_off_u_rel=u_off,
        model_u_rel=model,
    )
    net_off = _checks.above("torque_off − prevailing_torque", off - locking, unit="N·m")
    net_on = on - locking
    reading = force * np.hypot(u_on, u_off) / (on - off)
    arm = (net_on + net_off) * _arms.N_MM_PER_N_M / (2.0 * force)
    rubbing = _arms.THREAD_FRICTION_ARM * diameter + _arms.BEARING_FRICTION_ARM * bearing
    return PairEstimate(
        clamp=force[()],
        u_reading=reading[()],
        u=np.hypot(reading, model * force)[()],
        friction=(arm / rubbing)[()],
        ratio=(net_off / net_on)[()],
    )


@dataclass(frozen=True, slots=True)
class BreakawayVerdict:
    """What a ratio of loosening to tightening torque suggests.

    Parameters
    ----------
    ratio : float
    plausible : bool
        Whether healthy friction explains it.
    words : Words
    """

    ratio: float
    plausible: bool
    words: Words


def judge_breakaway(
    torque_on: float, torque_off: float, *, prevailing_torque: float = 0.0
) -> BreakawayVerdict:
    """Judge whether a loosening torque fits the tightening torque.

    Parameters
    ----------
    torque_on : float
        Tightening torque, N·m; above the prevailing torque.
    torque_off : float
        Loosening torque, N·m; 0 or more.
    prevailing_torque : float
        Prevailing torque, N·m; it is in both and taken from both.

    Returns
    -------
    BreakawayVerdict

    Raises
    ------
    OutOfRange
        An argument is NaN or negative, or the tightening torque not above the prevailing torque.

    Notes
    -----
    Rigid limits on a soft matter: static friction and rest time shift the ratio too.

    References
    ----------
    Limits ours, from laboratory pairs (net ratio 0.74, standard deviation 0.06) and the long form.

    Examples
    --------
    >>> print(judge_breakaway(40, 28).words)
    loosening took 70% of the tightening torque: what healthy friction gives
    """
    on = _checks.not_negative("torque_on", torque_on, unit="N·m")
    off = _checks.not_negative("torque_off", torque_off, unit="N·m")
    locking = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    net_on = float(_checks.above("torque_on − prevailing_torque", on - locking, unit="N·m"))
    ratio = max(float(off - locking), 0.0) / net_on
    return BreakawayVerdict(ratio, HEALTHY[0] <= ratio <= HEALTHY[1], _told(ratio))


def breakaway_plausible(ratio: ArrayLike) -> NDArray[np.bool_]:
    """Tell which ratios of loosening to tightening torque healthy friction explains.

    Parameters
    ----------
    ratio : array_like
        Net loosening over net tightening torque, 0 or more.

    Returns
    -------
    bool or ndarray of bool

    Raises
    ------
    OutOfRange
        A ratio is NaN or negative.

    References
    ----------
    The limits follow from the long form with friction as it is found on sound joints (ours).

    Examples
    --------
    >>> breakaway_plausible([0.4, 0.7, 0.95]).tolist()
    [False, True, False]
    """
    net = _checks.not_negative("ratio", ratio)
    plausible: NDArray[np.bool_] = ((net >= HEALTHY[0]) & (net <= HEALTHY[1]))[()]
    return plausible


def _told(ratio: float) -> Words:
    low, high = HEALTHY
    if ratio > HIGH:
        return words(
            "loosening took {ratio:.0%} of the tightening torque: suspect galling, corrosion or a"
            " locking feature that was not counted",
            ratio=ratio,
        )
    if ratio < LOW:
        return words(
            "loosening took {ratio:.0%} of the tightening torque: suspect lost clamp load or very"
            " low friction",
            ratio=ratio,
        )
    if low <= ratio <= high:
        return words(
            "loosening took {ratio:.0%} of the tightening torque: what healthy friction gives",
            ratio=ratio,
        )
    return words(
        "loosening took {ratio:.0%} of the tightening torque: at the edge of what healthy friction"
        " gives ({low:.0%} to {high:.0%})",
        ratio=ratio,
        low=low,
        high=high,
    )
