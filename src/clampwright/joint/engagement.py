"""Length of thread engagement so that the bolt breaks before a thread strips.

A stripped thread is not seen; a broken bolt is. Two forms: with the strengths of both parts, after
Alexander, and the handbook formula for equal materials with its factor for a weaker nut.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.stripping import (
    STEEL_SHEAR,
    bolt_shear_area,
    nut_shear_area,
    stripping,
)

RUN_OUT = 0.8
"""Pitches of engaged length that do not count where thread ends are chamfered (VDI 2230-1, from
memory)."""

_FLANK = 1.0 / math.sqrt(3.0)  # tan 30°


def effective_length(length: ArrayLike, *, P: ArrayLike) -> Floats:
    """Engaged length that counts where the thread ends are chamfered, ``m = l − 0.8 P``.

    Parameters
    ----------
    length : array_like
        Engaged length including chamfers, mm.
    P : array_like
        Pitch, mm.

    Returns
    -------
    float or ndarray
        Length of full threads, mm.

    Raises
    ------
    OutOfRange
        An argument is not positive, or nothing is left.

    References
    ----------
    VDI 2230-1, from memory.

    Examples
    --------
    >>> round(float(effective_length(8, P=1.5)), 2)
    6.8
    """
    long = _checks.above("length", length, unit="mm")
    pitch = _checks.above("P", P, unit="mm")
    _checks.shapes_fit(length=long, P=pitch)
    return _checks.above("length of full threads", long - RUN_OUT * pitch, unit="mm")


def engagement_so_that_bolt_breaks(
    *,
    P: ArrayLike,
    d: ArrayLike,
    d2: ArrayLike,
    D1: ArrayLike,
    D2: ArrayLike,
    stress_area: ArrayLike,
    bolt_strength: ArrayLike,
    nut_strength: ArrayLike,
    width_ratio: ArrayLike | None = None,
    bolt_shear: ArrayLike = STEEL_SHEAR,
    nut_shear: ArrayLike = STEEL_SHEAR,
) -> Floats:
    """Shortest engaged length at which the bolt breaks before either thread strips.

    Parameters
    ----------
    P : array_like
        Pitch, mm.
    d, d2 : array_like
        Outside and pitch diameter of the bolt thread, mm; their smallest for the weakest pair.
    D1, D2 : array_like
        Minor and pitch diameter of the nut thread, mm; their largest for the weakest pair.
    stress_area : array_like
        Stress area, mm².
    bolt_strength, nut_strength : array_like
        Tensile strengths, MPa.
    width_ratio, bolt_shear, nut_shear : array_like
        As `clampwright.joint.stripping.stripping`.

    Returns
    -------
    float or ndarray
        Engaged length, mm, with 0.8 P for chamfer and run-out.

    Raises
    ------
    OutOfRange
        As `clampwright.joint.stripping.stripping`.

    Notes
    -----
    Both shear areas grow with the length and their ratio does not, so the length follows at once.

    References
    ----------
    Alexander, SAE 770420 (1977); VDI 2230-1. From memory.

    Examples
    --------
    >>> length = engagement_so_that_bolt_breaks(
    ...     P=1.5, d=9.732, d2=8.862, D1=8.676, D2=9.206, stress_area=57.99,
    ...     bolt_strength=800, nut_strength=250)
    >>> print(f"{length:.1f} mm")
    14.8 mm
    """
    per_mm = stripping(
        bolt_area=bolt_shear_area(1.0, P=P, D1=D1, d2=d2),
        nut_area=nut_shear_area(1.0, P=P, d=d, D2=D2),
        stress_area=stress_area,
        bolt_strength=bolt_strength,
        nut_strength=nut_strength,
        width_ratio=width_ratio,
        bolt_shear=bolt_shear,
        nut_shear=nut_shear,
    )
    weaker = np.minimum(per_mm.bolt_thread, per_mm.nut_thread)
    return per_mm.bolt / weaker + RUN_OUT * np.asarray(P)


def engagement_equal_materials(
    *, stress_area: ArrayLike, P: ArrayLike, D1_max: ArrayLike, d2_min: ArrayLike
) -> Floats:
    """Engaged length at which bolt and threads are equally strong, both parts of one material.

    ``L_e = 2 A_t / (π K_n [1/2 + 0.57735 n (E_s − K_n)])``

    Parameters
    ----------
    stress_area : array_like
        Tensile stress area A_t, mm².
    P : array_like
        Pitch 1/n, mm.
    D1_max : array_like
        Largest minor diameter of the nut thread K_n, mm.
    d2_min : array_like
        Smallest pitch diameter of the bolt thread E_s, mm.

    Returns
    -------
    float or ndarray
        L_e, mm of full threads.

    Raises
    ------
    OutOfRange
        An argument is not positive, or K_n is as large as E_s.

    Notes
    -----
    Takes the threads to shear at half the tensile strength. For a weaker nut multiply by
    `weaker_nut_factor` where that is above 1.

    References
    ----------
    FED-STD-H28/2 and Machinery's Handbook, 24th ed., as paraphrased publicly.

    Examples
    --------
    >>> length = engagement_equal_materials(stress_area=0.1419, P=1/13, D1_max=0.434, d2_min=0.4435)
    >>> print(f"{length:.4f} in (all lengths in inches)")
    0.3643 in (all lengths in inches)
    """
    area = _checks.above("stress_area", stress_area, unit="mm²")
    pitch = _checks.above("P", P, unit="mm")
    Kn = _checks.above("D1_max", D1_max, unit="mm")
    Es = _checks.above("d2_min", d2_min, unit="mm")
    _checks.smaller("D1_max", Kn, "d2_min", Es)
    _checks.shapes_fit(stress_area=area, P=pitch, D1_max=Kn, d2_min=Es)
    return 2.0 * area / (math.pi * Kn * (0.5 + _FLANK * (Es - Kn) / pitch))


def weaker_nut_factor(
    *,
    bolt_area: ArrayLike,
    nut_area: ArrayLike,
    bolt_strength: ArrayLike,
    nut_strength: ArrayLike,
) -> Floats:
    """Factor on the engaged length where the nut is of weaker material.

    ``J = A_s R_m,b / (A_n R_m,n)``, at least 1

    Parameters
    ----------
    bolt_area, nut_area : array_like
        Shear areas, mm².
    bolt_strength, nut_strength : array_like
        Tensile strengths, MPa.

    Returns
    -------
    float or ndarray
        1 where the nut thread is the stronger.

    Raises
    ------
    OutOfRange
        An argument is not positive.

    References
    ----------
    FED-STD-H28/2 and Machinery's Handbook, from memory.

    Examples
    --------
    >>> round(float(weaker_nut_factor(bolt_area=100, nut_area=140, bolt_strength=800,
    ...                               nut_strength=250)), 3)
    2.286
    """
    bolt = _checks.above("bolt_area", bolt_area, unit="mm²")
    nut = _checks.above("nut_area", nut_area, unit="mm²")
    of_bolt = _checks.above("bolt_strength", bolt_strength, unit="MPa")
    of_nut = _checks.above("nut_strength", nut_strength, unit="MPa")
    _checks.shapes_fit(bolt_area=bolt, nut_area=nut, bolt_strength=of_bolt, nut_strength=of_nut)
    return np.maximum(bolt * of_bolt / (nut * of_nut), 1.0)
