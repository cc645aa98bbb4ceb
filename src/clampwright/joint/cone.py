"""How far the clamped parts give under the head: the deformation cone of VDI 2230.

Three cases by how wide the parts are against the cone that spreads under the head: the whole cone
fits (wide parts), it is cut off by the outside (a cone, then a sleeve), or there is no room for it
(a sleeve all the way).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

Joint = Literal["through", "tapped"]

THROUGH = {"constant": 0.362, "length": 0.032, "width": 0.153}
"""tan φ = 0.362 + 0.032 ln(β_L/2) + 0.153 ln y for a bolt with nut."""

TAPPED = {"constant": 0.348, "length": 0.013, "width": 0.193}
"""tan φ = 0.348 + 0.013 ln β_L + 0.193 ln y for a tapped hole."""

WIDEST = 10.0
"""Largest ratio y that still widens the cone; the fit would grow without limit (ours)."""

CASES = ("cone", "cone and sleeve", "sleeve")


@dataclass(frozen=True, slots=True)
class Cone:
    """Resilience of the clamped parts and the cone it came from.

    Parameters
    ----------
    resilience : float or ndarray
        Compression per force δ_P, mm/N.
    tan_angle : float or ndarray
        Tangent of the cone's half angle (a sleeve makes no use of it).
    limit_diameter : float or ndarray
        Outside diameter from which the whole cone fits, mm.
    case : ndarray of str
        "cone", "cone and sleeve" or "sleeve", for each element.
    """

    resilience: Floats
    tan_angle: Floats
    limit_diameter: Floats
    case: NDArray[np.str_]


def parts_resilience(
    *,
    grip: ArrayLike,
    bearing_outer: ArrayLike,
    hole: ArrayLike,
    outside: ArrayLike,
    E: ArrayLike,
    joint: Joint = "through",
    substitute_outside: ArrayLike | None = None,
) -> Cone:
    """Resilience of clamped parts of one material by the deformation cone.

    Parameters
    ----------
    grip : array_like
        Clamped length l_K, mm.
    bearing_outer : array_like
        Outside diameter of the bearing face d_W, mm.
    hole : array_like
        Hole diameter d_h, mm.
    outside : array_like
        Outside diameter of the parts at the joint D_A, mm.
    E : array_like
        Young's modulus of the parts, MPa.
    joint : {"through", "tapped"}
        Bolt with nut (two half cones, w = 1) or screw in a tapped hole (one cone, w = 2).
    substitute_outside : array_like, optional
        Outside diameter D_A' of the substitute body that sets the cone's angle, mm; `outside` if
        not given.

    Returns
    -------
    Cone
        δ_P in mm/N with the cone's tangent, limit diameter (mm) and case.

    Raises
    ------
    OutOfRange
        A length or the modulus is not positive, the hole is as large as the bearing face or as the
        parts, or the grip is too short for the fit.
    ClampwrightError
        `joint` is not one of those named.

    Notes
    -----
    Treat the result as known to about ±15 % (ours: spread between this cone and two rival models).
    The bolt dominates the clamp rate of a hard joint, so that the rate is known much better.

    References
    ----------
    VDI 2230-1, 5.1.2, from memory; checked against numerical integration of 1/(E A(x)).

    Examples
    --------
    >>> cone = parts_resilience(grip=45, bearing_outer=14.63, hole=11, outside=[60, 25, 18, 14],
    ...                         E=205_000)
    >>> [f"{value * 1e6:.5f}" for value in cone.resilience]
    ['0.67183', '0.89833', '1.49315', '3.72655']
    >>> cone.case.tolist()
    ['cone', 'cone and sleeve', 'cone and sleeve', 'sleeve']
    """
    if joint not in ("through", "tapped"):
        raise ClampwrightError(
            words(
                "joint is {given}; it must be one of: {known}",
                given=repr(joint),
                known="through, tapped",
            )
        )
    length = _checks.above("grip", grip, unit="mm")
    face = _checks.above("bearing_outer", bearing_outer, unit="mm")
    bore = _checks.above("hole", hole, unit="mm")
    width = _checks.above("outside", outside, unit="mm")
    modulus = _checks.above("E", E, unit="MPa")
    body = (
        width
        if substitute_outside is None
        else _checks.above("substitute_outside", substitute_outside, unit="mm")
    )
    _checks.smaller("hole", bore, "bearing_outer", face)
    _checks.smaller("hole", bore, "outside", width)
    shape = _checks.shapes_fit(
        grip=length,
        bearing_outer=face,
        hole=bore,
        outside=width,
        E=modulus,
        substitute_outside=body,
    )
    halves = 1.0 if joint == "through" else 2.0
    tan = _tan_angle(length / face, body / face, joint)
    limit = face + halves * length * tan
    case = np.where(width >= limit, 0, np.where(width > face, 1, 2))
    # Each form is computed everywhere and the right one picked; where a form does not apply the
    # diameters are put where its logarithm exists.
    inner = np.clip(width, face, limit)
    compliance = np.choose(
        case,
        (
            _whole_cone(length, face, bore, tan, halves),
            _cut_cone(length, face, bore, width=inner, tan=tan, halves=halves),
            4.0 * length / (width**2 - bore**2),
        ),
    ) / (math.pi * modulus)
    tan, limit = np.broadcast_to(tan, shape)[()], np.broadcast_to(limit, shape)[()]
    return Cone(compliance[()], tan, limit, np.array(CASES)[case])


def _tan_angle(slenderness: Floats, width_ratio: Floats, joint: Joint) -> Floats:
    fit = THROUGH if joint == "through" else TAPPED
    length = slenderness / 2.0 if joint == "through" else slenderness
    # No substitute body is narrower than the face itself: below 1 the sleeve needs no angle.
    width = np.clip(width_ratio, 1.0, WIDEST)
    tan: Floats = fit["constant"] + fit["length"] * np.log(length) + fit["width"] * np.log(width)
    if np.any(tan <= 0.0):
        shortest = float(np.min(slenderness))
        raise OutOfRange(
            words(
                "grip is only {ratio:g} of bearing_outer; the deformation cone does not hold",
                ratio=shortest,
            ),
            value=shortest,
            low=0.0,
            source="VDI 2230-1, 5.1.2",
        )
    return tan


def _whole_cone(length: Floats, face: Floats, bore: Floats, tan: Floats, halves: float) -> Floats:
    end = face + halves * length * tan
    ratio = (face + bore) * (end - bore) / ((face - bore) * (end + bore))
    return 2.0 * np.log(ratio) / (halves * bore * tan)


def _cut_cone(
    length: Floats, face: Floats, bore: Floats, *, width: Floats, tan: Floats, halves: float
) -> Floats:
    ratio = (face + bore) * (width - bore) / ((face - bore) * (width + bore))
    sleeve = length - (width - face) / (halves * tan)
    return 2.0 / (halves * bore * tan) * np.log(ratio) + 4.0 / (width**2 - bore**2) * sleeve
