"""Bias, scatter and the next pull: against scipy, a printed example, and by simulation."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence

import numpy as np
import pytest
from scipy import stats

from clampwright.errors import Missing, OutOfRange
from clampwright.practice.days import day_parts, enough_days
from clampwright.practice.feel import (
    by_length,
    by_posture,
    differences,
    held_against,
    scatter_range,
    spread_of,
    tolerances,
    trend_of,
)
from clampwright.practice.tries import Try

DAY = dt.date(2026, 5, 1)
ERRORS = (-0.08, -0.03, -0.06, 0.01, -0.05, -0.02, -0.07)

CALCIUM = (
    (3.28, 3.09, 3.03, 3.03),
    (3.52, 3.48, 3.38, 3.38),
    (2.88, 2.80, 2.81, 2.76),
    (3.34, 3.38, 3.23, 3.26),
)
"""Calcium of four turnip leaves, four determinations each: Snedecor and Cochran, Statistical
Methods, one-way random effects (from memory); printed mean squares 0.2961 and 0.0066, variance
between leaves 0.0724."""


def tries(errors: Sequence[float], *, day: dt.date = DAY) -> list[Try]:
    return [Try(25.0, 25.0 * (1.0 + error), day) for error in errors]


def test_few_tries_of_one_day_have_the_intervals_scipy_gives() -> None:
    found = spread_of(tries(ERRORS))
    n, mean, s = len(ERRORS), float(np.mean(ERRORS)), float(np.std(ERRORS, ddof=1))
    t = stats.t(n - 1)
    assert found.bias == pytest.approx(mean)
    assert found.bias_range == pytest.approx(
        t.interval(0.95)[1] * s / math.sqrt(n) * np.array([-1, 1]) + mean
    )
    assert found.next_range == pytest.approx(
        t.interval(0.95)[1] * s * math.sqrt(1 + 1 / n) * np.array([-1, 1]) + mean
    )
    chi = stats.chi2(n - 1).interval(0.95)
    assert found.scatter_range == pytest.approx(
        [s * math.sqrt((n - 1) / chi[1]), s * math.sqrt((n - 1) / chi[0])]
    )
    inside = t.cdf((0.05 - mean) / (s * math.sqrt(1 + 1 / n)))
    inside -= t.cdf((-0.05 - mean) / (s * math.sqrt(1 + 1 / n)))
    assert found.share_within(0.05) == pytest.approx(inside)


def test_no_interval_reaches_beyond_no_pull_at_all() -> None:
    found = spread_of(tries([-0.5, 0.6]))
    assert found.next_range is not None
    assert found.next_range[0] == -1.0


def test_one_try_says_nothing_of_scatter_and_none_is_refused() -> None:
    one = spread_of(tries([0.1]))
    assert (one.bias_range, one.scatter, one.next_range, one.share_within(0.2)) == (None,) * 4
    with pytest.raises(Missing, match="no try"):
        spread_of([])


def test_pulls_that_are_all_alike_leave_no_width_and_no_doubt() -> None:
    same = spread_of(tries([0.04] * 4))
    assert same.next_range == pytest.approx((0.04, 0.04))
    assert (same.share_within(0.05), same.share_within(0.03)) == (1.0, 0.0)


def test_variance_within_and_between_as_the_book_prints_it() -> None:
    found = day_parts(CALCIUM)
    assert found.between_square == pytest.approx(0.2961, abs=5e-5)
    assert found.within_square == pytest.approx(0.0066, abs=5e-5)
    assert found.between**2 == pytest.approx(0.0724, abs=5e-5)


def test_with_as_many_tries_each_day_the_mean_has_its_exact_interval() -> None:
    found = day_parts(CALCIUM)
    assert found.u_mean == pytest.approx(math.sqrt(found.between_square / found.count))
    spread = spread_of([one for place, row in enumerate(CALCIUM)
                        for one in tries([x / 3.0 - 1.0 for x in row],
                                         day=DAY + dt.timedelta(place))])  # fmt: skip
    means = [float(np.mean([x / 3.0 - 1.0 for x in row])) for row in CALCIUM]
    low, high = stats.t(3, np.mean(means), stats.sem(means)).interval(0.95)
    assert spread.bias_range == pytest.approx((low, high))
    assert spread.days is not None


def test_days_that_differ_no_more_than_pulls_are_taken_as_one_row() -> None:
    rows = [(0.0, 0.1), (0.1, 0.0), (0.05, 0.06)]
    found = day_parts(rows)
    assert found.between == 0.0
    every = np.concatenate(rows)
    assert found.next_u == pytest.approx(every.std(ddof=1) * math.sqrt(1 + 1 / 6))
    assert found.next_dof == 5.0


def test_days_are_told_apart_only_where_tries_suffice() -> None:
    assert not enough_days([[0.1, 0.2], [0.1, 0.3, 0.2]])
    assert not enough_days([[0.1], [0.1, 0.3], [0.2]])
    assert enough_days([[0.1, 0.2], [0.1, 0.3], [0.2, 0.1]])
    with pytest.raises(OutOfRange, match="at least 2 days"):
        day_parts([[0.1, 0.2, 0.3]])


def coverage(sizes: Sequence[int], runs: int) -> tuple[float, float]:
    """How often bias and the next pull on a new day lie in their intervals."""
    rng = np.random.default_rng(20_260_501)
    bias_in = next_in = 0
    for _ in range(runs):
        rows = [
            tries((0.05 + rng.normal(0, 0.04) + rng.normal(0, 0.03, n)).tolist(),
                  day=DAY + dt.timedelta(place))
            for place, n in enumerate(sizes)
        ]  # fmt: skip
        found = spread_of([one for row in rows for one in row])
        coming = 0.05 + rng.normal(0, 0.04) + rng.normal(0, 0.03)
        assert found.bias_range is not None
        assert found.next_range is not None
        bias_in += found.bias_range[0] <= 0.05 <= found.bias_range[1]
        next_in += found.next_range[0] <= coming <= found.next_range[1]
    return bias_in / runs, next_in / runs


def test_intervals_hold_as_often_as_they_say_on_days_of_unequal_length() -> None:
    bias, coming = coverage((3, 5, 4, 2, 6), 400)
    assert 0.92 <= bias <= 0.985
    assert 0.92 <= coming <= 0.985


@pytest.mark.soak
def test_intervals_hold_over_many_runs() -> None:
    for sizes in ((3, 5, 4, 2, 6), (4, 4, 4), (2, 2, 2, 2, 2, 2, 2, 2)):
        bias, coming = coverage(sizes, 20_000)
        assert bias == pytest.approx(0.95, abs=0.012), sizes
        assert coming == pytest.approx(0.95, abs=0.02), sizes


def test_ways_of_pulling_are_compared_with_the_one_of_most_tries() -> None:
    short = [Try(25.0, x, DAY, length=300.0, posture="down") for x in (22.0, 22.5, 23.0, 22.2)]
    long = [Try(25.0, x, DAY, length=600.0, posture="kneeling") for x in (26.0, 27.0, 26.5)]
    few = [Try(25.0, 25.0, DAY, length=900.0)]
    groups = by_length([*long, *few, *short])
    assert list(groups) == [300.0, 600.0, 900.0]
    found = differences(groups)
    assert list(found) == [600.0]
    want = stats.ttest_ind([t.error for t in long], [t.error for t in short], equal_var=False)
    ends = want.confidence_interval(0.95)
    assert (found[600.0].low, found[600.0].high) == pytest.approx((ends.low, ends.high))
    assert set(by_posture([*short, *long, *few])) == {"down", "kneeling"}


def test_several_comparisons_widen_every_interval() -> None:
    rows = {key: tries([x + key for x in (0.0, 0.02, 0.05)]) for key in (0.0, 0.01)}
    alone = differences(rows)[0.01]
    more = differences(rows | {0.02: tries([0.0, 0.03, 0.09])})[0.01]
    assert more.high - more.low > alone.high - alone.low


def test_a_trend_needs_tries_and_falls_where_errors_do() -> None:
    assert trend_of(tries(ERRORS[:5])) is None
    found = trend_of(tries([0.2, 0.17, 0.15, 0.1, 0.08, 0.05]))
    assert found is not None
    want = stats.linregress(range(1, 7), [0.2, 0.17, 0.15, 0.1, 0.08, 0.05])
    assert (found.slope, found.u_slope) == pytest.approx((want.slope, want.stderr))


def test_tries_are_held_against_every_typical_stage() -> None:
    found = held_against(tries(ERRORS))
    assert [one.tolerance.key for one in found] == [one.key for one in tolerances()]
    widths = [one.tolerance.tolerance for one in found]
    assert widths == sorted(widths)
    usual = next(one for one in found if one.tolerance.key == "usual")
    assert usual.inside == 7
    want = stats.binomtest(7, 7).proportion_ci(0.95, method="exact")
    assert usual.share_range == pytest.approx((want.low, want.high))
    assert all(one.tolerance.source for one in found)


def test_scatter_range_is_that_of_chi_square() -> None:
    for n in (2, 5, 30):
        chi = stats.chi2(n - 1).interval(0.95)
        want = [math.sqrt((n - 1) / chi[1]), math.sqrt((n - 1) / chi[0])]
        assert scatter_range(1.0, n) == pytest.approx(want, rel=1e-9)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"aimed": 0.0}, "aimed at is 0 N·m"),
        ({"reached": math.nan}, "reached is nan"),
        ({"reached": 1e6}, "up to 2000"),
        ({"length": -1.0}, "length of the wrench"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, float], says: str) -> None:
    with pytest.raises(OutOfRange, match=says):
        Try(**({"aimed": 25.0, "reached": 24.0, "day": DAY} | change))  # type: ignore[arg-type]  # mixed on purpose


def test_an_unknown_posture_names_those_there_are() -> None:
    with pytest.raises(Missing, match="one of towards, down"):
        Try(25.0, 24.0, DAY, posture="hanging")
