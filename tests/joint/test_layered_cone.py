"""Layers of different materials: against the plain cone and numerical integration; refusals."""

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint.cone import Joint, parts_resilience
from clampwright.joint.layered_cone import layered_parts_resilience
from clampwright.joint.model import Fastening

FACE, HOLE = 14.63, 11.0
SIZE: dict[str, Any] = {"bearing_outer": FACE, "hole": HOLE, "outside": 25.0}
WASHER_ALUMINIUM_IRON = ([2.5, 20.0, 22.5], [205_000.0, 70_000.0, 110_000.0])
JOINTS: tuple[Joint, ...] = ("through", "tapped")

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=FACE, bearing_inner=HOLE
)


def integrated(
    thicknesses: Sequence[float], moduli: Sequence[float], outside: float, joint: Joint
) -> float:
    """∫ dx / (E(x) A(x)) layer by layer, cone and angle written out anew (VDI 2230-1, 5.1.2)."""
    grip = sum(thicknesses)
    slender, wide = grip / FACE, math.log(min(max(outside / FACE, 1.0), 10.0))
    if joint == "through":
        tan = 0.362 + 0.032 * math.log(slender / 2) + 0.153 * wide
    else:
        tan = 0.348 + 0.013 * math.log(slender) + 0.193 * wide

    def area(x: float) -> float:
        depth = min(x, grip - x) if joint == "through" else x
        return math.pi / 4 * (min(FACE + 2 * depth * tan, outside) ** 2 - HOLE**2)

    cut = max(0.0, (outside - FACE) / (2 * tan))
    total, top = 0.0, 0.0
    for thickness, modulus in zip(thicknesses, moduli, strict=True):
        end = top + thickness
        corners = sorted({x for x in (cut, grip - cut, grip / 2) if top < x < end})
        value, _ = quad(
            lambda x: 1 / area(x), top, end, points=corners or None, epsabs=0, epsrel=1e-11
        )
        total += value / modulus
        top = end
    return total


@pytest.mark.parametrize("outside", [14.0, FACE, 16.0, 18.0, 25.0, 33.0, 41.0, 60.0, 200.0])
@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize(
    ("thicknesses", "moduli"),
    [
        WASHER_ALUMINIUM_IRON,
        ([20.0, 25.0], [70_000.0, 205_000.0]),
        ([40.0, 5.0], [205_000.0, 70_000.0]),
        ([7.0, 8.0, 9.0, 10.0, 11.0], [45_000.0, 205_000.0, 70_000.0, 110_000.0, 2_500.0]),
    ],
)
def test_mixed_layers_agree_with_numerical_integration(
    thicknesses: list[float], moduli: list[float], joint: Joint, outside: float
) -> None:
    found = layered_parts_resilience(
        thicknesses=thicknesses, moduli=moduli, joint=joint, **(SIZE | {"outside": outside})
    )
    expected = integrated(thicknesses, moduli, outside, joint)
    assert float(found.resilience) == pytest.approx(expected, rel=1e-9)


@given(
    thicknesses=st.lists(st.floats(0.2, 60.0), min_size=1, max_size=6),
    outside=st.floats(11.5, 150.0),
    joint=st.sampled_from(JOINTS),
)
def test_layers_of_one_material_are_one_part(
    thicknesses: list[float], outside: float, joint: Joint
) -> None:
    size = SIZE | {"outside": outside, "joint": joint}
    layered = layered_parts_resilience(
        thicknesses=thicknesses, moduli=[205_000.0] * len(thicknesses), **size
    )
    plain = parts_resilience(grip=sum(thicknesses), E=205_000.0, **size)
    assert float(layered.resilience) == pytest.approx(float(plain.resilience), rel=1e-11)
    assert layered.case.tolist() == plain.case.tolist()
    assert float(layered.tan_angle) == pytest.approx(float(plain.tan_angle), rel=1e-12)


@given(moduli=st.lists(st.floats(2_000.0, 400_000.0), min_size=3, max_size=3))
def test_between_head_and_nut_the_stack_may_be_turned_over(moduli: list[float]) -> None:
    thicknesses = WASHER_ALUMINIUM_IRON[0]
    one = layered_parts_resilience(thicknesses=thicknesses, moduli=moduli, **SIZE)
    other = layered_parts_resilience(thicknesses=thicknesses[::-1], moduli=moduli[::-1], **SIZE)
    assert float(one.resilience) == pytest.approx(float(other.resilience), rel=1e-12)


