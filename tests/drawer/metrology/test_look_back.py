"""A tool found out: both stories, each pull against its own joint."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.metrology.look_back import (
    Finding,
    beyond_by_drift,
    drift_crossing,
    drift_crossing_range,
    drifted,
    look_back,
    shifted_before,
)
from clampwright.errors import ClampwrightError

FOUND = Finding(before=-0.6, found=-5.2, window=365, u_before=0.4, u_found=0.4)


def test_the_ends_of_the_window_are_what_was_measured() -> None:
    assert drifted(FOUND, [0, 365]) == pytest.approx([-0.6, -5.2])
    assert shifted_before(FOUND, [0, 365]) == pytest.approx([0, 1])


def test_the_drift_is_at_the_limit_when_it_crosses() -> None:
    at = drift_crossing(FOUND, -4)
    assert float(drifted(FOUND, at)) == pytest.approx(-4)
    assert float(beyond_by_drift(FOUND, at, -4)) == pytest.approx(0.5)


def test_crossing_range_and_chance_agree_with_random_draws() -> None:
    """Second way: 400 000 tools with drawn errors at both ends."""
    rng = np.random.default_rng(365)
    e0, e1 = rng.normal(-0.6, 0.4, 400_000), rng.normal(-5.2, 0.4, 400_000)
    crossing = 365 * (-4 - e0) / (e1 - e0)
    low, high = drift_crossing_range(FOUND, -4)
    assert (low, high) == pytest.approx(tuple(np.quantile(crossing, [0.025, 0.975])), abs=0.6)
    then = e0 + (e1 - e0) * 300 / 365
    assert float(beyond_by_drift(FOUND, 300, -4)) == pytest.approx(np.mean(then < -4), abs=0.002)


def test_look_back_agrees_with_random_draws() -> None:
    """Second way: the same pull made 400 000 times by either story."""
    rng = np.random.default_rng(12)
    count, time, low, high = 400_000, 200.0, 99.0, 103.0
    e0, e1 = rng.normal(-0.6, 0.4, count), rng.normal(-5.2, 0.4, count)
    by_drift = 100 / (1 + (e0 + (e1 - e0) * time / 365) / 100)
    by_shift = 100 / (1 + np.where(rng.random(count) < time / 365, e1, e0) / 100)
    found = look_back(FOUND, time=time, indicated=100, low=low, high=high)
    for chance, torque in ((found.drift_chance, by_drift), (found.shift_chance, by_shift)):
        assert float(chance) == pytest.approx(np.mean((torque < low) | (torque > high)), abs=0.003)
    assert float(found.worse) == max(float(found.drift_chance), float(found.shift_chance))


def test_the_joint_decides_not_the_tool() -> None:
    wide, narrow = (
        look_back(FOUND, time=300, indicated=100, low=low, high=high)
        for low, high in ((80, 120), (98, 102))
    )
    assert float(wide.worse) < 1e-6
    assert float(narrow.worse) > 0.8


def test_limits_may_be_open() -> None:
    found = look_back(FOUND, time=[0.0, 365.0], indicated=100, low=0, high=math.inf)
    assert found.worse == pytest.approx([0, 0])


def test_a_tool_that_went_the_other_way() -> None:
    up = Finding(before=0.6, found=5.2, window=365, u_before=0.4, u_found=0.4)
    assert float(beyond_by_drift(up, 300, 4)) == pytest.approx(
        float(beyond_by_drift(FOUND, 300, -4))
    )
    assert float(look_back(up, time=300, indicated=100, low=90, high=110).drift_torque) < 100


def test_without_uncertainty_the_answer_is_yes_or_no() -> None:
    sure = Finding(before=0.0, found=-10.0, window=100)
    assert beyond_by_drift(sure, [30, 50], -4).tolist() == [0.0, 1.0]


@given(time=st.floats(0, 365), torque=st.floats(1, 500), half=st.floats(0.01, 0.3))
def test_chances_are_chances_and_know_no_unit(time: float, torque: float, half: float) -> None:
    def found(factor: float) -> tuple[float, float]:
        value = look_back(
            FOUND,
            time=time,
            indicated=factor * torque,
            low=factor * torque * (1 - half),
            high=factor * torque * (1 + half),
        )
        return float(value.drift_chance), float(value.shift_chance)

    one, other = found(1.0), found(1.3558179483314004)
    assert one == pytest.approx(other, abs=1e-9)
    assert all(0.0 <= chance <= 1.0 + 1e-12 for chance in one)


def test_an_array_is_as_good_as_one_by_one() -> None:
    times = np.linspace(0, 365, 7)
    together = look_back(FOUND, time=times, indicated=80, low=75, high=84)
    alone = [float(look_back(FOUND, time=t, indicated=80, low=75, high=84).worse) for t in times]
    assert together.worse == pytest.approx(alone)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: Finding(before=0, found=-5, window=0), "window"),
        (lambda: Finding(before=0, found=-100, window=9), "found"),
        (lambda: Finding(before=math.nan, found=-5, window=9), "before"),
        (lambda: Finding(before=0, found=-5, window=9, u_found=-1), "u_found"),
        (lambda: drifted(FOUND, 366), "time"),
        (lambda: drifted(FOUND, -1), "time"),
        (lambda: drift_crossing(FOUND, -6), "does not lie between"),
        (lambda: drift_crossing(Finding(before=1, found=1, window=9), 1), "does not lie"),
        (lambda: drift_crossing_range(FOUND, -4, coverage=1), "coverage"),
        (lambda: look_back(FOUND, time=1, indicated=0, low=1, high=2), "indicated"),
        (lambda: look_back(FOUND, time=1, indicated=5, low=2, high=2), "below its upper"),
        (lambda: look_back(FOUND, time=1, indicated=5, low=-2, high=2), "0 N·m or more"),
        (lambda: look_back(FOUND, time=[1, 2], indicated=[5, 5, 5], low=1, high=9), "each pull"),
    ],
)
def test_bad_input_is_refused_in_words(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
