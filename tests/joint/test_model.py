"""The fastening that other rooms hand around."""

import math
import subprocess
import sys
from dataclasses import FrozenInstanceError
from typing import Any

import pytest

from clampwright import standards
from clampwright.errors import Missing, OutOfRange
from clampwright.joint.model import Fastening
from clampwright.joint.stress import yield_clamp
from clampwright.joint.torque_tension import clamp_from_torque, torque_from_clamp

PLAIN: dict[str, Any] = {
    "d": 10.0, "P": 1.5, "d2": 9.0257, "d3": 8.1597, "stress_area": 57.99,
    "bearing_outer": 14.63, "bearing_inner": 11.0, "yield_stress": 940.0, "proof_stress": 830.0,
}  # fmt: skip


def test_its_answers_are_those_of_the_plain_functions() -> None:
    bolt = Fastening(**PLAIN, prevailing_torque=2.0)
    lengths = {"P": 1.5, "d2": 9.0257, "bearing_diameter": 12.815}
    mu = {"mu_thread": 0.12, "mu_bearing": 0.10}
    torque = torque_from_clamp(20_000, **lengths, **mu, prevailing_torque=2.0)
    assert float(bolt.torque_from_clamp(20_000, **mu)) == pytest.approx(float(torque))
    clamp = clamp_from_torque(40, **lengths, **mu, prevailing_torque=2.0)
    assert float(bolt.clamp_from_torque(40, **mu)) == pytest.approx(float(clamp))
    onset = yield_clamp(yield_stress=940, stress_area=57.99, P=1.5, d2=9.0257, mu_thread=0.12)
    assert bolt.yield_clamp(mu_thread=0.12) == onset
    assert float(bolt.yield_torque(**mu)) == pytest.approx(
        float(bolt.torque_from_clamp(onset, **mu))
    )
    assert bolt.proof_load == pytest.approx(830 * 57.99)


def test_made_from_the_standards_room() -> None:
    bolt = Fastening.from_standards(
        standards.thread("M10"),
        head=standards.head("ISO 4014", "M10"),
        hole=standards.hole("M10"),
        strength=standards.strength("10.9"),
    )
    assert (bolt.d, bolt.P, bolt.yield_stress, bolt.proof_stress) == (10.0, 1.5, 940.0, 830.0)
    assert bolt.tensile_strength == 1040.0
    assert bolt.bearing_diameter == pytest.approx((14.63 + 11.0) / 2)
    unknown = Fastening.from_standards(standards.thread("M10"), head=14.63, hole=11.0)
    assert unknown.yield_stress is None
    assert unknown.proof_load is None


def test_an_inch_thread_keeps_its_own_stress_area() -> None:
    bolt = Fastening.from_standards(standards.thread("1/2-13 UNC"), head=19.0, hole=13.5)
    assert bolt.stress_area / 25.4**2 == pytest.approx(0.1419, abs=5e-5)  # ASME B1.1, seen


def test_a_simple_joint_gives_clamp_rate_and_plastic_length() -> None:
    bolt = Fastening(**PLAIN)
    through = bolt.with_simple_joint(grip=45, shank_length=28, outside=60, E_parts=205_000)
    assert through.plastic_length == pytest.approx(22.0)
    tapped = bolt.with_simple_joint(
        grip=30, shank_length=0, outside=40, E_parts=70_000, joint="tapped"
    )
    assert through.clamp_rate is not None
    assert tapped.clamp_rate is not None
    # 1.5 / (360 · (4.1757 + 1.12804)·10⁻⁶): the worked tapped joint of aluminium
    assert tapped.clamp_rate == pytest.approx(1.5 / 360 / 5.30374e-6, rel=1e-4)
    soft = bolt.with_simple_joint(grip=45, shank_length=28, outside=60, E_parts=70_000)
    assert soft.clamp_rate is not None
    assert soft.clamp_rate < through.clamp_rate
    assert bolt.clamp_rate is None


def test_a_known_clamp_rate_is_taken_as_it_is() -> None:
    bolt = Fastening(**PLAIN).with_clamp_rate(700.0, free_thread=12.0)
    assert (bolt.clamp_rate, bolt.plastic_length) == (700.0, 17.0)
    with pytest.raises(OutOfRange, match="clamp_rate is 0 N/deg"):
        bolt.with_clamp_rate(0.0, free_thread=12.0)
    with pytest.raises(OutOfRange, match="free_thread"):
        bolt.with_clamp_rate(700.0, free_thread=-1.0)


@pytest.mark.parametrize(
    ("name", "value", "match"),
    [
        ("P", 0.0, "P is 0 mm"),
        ("d2", math.nan, "d2 is nan"),
        ("d2", 10.0, r"d2 \(10 mm\) must be smaller than d"),
        ("d3", 9.5, "d3 .* must be smaller than d2"),
        ("bearing_inner", 15.0, "bearing_inner .* must be smaller than bearing_outer"),
        ("stress_area", -1.0, "stress_area is -1 mm²"),
        ("yield_stress", 0.0, "yield_stress is 0 MPa"),
        ("clamp_rate", -3.0, "clamp_rate is -3 N/deg"),
        ("prevailing_torque", -1.0, "prevailing_torque is -1 N·m"),
        ("tangent_modulus", 205_000.0, "tangent_modulus"),
        ("tensile_strength", 900.0, "yield_stress is 940 MPa; it must lie between 0 and 900"),
    ],
)
def test_an_impossible_fastening_cannot_be_made(name: str, value: float, match: str) -> None:
    with pytest.raises(OutOfRange, match=match):
        Fastening(**(PLAIN | {name: value}))


def test_a_shank_as_long_as_the_grip_is_refused() -> None:
    with pytest.raises(OutOfRange, match=r"shank_length \(45 mm\) must be smaller than grip"):
        Fastening(**PLAIN).with_simple_joint(grip=45, shank_length=45, outside=60, E_parts=2e5)


def test_without_a_strength_class_yield_is_asked_for() -> None:
    bolt = Fastening(**(PLAIN | {"yield_stress": None}))
    with pytest.raises(Missing, match="give its strength class") as caught:
        bolt.yield_clamp(mu_thread=0.1)
    assert caught.value.needed == "yield_stress"


def test_it_is_frozen() -> None:
    with pytest.raises(FrozenInstanceError):
        Fastening(**PLAIN).d = 12.0  # type: ignore[misc]  # what must not work


def test_the_room_and_its_orders_are_light_to_import() -> None:
    code = "import sys, clampwright.joint.order; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"numpy", "scipy", "pydantic"}


def test_no_computing_module_loads_scipy() -> None:
    code = "import sys, clampwright.joint.band; print(*sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not set(done.stdout.split()) & {"scipy", "pydantic", "sqlalchemy"}
