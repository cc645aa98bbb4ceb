"""The face under the head or nut: its effective friction diameter."""

from __future__ import annotations

from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats


def mean_bearing_diameter(*, bearing_outer: ArrayLike, bearing_inner: ArrayLike) -> Floats:
    """Effective friction diameter under the head as the mean of the face's two diameters.

    ``D_b = (d_W + d_h) / 2``

    Parameters
    ----------
    bearing_outer : array_like
        Outside diameter of the bearing face d_W, mm.
    bearing_inner : array_like
        Inside diameter of the face d_h (the hole), mm.

    Returns
    -------
    float or ndarray
        Effective diameter, mm.

    Raises
    ------
    OutOfRange
        A diameter is not positive, or the hole is as large as the face.

    Notes
    -----
    The standard's choice. Even pressure gives 0.5 to 1 % more (`uniform_pressure_diameter`),
    contact at the rim only gives `bearing_outer`. A washer that turns with the head moves the
    sliding face to its other side: use that face's diameters.

    References
    ----------
    ISO 16047 and VDI 2230-1 (D_Km), from memory.

    Examples
    --------
    >>> round(float(mean_bearing_diameter(bearing_outer=14.63, bearing_inner=11.0)), 3)
    12.815
    """
    outer, inner = checked_face(bearing_outer, bearing_inner)
    return (outer + inner) / 2.0


def uniform_pressure_diameter(*, bearing_outer: ArrayLike, bearing_inner: ArrayLike) -> Floats:
    """Effective friction diameter under the head if the pressure is even over the face.

    ``D_b = (2/3) (d_W³ − d_h³) / (d_W² − d_h²)``

    Parameters
    ----------
    bearing_outer : array_like
        Outside diameter of the bearing face, mm.
    bearing_inner : array_like
        Inside diameter of the face, mm.

    Returns
    -------
    float or ndarray
        Effective diameter, mm.

    Raises
    ------
    OutOfRange
        A diameter is not positive, or the hole is as large as the face.

    References
    ----------
    Integral of the friction moment over the ring; derived.

    Examples
    --------
    >>> round(float(uniform_pressure_diameter(bearing_outer=14.63, bearing_inner=11.0)), 3)
    12.901
    """
    outer, inner = checked_face(bearing_outer, bearing_inner)
    return 2.0 / 3.0 * (outer**3 - inner**3) / (outer**2 - inner**2)


def checked_face(bearing_outer: ArrayLike, bearing_inner: ArrayLike) -> tuple[Floats, Floats]:
    """Return the two diameters of a bearing face, checked.

    Parameters
    ----------
    bearing_outer, bearing_inner : array_like
        Diameters between which the face bears, mm; the outer one larger.

    Returns
    -------
    tuple of ndarray
        Outer and inner diameter, mm.

    Raises
    ------
    OutOfRange
        A diameter is not above zero, or the outer one not above the inner one.
    ClampwrightError
        The shapes do not fit.

    References
    ----------
    Geometry alone.

    Examples
    --------
    >>> outer, inner = checked_face(14.63, 11.0)
    >>> float(outer), float(inner)
    (14.63, 11.0)
    """
    outer = _checks.above("bearing_outer", bearing_outer, unit="mm")
    inner = _checks.above("bearing_inner", bearing_inner, unit="mm")
    _checks.smaller("bearing_inner", inner, "bearing_outer", outer)
    return outer, inner
