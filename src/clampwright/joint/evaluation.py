"""What measured torques and clamp loads tell: friction coefficients, nut factor, clamp load."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats

ISO_THREAD_ARM = 0.577
"""The evaluation of ISO 16047 uses this rounded figure, not 0.57735."""


@dataclass(frozen=True, slots=True)
class Friction:
    """Result of a torque-tension test.

    Parameters
    ----------
    thread, bearing, total : float or ndarray
        Friction coefficients in the thread, under the turned part, and one for both.
    nut_factor : float or ndarray
        K = (T - T_p) / (F d).
    """

    thread: Floats
    bearing: Floats
    total: Floats
    nut_factor: Floats


def total_friction(
    torque: ArrayLike,
    clamp: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """One friction coefficient for thread and bearing face together, from torque and clamp load.

    ``μ_tot = [(T − T_p)/F − P/(2π)] / (0.577 d2 + 0.5 D_b)``

    Parameters
    ----------
    torque : array_like
        Tightening torque, N·m; above the prevailing torque.
    clamp : array_like
        Clamp load, N; above 0.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    prevailing_torque : array_like
        Prevailing torque, N·m.

    Returns
    -------
    float or ndarray
        Coefficient; below zero means that torque and clamp load do not belong together.

    Raises
    ------
    OutOfRange
        An argument is NaN, not positive, or the torque lies below the prevailing torque.

    References
    ----------
    ISO 16047:2005, evaluation, from memory.

    Examples
    --------
    >>> round(float(total_friction(37.62, 25_000, P=1.5, d2=9.0257, bearing_diameter=12.815)), 4)
    0.109
    """
    force, pitch, diameter = _inputs(clamp, P, d2)
    bearing = _checks.above("bearing_diameter", bearing_diameter, unit="mm")
    above = _arms.clamping_torque(
        torque, prevailing_torque, clamp=force, P=pitch, d2=diameter, bearing_diameter=bearing
    )
    arm = above * _arms.N_MM_PER_N_M / force - _arms.lead_arm(pitch)
    return arm / (ISO_THREAD_ARM * diameter + _arms.BEARING_FRICTION_ARM * bearing)


def friction_from_test(
    torque: ArrayLike,
    thread_torque: ArrayLike,
    clamp: ArrayLike,
    *,
    d: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Friction:
    """Friction coefficients and nut factor from a test that also measures the shank's torque.

    ``μ_th = (T_th/F − P/2π)/(0.577 d2)``, ``μ_b = (T − T_th)/(0.5 D_b F)``

    Parameters
    ----------
    torque : array_like
        Tightening torque, N·m.
    thread_torque : array_like
        Torque carried by the shank, N·m; not above `torque`.
    clamp : array_like
        Clamp load, N; above 0.
    d, P, d2, bearing_diameter : array_like
        Nominal diameter, pitch, pitch diameter, effective bearing diameter, mm.
    prevailing_torque : array_like
        Prevailing torque, N·m; it acts in the thread and is taken from both torques.

    Returns
    -------
    Friction

    Raises
    ------
    OutOfRange
        An argument is NaN, not positive, or the torques do not fit each other.

    References
    ----------
    ISO 16047:2005, evaluation, from memory (there at 75 % of proof load).

    Examples
    --------
    >>> found = friction_from_test(37.62, 21.60, 25_000, d=10, P=1.5, d2=9.0257,
    ...                            bearing_diameter=12.815)
    >>> print(f"{found.thread:.3f} {found.bearing:.3f} {found.total:.3f} K {found.nut_factor:.4f}")
    0.120 0.100 0.109 K 0.1505
    """
    force, pitch, diameter = _inputs(clamp, P, d2)
    nominal = _checks.above("d", d, unit="mm")
    bearing = _checks.above("bearing_diameter", bearing_diameter, unit="mm")
    whole = _checks.not_negative("torque", torque, unit="N·m")
    above = _arms.clamping_torque(
        whole,
        prevailing_torque,
        clamp=force,
        P=pitch,
        d2=diameter,
        d=nominal,
        bearing_diameter=bearing,
    )
    in_thread = _arms.clamping_torque(thread_torque, prevailing_torque, clamp=force)
    pair = np.broadcast_arrays(above, in_thread)
    _arms.refuse_below("torque", pair[0], "thread_torque", pair[1])
    arm = in_thread * _arms.N_MM_PER_N_M / force - _arms.lead_arm(pitch)
    under = (above - in_thread) * _arms.N_MM_PER_N_M / force
    return Friction(
        thread=arm / (ISO_THREAD_ARM * diameter),
        bearing=under / (_arms.BEARING_FRICTION_ARM * bearing),
        total=total_friction(
            torque,
            clamp,
            P=P,
            d2=d2,
            bearing_diameter=bearing_diameter,
            prevailing_torque=prevailing_torque,
        ),
        nut_factor=above * _arms.N_MM_PER_N_M / (force * nominal),
    )


def clamp_from_torque_pair(torque_on: ArrayLike, torque_off: ArrayLike, *, P: ArrayLike) -> Floats:
    """Clamp load estimated from a tightening and a loosening torque.

    ``F = π (T_on − T_off) / P``

    Parameters
    ----------
    torque_on, torque_off : array_like
        Running torque when tightening and when loosening, N·m; the second is the smaller.
    P : array_like
        Pitch, mm.

    Returns
    -------
    float or ndarray
        Clamp load, N. Prevailing torque cancels.

    Raises
    ------
    OutOfRange
        An argument is NaN or negative, or loosening takes as much torque as tightening.

    Notes
    -----
    A small difference of large numbers: 5 % on each torque is about 20 % on F. Breakaway and
    relaxation bias it. Laboratory pairs scattered by about 30 %.

    References
    ----------
    Derived: difference of the long form in both directions.

    Examples
    --------
    >>> round(float(clamp_from_torque_pair(37.620, 25.683, P=1.5)))
    25001
    """
    on = _checks.not_negative("torque_on", torque_on, unit="N·m")
    off = _checks.not_negative("torque_off", torque_off, unit="N·m")
    pitch = _checks.above("P", P, unit="mm")
    shape = _checks.shapes_fit(torque_on=on, torque_off=off, P=pitch)
    _arms.refuse_below(
        "torque_on", np.broadcast_to(on, shape), "torque_off", np.broadcast_to(off, shape)
    )
    return math.pi * (on - off) * _arms.N_MM_PER_N_M / pitch


def _inputs(clamp: ArrayLike, P: ArrayLike, d2: ArrayLike) -> tuple[Floats, Floats, Floats]:
    force = _checks.above("clamp", clamp, unit="N")
    pitch, diameter, _ = _arms.checked_thread(P, d2, 0.0)
    return force, pitch, diameter
