"""Tools compared: against SciPy, and what a comparison can and cannot say."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.drawer.metrology.comparison import (
    agreement,
    normalized_error,
    paired_difference,
    unpaired_difference,
)
from clampwright.errors import ClampwrightError

TOOL = [80.9, 81.4, 81.6, 81.1, 81.5]
REFERENCE = [80.2, 80.7, 80.6, 80.3, 80.5]


def test_pairs_agree_with_scipy() -> None:
    found = paired_difference(TOOL, REFERENCE, confidence=0.9)
    known = stats.ttest_rel(TOOL, REFERENCE)
    assert found.t == pytest.approx(known.statistic, rel=1e-10)
    assert found.p == pytest.approx(known.pvalue, rel=1e-9)
    interval = known.confidence_interval(0.9)
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-10)


def test_separate_readings_agree_with_scipy() -> None:
    found = unpaired_difference(TOOL, REFERENCE[:4], confidence=0.99)
    known = stats.ttest_ind(TOOL, REFERENCE[:4], equal_var=False)
    assert found.t == pytest.approx(known.statistic, rel=1e-10)
    assert found.dof == pytest.approx(known.df, rel=1e-10)
    assert found.p == pytest.approx(known.pvalue, rel=1e-9)
    interval = known.confidence_interval(0.99)
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-10)


def test_pairing_matters_where_the_joints_differ() -> None:
    assert paired_difference(TOOL, REFERENCE).u < unpaired_difference(TOOL, REFERENCE).u / 2


def test_significant_is_not_important() -> None:
    found = paired_difference(TOOL, REFERENCE)
    assert found.significant
    assert found.importance(1.2) == "negligible"
    assert found.importance(0.5) == "important"
    assert found.importance(0.9) == "not known"


def test_correlation_ignored_hides_a_problem() -> None:
    args = {"U": 1.10, "reference": 80.45, "U_reference": 0.62}
    without = float(normalized_error(81.7, **args))
    with_it = float(normalized_error(81.7, **args, correlation=0.5))
    assert without < 1 < with_it


@given(x=st.floats(-100, 100), ref=st.floats(-100, 100), r=st.floats(-0.9, 0.9))
def test_normalized_error_is_odd_and_knows_no_unit(x: float, ref: float, r: float) -> None:
    def found(factor: float, one: float, two: float) -> float:
        return float(normalized_error(
            factor * one, U=factor * 1.1, reference=factor * two, U_reference=factor * 0.6,
            correlation=r))  # fmt: skip

    assert found(1, x, ref) == pytest.approx(-found(1, ref, x) if x != ref else 0.0)
    assert found(8.85, x, ref) == pytest.approx(found(1, x, ref), rel=1e-9, abs=1e-12)


def test_agreement_of_two_rows() -> None:
    one, two = np.array(TOOL), np.array(REFERENCE)
    found = agreement(one, two, multiple=1.96)
    assert found.high - found.low == pytest.approx(2 * 1.96 * (one - two).std(ddof=1))
    assert found.correlation == pytest.approx(float(np.corrcoef(one, two)[0, 1]))


def test_high_correlation_is_not_agreement() -> None:
    """Second meter reads a tenth too much: correlation 1, and limits that exclude zero."""
    one = np.linspace(100, 120, 20)
    found = agreement(1.1 * one, one)
    assert found.correlation == pytest.approx(1.0)
    assert found.low > 0


def test_agreement_without_scatter_on_one_side_has_no_correlation() -> None:
    assert math.isnan(agreement([1, 2, 4], [3, 3, 3]).correlation)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: paired_difference(TOOL, REFERENCE[:4]), "pairs are needed"),
        (lambda: paired_difference([1.0], [2.0]), "at least 2"),
        (lambda: paired_difference([1, 2, 3], [0, 1, 2]), "resolution hides"),
        (lambda: paired_difference([1, math.nan], [0, 1]), "finite"),
        (lambda: paired_difference(TOOL, REFERENCE, confidence=1.0), "confidence"),
        (lambda: unpaired_difference([1, 1], [2, 2]), "scatter"),
        (lambda: agreement([1, 2], [1, 3]), "at least 3"),
        (lambda: normalized_error(1, U=0, reference=1, U_reference=1), "U is 0"),
        (lambda: normalized_error(1, U=1, reference=2, U_reference=1, correlation=1), "uncert"),
        (lambda: normalized_error(1, U=1, reference=2, U_reference=1, correlation=2), "correl"),
        (lambda: paired_difference(TOOL, REFERENCE).importance(0), "tolerance"),
    ],
)
def test_bad_input_is_refused_in_words(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
