"""Rival models of stiffness and working loads: second methods, properties, bad input."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.frusta import (
    effective_tapped_grip,
    frusta,
    frustum_stiffness,
    series_stiffness,
)
from clampwright.joint.rival_stiffness import (
    bolt_stiffness,
    exponential_halves,
    exponential_stiffness,
    gasket_stiffness,
)
from clampwright.joint.service_load import (
    bolt_load,
    joint_constant,
    load_factor,
    parts_load,
    separation_factor,
    yield_factor,
)
from clampwright.joint.stiffness_spread import stiffness_spread

LBF, INCH, PSI = 4.4482216152605, 25.4, 0.0068947572931683615
size = st.floats(4, 40)
thick = st.floats(1, 100)
modulus = st.floats(40_000, 220_000)


@given(size, st.floats(1.1, 3), thick, modulus)
def test_cone_against_numerical_integration(d: float, wide: float, t: float, E: float) -> None:
    def per_area(x: float) -> float:
        outer = wide * d + 2 * x * math.tan(math.radians(30))
        return 4 / (math.pi * (outer**2 - d**2))

    compliance, _ = integrate.quad(per_area, 0, t)
    k = frustum_stiffness(d=d, face=wide * d, thickness=t, E=E)
    assert 1 / k == pytest.approx(compliance / E, rel=1e-6)


@given(size, st.lists(thick, min_size=1, max_size=4), modulus)
def test_cuts_in_one_material_change_nothing(d: float, cuts: list[float], E: float) -> None:
    whole = frusta([(sum(cuts), E)], d=d)
    layered = frusta([(t, E) for t in cuts], d=d)
    assert layered.stiffness == pytest.approx(whole.stiffness, rel=1e-6)
    assert sum(part.thickness for part in layered.parts) == pytest.approx(sum(cuts))


@given(size, st.lists(st.tuples(thick, modulus), min_size=1, max_size=4))
def test_joint_turned_over_is_the_same(d: float, layers: list[tuple[float, float]]) -> None:
    over = frusta(layers[::-1], d=d).stiffness
    assert over == pytest.approx(frusta(layers, d=d).stiffness, rel=1e-9)


@given(size, thick, modulus)
def test_inch_equals_metric(d: float, t: float, E: float) -> None:
    metric = frustum_stiffness(d=d, face=1.5 * d, thickness=t, E=E)
    inch = frustum_stiffness(d=d / INCH, face=1.5 * d / INCH, thickness=t / INCH, E=E / PSI)
    assert inch * LBF / INCH == pytest.approx(float(metric), rel=1e-9)


def test_arrays_are_their_elements() -> None:
    together = frustum_stiffness(d=10, face=[15, 20], thickness=10, E=205_000)
    alone = [float(frustum_stiffness(d=10, face=D, thickness=10, E=205_000)) for D in (15, 20)]
    assert together.tolist() == alone


@given(st.floats(0.11, 1.9), st.floats(0.11, 1.9))
def test_longer_grips_are_softer(one: float, other: float) -> None:
    short, long = 10 / max(one, other), 10 / min(one, other)
    stiff, soft = exponential_stiffness(d=10, grip=[short, long], E=205_000, material="steel")
    assert soft <= stiff


def test_equal_halves_are_the_whole() -> None:
    whole = exponential_stiffness(d=10, grip=40, E=205_000, material="steel")
    half = (205_000.0, "steel")
    assert exponential_halves(d=10, grip=40, halves=(half, half)) == pytest.approx(float(whole))


@given(st.lists(st.floats(1, 1e7), min_size=1, max_size=5))
def test_chain_is_softer_than_its_softest(ks: list[float]) -> None:
    assert series_stiffness(ks) <= min(ks) * (1 + 1e-12)


@given(st.floats(10, 500), st.floats(0, 100), st.floats(0.1, 100))
def test_bolt_is_its_two_pieces_in_series(A: float, shank: float, cut: float) -> None:
    k = bolt_stiffness(
        shank_area=A, stress_area=0.8 * A, shank_length=shank, thread_length=cut, E=205_000
    )
    assert 1 / k == pytest.approx((shank / A + cut / (0.8 * A)) / 205_000)


@given(st.floats(1, 1e6), st.floats(1, 1e6), st.floats(0, 0.95), st.floats(100, 1e5))
def test_working_load_is_shared(kb: float, km: float, share: float, clamp: float) -> None:
    C = float(joint_constant(bolt_stiffness=kb, parts_stiffness=km))
    pull = share * clamp / max(1 - C, 1e-6)
    in_bolt = bolt_load(clamp, load=pull, joint_constant=C)
    left = parts_load(clamp, load=pull, joint_constant=C)
    assert in_bolt - left == pytest.approx(pull, rel=1e-6, abs=1e-6)
    assert in_bolt >= clamp >= left >= 0


def test_factors_meet_their_limits() -> None:
    # At n_0 times the load nothing is left between the parts; at n_L the bolt is at proof.
    C, clamp = 0.25, 30_000.0
    n0 = float(separation_factor(clamp, load=9_000, joint_constant=C))
    left = parts_load(clamp, load=n0 * 9_000 * (1 - 1e-12), joint_constant=C)
    assert left == pytest.approx(0, abs=1e-3)
    proof = {"proof_stress": 600.0, "stress_area": 58.0}
    nL = float(load_factor(clamp, load=9_000, joint_constant=C, **proof))
    assert clamp + C * nL * 9_000 == pytest.approx(600 * 58)
    at_proof = yield_factor(clamp, load=nL * 9_000, joint_constant=C, **proof)
    assert at_proof == pytest.approx(1.0)


def test_gasket_shares_itself_out() -> None:
    one = gasket_stiffness(E_gasket=500, area=1600, thickness=2)
    assert one == pytest.approx(8 * gasket_stiffness(E_gasket=500, area=1600, thickness=2, count=8))


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: frustum_stiffness(d=10, face=10, thickness=1, E=1),
            "d .10 mm. must be smaller than face",
        ),
        (lambda: frustum_stiffness(d=10, face=15, thickness=0, E=1), "thickness is 0 mm"),
        (
            lambda: frustum_stiffness(d=10, face=15, thickness=1, E=1, half_angle=60),
            "half_angle is 60 deg",
        ),
        (lambda: frusta([], d=10), "at least one layer"),
        (lambda: frusta([(10, math.nan)], d=10), "E is nan"),
        (lambda: effective_tapped_grip(clamped=0, tapped=1, d=1), "clamped is 0 mm"),
        (lambda: exponential_stiffness(d=10, grip=4, E=1), "d/grip is 2.5"),
        (
            lambda: exponential_stiffness(d=10, grip=40, E=1, material="lead"),
            "material is 'lead'; it must be one of: steel",
        ),
        (lambda: series_stiffness([]), "at least one"),
        (lambda: series_stiffness([1, 0]), "stiffness is 0 N/mm"),
        (
            lambda: bolt_stiffness(
                shank_area=1, stress_area=1, shank_length=0, thread_length=0, E=1
            ),
            "grip is 0 mm",
        ),
        (lambda: gasket_stiffness(E_gasket=1, area=1, thickness=1, count=0), "count is 0"),
        (lambda: joint_constant(bolt_stiffness=0, parts_stiffness=1), "bolt_stiffness is 0"),
        (lambda: bolt_load(10, load=100, joint_constant=0.2), "clamp load left between the parts"),
        (lambda: bolt_load(10, load=1, joint_constant=1.2), "joint_constant is 1.2"),
        (lambda: separation_factor(10, load=0, joint_constant=0.2), "load is 0 N"),
        (
            lambda: load_factor(100, load=1, joint_constant=0.2, proof_stress=1, stress_area=50),
            "proof load − clamp is -50 N",
        ),
        (
            lambda: stiffness_spread(
                d=10, grip=45, bearing_outer=14, hole=11, outside=14.5, E=205_000
            ),
            "outside is 14.5 mm",
        ),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_refusals_are_of_their_class() -> None:
    with pytest.raises(Missing):
        frusta([], d=10)
    with pytest.raises(OutOfRange) as caught:
        exponential_stiffness(d=np.array([10.0]), grip=1000, E=1)
    assert "Wileman" in caught.value.source
    assert (caught.value.low, caught.value.high) == (0.1, 2.0)
