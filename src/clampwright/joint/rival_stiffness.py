"""Stiffness of clamped parts by the rivals of the deformation cone, and joints with gaskets.

=====================  ==========================================  ===============================
model                  function                                    holds for
=====================  ==========================================  ===============================
deformation cone       `clampwright.joint.cone.parts_resilience`   plain parts of one material
30° frusta             `frusta`                                    layers of any materials
exponential fit        `exponential_stiffness`                     wide parts of one material
=====================  ==========================================  ===============================

They disagree by design; `clampwright.joint.stiffness_spread` puts them side by side.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import Missing
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows
from clampwright.words import words

SHIGLEY = "Shigley's Mechanical Engineering Design, 9th ed., ch. 8"
WILEMAN = "Wileman, Choudhury and Green, J. Mech. Des. 113 (1991)"

HALF_ANGLE = 30.0
"""Half angle of the frustum, degrees (Shigley, 9th ed., section 8-5)."""

WASHER_FACE = 1.5
"""Width of the bearing face over d (Shigley, 9th ed., section 8-5)."""

SLIMMEST, STUBBIEST = 0.1, 2.0
"""d/l over which the exponential fit is plotted in its source, from memory."""


def frustum_stiffness(
    *,
    d: ArrayLike,
    face: ArrayLike,
    thickness: ArrayLike,
    E: ArrayLike,
    half_angle: ArrayLike = HALF_ANGLE,
) -> Floats:
    """Stiffness of one hollow cone of clamped material.

    ``k = π E d tan α / ln{ [(2 t tan α + D − d)(D + d)] / [(2 t tan α + D + d)(D − d)] }``

    Parameters
    ----------
    d : array_like
        Bolt diameter, taken as the hole's, mm.
    face : array_like
        Diameter D at the narrow end, mm.
    thickness : array_like
        Thickness t, mm.
    E : array_like
        Young's modulus, MPa.
    half_angle : array_like
        α, degrees, 20 to 45; 30 if not given.

    Returns
    -------
    float or ndarray
        N/mm.

    Raises
    ------
    OutOfRange
        An argument is not positive, the face no wider than the bolt, or the angle outside its
        range.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-19), from memory; checked against the
    solutions manual.

    Examples
    --------
    >>> k = frustum_stiffness(d=12, face=18, thickness=20, E=207_000)
    >>> print(f"{k / 1000:.0f} kN/mm")
    4470 kN/mm
    """
    bolt = _checks.above("d", d, unit="mm")
    narrow = _checks.above("face", face, unit="mm")
    thick = _checks.above("thickness", thickness, unit="mm")
    modulus = _checks.above("E", E, unit="MPa")
    angle = _checks.within("half_angle", half_angle, low=20.0, high=45.0, unit="deg", source="ours")
    _checks.shapes_fit(d=bolt, face=narrow, thickness=thick, E=modulus, half_angle=angle)
    _checks.smaller("d", bolt, "face", narrow)
    tan = np.tan(np.radians(angle))
    wide = narrow + 2.0 * thick * tan
    ratio = (wide - bolt) * (narrow + bolt) / ((wide + bolt) * (narrow - bolt))
    stiffness: Floats = math.pi * modulus * bolt * tan / np.log(ratio)
    return stiffness


@dataclass(frozen=True, slots=True)
class Frustum:
    """One hollow cone of the clamped parts.

    Parameters
    ----------
    face : float
        Diameter at the narrow end, mm.
    thickness : float
        mm.
    E : float
        Young's modulus, MPa.
    stiffness : float
        N/mm.
    """

    face: float
    thickness: float
    E: float
    stiffness: float


@dataclass(frozen=True, slots=True)
class Frusta:
    """The clamped parts as cones that widen from both ends to the middle.

    Parameters
    ----------
    parts : tuple of Frustum
        From head to nut.
    stiffness : float
        Of all in series, N/mm.
    """

    parts: tuple[Frustum, ...]
    stiffness: float


def frusta(
    layers: Sequence[tuple[float, float]],
    *,
    d: float,
    face: float | None = None,
    half_angle: float = HALF_ANGLE,
) -> Frusta:
    """Stiffness of clamped layers by cones from both ends that meet in the middle.

    Parameters
    ----------
    layers : sequence of (thickness, E)
        From head to nut, mm and MPa; washers too. For a tapped hole end with the tapped part's
        share of the grip (`effective_tapped_grip`).
    d : float
        Nominal diameter of the bolt, mm.
    face : float, optional
        Diameter of the bearing face at both ends, mm; 1.5 d if not given.
    half_angle : float
        Degrees; 30 if not given.

    Returns
    -------
    Frusta

    Raises
    ------
    Missing
        There is no layer.
    OutOfRange
        As `frustum_stiffness`.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., section 8-5, from memory; checked against the
    solutions manual.

    Examples
    --------
    >>> found = frusta([(20, 207_000), (25, 100_000)], d=12)
    >>> [round(part.stiffness / 1000) for part in found.parts], round(found.stiffness / 1000)
    ([4470, 52248, 2074], 1379)
    """
    if not layers:
        raise Missing(words("clamped parts need at least one layer"), "layers")
    checked = [
        (
            float(_checks.above("thickness", thick, unit="mm")),
            float(_checks.above("E", modulus, unit="MPa")),
        )
        for thick, modulus in layers
    ]
    start = WASHER_FACE * d if face is None else face
    half = sum(thick for thick, _ in checked) / 2.0
    from_head = _cones(checked, half, d=d, face=start, half_angle=half_angle)
    from_nut = _cones(checked[::-1], half, d=d, face=start, half_angle=half_angle)
    parts = (*from_head, *reversed(from_nut))
    total = series_stiffness([part.stiffness for part in parts])
    return Frusta(parts, float(total))


def _cones(
    layers: Sequence[tuple[float, float]], half: float, *, d: float, face: float, half_angle: float
) -> list[Frustum]:
    """Return the cones of one half of the grip, from its end to the middle."""
    cones, left, wide = [], half, face
    for thick, modulus in layers:
        piece = min(thick, left)
        if piece <= 1e-9 * half:
            break
        k = frustum_stiffness(d=d, face=wide, thickness=piece, E=modulus, half_angle=half_angle)
        cones.append(Frustum(wide, piece, modulus, float(k)))
        left -= piece
        wide += 2.0 * piece * math.tan(math.radians(half_angle))
    return cones


def effective_tapped_grip(*, clamped: ArrayLike, tapped: ArrayLike, d: ArrayLike) -> Floats:
    """Grip that counts for a screw in a tapped hole.

    ``l = h + t2/2`` if the tapped part is thinner than d, else ``h + d/2``

    Parameters
    ----------
    clamped : array_like
        Thickness h of everything above the tapped part, mm.
    tapped : array_like
        Thickness t2 of the tapped part, mm.
    d : array_like
        Nominal diameter, mm.

    Returns
    -------
    float or ndarray
        mm.

    Raises
    ------
    OutOfRange
        An argument is not positive.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Table 8-7, from memory.

    Examples
    --------
    >>> effective_tapped_grip(clamped=15, tapped=[6, 40], d=12).tolist()
    [18.0, 21.0]
    """
    above = _checks.above("clamped", clamped, unit="mm")
    below = _checks.above("tapped", tapped, unit="mm")
    bolt = _checks.above("d", d, unit="mm")
    _checks.shapes_fit(clamped=above, tapped=below, d=bolt)
    return above + np.minimum(below, bolt) / 2.0


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


def series_stiffness(stiffnesses: Sequence[ArrayLike]) -> Floats:
    """Stiffness of parts one behind the other, ``1/k = Σ 1/k_i``.

    Parameters
    ----------
    stiffnesses : sequence of array_like
        N/mm.

    Returns
    -------
    float or ndarray
        N/mm.

    Raises
    ------
    Missing
        There is no part.
    OutOfRange
        A stiffness is not positive.

    References
    ----------
    Springs in series.

    Examples
    --------
    >>> float(series_stiffness([2.0, 2.0]))
    1.0
    """
    if not len(stiffnesses):
        raise Missing(words("a chain of springs needs at least one"), "stiffnesses")
    parts = [_checks.above("stiffness", part, unit="N/mm") for part in stiffnesses]
    compliance = 1.0 / parts[0]
    for part in parts[1:]:
        compliance = compliance + 1.0 / part
    return 1.0 / compliance


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
