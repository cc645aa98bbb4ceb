"""The interval score is proper, and the estimates use it so."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from clampwright.errors import Missing, OutOfRange
from clampwright.practice.clamp_question import ClampQuestion, clamp_question, scored
from clampwright.practice.score import interval_score, points
from clampwright.work.fastener import Named

OILED = ClampQuestion(Named("M10", "8.8", "ISO 4014/4017", friction="oiled"), 40.0)


def test_of_a_normal_forecast_it_is_what_the_formula_gives() -> None:
    """E S = 4 φ(z)/α for the central interval of a standard normal (derived from equation 43)."""
    z = stats.norm.ppf(0.95)
    x = stats.norm.ppf((np.arange(200_000) + 0.5) / 200_000)
    assert interval_score(-z, z, x).mean() == pytest.approx(4 * stats.norm.pdf(z) / 0.1, rel=1e-4)


@pytest.mark.parametrize("law", [stats.norm(10, 2), stats.lognorm(0.3, scale=20), stats.expon(5)])
def test_nobody_does_better_than_with_the_true_quantiles(law: stats.rv_continuous) -> None:
    x = law.ppf((np.arange(20_001) + 0.5) / 20_001)
    low, high = law.ppf(0.05), law.ppf(0.95)
    best = interval_score(low, high, x).mean()
    rng = np.random.default_rng(1)
    for _ in range(300):
        a, b = sorted(rng.uniform(law.ppf(0.001), law.ppf(0.999), 2))
        assert interval_score(a, b, x).mean() >= best * (1 - 1e-4)


@given(low=st.floats(0, 100), width=st.floats(0, 100), x=st.floats(-1000, 1000))
def test_it_is_never_less_than_the_width(low: float, width: float, x: float) -> None:
    assert interval_score(low, low + width, x) >= width - 1e-9


def test_backward_intervals_and_levels_that_are_none_are_refused() -> None:
    with pytest.raises(OutOfRange, match="runs backward"):
        interval_score(3.0, 2.0, 1.0)
    with pytest.raises(OutOfRange, match="between 0 and 1"):
        interval_score(1.0, 2.0, 1.0, level=1.0)
    with pytest.raises(OutOfRange, match="runs backward"):
        interval_score(math.nan, 2.0, 1.0)


def test_points_never_leave_their_scale() -> None:
    assert points(0.0, 0.0) == 100
    assert points(1e12, 1.0) == 0
    assert points(5.0, 5.0) == 100


def test_fasteners_of_a_question_follow_the_band_of_the_joint_room() -> None:
    band, every = OILED.band(), OILED.fasteners()
    assert np.quantile(every, [0.05, 0.95]) == pytest.approx([band.p05, band.p95], rel=2e-3)
    assert np.median(every) == pytest.approx(band.nominal, rel=2e-3)
    drawn = OILED.drawn(4000, 3)
    assert np.quantile(drawn, [0.05, 0.95]) == pytest.approx([band.p05, band.p95], rel=0.03)
    assert (OILED.drawn(10, 3) == OILED.drawn(10, 3)).all()


def test_the_band_itself_earns_all_points_and_bluff_does_not() -> None:
    band = OILED.band()
    honest = scored(OILED, band.p05, band.p95)
    assert (honest.points, round(honest.held, 2)) == (100, 0.9)
    narrow = scored(OILED, band.nominal - 500.0, band.nominal + 500.0)
    wide = scored(OILED, 0.0, 3 * band.p95)
    assert narrow.points < 50
    assert wide.points < 50
    assert any("too narrow" in str(line) for line in narrow.says())
    assert any("too wide" in str(line) for line in wide.says())
    aside = scored(OILED, band.p95, band.p95 + 5000.0)
    assert any("too high" in str(line) for line in aside.says())


@settings(max_examples=20)
@given(seed=st.integers(0, 999_999))
def test_questions_made_are_the_same_for_the_same_number_and_never_yield(seed: int) -> None:
    asked = clamp_question(seed)
    assert asked == clamp_question.__wrapped__(seed)
    band = asked.band()
    assert 0.0 < band.p05 < band.nominal < band.p95
    assert (band.yield_probability or 0.0) < 0.01


def test_questions_that_cannot_be_are_refused() -> None:
    bolt = Named("M10", "8.8", "ISO 4014/4017")
    with pytest.raises(Missing, match="needs friction"):
        ClampQuestion(bolt, 40.0)
    with pytest.raises(Missing, match="needs thread"):
        ClampQuestion(Named(friction="oiled"), 40.0)
    with pytest.raises(OutOfRange, match="begin to yield"):
        ClampQuestion(Named("M10", "8.8", "ISO 4014/4017", friction="oiled"), 400.0)
    with pytest.raises(OutOfRange, match="at 0 or above"):
        scored(OILED, -1.0, 5.0)
