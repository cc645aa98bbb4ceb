"""Torque and clamp load without the small-angle step, and with the guideline's rounded figures.

Rivals of the long form in `clampwright.joint.torque_tension`; see the table there.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats


def thread_torque_power_screw(
    clamp: ArrayLike, *, P: ArrayLike, d2: ArrayLike, mu_thread: ArrayLike
) -> Floats:
    """Torque in the shank from the thread alone, without the small-angle step.

    ``T_th = F (d2/2) tan(φ + ρ')``, ``tan φ = P/(π d2)``, ``tan ρ' = μ_th / cos 30°``

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    P, d2 : array_like
        Pitch and pitch diameter, mm.
    mu_thread : array_like
        Friction coefficient in the thread.

    Returns
    -------
    float or ndarray
        Torque that twists the shank, N·m.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    Notes
    -----
    Flank angle in the axial section; the normal section changes the result by 0.03 %.

    References
    ----------
    Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed. (2011), power screws.

    Examples
    --------
    >>> round(float(thread_torque_power_screw(25_000, P=1.5, d2=9.0257, mu_thread=0.12)), 3)
    21.761
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    return force * _arms.checked_thread_arm_power_screw(P, d2, mu_thread) / _arms.N_MM_PER_N_M


def torque_from_clamp_power_screw(
    clamp: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Tightening torque by the power-screw form of the thread.

    ``T = F [(d2/2) tan(φ + ρ') + μ_b D_b/2] + T_p``

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    prevailing_torque : array_like
        Prevailing torque, N·m.

    Returns
    -------
    float or ndarray
        Torque, N·m.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    Budynas and Nisbett, *Shigley's Mechanical Engineering Design*, 9th ed. (2011), Example 8-3(c);
    the tables of VDI 2230-1 (2001 and later) follow this form.

    Examples
    --------
    >>> torque = torque_from_clamp_power_screw(25_000, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                                        mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{torque:.3f}")
    37.780
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    arm = _arms.checked_arm_power_screw(P, d2, bearing_diameter, mu_thread, mu_bearing)
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    _checks.shapes_fit(clamp=force, geometry=arm, prevailing_torque=prevailing)
    return force * arm / _arms.N_MM_PER_N_M + prevailing


def clamp_from_torque_power_screw(
    torque: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Clamp load by the power-screw form; the inverse of `torque_from_clamp_power_screw`.

    Parameters
    ----------
    torque : array_like
        Tightening torque, N·m; not below the prevailing torque.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    prevailing_torque : array_like
        Prevailing torque, N·m.

    Returns
    -------
    float or ndarray
        Clamp load, N.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible, or the torque is below the prevailing torque.

    References
    ----------
    As `torque_from_clamp_power_screw`.

    Examples
    --------
    >>> clamp = clamp_from_torque_power_screw(37.780, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                                       mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{clamp:.0f}")
    25000
    """
    arm = _arms.checked_arm_power_screw(P, d2, bearing_diameter, mu_thread, mu_bearing)
    return _arms.clamping_torque(torque, prevailing_torque, geometry=arm) * _arms.N_MM_PER_N_M / arm


def torque_from_clamp_vdi_printed(
    clamp: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> Floats:
    """Tightening torque with the rounded coefficients that the guideline prints.

    ``M_A = F (0.16 P + 0.58 d2 μ_G + D_Km μ_K / 2)``

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.

    Returns
    -------
    float or ndarray
        Torque, N·m; about 0.3 % above `torque_from_clamp`. Only for comparing with hand work.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    VDI 2230-1, assembly torque, from memory.

    Examples
    --------
    >>> torque = torque_from_clamp_vdi_printed(25_000, P=1.5, d2=9.02572, bearing_diameter=12.815,
    ...                                        mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{torque:.3f}")
    37.724
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    pitch, diameter, mu = _arms.checked_thread(P, d2, mu_thread)
    bearing = _arms.checked_bearing_arm(bearing_diameter, mu_bearing)
    return force * (0.16 * pitch + 0.58 * diameter * mu + bearing) / _arms.N_MM_PER_N_M
