"""Clamp load from a torque pair, plausible ratios, and the evaluation of torque-tension tests."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint.evaluation import friction_from_test
from clampwright.joint.friction_fit import (
    TensionTest,
    evaluate_tension_test,
    lot_of,
    torque_at_clamp,
)
from clampwright.joint.loosening import (
    PairEstimate,
    breakaway_plausible,
    clamp_estimate_from_pair,
    judge_breakaway,
)
from clampwright.joint.nut_factor import nut_factor
from clampwright.joint.torque_tension import (
    loosening_torque,
    thread_torque,
    torque_from_clamp,
)

M10 = {"P": 1.5, "d2": 9.0257, "bearing_diameter": 12.815}
ROUNDED = 0.577 / (0.5 / math.cos(math.radians(30)))  # the standard's factor over the exact one


def pair(
    on: float, off: float, *, u: float = 0.0, locking: float = 0.0, model: float = 0.0
) -> PairEstimate:
    return clamp_estimate_from_pair(
        on,
        off,
        P=1.5,
        d2=9.0257,
        bearing_diameter=12.815,
        torque_on_u_rel=u,
        torque_off_u_rel=u,
        prevailing_torque=locking,
        model_u_rel=model,
    )


@given(st.floats(1_000, 60_000), st.floats(0.08, 0.3), st.floats(0, 10))
def test_pair_there_and_back(clamp: float, mu: float, locking: float) -> None:
    both = {"mu_thread": mu, "mu_bearing": mu, "prevailing_torque": locking}
    on = float(torque_from_clamp(clamp, **M10, **both))
    off = float(loosening_torque(clamp, **M10, **both))
    found = pair(on, off, locking=locking)
    assert found.clamp == pytest.approx(clamp, rel=1e-6)
    assert found.friction == pytest.approx(mu, rel=1e-6)
    assert 0 < found.ratio < 1
    assert found.u == 0


def test_five_per_cent_on_torque_is_twenty_on_clamp() -> None:
    found = pair(37.620, 25.683, u=0.05)
    assert found.u_reading / found.clamp == pytest.approx(0.19, abs=0.005)
    with_model = pair(37.620, 25.683, u=0.05, model=0.30)
    assert with_model.u / with_model.clamp == pytest.approx(math.hypot(0.1908, 0.30), abs=0.001)


def test_reading_uncertainty_against_random_torques() -> None:
    rng = np.random.default_rng(5)
    on = 37.62 * (1 + 0.03 * rng.standard_normal(200_000))
    off = 25.683 * (1 + 0.03 * rng.standard_normal(200_000))
    clamps = math.pi * (on - off) * 1000 / 1.5
    found = pair(37.62, 25.683, u=0.03)
    assert clamps.std() == pytest.approx(float(found.u_reading), rel=0.01)


@pytest.mark.parametrize(
    ("off", "plausible", "text"),
    [
        (40, True, "what healthy friction gives"),
        (55, True, "what healthy friction gives"),
        (92, False, "at the edge of what healthy friction"),
        (98, False, "suspect galling"),
        (140, False, "suspect galling"),
        (46, True, "what healthy friction gives"),
        (37, False, "at the edge"),
        (20, False, "suspect lost clamp load"),
        (5, False, "suspect lost clamp load"),
    ],
)
def test_breakaway(off: float, plausible: bool, text: str) -> None:  # noqa: FBT001 - a table of cases
    found = judge_breakaway(70.0 if off < 90 else 105.0, off)
    assert found.plausible is plausible
    assert text in str(found.words)
    assert breakaway_plausible(found.ratio) == plausible


def test_locking_feature_is_taken_from_both() -> None:
    assert judge_breakaway(50, 38, prevailing_torque=10).ratio == pytest.approx(0.7)
    assert judge_breakaway(50, 8, prevailing_torque=10).ratio == 0.0


CLAMP = np.linspace(2_000, 30_000, 15)


def tension_test(
    *,
    mu_thread: float = 0.12,
    mu_bearing: float = 0.10,
    locking: float = 0.0,
    noise: float = 0.0,
    given: float | None = None,
    shank: bool = False,
    seed: int = 1,
) -> TensionTest:
    rng = np.random.default_rng(seed)
    torque = torque_from_clamp(
        CLAMP, **M10, mu_thread=mu_thread, mu_bearing=mu_bearing, prevailing_torque=locking
    ) + noise * rng.standard_normal(len(CLAMP))
    in_shank = None
    if shank:
        in_shank = thread_torque(CLAMP, P=1.5, d2=9.0257, mu_thread=mu_thread) + locking
    return evaluate_tension_test(
        torque, CLAMP, d=10, **M10, thread_torque=in_shank, prevailing_torque=given
    )


@given(st.floats(0.04, 0.3), st.floats(0.04, 0.3), st.floats(0, 8))
def test_fit_gives_back_what_made_the_data(mu: float, under: float, locking: float) -> None:
    found = tension_test(mu_thread=mu, mu_bearing=under, locking=locking, shank=True)
    K = float(nut_factor(d=10, **M10, mu_thread=mu, mu_bearing=under))
    assert found.nut_factor.value == pytest.approx(K, rel=1e-9)
    assert found.prevailing_torque.value == pytest.approx(locking, abs=1e-7)
    assert found.thread is not None
    assert found.bearing is not None
    # The standard's 0.577 instead of 0.57735.
    assert found.thread.value == pytest.approx(mu / ROUNDED, rel=1e-6)
    assert found.bearing.value == pytest.approx(under, rel=1e-6)
    assert found.straight


def test_fit_through_a_known_prevailing_torque() -> None:
    free = tension_test(locking=4.0, noise=0.2)
    known = tension_test(locking=4.0, noise=0.2, given=4.0)
    assert known.prevailing_torque.value == 4.0
    assert known.prevailing_torque.u == 0.0
    assert known.nut_factor.u < free.nut_factor.u
    assert known.line.dof == free.line.dof + 1


def test_interval_covers_as_often_as_it_says() -> None:
    K = float(nut_factor(d=10, **M10, mu_thread=0.12, mu_bearing=0.10))
    covered = 0
    for seed in range(400):
        low, high = tension_test(noise=0.5, seed=seed).nut_factor_interval(0.9)
        covered += low <= K <= high
    assert covered / 400 == pytest.approx(0.9, abs=0.05)


def test_slope_through_a_point_against_scipy() -> None:
    torque = torque_from_clamp(CLAMP, **M10, mu_thread=0.12, mu_bearing=0.1)
    torque = torque + np.random.default_rng(2).normal(0, 0.3, 15)
    found = evaluate_tension_test(torque, CLAMP, d=10, **M10, prevailing_torque=0.0)
    fit = stats.linregress(
        np.concatenate([CLAMP, -CLAMP]), np.concatenate([torque, -torque])
    )  # mirrored data force the line through zero
    assert found.line.slope == pytest.approx(fit.slope)


def test_bent_lines_are_told() -> None:
    rising = 0.0013 * CLAMP * (1 + CLAMP / 100_000) + 0.02 * np.sin(CLAMP)
    found = evaluate_tension_test(rising, CLAMP, d=10, **M10)
    assert not found.straight
    assert any("bends upward" in str(one) for one in found.remarks)
    falling = 0.0015 * CLAMP * (1 - CLAMP / 120_000) + 0.02 * np.sin(CLAMP)
    found = evaluate_tension_test(falling, CLAMP, d=10, **M10)
    assert any("bends downward" in str(one) for one in found.remarks)


def test_bends_that_do_not_matter_are_not_told() -> None:
    slight = 0.0013 * CLAMP * (1 + CLAMP / 2_000_000)
    found = evaluate_tension_test(slight, CLAMP, d=10, **M10)
    assert found.bend.significance < 0.01
    assert found.straight
    assert found.remarks == ()


def test_straight_tests_are_called_straight() -> None:
    bent = sum(not tension_test(noise=1.0, seed=seed).straight for seed in range(300))
    assert bent / 300 < 0.03


def test_a_start_without_clamp_is_told() -> None:
    found = tension_test(locking=5.0, noise=0.05)
    assert any("starts at 5 N·m without clamp load" in str(one) for one in found.remarks)


def test_impossible_torque_is_told() -> None:
    found = evaluate_tension_test(0.0001 * CLAMP, CLAMP, d=10, **M10)
    assert found.total.value < 0
    assert any("do not belong together" in str(one) for one in found.remarks)


def test_between_points_against_the_plain_evaluation() -> None:
    torque = torque_from_clamp(CLAMP, **M10, mu_thread=0.12, mu_bearing=0.1)
    in_shank = thread_torque(CLAMP, P=1.5, d2=9.0257, mu_thread=0.12)
    at = 0.75 * 33_700
    found = friction_from_test(
        torque_at_clamp(torque, CLAMP, at=at),
        torque_at_clamp(in_shank, CLAMP, at=at),
        at,
        d=10,
        **M10,
    )
    fitted = tension_test(shank=True)
    assert fitted.thread is not None
    assert found.thread == pytest.approx(fitted.thread.value)
    assert found.nut_factor == pytest.approx(fitted.nut_factor.value)


def test_lot_holds_the_next_fastener() -> None:
    rng = np.random.default_rng(8)
    held = 0
    for _ in range(1500):
        values = rng.normal(0.15, 0.012, 6)
        lot = lot_of(values[:5], coverage=0.9)
        held += lot.low <= values[5] <= lot.high
    assert held / 1500 == pytest.approx(0.9, abs=0.03)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: pair(20, 25), "torque_on is 20 N·m; it cannot be below torque_off"),
        (lambda: pair(20, 20), "torque_on − torque_off is 0"),
        (lambda: pair(20, 15, locking=16), "torque_off − prevailing_torque is -1 N·m"),
        (lambda: pair(20, 15, u=-0.1), "torque_on_u_rel is -0.1"),
        (lambda: judge_breakaway(5, 4, prevailing_torque=6), "torque_on − prevailing_torque is -1"),
        (lambda: breakaway_plausible(-0.1), "ratio is -0.1"),
        (
            lambda: evaluate_tension_test([1, 2, 3], [1, 2, 3], d=10, **M10),
            "clamp has 3 numbers; at least 5",
        ),
        (
            lambda: evaluate_tension_test([1] * 5, [5, 4, 3, 2, 0], d=10, **M10),
            "clamp is 0 N",
        ),
        (
            lambda: evaluate_tension_test([5, 4, 3, 2, 1], [1, 2, 3, 4, 5], d=10, **M10),
            "torque does not rise with clamp load",
        ),
        (
            lambda: evaluate_tension_test([1, 2, 3, 4, 5], [7] * 5, d=10, **M10),
            "all points stand at the same",
        ),
        (
            lambda: evaluate_tension_test(
                [1, 2, 3, 4, 5], [7] * 5, d=10, **M10, prevailing_torque=0
            ),
            "all points stand at the same clamp load, 7 N",
        ),
        (
            lambda: evaluate_tension_test(
                [1, 2, 3, 4, 5], [1, 2, 3, 4, 5], d=10, **M10, thread_torque=[9] * 5
            ),
            "torque is 1 N·m; it cannot be below thread_torque",
        ),
        (
            lambda: evaluate_tension_test([1, 2, 3, 4, 5], [1, 2, 3, 4, 5], d=9, **M10),
            "d2 .9.0257 mm. must be smaller than d",
        ),
        (lambda: torque_at_clamp([1, 2], [1, 1], at=1), "clamp must rise"),
        (lambda: torque_at_clamp([1, 2], [1, 2], at=3), "at is 3 N"),
        (lambda: lot_of([0.1, 0.2]), "values has 2 numbers"),
        (lambda: lot_of([0.05, 0.2, 0.4]), "3 fasteners scatter by"),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_nothing_is_extrapolated() -> None:
    with pytest.raises(OutOfRange) as caught:
        torque_at_clamp([10, 20], [1000, 2000], at=2500)
    assert caught.value.high == 2000
