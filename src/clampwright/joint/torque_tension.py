"""Torque and clamp load: the long form.

Rival relations stand side by side; the linear long form is the one the other modules use.

===============  ====================================  ==========================================
relation         functions                             holds for
===============  ====================================  ==========================================
long form        `torque_from_clamp` and back          separate thread and bearing friction known
nut factor       `clampwright.joint.nut_factor`        K measured on this fastener and lubricant
power screw      `clampwright.joint.power_screw`       long form without its small-angle step: the
                                                       form behind printed assembly torques
printed VDI      `clampwright.joint.power_screw`       comparing with hand work that used the
                                                       rounded coefficients 0.16 and 0.58
===============  ====================================  ==========================================

Friction is always an argument and never has a default: about 85 % of the torque is friction.
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats


@dataclass(frozen=True, slots=True)
class TorqueShares:
    """Where the torque goes, as fractions of the torque above the prevailing torque; they sum to 1.

    Parameters
    ----------
    lead : float or ndarray
        The part that lifts the thread and so makes clamp load.
    thread : float or ndarray
        Friction in the thread.
    bearing : float or ndarray
        Friction under the turned head or nut.
    """

    lead: Floats
    thread: Floats
    bearing: Floats


def torque_from_clamp(
    clamp: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Tightening torque that belongs to a clamp load, by the long form.

    ``T = F [P/(2π) + μ_th d2/(2 cos 30°) + μ_b D_b/2] + T_p``

    Parameters
    ----------
    clamp : array_like
        Clamp load F, N; not below 0.
    P : array_like
        Pitch, mm.
    d2 : array_like
        Pitch diameter, mm.
    bearing_diameter : array_like
        Effective diameter of the bearing face D_b, mm (see `mean_bearing_diameter`).
    mu_thread, mu_bearing : array_like
        Friction coefficients in the thread and under the turned part, 0 to 1.
    prevailing_torque : array_like
        Torque that turns the fastener before it clamps (locking feature), N·m.

    Returns
    -------
    float or ndarray
        Torque, N·m.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible (zero pitch, pitch as large as d2).
    ClampwrightError
        An argument is no number, or array shapes do not fit together.

    Notes
    -----
    Holds for sliding metal 60° threads, bolt elastic or yielded alike (F is the true axial force).
    Not for adhesive, interference or damaged threads. Small-angle form: 0.7 % low in the thread
    part at μ 0.12 for an M10 against `torque_from_clamp_power_screw`.

    References
    ----------
    Motosh, J. Eng. for Industry 98 (1976); Bickford, *Introduction to the Design and Behavior of
    Bolted Joints*, chapter on torque. Both from memory.

    Examples
    --------
    >>> torque = torque_from_clamp(25_000, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                            mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{torque:.2f} N·m")
    37.62 N·m
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    arm = _arms.checked_arm(P, d2, bearing_diameter, mu_thread, mu_bearing)
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    _checks.shapes_fit(clamp=force, geometry=arm, prevailing_torque=prevailing)
    return force * arm / _arms.N_MM_PER_N_M + prevailing


def clamp_from_torque(
    torque: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Clamp load that a tightening torque makes, by the long form.

    The inverse of `torque_from_clamp`.

    Parameters
    ----------
    torque : array_like
        Tightening torque T, N·m; not below the prevailing torque.
    P : array_like
        Pitch, mm.
    d2 : array_like
        Pitch diameter, mm.
    bearing_diameter : array_like
        Effective diameter of the bearing face, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients in the thread and under the turned part, 0 to 1.
    prevailing_torque : array_like
        Torque that turns the fastener before it clamps, N·m.

    Returns
    -------
    float or ndarray
        Clamp load, N.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible, or the torque lies below the prevailing torque
        (the fastener would not turn).
    ClampwrightError
        An argument is no number, or array shapes do not fit together.

    Notes
    -----
    Yield is not looked at here: see `clampwright.joint.stress.yield_clamp`.

    References
    ----------
    As `torque_from_clamp`.

    Examples
    --------
    >>> clamp = clamp_from_torque(37.62, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                           mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{clamp / 1000:.2f} kN")
    25.00 kN
    """
    arm = _arms.checked_arm(P, d2, bearing_diameter, mu_thread, mu_bearing)
    return _arms.clamping_torque(torque, prevailing_torque, geometry=arm) * _arms.N_MM_PER_N_M / arm


def thread_torque(clamp: ArrayLike, *, P: ArrayLike, d2: ArrayLike, mu_thread: ArrayLike) -> Floats:
    """Torque in the shank from the thread alone, linear form.

    ``T_th = F [P/(2π) + μ_th d2/(2 cos 30°)]``

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
        Torque that twists the shank, N·m (without a prevailing torque).

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    As `torque_from_clamp`.

    Examples
    --------
    >>> round(float(thread_torque(25_000, P=1.5, d2=9.0257, mu_thread=0.12)), 3)
    21.601
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    return force * _arms.thread_arm(*_arms.checked_thread(P, d2, mu_thread)) / _arms.N_MM_PER_N_M


def loosening_torque(
    clamp: ArrayLike,
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    prevailing_torque: ArrayLike = 0.0,
) -> Floats:
    """Torque that loosens a fastener, as a positive magnitude.

    ``T_off = F [−P/(2π) + μ_th d2/(2 cos 30°) + μ_b D_b/2] + T_p``

    Parameters
    ----------
    clamp : array_like
        Clamp load at the time of loosening, N.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients while loosening.
    prevailing_torque : array_like
        Prevailing torque, N·m; it resists loosening too.

    Returns
    -------
    float or ndarray
        Loosening torque, N·m. Below zero the fastener would come loose by itself.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    Notes
    -----
    With the same friction both ways ``T_on − T_off = F P/π`` whatever the friction. Breakaway from
    rest needs more, relaxation makes it less: a plausibility check, not a measurement of clamp.

    References
    ----------
    Derived from the long form; Bickford, from memory.

    Examples
    --------
    >>> torque = loosening_torque(25_000, P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                           mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{torque:.3f}")
    25.683
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    arm = _arms.checked_arm(P, d2, bearing_diameter, mu_thread, mu_bearing)
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    _checks.shapes_fit(clamp=force, geometry=arm, prevailing_torque=prevailing)
    back = arm - 2.0 * _arms.lead_arm(_checks.number("P", P))
    return force * back / _arms.N_MM_PER_N_M + prevailing


def torque_shares(
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> TorqueShares:
    """How the torque above the prevailing torque is shared between lead, thread and head.

    Parameters
    ----------
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.

    Returns
    -------
    TorqueShares
        Fractions that sum to 1. They are also the relative sensitivities of the nut factor to
        `mu_thread` and `mu_bearing`.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    The three terms of the long form, see `torque_from_clamp`.

    Examples
    --------
    >>> part = torque_shares(P=1.5, d2=9.0257, bearing_diameter=12.815,
    ...                      mu_thread=0.12, mu_bearing=0.10)
    >>> [round(100 * float(x), 2) for x in (part.lead, part.thread, part.bearing)]
    [15.86, 41.55, 42.58]
    """
    whole = _arms.checked_arm(P, d2, bearing_diameter, mu_thread, mu_bearing)
    pitch, diameter, mu = _arms.checked_thread(P, d2, mu_thread)
    lead = _arms.lead_arm(pitch) / whole
    thread = _arms.thread_friction_arm(diameter, mu) / whole
    return TorqueShares(lead, thread, 1.0 - lead - thread)
