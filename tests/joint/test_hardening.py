"""Laws of hardening and the curve past yield: second methods, limits, properties, bad input."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.hardening import (
    HardeningLine,
    follow_hardening,
    gradient_point,
    hardening_line,
)
from clampwright.joint.model import Fastening
from clampwright.joint.stress import combined_factor
from clampwright.joint.stress_strain import Bilinear, Hollomon, Law, RambergOsgood
from clampwright.joint.torque_angle import Step, follow

BOLT = Fastening(
    d=10,
    P=1.5,
    d2=9.0257,
    d3=8.1597,
    stress_area=57.99,
    bearing_outer=14.63,
    bearing_inner=11,
    yield_stress=940,
    clamp_rate=829.66,
    plastic_length=22,
)
STEEL = 205_000.0
MU = {"mu_thread": 0.12, "mu_bearing": 0.10}
POWER = RambergOsgood(940, 15)
LAWS: list[Law] = [POWER, Hollomon(1424, 0.0667), Bilinear(940, 2050, STEEL)]
exponents = st.floats(3, 150)


def line(law: Law = POWER) -> HardeningLine:
    return hardening_line(BOLT, law, **MU)


@given(exponents, st.floats(100, 1200))
def test_power_laws_are_one_curve(n: float, stress: float) -> None:
    law = RambergOsgood(940, n)
    same = Hollomon(940 / 0.002 ** (1 / n), 1 / n)
    assert same.yield_stress == pytest.approx(940)
    assert same.largest_stress == pytest.approx(law.largest_stress)
    assert float(same.plastic_strain(np.asarray(stress))) == pytest.approx(
        float(law.plastic_strain(np.asarray(stress))), rel=1e-9
    )


@pytest.mark.parametrize("law", LAWS)
def test_softness_is_the_slope_of_the_strain(law: Law) -> None:
    stress = np.array([700.0, 900.0, 960.0, 1000.0])
    step = 1e-3
    slope = (law.plastic_strain(stress + step) - law.plastic_strain(stress - step)) / (2 * step)
    assert law.softness(stress) == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize("law", [POWER, LAWS[1]])
def test_law_ends_at_its_uniform_strain(law: Law) -> None:
    # Considère: the neck begins where the slope of true stress equals the stress.
    end = np.asarray(law.largest_stress)
    assert 1 / float(law.softness(end)) == pytest.approx(float(end))


@pytest.mark.parametrize("law", LAWS)
@given(angle=st.floats(0, 150))
def test_clamp_at_an_angle_and_back(law: Law, angle: float) -> None:
    clamp = line(law).clamp_at(angle)
    assert float(line(law).angle(clamp)) == pytest.approx(angle, rel=1e-9, abs=1e-9)


@given(exponents, st.floats(1, 100))
def test_against_brents_method(n: float, angle: float) -> None:
    law = RambergOsgood(940, n)
    q = float(combined_factor(stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12))

    def left(force: float) -> float:
        strain = 0.002 * (q * force / 57.99 / 940) ** n / q
        return float(force / 829.66 + 240.0 * 22 * strain - angle)

    wanted = optimize.brentq(left, 0.0, 829.66 * angle + 1, xtol=1e-9)
    end = line(law).largest_clamp
    if wanted < 0.999 * end:
        assert float(line(law).clamp_at(angle)) == pytest.approx(wanted, rel=1e-9)


@given(st.lists(st.floats(0, 140), min_size=2, max_size=6))
def test_more_angle_never_less_clamp(angles: list[float]) -> None:
    clamps = line().clamp_at(sorted(angles))
    assert (np.diff(clamps) >= -1e-6).all()
    assert clamps.tolist() == pytest.approx([float(line().clamp_at(a)) for a in sorted(angles)])


@pytest.mark.parametrize("law", LAWS)
def test_gradient_is_the_slope_of_the_curve(law: Law) -> None:
    clamp = np.array([10_000.0, 40_000.0, 49_000.0])
    both = line(law).angle(np.stack([clamp - 0.5, clamp + 0.5]))
    assert line(law).gradient(clamp) == pytest.approx(1 / (both[1] - both[0]), rel=1e-5)


def test_bilinear_is_the_plain_model() -> None:
    law = Bilinear(940, BOLT.tangent_modulus, BOLT.modulus)
    steps = [
        Step("snug", 30.0),
        Step("angle", 90.0),
        Step("loosen", 20.0),
        Step("angle", 50.0),
        Step("loosen"),
        Step("torque", 60.0),
        Step("angle", 60.0),
    ]
    mu = {"mu_thread": [0.10, 0.14], "mu_bearing": [0.12, 0.10]}
    plain = follow(BOLT, steps, **mu)
    found = follow_hardening(BOLT, law, steps, **mu)
    for one, other in zip(found, plain, strict=True):
        assert one.clamp == pytest.approx(other.clamp, rel=1e-9)
        assert one.torque == pytest.approx(other.torque, rel=1e-9)
        assert one.plastic_stretch == pytest.approx(other.plastic_stretch, abs=1e-12)
        assert np.all(one.yielded == other.yielded)


def test_reloading_is_elastic_up_to_the_largest_load() -> None:
    up = [Step("snug", 30.0), Step("angle", 90.0)]
    first = follow_hardening(BOLT, POWER, up, **MU)[-1]
    again = follow_hardening(BOLT, POWER, [*up, Step("loosen", 30), Step("angle", 30)], **MU)
    assert again[2].clamp == pytest.approx(first.clamp - 30 * 829.66)
    assert again[3].clamp == pytest.approx(first.clamp)
    assert again[3].plastic_stretch == pytest.approx(first.plastic_stretch)


def test_bolt_that_necks_does_not_reach() -> None:
    state = follow_hardening(BOLT, POWER, [Step("torque", 20.0), Step("angle", 720.0)], **MU)[-1]
    assert not state.reached
    assert state.clamp == pytest.approx(float(line().largest_clamp))
    strong = replace(BOLT, tensile_strength=1000.0)
    state = follow_hardening(strong, POWER, [Step("torque", 20.0), Step("angle", 720.0)], **MU)[-1]
    q = float(combined_factor(stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12))
    assert state.clamp == pytest.approx(1000 * 57.99 / q)


def test_gradient_point_of_the_bilinear_law_is_its_onset() -> None:
    law = Bilinear(940, 2050, STEEL)
    point = gradient_point(BOLT, law, **MU)
    assert point.clamp == pytest.approx(float(BOLT.yield_clamp(mu_thread=0.12)))
    assert point.axial_plastic_strain == pytest.approx(0.0, abs=1e-12)


@given(st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_earlier_share_comes_earlier(one: float, other: float) -> None:
    early, late = max(one, other), min(one, other)
    first, second = (gradient_point(BOLT, POWER, share=s, **MU) for s in (early, late))
    assert first.clamp <= second.clamp
    assert float(line().gradient(first.clamp)) == pytest.approx(early * 829.66, rel=1e-6)


def test_softer_joint_delays_the_point() -> None:
    soft = replace(BOLT, clamp_rate=300.0)
    assert gradient_point(soft, POWER, **MU).clamp > gradient_point(BOLT, POWER, **MU).clamp


def test_beyond_the_end_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"angle is 900 deg; the curve ends at \d+ deg"):
        line().clamp_at(900)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Bilinear(0, 1, 2), "yield_stress is 0 MPa"),
        (lambda: Bilinear(900, 2, 2), "modulus is 2 MPa; it must be greater than 2 MPa"),
        (lambda: Hollomon(900, 1.0), "exponent is 1"),
        (lambda: RambergOsgood(900, 1), "exponent is 1; it must be greater than 1"),
        (lambda: RambergOsgood(900, 500), "exponent is 500"),
        (lambda: RambergOsgood(math.nan, 15), "yield_stress is nan"),
        (lambda: gradient_point(BOLT, POWER, share=0.99, **MU), "share is 0.99"),
        (lambda: line().clamp_at(-1), "angle is -1 deg"),
        (
            lambda: hardening_line(
                replace(BOLT, tensile_strength=940.0), Hollomon(2000, 0.1), **MU
            ),
            "law yields at 1074 MPa, above the tensile strength of 940 MPa",
        ),
        (
            lambda: gradient_point(
                replace(BOLT, tensile_strength=941.0, clamp_rate=50.0), POWER, share=0.05, **MU
            ),
            "slope does not fall to 5%",
        ),
        (
            lambda: follow_hardening(
                replace(BOLT, prevailing_torque=5.0), POWER, [Step("torque", 4.0)], **MU
            ),
            "torque step is 4 N·m",
        ),
        (
            lambda: hardening_line(BOLT, POWER, mu_thread=1.2, mu_bearing=0.1),
            "mu_thread is 1.2",
        ),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_says_what_is_missing() -> None:
    with pytest.raises(Missing, match="clamp rate"):
        hardening_line(replace(BOLT, clamp_rate=None), POWER, **MU)
    with pytest.raises(Missing, match="stretches plastically"):
        hardening_line(replace(BOLT, plastic_length=None), POWER, **MU)