@given(k=st.integers(0, 2), stiffer=st.floats(1.01, 5.0), joint=st.sampled_from(JOINTS))
def test_a_stiffer_layer_makes_a_stiffer_joint(k: int, stiffer: float, joint: Joint) -> None:
    thicknesses, moduli = WASHER_ALUMINIUM_IRON
    changed = [E * stiffer if i == k else E for i, E in enumerate(moduli)]
    soft, stiff = (
        layered_parts_resilience(thicknesses=thicknesses, moduli=each, joint=joint, **SIZE)
        for each in (moduli, changed)
    )
    assert stiff.resilience < soft.resilience


def test_over_a_tapped_hole_the_layer_under_the_head_counts_most() -> None:
    pair = {"thicknesses": [20.0, 20.0], "joint": "tapped", **SIZE, "outside": 60.0}
    soft_first = layered_parts_resilience(moduli=[70_000.0, 205_000.0], **pair)
    soft_last = layered_parts_resilience(moduli=[205_000.0, 70_000.0], **pair)
    assert soft_first.resilience > 1.5 * soft_last.resilience


def test_arrays_of_diameters_equal_plain_numbers() -> None:
    thicknesses, moduli = WASHER_ALUMINIUM_IRON
    outside = np.array([14.0, 25.0, 60.0])
    whole = layered_parts_resilience(
        thicknesses=thicknesses, moduli=moduli, **(SIZE | {"outside": outside})
    )
    assert whole.case.tolist() == ["sleeve", "cone and sleeve", "cone"]
    for k, value in enumerate(outside):
        one = layered_parts_resilience(
            thicknesses=thicknesses, moduli=moduli, **(SIZE | {"outside": value})
        )
        assert one.resilience == whole.resilience[k]
        assert np.ndim(one.resilience) == 0


@pytest.mark.parametrize(
    ("name", "value"),
    [("thicknesses", [20.0, 0.0]), ("thicknesses", [20.0, -5.0]), ("thicknesses", [20.0, math.nan]),
     ("thicknesses", []), ("moduli", [70_000.0, 0.0]), ("moduli", [70_000.0, math.inf]),
     ("hole", FACE), ("hole", 0.0), ("outside", HOLE), ("bearing_outer", -1.0),
     ("grip", [1e-6, 1e-6])],
)  # fmt: skip
def test_impossible_layers_are_refused_by_name(name: str, value: Any) -> None:
    given_ = {"thicknesses": [20.0, 25.0], "moduli": [70_000.0, 205_000.0], **SIZE}
    key = "thicknesses" if name == "grip" else name
    with pytest.raises(OutOfRange, match=rf"\b{name}\b"):
        layered_parts_resilience(**(given_ | {key: value}))


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"moduli": [70_000.0]}, "2 thicknesses and 1 moduli"),
        ({"thicknesses": 45.0}, "thicknesses must be a plain row"),
        ({"moduli": ["steel", "iron"]}, "moduli must be a number"),
        ({"joint": "blind"}, "joint is 'blind'"),
        ({"outside": [20.0, 30.0], "hole": [9.0, 10.0, 11.0]}, "do not fit together"),
    ],
)
def test_wrong_shapes_and_names_are_refused(changed: dict[str, Any], said: str) -> None:
    given_ = {"thicknesses": [20.0, 25.0], "moduli": [70_000.0, 205_000.0], **SIZE}
    with pytest.raises(ClampwrightError, match=said):
        layered_parts_resilience(**(given_ | changed))


@pytest.mark.parametrize("joint", JOINTS)
def test_a_fastening_through_layers_of_one_material_is_the_simple_one(joint: Joint) -> None:
    simple = BOLT.with_simple_joint(
        grip=45,
        shank_length=28,
        outside=60,
        E_parts=70_000,
        joint=joint,
    )
    layered = BOLT.with_layered_joint(
        thicknesses=[15, 15, 15],
        moduli=[70_000] * 3,
        shank_length=28,
        outside=60,
        E_tapped=70_000 if joint == "tapped" else None,
    )
    assert layered.clamp_rate == pytest.approx(simple.clamp_rate, rel=1e-12)
    assert layered.plastic_length == simple.plastic_length


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"shank_length": 45.0}, "shank_length .* must be smaller than grip"),
        ({"E_tapped": 0.0}, "E_tapped is 0"),
        ({"moduli": [70_000.0, -1.0]}, "moduli is -1 MPa"),
    ],
)
def test_an_impossible_layered_fastening_is_refused(changed: dict[str, Any], said: str) -> None:
    given_ = {"thicknesses": [20.0, 25.0], "moduli": [70_000.0, 205_000.0]}
    size = {"shank_length": 28.0, "outside": 60.0}
    with pytest.raises(OutOfRange, match=said):
        BOLT.with_layered_joint(**(given_ | size | changed))
