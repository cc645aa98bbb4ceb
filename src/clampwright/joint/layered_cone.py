"""How far clamped parts of different materials give: one deformation cone, each layer its modulus.

The cone is that of `clampwright.joint.cone`, set by the whole grip; only the modulus changes from
layer to layer. A stiff layer under the head counts most, where the cone is still narrow.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint.cone import Cone, Joint, parts_resilience
from clampwright.words import words


def layered_parts_resilience(
    *,
    thicknesses: Sequence[float],
    moduli: Sequence[float],
    bearing_outer: ArrayLike,
    hole: ArrayLike,
    outside: ArrayLike,
    joint: Joint = "through",
    substitute_outside: ArrayLike | None = None,
) -> Cone:
    """Resilience of clamped layers of different materials by the deformation cone.

    ``δ_P = Σ 4/(π E_i) ∫ dx/(D(x)² − d_h²)``, each integral over its layer, D(x) the diameter of
    the cone or, where that is smaller, of the parts.

    Parameters
    ----------
    thicknesses : sequence of float
        Of the layers in order from the head, mm; washers too. Their sum is the clamped length; the
        part with the tapped hole is not among them.
    moduli : sequence of float
        Young's modulus of each layer, MPa.
    bearing_outer : array_like
        Outside diameter of the bearing face d_W, mm.
    hole : array_like
        Hole diameter d_h, the same in all layers, mm.
    outside : array_like
        Outside diameter of the parts at the joint D_A, the same for all layers, mm.
    joint : {"through", "tapped"}
        Bolt with nut (a cone from each end, meeting at half the clamped length, wherever the layers
        part) or screw in a tapped hole (one cone from the head).
    substitute_outside : array_like, optional
        Outside diameter D_A' of the substitute body that sets the cone's angle, mm; `outside` if
        not given.

    Returns
    -------
    Cone
        δ_P in mm/N with the cone's tangent, limit diameter (mm) and case, in the shape of the
        diameters.

    Raises
    ------
    OutOfRange
        There is no layer, a thickness, a modulus or a diameter is not positive, the hole is as
        large as the bearing face or as the parts, or the grip (the sum of the thicknesses) is too
        short for the fit.
    ClampwrightError
        Unequal numbers of thicknesses and moduli, or `joint` is not one of those named.

    Notes
    -----
    The cone does not bend at the border of two materials: in truth the load spreads less in a soft
    layer over a stiff one. Treat the result as known to no better than ±15 %, the spread between
    models for one material (ours). Not for gaskets, which are far softer and not linear.

    References
    ----------
    VDI 2230-1, 5.1.2, from memory; layers by integrating 1/(E A(x)) piece by piece.

    Examples
    --------
    20 mm of aluminium on 25 mm of steel. Between head and nut it does not matter which lies on
    top; over a tapped hole the layer under the head counts most:

    >>> size = {"bearing_outer": 14.63, "hole": 11, "outside": 60}
    >>> part = {"thicknesses": [20, 25], "moduli": [70_000, 205_000]}
    >>> turned = {"thicknesses": [25, 20], "moduli": [205_000, 70_000]}
    >>> for layers in (part, turned):
    ...     for joint in ("through", "tapped"):
    ...         cone = layered_parts_resilience(**layers, **size, joint=joint)
    ...         print(f"{joint}: {cone.resilience * 1e6:.4f}e-6 mm/N")
    through: 1.2991e-6 mm/N
    tapped: 0.9647e-6 mm/N
    through: 1.2991e-6 mm/N
    tapped: 0.4489e-6 mm/N
    """
    layers = _checks.above("thicknesses", _shapes.row("thicknesses", thicknesses), unit="mm")
    stiff = _checks.above("moduli", _shapes.row("moduli", moduli), unit="MPa")
    if len(layers) != len(stiff):
        raise ClampwrightError(
            words(
                "each layer needs a thickness and a modulus, but there are {thicknesses}"
                " thicknesses and {moduli} moduli",
                thicknesses=len(layers),
                moduli=len(stiff),
            )
        )
    borders = np.concatenate(([0.0], np.cumsum(layers)))
    grip = float(borders[-1])
    # The plain form checks the diameters and sets the cone; its own modulus does not matter here.
    cone = parts_resilience(
        grip=grip,
        bearing_outer=bearing_outer,
        hole=hole,
        outside=outside,
        E=1.0,
        joint=joint,
        substitute_outside=substitute_outside,
    )
    face, bore, width = (np.asarray(d, dtype=float) for d in (bearing_outer, hole, outside))

    def down_to(depth: float) -> Floats:
        """Sum up from the head to this depth; past the middle the cone of the nut narrows again."""
        if joint == "tapped" or depth <= 0.5 * grip:
            return _from_face(depth, face, bore, width, cone.tan_angle)
        both = 2.0 * _from_face(0.5 * grip, face, bore, width, cone.tan_angle)
        rest: Floats = both - _from_face(grip - depth, face, bore, width, cone.tan_angle)
        return rest

    sums = [down_to(float(depth)) for depth in borders]
    resilience = sum(
        (below - above) / modulus
        for above, below, modulus in zip(sums[:-1], sums[1:], stiff, strict=True)
    )
    return replace(cone, resilience=np.asarray(resilience)[()])


def _from_face(depth: float, face: Floats, bore: Floats, width: Floats, tan: Floats) -> Floats:
    """∫ dx/A(x) from a bearing face down to a depth, 1/mm: a cone, then a sleeve at the outside."""
    cone = np.minimum(depth, np.maximum(0.0, (width - face) / (2.0 * tan)))
    end = face + 2.0 * cone * tan
    spread = np.log((end - bore) * (face + bore) / ((end + bore) * (face - bore))) / (bore * tan)
    sleeve = 4.0 * (depth - cone) / (width**2 - bore**2)
    total: Floats = (spread + sleeve) / math.pi
    return total
