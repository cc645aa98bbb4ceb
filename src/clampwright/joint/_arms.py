"""Lever arms of the torque relations: torque per newton of clamp load, in mm (N·mm per N).

The plain arm functions trust their inputs and are what the bands and curves compute with; the
``checked_...`` functions stand at the door of the public relations.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

LEAD_ARM = 1.0 / (2.0 * math.pi)
"""Lever arm of the thread's rise per mm of pitch: one turn of work 2πT lifts F by P."""

THREAD_FRICTION_ARM = 0.5 / math.cos(math.radians(30.0))
"""Lever arm of thread friction per mm of pitch diameter; 30° is half the flank angle (ISO 68-1)."""

BEARING_FRICTION_ARM = 0.5
"""Lever arm of friction under the head per mm of effective bearing diameter."""

N_MM_PER_N_M = 1000.0


def lead_arm(P: Floats) -> Floats:
    """Return the arm of the thread's rise, mm; `P` in mm, not checked."""
    return LEAD_ARM * P


def thread_friction_arm(d2: Floats, mu_thread: Floats) -> Floats:
    """Return the arm of thread friction, mm; `d2` in mm, not checked."""
    return THREAD_FRICTION_ARM * d2 * mu_thread


def bearing_friction_arm(bearing_diameter: Floats, mu_bearing: Floats) -> Floats:
    """Return the arm of friction under the head, mm; diameter in mm, not checked."""
    return BEARING_FRICTION_ARM * bearing_diameter * mu_bearing


def thread_arm(P: Floats, d2: Floats, mu_thread: Floats) -> Floats:
    """Return the arm of the thread torque by the linear form, mm; not checked."""
    return lead_arm(P) + thread_friction_arm(d2, mu_thread)


def power_screw_arm(lead: Floats, rub: Floats, d2: Floats) -> Floats:
    """Return (d2/2)·tan(φ + ρ'), mm, from the arms of lead and friction (mm); refuse a jam.

    ``tan(φ + ρ') = (tan φ + tan ρ') / (1 − tan φ tan ρ')`` with ``tan φ = 2·lead/d2`` and
    ``tan ρ' = 2·rub/d2``.
    """
    product = 4.0 * lead * rub / d2**2
    if np.any(product >= 1.0):
        worst = float(np.max(product))
        raise OutOfRange(
            words(
                "mu_thread is so high that the thread jams: tan φ · tan ρ' is {value:g},"
                " it must be below 1",
                value=worst,
            ),
            value=worst,
            high=1.0,
        )
    return (lead + rub) / (1.0 - product)


def torque_arm(
    P: Floats, d2: Floats, bearing_diameter: Floats, mu_thread: Floats, mu_bearing: Floats
) -> Floats:
    """Return the whole arm of the long form, mm; not checked."""
    return thread_arm(P, d2, mu_thread) + bearing_friction_arm(bearing_diameter, mu_bearing)


def checked_thread(
    P: ArrayLike, d2: ArrayLike, mu_thread: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    """Return pitch, pitch diameter and friction of a thread, checked."""
    pitch = _checks.above("P", P, unit="mm")
    diameter = _checks.above("d2", d2, unit="mm")
    mu = _checks.friction("mu_thread", mu_thread)
    _checks.shapes_fit(P=pitch, d2=diameter, mu_thread=mu)
    _checks.smaller("P", pitch, "d2", diameter)
    return pitch, diameter, mu


def checked_bearing_arm(bearing_diameter: ArrayLike, mu_bearing: ArrayLike) -> Floats:
    """Return the arm of friction under the head, mm, from checked arguments."""
    diameter = _checks.above("bearing_diameter", bearing_diameter, unit="mm")
    mu = _checks.friction("mu_bearing", mu_bearing)
    _checks.shapes_fit(bearing_diameter=diameter, mu_bearing=mu)
    return bearing_friction_arm(diameter, mu)


def checked_arm(
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> Floats:
    """Return the whole arm of the long form, mm, from checked arguments."""
    thread = thread_arm(*checked_thread(P, d2, mu_thread))
    bearing = checked_bearing_arm(bearing_diameter, mu_bearing)
    _checks.shapes_fit(thread=thread, bearing=bearing)
    return thread + bearing


def checked_thread_arm_power_screw(P: ArrayLike, d2: ArrayLike, mu_thread: ArrayLike) -> Floats:
    """Return the arm of the thread by the power-screw form, mm, from checked arguments."""
    pitch, diameter, mu = checked_thread(P, d2, mu_thread)
    return power_screw_arm(lead_arm(pitch), thread_friction_arm(diameter, mu), diameter)


def checked_arm_power_screw(
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> Floats:
    """Return the whole arm of the power-screw form, mm, from checked arguments."""
    thread = checked_thread_arm_power_screw(P, d2, mu_thread)
    bearing = checked_bearing_arm(bearing_diameter, mu_bearing)
    _checks.shapes_fit(thread=thread, bearing=bearing)
    return thread + bearing


def checked_nut_factor_arm(d: ArrayLike, nut_factor: ArrayLike) -> Floats:
    """Return K·d, mm, from checked arguments."""
    nominal = _checks.above("d", d, unit="mm")
    _checks.above("nut_factor", nut_factor)
    factor = _checks.within("nut_factor", nut_factor, low=0.0, high=1.0, source="limit ours")
    _checks.shapes_fit(d=nominal, nut_factor=factor)
    return nominal * factor


def clamping_torque(torque: ArrayLike, prevailing_torque: ArrayLike, **arm: Floats) -> Floats:
    """Return the torque above the prevailing torque, N·m."""
    turned = _checks.not_negative("torque", torque, unit="N·m")
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    shape = _checks.shapes_fit(torque=turned, prevailing_torque=prevailing, **arm)
    refuse_below(
        "torque",
        np.broadcast_to(turned, shape),
        "prevailing_torque",
        np.broadcast_to(prevailing, shape),
    )
    return turned - prevailing


def refuse_below(large_name: str, large: Floats, small_name: str, small: Floats) -> None:
    """Refuse torques of which the one that must be larger is the smaller."""
    short = large < small
    if short.any():
        bad, limit = float(large[short][0]), float(small[short][0])
        raise OutOfRange(
            words(
                "{large} is {value:g} N·m; it cannot be below {small} ({limit:g} N·m)",
                large=large_name,
                value=bad,
                small=small_name,
                limit=limit,
            ),
            value=bad,
            low=limit,
        )
