"""Calibration intervals and fitted drift, against SciPy and in their corner cases."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.drawer.metrology.intervals import (
    binomial_interval,
    interval_for_reliability,
    staircase,
)
from clampwright.drawer.metrology.straight_line import (
    bound_to_limit,
    time_to_limit,
)
from clampwright.errors import ClampwrightError
from clampwright.joint.line_fit import Line, fit_line

MONTHS = [0, 12, 24, 36, 48]
ERRORS = [-0.3, -0.9, -1.2, -1.9, -2.2]


def drift() -> Line:
    return fit_line(MONTHS, ERRORS)


@pytest.mark.parametrize(("good", "total"), [(0, 1), (1, 1), (0, 9), (46, 50), (50, 50), (3, 7)])
def test_binomial_interval_agrees_with_scipy(good: int, total: int) -> None:
    known = stats.binomtest(good, total).proportion_ci(0.95)
    assert binomial_interval(good, total) == pytest.approx((known.low, known.high), abs=1e-10)


def test_the_interval_gives_the_wanted_reliability_back() -> None:
    found = interval_for_reliability(12, good=46, total=50, target=0.9)
    assert math.exp(math.log(46 / 50) * found.length / 12) == pytest.approx(0.9)
    assert found.low < found.length < found.high


def test_all_good_does_not_mean_forever() -> None:
    found = interval_for_reliability(12, good=20, total=20)
    assert math.isfinite(found.length)
    assert found.note is not None
    assert math.isinf(found.high)


def test_staircase_steps() -> None:
    assert staircase(12, worst_share=0.8).length == 15
    assert staircase(12, worst_share=0.9).length == 12
    assert staircase(12, worst_share=1.01).length == pytest.approx(7.2)
    assert staircase(12, worst_share=0.1, longest=13).length == 13
    assert staircase(1.2, worst_share=2).length == 1


def test_line_agrees_with_scipy() -> None:
    known = stats.linregress(MONTHS, ERRORS)
    found = drift()
    assert (found.slope, found.intercept) == pytest.approx((known.slope, known.intercept))
    assert (found.u_slope, found.u_intercept) == pytest.approx(
        (known.stderr, known.intercept_stderr)
    )
    assert found.p == pytest.approx(known.pvalue, rel=1e-9)


def test_moving_the_reference_changes_the_intercept_only() -> None:
    one, two = drift(), fit_line(MONTHS, ERRORS, x0=24)
    assert two.intercept == pytest.approx(one.at(24))
    assert two.u_intercept == pytest.approx(one.u_at(24))
    assert two.correlation == pytest.approx(0.0, abs=1e-12)
    assert two.at(60) == pytest.approx(one.at(60))


def test_uncertainty_at_a_place_follows_from_that_of_intercept_and_slope() -> None:
    """Second way: law of propagation with the correlation of the two (JCGM 100, H.3)."""
    line = drift()
    square = (
        line.u_intercept**2
        + (60 * line.u_slope) ** 2
        + 2 * 60 * line.correlation * line.u_intercept * line.u_slope
    )
    assert line.u_at(60) == pytest.approx(math.sqrt(square))


def test_the_bound_reaches_the_limit_where_it_says() -> None:
    line = drift()
    at = bound_to_limit(line, -4)
    assert line.bound(at, side="low") == pytest.approx(-4, abs=1e-9)
    assert at < time_to_limit(line, -4)
    assert line.at(time_to_limit(line, -4)) == pytest.approx(-4)


def test_a_rising_drift_is_bounded_above() -> None:
    up = fit_line(MONTHS, [-x for x in ERRORS])
    assert bound_to_limit(up, 4) == pytest.approx(bound_to_limit(drift(), -4))


@given(slope=st.floats(-3, 3), at=st.floats(-5, 5), x0=st.floats(-50, 50))
def test_exact_points_give_their_line_back(slope: float, at: float, x0: float) -> None:
    x = np.array([0.0, 1.0, 2.5, 7.0])
    line = fit_line(x, at + slope * x, x0=x0)
    assert line.slope == pytest.approx(slope, abs=1e-9)
    assert line.intercept == pytest.approx(at + slope * x0, abs=1e-7)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: binomial_interval(5, 4), "not possible"),
        (lambda: binomial_interval(0, 0), "not possible"),
        (lambda: binomial_interval(1.5, 4), "whole"),  # type: ignore[arg-type]  # the mistake under test
        (lambda: interval_for_reliability(12, good=0, total=5), "none of 5"),
        (lambda: interval_for_reliability(0, good=4, total=5), "interval"),
        (lambda: interval_for_reliability(12, good=4, total=5, target=1), "target"),
        (lambda: staircase(12, worst_share=-0.1), "worst_share"),
        (lambda: fit_line([1, 2], [1, 2]), "at least 3"),
        (lambda: fit_line([1, 1, 1], [1, 2, 3]), "all points stand at the same x"),
        (lambda: fit_line([1, 2, 3], [1, 2, 3, 4]), "shapes do not fit"),
        (lambda: time_to_limit(fit_line([1, 2, 3], [1, 1, 1]), 4), "without slope"),
        (lambda: bound_to_limit(drift(), -1), "due now"),
        (lambda: drift().bound(3, side="low", confidence=2), "confidence"),
    ],
)
def test_bad_input_is_refused_in_words(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
