"""Relations of slope, wind-up and rate against worked numbers.

The numbers were computed from the relations by a script of their own, in double precision, and
printed rounded; the tolerance is half a unit of the last printed digit. Sources of the relations:
clamp load from the slope: ASM Handbook vol. 8, testing of threaded fasteners (tangent projection);
bar: torsion of a round bar, any textbook; bias of a rate: mean of independent samples.
The same numbers are reached a second way where one is at hand.
"""

from __future__ import annotations

from decimal import Decimal

import numpy as np
import pytest
from scipy import integrate, stats

from clampwright.drawer.leverage import fastener_ratio
from clampwright.trace.given import Given, Nominal
from clampwright.trace.model import Trace
from clampwright.trace.relations import (
    bar_stiffness,
    clamp_from_slope,
    in_series,
    nut_factor_from_slope,
    rate_angle_uncertainty,
    rate_bias_uncertainty,
    true_slope,
)
from clampwright.trace.verdict import judge


def printed(number: str) -> object:
    """Return the printed number with half a unit of its last digit as tolerance."""
    last = Decimal(number).as_tuple().exponent
    assert isinstance(last, int)
    return pytest.approx(float(number), abs=0.5 * 10.0**last)


# Slope 1.40 N·m/deg, torque 45 N·m, running torque 2 N·m, clamp rate 829.66 N/deg, M10.


def test_clamp_load_from_the_slope() -> None:
    assert clamp_from_slope(45.0, 1.40, 829.66, 2.0) / 1000.0 == printed("25.48")


def test_nut_factor_from_the_slope() -> None:
    assert nut_factor_from_slope(1.40, 829.66, 10.0) == printed("0.16874")


def test_the_judge_finds_the_same_clamp_load_in_a_trace() -> None:
    turned = np.linspace(0.0, 120.0, 4000)
    torque = np.maximum(2.0, 2.0 + 1.40 * (turned - 89.2857142857))
    trace = Trace(turned / 30.0, torque, turned, "output")
    given = Given(
        target_torque_Nm=45.0,
        snug_torque_Nm=10.0,
        nominal=Nominal(K=0.16874, clamp_rate_N_per_deg=829.66),
        d_mm=10.0,
    )
    verdict = judge(trace, given)
    assert verdict.final_torque == pytest.approx(45.0, rel=0.002)
    assert verdict.clamp is not None
    assert verdict.clamp / 1000.0 == pytest.approx(25.48, rel=0.002)
    assert verdict.slope == pytest.approx(1.40, rel=0.002)


# Steel bar, 16 mm, 250 mm, G 80 000 MPa; then in series with 60 and 150 N·m/deg.


def test_twist_of_a_bar() -> None:
    stiffness = bar_stiffness(16.0, 250.0, 80_000.0)
    assert stiffness == printed("35.934")
    assert 200.0 / stiffness == printed("5.566")


def test_twist_of_a_bar_by_its_polar_moment_integrated() -> None:
    polar, _ = integrate.quad(lambda r: 2.0 * np.pi * r**3, 0.0, 8.0)
    by_hand = np.degrees(200_000.0 * 250.0 / (80_000.0 * polar))
    assert 200.0 / bar_stiffness(16.0, 250.0, 80_000.0) == pytest.approx(by_hand, rel=1e-12)


def test_tool_in_series() -> None:
    stiffness = in_series(bar_stiffness(16.0, 250.0, 80_000.0), 60.0, 150.0)
    assert stiffness == printed("19.546")
    assert 120.0 / stiffness == printed("6.139")


def test_slope_without_the_tool_and_back() -> None:
    seen = in_series(1.2485, 19.546)
    assert true_slope(seen, 19.546) == pytest.approx(1.2485, rel=1e-12)


# Rate: bias 0.4 deg/s left in for 25 s; rest of 1 s at 100 Hz, sd 0.15 deg/s.


def test_bias_left_in() -> None:
    u = rate_angle_uncertainty(u_bias=0.4, noise=0.0, seconds=25.0, sample_rate=100.0)
    assert u == printed("10")


def test_bias_taken_at_rest() -> None:
    u_bias = rate_bias_uncertainty(0.15, 100)
    assert u_bias == printed("0.015")
    drift = rate_angle_uncertainty(u_bias=u_bias, noise=0.0, seconds=25.0, sample_rate=100.0)
    assert drift == printed("0.375")


def test_white_noise_integrated() -> None:
    walk = rate_angle_uncertainty(u_bias=0.0, noise=0.15, seconds=25.0, sample_rate=100.0)
    assert walk == printed("0.075")


def test_white_noise_integrated_agrees_with_simulation() -> None:
    rng = np.random.default_rng(20260101)
    ends = rng.normal(0.0, 0.15, (4000, 2500)).sum(axis=1) / 100.0
    low, high = (float(stats.chi2.ppf(p, 3999)) / 3999 for p in (0.001, 0.999))
    walk = float(rate_angle_uncertainty(u_bias=0.0, noise=0.15, seconds=25.0, sample_rate=100.0))
    assert low <= ends.var(ddof=1) / walk**2 <= high


# Hand off its mark on a wrench with its pivot 38 mm from the square, calibrated at 420 mm.


@pytest.mark.parametrize(("hand", "ratio"), [(360.0, "1.01686"), (460.0, "0.99142")])
def test_hand_off_its_mark(hand: float, ratio: str) -> None:
    assert fastener_ratio(length=hand, pivot=38.0, calibrated_length=420.0) == printed(ratio)
