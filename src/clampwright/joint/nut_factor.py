"""Torque and clamp load in one number: the nut factor K of T = K d F.

Not a constant of a material: it depends on thread, head and both frictions. Where they are known,
the long form (`clampwright.joint.torque_tension`) says what K is made of.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats


def nut_factor(
    *,
    d: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> Floats:
    """Nut factor K from geometry and friction.

    ``K = [P/(2π) + μ_th d2/(2 cos 30°) + μ_b D_b/2] / d``

    Parameters
    ----------
    d : array_like
        Nominal diameter, mm.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.

    Returns
    -------
    float or ndarray
        K, without unit.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible (d2 as large as d).

    Notes
    -----
    Not a constant of a material: it depends on P/d, D_b/d and both coefficients.

    References
    ----------
    The long form divided by F·d, see `torque_from_clamp`.

    Examples
    --------
    >>> round(float(nut_factor(d=10, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                        mu_thread=0.12, mu_bearing=0.10)), 5)
    0.15048
    """
    nominal = _checks.above("d", d, unit="mm")
    _checks.smaller("d2", _checks.above("d2", d2, unit="mm"), "d", nominal)
    arm = _arms.checked_arm(P, d2, bearing_diameter, mu_thread, mu_bearing)
    _checks.shapes_fit(d=nominal, geometry=arm)
    return arm / nominal


def torque_from_nut_factor(
    clamp: ArrayLike,
    *,
    d: ArrayLike,
    nut_factor: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Tightening torque by a nut factor: ``T = K d F + T_p``.

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    d : array_like
        Nominal diameter, mm.
    nut_factor : array_like
        K, above 0 and at most 1.
    prevailing_torque : array_like
        Prevailing torque, N·m.

    Returns
    -------
    float or ndarray
        Torque, N·m.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative, or K lies outside its range.

    References
    ----------
    Speck, *Mechanical Fastening, Joining, and Assembly*, ch. 3; Shigley, 9th ed., Eq. (8-27).

    Examples
    --------
    >>> float(torque_from_nut_factor(25_000, d=10, nut_factor=0.2))
    50.0
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    arm = _arms.checked_nut_factor_arm(d, nut_factor)
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    _checks.shapes_fit(clamp=force, d_and_nut_factor=arm, prevailing_torque=prevailing)
    return force * arm / _arms.N_MM_PER_N_M + prevailing


def clamp_from_nut_factor(
    torque: ArrayLike,
    *,
    d: ArrayLike,
    nut_factor: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Clamp load by a nut factor: ``F = (T − T_p) / (K d)``.

    Parameters
    ----------
    torque : array_like
        Tightening torque, N·m; not below the prevailing torque.
    d : array_like
        Nominal diameter, mm.
    nut_factor : array_like
        K, above 0 and at most 1.
    prevailing_torque : array_like
        Prevailing torque, N·m.

    Returns
    -------
    float or ndarray
        Clamp load, N.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative, K lies outside its range, or the torque lies below the
        prevailing torque.

    References
    ----------
    As `torque_from_nut_factor`.

    Examples
    --------
    >>> float(clamp_from_nut_factor(50.0, d=10, nut_factor=0.2))
    25000.0
    """
    arm = _arms.checked_nut_factor_arm(d, nut_factor)
    return (
        _arms.clamping_torque(torque, prevailing_torque, d_and_nut_factor=arm)
        * _arms.N_MM_PER_N_M
        / arm
    )
