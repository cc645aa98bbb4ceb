"""Control charts: factors, sums, run rules and how often they signal."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.drawer.metrology.control import (
    ALTERNATING,
    RISING,
    WESTERN_ELECTRIC,
    average_run_length,
    chart_constants,
    cusum,
    ewma,
    ewma_limits,
    run_signals,
)
from clampwright.errors import ClampwrightError, OutOfRange


@pytest.mark.parametrize("n", [2, 5, 25])
def test_range_factors_agree_with_random_samples(n: int) -> None:
    rng = np.random.default_rng(n)
    sample = rng.standard_normal((100_000, n))
    spread = np.ptp(sample, axis=1)
    found = chart_constants(n)
    assert found.d2 == pytest.approx(float(spread.mean()), abs=5 * found.d3 / math.sqrt(1e5))
    assert found.d3 == pytest.approx(float(spread.std()), rel=0.012)
    assert found.c4 == pytest.approx(float(sample.std(axis=1, ddof=1).mean()), rel=0.01)


def test_mean_range_of_two_and_three_in_closed_form() -> None:
    assert chart_constants(2).d2 == pytest.approx(2 / math.sqrt(math.pi), rel=1e-12)
    assert chart_constants(3).d2 == pytest.approx(3 / math.sqrt(math.pi), rel=1e-12)
    assert chart_constants(2).d3 == pytest.approx(math.sqrt(2 - 4 / math.pi), rel=1e-10)


@pytest.mark.parametrize("n", [1, 26])
def test_factors_of_other_samples_are_refused(n: int) -> None:
    with pytest.raises(OutOfRange, match="2 to 25"):
        chart_constants(n)


@given(
    values=st.lists(st.floats(-50, 50), min_size=1, max_size=30),
    weight=st.floats(0.05, 1),
    by=st.floats(-20, 20),
)
def test_ewma_moves_with_its_values(values: list[float], weight: float, by: float) -> None:
    plain = ewma(values, weight=weight, start=1.0)
    moved = ewma(np.array(values) + by, weight=weight, start=1.0 + by)
    assert moved == pytest.approx(plain + by, abs=1e-9)
    assert ewma(values, weight=1.0, start=0.0) == pytest.approx(values)


def test_ewma_limits_open_up_to_those_of_long_running() -> None:
    widths = [np.diff(ewma_limits(centre=50, s=2, weight=0.3, index=i))[0] for i in (1, 2, 3, 50)]
    assert widths == sorted(widths)
    last = ewma_limits(centre=50, s=2, weight=0.3)
    assert widths[-1] == pytest.approx(last[1] - last[0])


def test_ewma_scatter_agrees_with_random_results() -> None:
    rng = np.random.default_rng(7)
    found = ewma(rng.standard_normal(200_000), weight=0.2, start=0.0)[100:]
    _, high = ewma_limits(centre=0, s=1, weight=0.2)
    assert 3 * float(found.std()) == pytest.approx(high, rel=0.02)


@given(values=st.lists(st.floats(-5, 5), min_size=1, max_size=30))
def test_cusum_is_the_same_upside_down(values: list[float]) -> None:
    up = cusum(values, target=0, k=0.5, h=4)
    down = cusum([-x for x in values], target=0, k=0.5, h=4)
    assert up.high == pytest.approx(down.low)
    assert up.signals == down.signals
    assert up.plain == pytest.approx(-down.plain)


@pytest.mark.parametrize(
    ("values", "index", "rule"),
    [
        ([0, 3.1], 2, "one beyond 3 s"),
        ([-2.1, 0, -2.2], 3, "two of three beyond 2 s"),
        ([1.1, 1.2, 0, 1.3, 1.4], 5, "four of five beyond 1 s"),
        ([0.1] * 8, 8, "eight on one side"),
    ],
)
def test_every_zone_rule(values: list[float], index: int, rule: str) -> None:
    assert [(s.index, s.rule) for s in run_signals(values, centre=0, s=1)] == [(index, rule)]


def test_the_side_counts() -> None:
    assert not run_signals([2.1, 0, -2.2, 0.1, -0.1], centre=0, s=1)
    assert not run_signals([0.1] * 7 + [-0.1] + [0.1] * 7, centre=0, s=1)


def test_trends() -> None:
    rising = run_signals([-2, -1.2, -0.4, 0.4, 0.9, 1.8], centre=0, s=1, trends=True)
    assert [s.rule for s in rising] == [RISING]
    wave = run_signals([0.5, -0.5] * 7, centre=0, s=1, trends=True)
    assert [(s.index, s.rule) for s in wave] == [(14, ALTERNATING)]


def test_run_length_of_the_plain_chart_is_one_over_its_tail() -> None:
    for shift in (0.0, 1.0):
        tail = stats.norm.sf(3 - shift) + stats.norm.cdf(-3 - shift)
        assert average_run_length(shift=shift, rules=WESTERN_ELECTRIC[:1]) == pytest.approx(
            1 / tail, rel=1e-9
        )


def test_run_length_with_all_rules_agrees_with_simulation() -> None:
    """Second way: 400 charts run until they signal, mean moved by one standard deviation."""
    rng = np.random.default_rng(99)
    lengths = []
    for _ in range(400):
        signals = run_signals(rng.normal(1.0, 1.0, 120), centre=0, s=1)
        lengths.append(signals[0].index)
    known = average_run_length(shift=1.0)
    assert known == pytest.approx(9.22, abs=0.005)  # Champ and Woodall 1987, from memory
    assert np.mean(lengths) == pytest.approx(known, abs=4 * float(np.std(lengths)) / 20)


def test_every_rule_more_shortens_the_run() -> None:
    lengths = [average_run_length(rules=WESTERN_ELECTRIC[:n]) for n in (1, 2, 3, 4)]
    assert lengths == sorted(lengths, reverse=True)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: ewma([1, 2], weight=0, start=0), "weight"),
        (lambda: ewma([1, 2], weight=1.1, start=0), "weight"),
        (lambda: ewma([], weight=0.2, start=0), "values"),
        (lambda: ewma_limits(centre=0, s=0, weight=0.2), "s is 0"),
        (lambda: ewma_limits(centre=0, s=1, weight=0.2, index=0), "index"),
        (lambda: cusum([1, 2], target=0, k=-1, h=4), "k is -1"),
        (lambda: cusum([1, 2], target=0, k=0.5, h=0), "h is 0"),
        (lambda: run_signals([1, 2], centre=0, s=-1), "s is -1"),
        (lambda: run_signals([1, math.inf], centre=0, s=1), "finite"),
        (lambda: average_run_length(shift=math.nan), "shift"),
    ],
)
def test_bad_input_names_the_argument(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
