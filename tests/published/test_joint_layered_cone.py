"""The layered cone against figures worked apart from this program, from VDI 2230-1 (from memory).

The two sets for one material are those of the plain cone, VDI 2230-1, 5.1.2: a part cut into equal
layers must not give more or less than the whole.
"""

import pytest

from clampwright.joint.cone import Joint
from clampwright.joint.layered_cone import layered_parts_resilience
from clampwright.standards.printed import half_last_digit

M10_FACE, M10_HOLE = 14.63, 11.0
"""Hexagon head ISO 4014 and medium hole ISO 273, mm."""

THROUGH, TAPPED = (45.0, 205_000.0, "through"), (30.0, 70_000.0, "tapped")
ONE_MATERIAL = [
    (THROUGH, 60.0, ("0.5917", "41.256", "0.67183")),
    (THROUGH, 25.0, ("0.45775", "35.229", "0.89833")),
    (THROUGH, 18.0, ("0.40749", "32.967", "1.49315")),
    (THROUGH, 14.0, (None, None, "3.72655")),  # a sleeve makes no use of the angle
    (TAPPED, 40.0, ("0.55146", "47.717", "1.12804")),
]
"""Part, outside diameter (mm), then tan φ, limit diameter (mm), resilience (1e-6 mm/N)."""


@pytest.mark.parametrize("layers", [1, 2, 3, 7])
@pytest.mark.parametrize(("part", "outside", "figures"), ONE_MATERIAL)
def test_equal_layers_of_one_material(
    part: tuple[float, float, Joint],
    outside: float,
    figures: tuple[str | None, ...],
    layers: int,
) -> None:
    grip, modulus, joint = part
    cone = layered_parts_resilience(
        thicknesses=[grip / layers] * layers,
        moduli=[modulus] * layers,
        bearing_outer=M10_FACE,
        hole=M10_HOLE,
        outside=outside,
        joint=joint,
    )
    computed = (cone.tan_angle, cone.limit_diameter, 1e6 * cone.resilience)
    for found, printed in zip(computed, figures, strict=True):
        if printed is not None:
            assert float(found) == pytest.approx(float(printed), abs=half_last_digit(printed))


@pytest.mark.parametrize("joint", ["through", "tapped"])
def test_a_sleeve_is_a_row_of_springs(joint: Joint) -> None:
    """Parts no wider than the face: Σ 4 t/[π E (D² − d²)], by hand.

    14² − 11.6² = 61.44, so 10 mm of 100 000 MPa and 20 mm of 200 000 MPa give
    [4/(61.44 π)] (10/100 000 + 20/200 000) = 0.0207233 × 0.0002 = 4.1447e-6 mm/N.
    """
    cone = layered_parts_resilience(
        thicknesses=[10, 20],
        moduli=[100_000, 200_000],
        bearing_outer=M10_FACE,
        hole=11.6,
        outside=14.0,
        joint=joint,
    )
    assert float(1e6 * cone.resilience) == pytest.approx(4.1447, abs=half_last_digit("4.1447"))
