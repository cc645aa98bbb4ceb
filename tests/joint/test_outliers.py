"""Outliers: promised false alarms, properties, fallbacks, bad input."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.errors import ClampwrightError
from clampwright.joint.outlier_limits import (
    USUAL,
    grubbs_limit,
    modified_z_limit,
    simulated_limit,
)
from clampwright.joint.outliers import (
    grubbs,
    modified_z,
    quartiles,
    tukey_fences,
    without_trend,
)
from clampwright.joint.unusual import unusual

sets = st.lists(st.floats(1, 1000), min_size=4, max_size=24)


@pytest.mark.parametrize("count", [4, 6, 8, 12, 20])
@pytest.mark.parametrize("sides", [1, 2])
def test_grubbs_against_scipys_t(count: int, sides: int) -> None:
    for alpha in (0.05, 0.01):
        t = stats.t.ppf(1 - alpha / (sides * count), count - 2)
        g = (count - 1) / math.sqrt(count) * math.sqrt(t**2 / (count - 2 + t**2))
        assert grubbs_limit(count, alpha=alpha, sides=sides) == pytest.approx(g)


@given(sets)
def test_grubbs_never_exceeds_its_bound(values: list[float]) -> None:
    if np.ptp(values) > 1e-6:
        found = grubbs(values)
        bound = (len(values) - 1) / math.sqrt(len(values))
        assert found.statistic <= bound * (1 + 1e-9)
        assert found.limit < bound


@pytest.mark.parametrize("count", [5, 8, 12])
def test_grubbs_alarms_as_often_as_promised(count: int) -> None:
    rng = np.random.default_rng(20 + count)
    alarms = sum(grubbs(rng.standard_normal(count)).outlier for _ in range(3000))
    assert alarms / 3000 == pytest.approx(0.05, abs=0.013)


@pytest.mark.parametrize("count", [4, 7, 12, 24])
def test_table_of_limits_comes_back(count: int) -> None:
    known = modified_z_limit(count)
    limit, alarms = simulated_limit(count, sets=100_000, seed=4)
    assert limit == pytest.approx(known.limit, rel=0.03)
    assert alarms == pytest.approx(known.false_alarms, abs=0.006)


def test_limits_are_above_the_usual_one() -> None:
    for count in range(4, 101):
        assert modified_z_limit(count).limit > USUAL


@given(sets, st.floats(0.1, 10), st.floats(-100, 100))
def test_z_knows_neither_unit_nor_zero(values: list[float], scale: float, shift: float) -> None:
    x = np.array(values)
    mad = np.median(np.abs(x - np.median(x)))
    if mad > 1e-3:
        assert modified_z(scale * x + shift) == pytest.approx(modified_z(x), rel=1e-6, abs=1e-6)
        sign = modified_z(-x)
        assert sign == pytest.approx(-modified_z(x), abs=1e-9)


def test_most_readings_equal() -> None:
    # MAD is zero: the mean absolute deviation takes its place, or the resolution.
    values = [90, 90, 90, 90, 90, 95]
    z = modified_z(values)
    assert z[-1] == pytest.approx(5 / (math.sqrt(math.pi / 2) * 5 / 6))
    by_step = modified_z(values, resolution=1.0)
    assert by_step[-1] == pytest.approx(0.6745 * 5)
    assert modified_z([7, 7, 7]).tolist() == [0, 0, 0]


def test_resolution_calms_rounded_readings() -> None:
    values = [90, 90, 91, 90, 91, 93]
    assert modified_z(values)[-1] > modified_z(values, resolution=1.0)[-1]


@given(sets)
def test_quartiles_by_both_rules(values: list[float]) -> None:
    low, high = quartiles(values)
    assert (low, high) == pytest.approx(tuple(np.percentile(values, (25, 75))))
    ordered = sorted(values)
    half = (len(values) + 1) // 2
    hinges = (np.median(ordered[:half]), np.median(ordered[-half:]))
    assert quartiles(values, rule="hinges") == pytest.approx(hinges)


def test_tukey_alarms_often_in_small_clean_sets() -> None:
    rng = np.random.default_rng(2)
    alarms = 0
    for _ in range(2000):
        x = rng.standard_normal(8)
        low, high = tukey_fences(x)
        alarms += bool(((x < low) | (x > high)).any())
    assert 0.18 < alarms / 2000 < 0.35


@given(st.floats(-5, 5), st.integers(0, 9))
def test_trend_is_taken_out_but_not_the_outlier(slope: float, place: int) -> None:
    values = 90 + slope * np.arange(10.0)
    values[place] += 40
    flat = without_trend(values)
    others = np.delete(flat, place)
    assert np.ptp(others) < 1e-6
    assert flat[place] - others[0] == pytest.approx(40)


def test_report_of_one_joint() -> None:
    report = unusual([90, 91, 92, 91, 90, 92, 115, 116], band=0.15)
    assert report.median == 91.5
    assert [(one.number, one.stands_out, one.outside_band) for one in report.found] == [
        (8, True, True),
        (7, True, True),
    ]
    assert report.found[0].z == pytest.approx(16.5, abs=0.05)


def test_tight_joint_with_a_small_difference() -> None:
    report = unusual([90.0, 90.1, 90.0, 90.2, 90.1, 91.5, 90.0, 90.1], band=0.15)
    (one,) = report.found
    assert (one.number, one.stands_out, one.outside_band) == (6, True, False)
    assert "though inside the band" in str(one.reason)


def test_loose_joint_outside_the_band() -> None:
    report = unusual([60, 80, 95, 110, 130, 100], band=0.15)
    assert all(one.outside_band and not one.stands_out for one in report.found)
    assert [one.number for one in report.found] == [1, 5, 2]
    assert "outside the band of ±15%" in str(report.found[0].reason)


def test_three_fasteners_have_the_band_only() -> None:
    report = unusual([90, 91, 120], band=0.2)
    assert report.limit is None
    (one,) = report.found
    assert (one.number, one.z, one.stands_out) == (3, None, False)


def test_clean_joints_are_reported_as_seldom_as_promised() -> None:
    rng = np.random.default_rng(17)
    reports = [unusual(100 + 5 * rng.standard_normal(8), band=1.0) for _ in range(2000)]
    share = np.mean([bool(report.found) for report in reports])
    assert share == pytest.approx(0.05, abs=0.015)


@given(sets, st.floats(0.05, 0.9))
def test_everything_outside_the_band_is_told(values: list[float], band: float) -> None:
    report = unusual(values, band=band)
    median = float(np.median(values))
    outside = {k + 1 for k, x in enumerate(values) if abs(x / median - 1) > band}
    assert {one.number for one in report.found if one.outside_band} == outside


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: grubbs([1, 2]), "values has 2 numbers; at least 3"),
        (lambda: grubbs([5, 5, 5]), "all values are the same"),
        (lambda: grubbs([1, 2, math.nan]), "values is nan"),
        (
            lambda: grubbs([1, 2, 3], side="up"),  # type: ignore[arg-type] # a mistake made on purpose
            "side is 'up'; it must be one of: both, high, low",
        ),
        (lambda: grubbs_limit(2), "count is 2"),
        (lambda: grubbs_limit(5, alpha=0.5), "alpha is 0.5"),
        (lambda: grubbs_limit(5, sides=3), "sides is 3"),
        (lambda: modified_z_limit(3), "there are 3 values; limits of the modified z are known"),
        (lambda: simulated_limit(3, sets=1000, seed=1), "count is 3"),
        (lambda: modified_z([1]), "values has 1 numbers"),
        (lambda: modified_z([1, 2], resolution=0), "resolution is 0"),
        (lambda: quartiles([1, 2], rule="median"), "rule is 'median'"),  # type: ignore[arg-type] # same
        (lambda: tukey_fences([1, 2, 3]), "at least 4"),
        (lambda: without_trend([1, 2, 3]), "at least 4"),
        (lambda: unusual([1, -2], band=0.1), "values is -2"),
        (lambda: unusual([1, 2], band=0), "band is 0"),
        (lambda: unusual(np.ones(101), band=0.1), "there are 101 values"),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()
