"""Bolt and parts: the cone against numerical integration, limits, and refusals."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.cone import parts_resilience
from clampwright.joint.stiffness import (
    bolt_resilience,
    bolt_segments,
    clamp_rate,
    shank_twist,
    torque_rate,
)

BODY: dict[str, Any] = {"grip": 45.0, "bearing_outer": 14.63, "hole": 11.0, "E": 205_000.0}


def integrated(tan: float, outside: float, halves: int) -> float:
    """∫ dx / (E A(x)) for the same cone, cut off by the outside."""
    grip, face, hole = 45.0, 14.63, 11.0

    def compliance(x: float) -> float:
        depth = x if halves == 2 else min(x, grip - x)
        wide = min(face + 2 * depth * tan, outside)
        return 1.0 / (205_000.0 * math.pi / 4.0 * (wide**2 - hole**2))

    cut = max(0.0, min((outside - face) / (2 * tan), grip / 2 if halves == 1 else grip))
    corners = [cut, grip - cut] if halves == 1 else [cut]
    inside = [x for x in [*corners, grip / 2] if 0 < x < grip]
    value, _ = quad(compliance, 0.0, grip, limit=500, points=inside)
    return float(value)


@pytest.mark.parametrize("outside", [14.0, 14.63, 16.0, 18.0, 25.0, 33.0, 41.0, 60.0, 200.0])
@pytest.mark.parametrize(("joint", "halves"), [("through", 1), ("tapped", 2)])
def test_cone_agrees_with_numerical_integration(outside: float, joint: Any, halves: int) -> None:
    found = parts_resilience(**BODY, outside=outside, joint=joint)
    expected = integrated(float(found.tan_angle), outside, halves)
    assert float(found.resilience) == pytest.approx(expected, rel=1e-6)


@given(outside=st.floats(11.5, 150.0), more=st.floats(0.1, 20.0))
def test_wider_parts_are_never_softer(outside: float, more: float) -> None:
    # Wider parts also steepen the cone. At the limit diameter the case changes without a jump.
    narrow, wide = (
        parts_resilience(**BODY, outside=o).resilience for o in (outside, outside + more)
    )
    assert wide <= narrow * (1 + 1e-9)


def test_cases_are_named_and_arrays_equal_scalars() -> None:
    outside = np.array([14.0, 25.0, 60.0])
    whole = parts_resilience(**BODY, outside=outside)
    assert whole.case.tolist() == ["sleeve", "cone and sleeve", "cone"]
    for k, value in enumerate(outside):
        assert parts_resilience(**BODY, outside=value).resilience == whole.resilience[k]


def test_a_substitute_body_sets_the_angle_only() -> None:
    plain = parts_resilience(**BODY, outside=60.0)
    other = parts_resilience(**BODY, outside=60.0, substitute_outside=30.0)
    assert other.tan_angle < plain.tan_angle
    assert other.resilience > plain.resilience


def test_very_wide_parts_do_not_open_the_cone_for_ever() -> None:
    at = [parts_resilience(**BODY, outside=14.63 * y).resilience for y in (10.0, 50.0)]
    assert at[0] == at[1]


@pytest.mark.parametrize(
    ("name", "value"),
    [("grip", 0.0), ("grip", math.nan), ("hole", 14.63), ("hole", 20.0), ("E", 0.0),
     ("outside", 10.0), ("bearing_outer", -1.0), ("grip", 1e-9)],
)  # fmt: skip
def test_impossible_parts_are_refused_by_name(name: str, value: float) -> None:
    with pytest.raises(OutOfRange, match=rf"\b{name}\b"):
        parts_resilience(**({**BODY, "outside": 60.0} | {name: value}))


def test_an_unknown_joint_is_refused() -> None:
    with pytest.raises(ClampwrightError, match="joint is 'blind'"):
        parts_resilience(**BODY, outside=60.0, joint="blind")  # type: ignore[arg-type]  # on purpose


def test_bolt_is_the_sum_of_its_pieces_and_a_reduced_shank_is_softer() -> None:
    plain = bolt_segments(d=10, d3=8.16, shank=[(28, 10)], thread_length=17)
    waisted = bolt_segments(d=10, d3=8.16, shank=[(8, 10), (20, 7.5)], thread_length=17)
    assert float(bolt_resilience(plain)) == sum(float(piece.resilience) for piece in plain)
    assert bolt_resilience(waisted) > bolt_resilience(plain)


def test_socket_head_is_shorter_and_tapped_hole_uses_the_parts_modulus() -> None:
    size: dict[str, Any] = {"d": 10.0, "d3": 8.16, "thread_length": 30.0}
    heads = [bolt_segments(**size, head=head)[0].length for head in ("hexagon", "socket")]
    assert heads == [5.0, 4.0]
    hole = bolt_segments(**size, counterpart="tapped", E_tapped=70_000)[-1]
    assert (hole.part, float(hole.E)) == ("tapped hole", 70_000.0)
    assert float(hole.length) == pytest.approx(3.3)


def test_a_tapped_hole_needs_its_modulus() -> None:
    with pytest.raises(Missing, match="E_tapped"):
        bolt_segments(d=10, d3=8.16, thread_length=30, counterpart="tapped")


def test_impossible_bolts_are_refused() -> None:
    with pytest.raises(OutOfRange, match=r"d3 \(10 mm\) must be smaller than d"):
        bolt_segments(d=10, d3=10, thread_length=30)
    with pytest.raises(OutOfRange, match="shank length is 0 mm"):
        bolt_segments(d=10, d3=8, shank=[(0, 10)], thread_length=30)
    with pytest.raises(ClampwrightError, match="head is 'round'"):
        bolt_segments(d=10, d3=8, thread_length=30, head="round")  # type: ignore[arg-type]  # on purpose
    with pytest.raises(Missing, match="at least one piece"):
        bolt_resilience([])
    with pytest.raises(Missing, match="at least one piece"):
        shank_twist(10.0, pieces=[])


@given(bolt=st.floats(1e-7, 1e-4), parts=st.floats(0.0, 1e-4), pitch=st.floats(0.25, 6.0))
def test_one_turn_takes_up_one_pitch(bolt: float, parts: float, pitch: float) -> None:
    rate = clamp_rate(P=pitch, bolt_resilience=bolt, parts_resilience=parts)
    assert float(rate) * 360.0 * (bolt + parts) == pytest.approx(pitch, rel=1e-12)


def test_torque_rate_is_the_clamp_rate_through_the_nut_factor() -> None:
    assert float(torque_rate(clamp_rate=800.0, d=10, nut_factor=0.2)) == pytest.approx(1.6)


def test_twist_adds_up_and_grows_with_torque() -> None:
    both = shank_twist(20.0, pieces=[(28, 10), (22, 8.16)])
    apart = shank_twist(20.0, pieces=[(28, 10)]) + shank_twist(20.0, pieces=[(22, 8.16)])
    assert float(both) == pytest.approx(float(apart))
    assert float(shank_twist(40.0, pieces=[(28, 10)])) == pytest.approx(
        2 * float(shank_twist(20.0, pieces=[(28, 10)]))
    )
