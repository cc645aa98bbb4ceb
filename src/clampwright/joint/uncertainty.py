"""Uncertainty by the linear law of propagation, for where one number is enough.

Relative standard uncertainties are fractions (0.05 is 5 %). Friction above about 15 %, limits and
least values of a set need the distribution itself: `clampwright.joint.band`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.torque_tension import TorqueShares


def nut_factor_u_rel(
    shares: TorqueShares,
    *,
    mu_thread_u_rel: ArrayLike,
    mu_bearing_u_rel: ArrayLike,
    correlation: ArrayLike = 1.0,
) -> Floats:
    """Relative standard uncertainty of the nut factor from that of friction.

    ``u_K² = (s_th u_th)² + (s_b u_b)² + 2 r s_th s_b u_th u_b``

    Parameters
    ----------
    shares : TorqueShares
        From `clampwright.joint.torque_tension.torque_shares`.
    mu_thread_u_rel, mu_bearing_u_rel : array_like
        Relative standard uncertainties of the two coefficients.
    correlation : array_like
        Between them, −1 to 1; 1 is the safe assumption where both share their lubricant.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument is NaN or negative, or the correlation outside its limits.

    References
    ----------
    JCGM 100:2008, 5.2 (from memory).

    Examples
    --------
    >>> from clampwright.joint.torque_tension import torque_shares
    >>> part = torque_shares(P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                      mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{nut_factor_u_rel(part, mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1):.2%}")
    8.41%
    """
    thread = shares.thread * _checks.not_negative("mu_thread_u_rel", mu_thread_u_rel)
    bearing = shares.bearing * _checks.not_negative("mu_bearing_u_rel", mu_bearing_u_rel)
    r = _checks.within("correlation", correlation, low=-1.0, high=1.0)
    _checks.shapes_fit(mu_thread_u_rel=thread, mu_bearing_u_rel=bearing, correlation=r)
    return np.sqrt(np.maximum(thread**2 + bearing**2 + 2.0 * r * thread * bearing, 0.0))


def clamp_u_rel(
    *,
    torque: ArrayLike,
    torque_u_rel: ArrayLike,
    nut_factor_u_rel: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
    prevailing_torque_u: ArrayLike = 0.0,
) -> Floats:
    """Relative standard uncertainty of the clamp load after a torque.

    ``u_F² = (u_T² T² + u_Tp²)/(T − T_p)² + u_K²``

    Parameters
    ----------
    torque : array_like
        Tightening torque, N·m; above the prevailing torque.
    torque_u_rel : array_like
        Its relative standard uncertainty.
    nut_factor_u_rel : array_like
        Relative standard uncertainty of K.
    prevailing_torque : array_like
        N·m.
    prevailing_torque_u : array_like
        Its standard uncertainty, N·m.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument is NaN or negative, or the torque does not exceed the prevailing torque.

    References
    ----------
    JCGM 100:2008, 5.1 (from memory), applied to F = (T − T_p)/(K d).

    Examples
    --------
    >>> print(f"{clamp_u_rel(torque=37.62, torque_u_rel=0.02363, nut_factor_u_rel=0.08414):.2%}")
    8.74%
    """
    turned = _checks.above("torque", torque, unit="N·m")
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    tool = _checks.not_negative("torque_u_rel", torque_u_rel)
    factor = _checks.not_negative("nut_factor_u_rel", nut_factor_u_rel)
    lock = _checks.not_negative("prevailing_torque_u", prevailing_torque_u, unit="N·m")
    _checks.shapes_fit(
        torque=turned,
        prevailing_torque=prevailing,
        torque_u_rel=tool,
        nut_factor_u_rel=factor,
        prevailing_torque_u=lock,
    )
    clamping = _checks.above("torque − prevailing_torque", turned - prevailing, unit="N·m")
    return np.sqrt(((tool * turned) ** 2 + lock**2) / clamping**2 + factor**2)


def clamp_after_angle(
    snug_clamp: ArrayLike,
    angle: ArrayLike,
    *,
    clamp_rate: ArrayLike,
    snug_u_rel: ArrayLike,
    angle_u: ArrayLike,
    rate_u_rel: ArrayLike,
) -> tuple[Floats, Floats]:
    """Clamp load after an elastic angle, with its standard uncertainty.

    ``F = F_s + c θ``, ``u² = u(F_s)² + (c u_θ)² + (θ u_c)²``

    Parameters
    ----------
    snug_clamp : array_like
        Clamp load at the start of the angle, N.
    angle : array_like
        Angle, degrees.
    clamp_rate : array_like
        N per degree.
    snug_u_rel, rate_u_rel : array_like
        Relative standard uncertainties of snug clamp load and clamp rate.
    angle_u : array_like
        Standard uncertainty of the angle, degrees.

    Returns
    -------
    tuple of float or ndarray
        Clamp load and its standard uncertainty, N. Below the onset of yield only.

    Raises
    ------
    OutOfRange
        An argument is NaN or negative.

    References
    ----------
    JCGM 100:2008, 5.1 (from memory).

    Examples
    --------
    >>> clamp, u = clamp_after_angle(8000, 40, clamp_rate=829.66, snug_u_rel=0.15, angle_u=2,
    ...                              rate_u_rel=0.05)
    >>> print(f"{clamp / 1000:.2f} kN ± {u / clamp:.1%}")
    41.19 kN ± 6.4%
    """
    snug = _checks.not_negative("snug_clamp", snug_clamp, unit="N")
    turned = _checks.not_negative("angle", angle, unit="deg")
    rate = _checks.above("clamp_rate", clamp_rate, unit="N/deg")
    u_snug = _checks.not_negative("snug_u_rel", snug_u_rel)
    u_angle = _checks.not_negative("angle_u", angle_u, unit="deg")
    u_rate = _checks.not_negative("rate_u_rel", rate_u_rel)
    _checks.shapes_fit(
        snug_clamp=snug,
        angle=turned,
        clamp_rate=rate,
        snug_u_rel=u_snug,
        angle_u=u_angle,
        rate_u_rel=u_rate,
    )
    u = np.sqrt((snug * u_snug) ** 2 + (rate * u_angle) ** 2 + (turned * rate * u_rate) ** 2)
    return snug + rate * turned, u


def rectangular_u(half_width: ArrayLike) -> Floats:
    """Half width of a rectangular distribution turned into a standard uncertainty.

    ``u = a / √3``

    Parameters
    ----------
    half_width : array_like
        a, in any unit.

    Returns
    -------
    float or ndarray
        In the same unit.

    Raises
    ------
    OutOfRange
        It is NaN or negative.

    References
    ----------
    JCGM 100:2008, 4.3.7 (from memory).

    Examples
    --------
    >>> print(f"{rectangular_u(4.0):.3f} %")
    2.309 %
    """
    return _checks.not_negative("half_width", half_width) / math.sqrt(3.0)


def scatter_from_tightening_factor(alpha: ArrayLike) -> Floats:
    """Scatter ± (fraction) that a tightening factor α_A = F_max/F_min stands for.

    ``± = (α_A − 1)/(α_A + 1)``

    Parameters
    ----------
    alpha : array_like
        Tightening factor, 1 or more.

    Returns
    -------
    float or ndarray
        Half the span over the middle; read as two standard deviations (ours).

    Raises
    ------
    OutOfRange
        The factor is NaN or below 1.

    References
    ----------
    Definition of the factor in VDI 2230-1, from memory.

    Examples
    --------
    >>> print(f"{scatter_from_tightening_factor(1.6):.1%}")
    23.1%
    """
    factor = _checks.within("alpha", alpha, low=1.0, high=math.inf)
    return (factor - 1.0) / (factor + 1.0)
