"""Stiffness of clamped parts by the rivals of the deformation cone, and joints with gaskets.

=====================  ==========================================  ===============================
model                  function                                    holds for
=====================  ==========================================  ===============================
deformation cone       `clampwright.joint.cone.parts_resilience`   plain parts of one material
30° frusta             `clampwright.joint.frusta.frusta`           layers of any materials
exponential fit        `exponential_stiffness`                     wide parts of one material
=====================  ==========================================  ===============================

They disagree by design; `clampwright.joint.stiffness_spread` puts them side by side.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows
from clampwright.joint.frusta import series_stiffness

WILEMAN = "Wileman, Choudhury and Green, J. Mech. Des. 113 (1991)"

SLIMMEST, STUBBIEST = 0.1, 2.0
"""d/l over which the exponential fit is plotted in its source, from memory."""


def exponential_stiffness(
    *, d: ArrayLike, grip: ArrayLike, E: ArrayLike, material: str = "general"
) -> Floats:
    """Stiffness of wide clamped parts of one material by a fit to finite elements.

    ``k_m = E d A exp(B d/l)``

    Parameters
    ----------
    d : array_like
        Nominal diameter, mm.
    grip : array_like
        Grip l, mm; d/l from 0.1 to 2.
    E : array_like
        Young's modulus, MPa.
    material : str
        steel, aluminium, copper, grey iron, or general.

    Returns
    -------
    float or ndarray
        N/mm.

    Raises
    ------
    OutOfRange
        An argument is not positive, or d/l outside the fit.
    ClampwrightError
        The material has no fit.

    References
    ----------
    Wileman, Choudhury and Green, J. Mech. Des. 113 (1991); Shigley, 9th ed., Table 8-8. Range of
    d/l from memory.

    Examples
    --------
    >>> k = exponential_stiffness(d=10, grip=45, E=205_000, material="steel")
    >>> print(f"{k / 1000:.0f} kN/mm")
    1856 kN/mm
    """
    bolt = _checks.above("d", d, unit="mm")
    long = _checks.above("grip", grip, unit="mm")
    modulus = _checks.above("E", E, unit="MPa")
    _checks.shapes_fit(d=bolt, grip=long, E=modulus)
    ratio = _checks.within("d/grip", bolt / long, low=SLIMMEST, high=STUBBIEST, source=WILEMAN)
    fits = {row["material"]: row for row in rows("exponential_stiffness")}
    _shapes.one_of("material", material, fits)
    A, B = float(fits[material]["A"]), float(fits[material]["B"])
    stiffness: Floats = modulus * bolt * A * np.exp(B * ratio)
    return stiffness


def exponential_halves(
    *, d: float, grip: float, halves: tuple[tuple[float, str], tuple[float, str]]
) -> float:
    """Stiffness of two equally thick parts of different material by the exponential fit.

    A half of a symmetric joint is twice as stiff as the whole; two halves are put in series.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    grip : float
        Whole grip, mm.
    halves : pair of (E, material)
        Young's modulus (MPa) and name of each.

    Returns
    -------
    float
        N/mm.

    Raises
    ------
    OutOfRange
        As `exponential_stiffness`.
    ClampwrightError
        As `exponential_stiffness`.

    References
    ----------
    Solutions manual to Shigley, 8th ed., Prob. 8-19.

    Examples
    --------
    >>> k = exponential_halves(d=16, grip=40, halves=((100_000, "grey iron"), (207_000, "steel")))
    >>> print(f"{k / 1000:.0f} kN/mm")
    2161 kN/mm
    """
    parts = [
        2.0 * exponential_stiffness(d=d, grip=grip, E=modulus, material=material)
        for modulus, material in halves
    ]
    return float(series_stiffness(parts))


def bolt_stiffness(
    *,
    shank_area: ArrayLike,
    stress_area: ArrayLike,
    shank_length: ArrayLike,
    thread_length: ArrayLike,
    E: ArrayLike,
) -> Floats:
    """Stiffness of a bolt within the grip, head and engaged thread left out.

    ``k_b = A_d A_t E / (A_d l_t + A_t l_d)``

    Parameters
    ----------
    shank_area : array_like
        Section of the unthreaded shank A_d, mm².
    stress_area : array_like
        Tensile stress area A_t, mm².
    shank_length : array_like
        Unthreaded length in the grip l_d, mm; 0 or more.
    thread_length : array_like
        Threaded length in the grip l_t, mm; 0 or more, not both 0.
    E : array_like
        Young's modulus, MPa.

    Returns
    -------
    float or ndarray
        N/mm. Without the give of head and engaged thread: stiffer than the sum of
        `clampwright.joint.stiffness.bolt_segments`.

    Raises
    ------
    OutOfRange
        An argument is not positive, or the grip is zero.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-17).

    Examples
    --------
    >>> k = bolt_stiffness(shank_area=113, stress_area=84.3, shank_length=30, thread_length=15,
    ...                    E=207_000)
    >>> print(f"{k / 1000:.1f} kN/mm")
    466.8 kN/mm
    """
    shank = _checks.above("shank_area", shank_area, unit="mm²")
    thread = _checks.above("stress_area", stress_area, unit="mm²")
    plain = _checks.not_negative("shank_length", shank_length, unit="mm")
    cut = _checks.not_negative("thread_length", thread_length, unit="mm")
    modulus = _checks.above("E", E, unit="MPa")
    _checks.shapes_fit(
        shank_area=shank, stress_area=thread, shank_length=plain, thread_length=cut, E=modulus
    )
    _checks.above("grip", plain + cut, unit="mm")
    return shank * thread * modulus / (shank * cut + thread * plain)


def gasket_stiffness(
    *, E_gasket: ArrayLike, area: ArrayLike, thickness: ArrayLike, count: int = 1
) -> Floats:
    """Stiffness of a gasket per fastener, ``k_g = E_g A_g / (t n)``.

    Parameters
    ----------
    E_gasket : array_like
        Modulus of the gasket, MPa: the loading one for an angle, the unloading one for what
        fasteners do to each other.
    area : array_like
        Gasket area A_g of the whole joint, mm².
    thickness : array_like
        mm.
    count : int
        Fasteners that share it.

    Returns
    -------
    float or ndarray
        N/mm; in series with the parts (`series_stiffness`) it dominates.

    Raises
    ------
    OutOfRange
        An argument is not positive.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., section 8-5; loading soft and curved,
    unloading much stiffer: Fukuoka and Takaki, J. Pressure Vessel Technol. 125 (2003) 371
    (abstract).

    Examples
    --------
    >>> area = 3.14159265 / 4 * (60**2 - 40**2)
    >>> k = gasket_stiffness(E_gasket=500, area=area, thickness=2, count=8)
    >>> print(f"{k:.0f} N/mm")
    49087 N/mm
    """
    modulus = _checks.above("E_gasket", E_gasket, unit="MPa")
    face = _checks.above("area", area, unit="mm²")
    thick = _checks.above("thickness", thickness, unit="mm")
    shared = _shapes.whole("count", count, low=1)
    _checks.shapes_fit(E_gasket=modulus, area=face, thickness=thick)
    return modulus * face / (thick * shared)
