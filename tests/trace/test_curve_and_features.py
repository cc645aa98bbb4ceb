from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.testing import assert_allclose

from clampwright.trace import signals
from clampwright.trace.curve import local_slope
from clampwright.trace.features import features_of
from clampwright.trace.given import Given, Nominal
from clampwright.trace.limits import limits
from clampwright.trace.model import Floats, Trace

GIVEN = Given(
    target_torque_Nm=50.0,
    snug_torque_Nm=10.0,
    nominal=Nominal(K=0.15, clamp_rate_N_per_deg=830.0, torque_rate_Nm_per_deg=1.25),
    d_mm=10.0,
)


def pull(torque_of: list[tuple[float, float]], *, end: float, noise: float = 0.0) -> Trace:
    """Turn steadily at 30 degrees a second through a curve given by its corners."""
    angle = np.arange(0.0, end, 0.1501)  # no sample on the edge of a step
    torque = np.interp(angle, *np.array(torque_of).T)
    torque += np.random.default_rng(1).normal(0.0, noise, len(angle))
    return Trace(angle / 30.0, torque, angle, "output")


ELASTIC = [(0.0, 0.0), (60.0, 0.0), (100.0, 50.0)]
YIELDS = [(0.0, 0.0), (60.0, 0.0), (100.0, 50.0), (200.0, 55.0)]


def test_slope_by_least_squares_one_window_at_a_time() -> None:
    torque = np.cumsum(np.random.default_rng(2).normal(1.0, 0.5, 60))
    fast = local_slope(torque, 0.5, 4.0)
    x = np.arange(9) * 0.5
    slow = [np.polyfit(x, torque[i - 4 : i + 5], 1)[0] for i in range(4, 56)]
    assert_allclose(fast[4:56], slow, rtol=1e-9)


@pytest.mark.parametrize("start", [1e3, 1e5, -1e5])
def test_slope_does_not_care_where_the_angle_counter_started(start: float) -> None:
    near = pull(YIELDS, end=180.0, noise=0.1)
    far = Trace(near.time, near.torque, near.angle + start, "output")
    a, b = features_of(near, GIVEN), features_of(far, GIVEN)
    assert a.slope is not None
    assert b.slope is not None
    assert b.slope.value == pytest.approx(a.slope.value, rel=1e-6)
    assert_allclose(b.curve.slope, a.curve.slope, rtol=1e-6, atol=1e-9)


def test_moving_mean_does_not_care_how_far_from_zero() -> None:
    values = np.random.default_rng(3).normal(0.0, 1.0, 20_000)
    assert_allclose(
        signals.moving_mean(values + 1e5, 51) - 1e5, signals.moving_mean(values, 51), atol=1e-8
    )


def slow_mean(values: Floats, half: int) -> list[float]:
    return [float(np.mean(values[max(0, i - half) : i + half + 1])) for i in range(len(values))]


def test_moving_mean_is_the_mean() -> None:
    values = np.random.default_rng(4).normal(0.0, 1.0, 40)
    assert_allclose(signals.moving_mean(values, 5), slow_mean(values, 2), atol=1e-12)


def test_features_of_an_elastic_pull() -> None:
    f = features_of(pull(ELASTIC, end=100.0, noise=0.1), GIVEN)
    assert f.snug_angle == pytest.approx(68.0, abs=0.3)
    assert f.after_snug is not None
    assert f.after_snug.value == pytest.approx(32.0, abs=0.3)
    assert f.slope is not None
    assert f.slope.value == pytest.approx(1.25, rel=0.01)
    assert f.final_torque is not None
    assert f.final_torque.value == pytest.approx(50.0, abs=0.3)
    assert f.running_torque == pytest.approx(0.0, abs=0.1)
    assert f.yielded is None
    assert f.clamp is not None
    assert f.clamp.value == pytest.approx(830.0 * 50.0 / 1.25, rel=0.02)
    assert f.nut_factor == pytest.approx(1.25 / (830.0 * 0.010), rel=0.01)


def test_yield_is_found_where_the_curve_bends() -> None:
    f = features_of(pull(YIELDS, end=180.0, noise=0.15), GIVEN)
    assert f.yielded is not None
    assert f.yielded.angle == pytest.approx(100.0, abs=1.0)
    assert f.yielded.clamp is not None
    assert f.yielded.clamp.value == pytest.approx(33_200.0, rel=0.03)
    assert f.plateau == pytest.approx(80.0, abs=6.0)


def test_a_dip_that_comes_back_is_no_yield() -> None:
    corners = [(0.0, 0.0), (60.0, 0.0), (85.0, 31.0), (92.0, 31.0), (108.0, 51.0)]
    assert features_of(pull(corners, end=108.0, noise=0.1), GIVEN).yielded is None


def test_a_bend_shorter_than_the_window_is_no_yield() -> None:
    assert features_of(pull(YIELDS, end=102.0, noise=0.1), GIVEN).yielded is None


def test_what_was_never_reached_is_not_determinable() -> None:
    f = features_of(pull([(0.0, 0.0), (60.0, 0.0), (65.0, 6.0)], end=65.0), GIVEN)
    assert f.snug_angle is None
    assert f.after_snug is None
    assert f.slope is None
    assert f.clamp is None


def test_prevailing_torque_is_taken_off_the_clamp_load() -> None:
    corners = [(0.0, 5.0), (60.0, 5.0), (100.0, 55.0)]
    f = features_of(pull(corners, end=100.0, noise=0.1), GIVEN)
    assert f.running_torque == pytest.approx(5.0, abs=0.1)
    assert f.clamp is not None
    assert f.clamp.value == pytest.approx(830.0 * 50.0 / 1.25, rel=0.02)


def test_a_soft_tool_is_taken_out_of_the_slope() -> None:
    rigid = pull(ELASTIC, end=100.0)
    wound = Trace(rigid.time, rigid.torque, rigid.angle + rigid.torque / 8.0, "handle")
    f = features_of(wound, replace(GIVEN, tool_stiffness_Nm_per_deg=8.0))
    assert f.slope is not None
    assert f.slope.value == pytest.approx(1.25, rel=0.01)


def test_noise_of_the_sensor_is_not_taken_for_sticking_and_slipping() -> None:
    noisy = features_of(pull(ELASTIC, end=100.0, noise=0.7), GIVEN).curve.roughness
    assert noisy < 0.012
    clean = pull(ELASTIC, end=100.0, noise=0.1)
    saw = 1.0 + 0.1 * (2.0 * np.abs((clean.angle / 1.7) % 1.0 - 0.5) - 0.5)
    creaking = Trace(clean.time, clean.torque * saw, clean.angle, "output")
    assert features_of(creaking, GIVEN).curve.roughness > 0.02


def test_every_criterion_says_what_it_means_and_where_it_comes_from() -> None:
    assert len(limits()) > 40
    for row in limits().values():
        assert row.unit
        assert row.meaning
        assert row.source
        assert row.source.startswith("common practice") or "ours" in row.source
