"""Stress in a fastener while it is tightened: onset of yield, and after release.

Two readings of the torsion live side by side and are never mixed, because tables of both circulate
and differ by about 10 %:

``plastic``  the shank has yielded in torsion throughout, ``W_P = π d0³/12``, factor 3/2:
             VDI 2230-1, 2001 and later.
``elastic``  torsion peaks at the surface, ``W_P = π d0³/16``, factor 2: tables before 2001.
"""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError
from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

Torsion = Literal["plastic", "elastic"]
ThreadForm = Literal["linear", "power_screw"]

TORSION_FACTOR: dict[str, float] = {"plastic": 3.0 / 2.0, "elastic": 2.0}
"""The factor before (d2/d0)·tan(φ + ρ') in the ratio of torsion to tension."""

EDITION: dict[str, str] = {
    "plastic": "VDI 2230-1, 2001 and later (plastic torsion, factor 3/2)",
    "elastic": "tables before 2001 (elastic torsion, factor 2)",
}
"""What each reading of the torsion belongs to; results carry it."""

FRICTION_TANGENT = 1.155
"""tan ρ' per unit of friction as the guideline prints it; 1/cos 30° is 1.1547. Kept, so that its
tables come back to the printed digit; the torque relations use the unrounded figure."""

TORSION_KEPT = 0.5
"""Share of the torsion left when the wrench is off (VDI 2230-1, k_τ, from memory)."""


@dataclass(frozen=True, slots=True)
class TighteningStress:
    """Stresses in the smallest section.

    Parameters
    ----------
    tension, torsion, equivalent : float or ndarray
        Stresses, MPa; `equivalent` is von Mises.
    edition : str
        Which reading of the torsion they belong to.
    """

    tension: Floats
    torsion: Floats
    equivalent: Floats
    edition: str


def combined_factor(
    *,
    stress_area: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    mu_thread: ArrayLike,
    torsion: Torsion = "plastic",
    thread_form: ThreadForm = "linear",
) -> Floats:
    """How much torsion raises the equivalent stress above the tensile stress.

    ``q = √(1 + 3 k²)``, ``k = f (d2/d0) [P/(π d2) + 1.155 μ_th]`` with f = 3/2 (plastic) or 2
    (elastic) and ``d0 = √(4 A/π)``

    Parameters
    ----------
    stress_area : array_like
        Smallest loaded section A: stress area of the thread, or a thinner shank, mm².
    P, d2 : array_like
        Pitch and pitch diameter, mm.
    mu_thread : array_like
        Friction coefficient in the thread.
    torsion : {"plastic", "elastic"}
        Reading of the torsion, see the head of this module.
    thread_form : {"linear", "power_screw"}
        Thread torque with or without the small-angle step.

    Returns
    -------
    float or ndarray
        q, at least 1. The ratio of equivalent to tensile stress stays the same while tightening,
        because tension and torsion grow together.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.
    ClampwrightError
        `torsion` or `thread_form` is not one of those named.

    References
    ----------
    VDI 2230-1, assembly stress, from memory; von Mises.

    Examples
    --------
    >>> round(float(combined_factor(stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12)), 4)
    1.1283
    """
    area = _checks.above("stress_area", stress_area, unit="mm²")
    arm = checked_arm(P, d2, mu_thread, thread_form)
    _checks.shapes_fit(stress_area=area, thread=arm)
    _one_of("torsion", torsion, TORSION_FACTOR)
    return factor_from_arm(arm, area, torsion=torsion)


def factor_from_arm(arm: Floats, stress_area: Floats, *, torsion: Torsion = "plastic") -> Floats:
    """Return `combined_factor` from the thread's lever arm (mm) and the area (mm²); not checked.

    Parameters
    ----------
    arm : ndarray
        Thread torque per newton of clamp load, mm.
    stress_area : ndarray
        Smallest loaded section, mm².
    torsion : {"plastic", "elastic"}

    Returns
    -------
    float or ndarray

    References
    ----------
    As `combined_factor`.

    Examples
    --------
    >>> import numpy as np
    >>> round(float(factor_from_arm(np.asarray(0.864), np.asarray(57.99))), 3)
    1.128
    """
    # Torsion over tension is f·(d2/d0)·tan(φ + ρ'); the arm is (d2/2)·tan(φ + ρ').
    diameter = np.sqrt(4.0 / math.pi * stress_area)
    k = TORSION_FACTOR[torsion] * 2.0 * arm / diameter
    return np.sqrt(1.0 + 3.0 * k**2)


