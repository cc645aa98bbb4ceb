"""A wide range of stated friction widens what counts as an ordinary slope, and nothing else."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from clampwright.joint.model import Fastening
from clampwright.trace.given import Given, Nominal
from clampwright.trace.simulate import SimulatedWrench
from clampwright.trace.simulated_fastener import Condition, SimulatedFastener
from clampwright.trace.verdict import judge

M10 = Fastening(
    d=10,
    P=1.5,
    d2=9.0257,
    d3=8.1597,
    stress_area=57.99,
    bearing_outer=14.63,
    bearing_inner=11.0,
    yield_stress=940,
    clamp_rate=829.66,
    plastic_length=22,
)
EXPECTED = Given(
    target_torque_Nm=40.0,
    torque_low=38.0,
    torque_high=42.0,
    d_mm=10.0,
    tool_stiffness_Nm_per_deg=20.0,
    nominal=Nominal(clamp_rate_N_per_deg=829.66, torque_rate_Nm_per_deg=1.355),
)
WIDE = replace(
    EXPECTED,
    nominal=replace(
        EXPECTED.nominal, torque_rate_low_Nm_per_deg=0.97, torque_rate_high_Nm_per_deg=1.75
    ),
)


def pattern(mu: float, given: Given) -> str:
    bolt = SimulatedFastener(M10, Condition(mu_thread=mu, mu_bearing=mu))
    pull = SimulatedWrench().pull(bolt, torque=40.0, rng=np.random.default_rng(5))
    return judge(pull.trace, given).pattern


def test_the_expected_friction_is_ordinary_either_way() -> None:
    assert pattern(0.12, EXPECTED) == pattern(0.12, WIDE) == "normal"


@pytest.mark.parametrize("mu", [0.16, 0.165])
def test_friction_inside_a_wide_range_is_no_fault(mu: float) -> None:
    assert pattern(mu, EXPECTED) == "slope_out_of_band"
    assert pattern(mu, WIDE) == "normal"


def test_friction_outside_the_range_still_is() -> None:
    assert pattern(0.25, WIDE) != "normal"
