"""Pressure under the head or nut, and what the part below bears."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.bearing import checked_face
from clampwright.standards import bearing_pressure_limit


def bearing_area(
    *, bearing_outer: ArrayLike, hole: ArrayLike, chamfer: ArrayLike | None = None
) -> Floats:
    """Area of the bearing face, ``A_p = π/4 (d_W² − d_h²)``.

    Parameters
    ----------
    bearing_outer : array_like
        Outside diameter of the bearing face d_W, mm.
    hole : array_like
        Hole diameter d_h, mm.
    chamfer : array_like, optional
        Outside diameter of the hole's chamfer, mm; the larger of the two counts.

    Returns
    -------
    float or ndarray
        mm².

    Raises
    ------
    OutOfRange
        A diameter is not positive, or hole or chamfer is as large as the face.

    References
    ----------
    VDI 2230-1, surface pressure, from memory.

    Examples
    --------
    >>> round(float(bearing_area(bearing_outer=14.63, hole=11)), 2)
    73.07
    """
    outer, inner = checked_face(bearing_outer, hole)
    if chamfer is not None:
        cut = _checks.above("chamfer", chamfer, unit="mm")
        _checks.smaller("chamfer", cut, "bearing_outer", outer)
        _checks.shapes_fit(bearing_outer=outer, hole=inner, chamfer=cut)
        inner = np.maximum(inner, cut)
    return math.pi / 4.0 * (outer**2 - inner**2)


def bearing_pressure(
    clamp: ArrayLike,
    *,
    bearing_outer: ArrayLike,
    hole: ArrayLike,
    chamfer: ArrayLike | None = None,
) -> Floats:
    """Mean pressure under head or nut, ``p = F / A_p``.

    Parameters
    ----------
    clamp : array_like
        Largest clamp load, N; 0 or more.
    bearing_outer, hole, chamfer : array_like
        As `bearing_area`, mm.

    Returns
    -------
    float or ndarray
        MPa.

    Raises
    ------
    OutOfRange
        As `bearing_area`; a clamp load below 0.

    References
    ----------
    VDI 2230-1, surface pressure, from memory.

    Examples
    --------
    >>> round(float(bearing_pressure(29_600, bearing_outer=14.63, hole=11)), 1)
    405.1
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    area = bearing_area(bearing_outer=bearing_outer, hole=hole, chamfer=chamfer)
    _checks.shapes_fit(clamp=force, geometry=np.asarray(area))
    return force / area


@dataclass(frozen=True, slots=True)
class PressureUse:
    """Pressure against what a material bears.

    Parameters
    ----------
    pressure : float or ndarray
        MPa.
    limit : float
        Limiting pressure of the material, MPa.
    share : float or ndarray
        Pressure over limit; above 1 the head sinks in and clamp load is lost.
    source : str
        Of the limit.
    """

    pressure: Floats
    limit: float
    share: Floats
    source: str


def pressure_use(
    clamp: ArrayLike,
    *,
    material: str,
    bearing_outer: ArrayLike,
    hole: ArrayLike,
    chamfer: ArrayLike | None = None,
) -> PressureUse:
    """Pressure under head or nut against the limiting pressure of the part's material.

    Parameters
    ----------
    clamp : array_like
        Largest clamp load, N.
    material : str
        Name in the table of limiting pressures, such as "S235".
    bearing_outer, hole, chamfer : array_like
        As `bearing_area`, mm.

    Returns
    -------
    PressureUse

    Raises
    ------
    OutOfRange
        As `bearing_pressure`.
    Missing
        The material is not in the table.

    Notes
    -----
    The limits could not be cross-checked and editions differ.

    References
    ----------
    VDI 2230 Part 1 (2003), table of limiting pressures, from memory.

    Examples
    --------
    >>> use = pressure_use(29_600, material="S235", bearing_outer=14.63, hole=11)
    >>> print(f"{use.pressure:.0f} of {use.limit:.0f} MPa, {use.share:.0%}")
    405 of 490 MPa, 83%
    """
    known = bearing_pressure_limit(material)
    pressure = bearing_pressure(clamp, bearing_outer=bearing_outer, hole=hole, chamfer=chamfer)
    return PressureUse(pressure, known.limit, pressure / known.limit, known.source)