def tightening_stress(
    clamp: ArrayLike,
    *,
    stress_area: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    mu_thread: ArrayLike,
    torsion: Torsion = "plastic",
    thread_form: ThreadForm = "linear",
    kept_torsion: ArrayLike = 1.0,
) -> TighteningStress:
    """Tension, torsion and equivalent stress at a clamp load, wrench still on.

    ``σ = F/A``, ``τ = M_G/W_P``, ``σ_eq = √[σ² + 3 (k_τ τ)²]``

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    stress_area : array_like
        Smallest loaded section, mm².
    P, d2 : array_like
        Pitch and pitch diameter, mm.
    mu_thread : array_like
        Friction coefficient in the thread.
    torsion : {"plastic", "elastic"}
        Reading of the torsion.
    thread_form : {"linear", "power_screw"}
        Thread torque with or without the small-angle step.
    kept_torsion : array_like
        Share k_τ of the torsion that is there, 0 to 1: 1 while the wrench is on.

    Returns
    -------
    TighteningStress
        MPa. `torsion` is the full one, before `kept_torsion`.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    Notes
    -----
    Elastic relation; above the yield stress the figures say only that the fastener yields.

    References
    ----------
    VDI 2230-1, from memory.

    Examples
    --------
    >>> now = tightening_stress(29_600, stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12)
    >>> print(f"{now.tension:.1f} {now.torsion:.1f} {now.equivalent:.1f} MPa")
    510.4 154.0 575.9 MPa
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    kept = _checks.within("kept_torsion", kept_torsion, low=0.0, high=1.0)
    factor = combined_factor(
        stress_area=stress_area,
        P=P,
        d2=d2,
        mu_thread=mu_thread,
        torsion=torsion,
        thread_form=thread_form,
    )
    _checks.shapes_fit(clamp=force, kept_torsion=kept, thread=factor)
    tension = force / _checks.number("stress_area", stress_area)
    twist = tension * np.sqrt((factor**2 - 1.0) / 3.0)
    equivalent = np.sqrt(tension**2 + 3.0 * (kept * twist) ** 2)
    return TighteningStress(tension, twist, equivalent, EDITION[torsion])


def stress_after_release(
    clamp: ArrayLike,
    *,
    stress_area: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    mu_thread: ArrayLike,
    torsion: Torsion = "plastic",
    thread_form: ThreadForm = "linear",
    kept_torsion: ArrayLike = TORSION_KEPT,
) -> Floats:
    """Equivalent stress after the wrench is taken off: part of the shank's torsion springs back.

    Parameters
    ----------
    clamp : array_like
        Clamp load, N.
    stress_area, P, d2, mu_thread : array_like
        As `tightening_stress`.
    torsion, thread_form : str
        As `tightening_stress`.
    kept_torsion : array_like
        Share of the torsion that stays, 0 to 1; half by the guideline.

    Returns
    -------
    float or ndarray
        Equivalent stress, MPa.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    VDI 2230-1, reduced stress in service with k_τ = 0.5, from memory.

    Examples
    --------
    >>> stress = stress_after_release(29_600, stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12)
    >>> print(f"{stress:.1f} MPa")
    527.6 MPa
    """
    return tightening_stress(
        clamp,
        stress_area=stress_area,
        P=P,
        d2=d2,
        mu_thread=mu_thread,
        torsion=torsion,
        thread_form=thread_form,
        kept_torsion=kept_torsion,
    ).equivalent


def yield_clamp(
    *,
    yield_stress: ArrayLike,
    stress_area: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    mu_thread: ArrayLike,
    utilisation: ArrayLike = 1.0,
    torsion: Torsion = "plastic",
    thread_form: ThreadForm = "linear",
) -> Floats:
    """Clamp load at which a fastener begins to yield while being turned.

    ``F = ν R_p A / √(1 + 3 k²)``

    Parameters
    ----------
    yield_stress : array_like
        R_p0.2 or yield stress, MPa.
    stress_area : array_like
        Smallest loaded section A, mm².
    P, d2 : array_like
        Pitch and pitch diameter, mm.
    mu_thread : array_like
        Friction coefficient in the thread.
    utilisation : array_like
        Share ν of the yield stress, above 0 to 1: 1 for the onset of yield, 0.9 in the tables.
    torsion : {"plastic", "elastic"}
        Reading of the torsion.
    thread_form : {"linear", "power_screw"}
        Thread torque with or without the small-angle step.

    Returns
    -------
    float or ndarray
        Clamp load, N. Less thread friction gives more; friction under the head does not matter.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    VDI 2230-1, assembly preload, from memory.

    Examples
    --------
    >>> clamp = yield_clamp(yield_stress=940, stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12)
    >>> print(f"{clamp / 1000:.1f} kN")
    48.3 kN
    """
    limit = _checks.above("yield_stress", yield_stress, unit="MPa")
    _checks.above("utilisation", utilisation)
    share = _checks.within("utilisation", utilisation, low=0.0, high=1.0)
    factor = combined_factor(
        stress_area=stress_area,
        P=P,
        d2=d2,
        mu_thread=mu_thread,
        torsion=torsion,
        thread_form=thread_form,
    )
    _checks.shapes_fit(yield_stress=limit, utilisation=share, thread=factor)
    return share * limit * _checks.number("stress_area", stress_area) / factor


def linear_arm(P: Floats, d2: Floats, mu_thread: Floats) -> Floats:
    """Return the thread's lever arm as the guideline writes it, linear; not checked.

    Parameters
    ----------
    P, d2 : ndarray
        Pitch and pitch diameter, mm.
    mu_thread : ndarray
        Friction in the thread.

    Returns
    -------
    ndarray
        Thread torque per newton of clamp load, mm.

    References
    ----------
    VDI 2230-1 (from memory), as the module says.

    Examples
    --------
    >>> import numpy as np
    >>> round(float(linear_arm(np.asarray(1.5), np.asarray(9.0257), np.asarray(0.12))), 4)
    0.8642
    """
    return _arms.lead_arm(P) + FRICTION_TANGENT / 2.0 * d2 * mu_thread


def checked_arm(
    P: ArrayLike, d2: ArrayLike, mu_thread: ArrayLike, thread_form: ThreadForm
) -> Floats:
    """Return the thread's lever arm by the form named, from checked arguments.

    Parameters
    ----------
    P, d2 : array_like
        Pitch and pitch diameter, mm.
    mu_thread : array_like
        Friction in the thread, 0 to 1.
    thread_form : ThreadForm
        Which form of the thread's torque.

    Returns
    -------
    ndarray
        Thread torque per newton of clamp load, mm.

    Raises
    ------
    OutOfRange
        An argument lies outside its range.
    ClampwrightError
        The shapes do not fit, or there is no such form.

    References
    ----------
    As `combined_factor`.

    Examples
    --------
    >>> round(float(checked_arm(1.5, 9.0257, 0.12, "linear")), 4)
    0.8642
    """
    _one_of("thread_form", thread_form, ("linear", "power_screw"))
    pitch, diameter, mu = _arms.checked_thread(P, d2, mu_thread)
    if thread_form == "linear":
        return linear_arm(pitch, diameter, mu)
    rub = FRICTION_TANGENT / 2.0 * diameter * mu
    return _arms.power_screw_arm(_arms.lead_arm(pitch), rub, diameter)


def _one_of(argument: str, given: str, known: Collection[str]) -> None:
    if given not in known:
        raise ClampwrightError(
            words(
                "{argument} is {given}; it must be one of: {known}",
                argument=argument,
                given=repr(given),
                known=", ".join(known),
            )
        )
