"""Stiffness of clamped layers by 30° frusta: cones that widen from both ends to the middle."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import Missing
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

HALF_ANGLE = 30.0
"""Half angle of the frustum, degrees (Shigley, 9th ed., section 8-5)."""

WASHER_FACE = 1.5
"""Width of the bearing face over d (Shigley, 9th ed., section 8-5)."""


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
