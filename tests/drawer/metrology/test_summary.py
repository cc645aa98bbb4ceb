"""Summary statistics keep their digits."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.metrology.summary import summary
from clampwright.errors import OutOfRange


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=20), st.sampled_from([0.0, 1e7, -3e8]))
def test_against_exact_arithmetic(values: list[float], by: float) -> None:
    row = [x + by for x in values]
    exact = [Fraction(x) for x in row]
    mean = sum(exact) / len(exact)
    total = sum((x - mean) ** 2 for x in exact)
    found = summary(row)
    assert found.mean == pytest.approx(float(mean), rel=1e-15, abs=1e-300)
    scale = max(abs(x) for x in row)
    assert found.s == pytest.approx(math.sqrt(total / (len(row) - 1)), rel=1e-9, abs=1e-14 * scale)


def test_the_short_form_would_have_lost_the_scatter() -> None:
    row = [1e9 + x for x in (0.0, 0.1, 0.2)]
    short = math.sqrt(abs(math.fsum(x * x for x in row) - 3 * (math.fsum(row) / 3) ** 2) / 2)
    assert summary(row).s == pytest.approx(0.1, rel=1e-6)
    assert short != pytest.approx(0.1, rel=0.5)


def test_results_that_do_not_scatter() -> None:
    found = summary([5.0, 5.0, 5.0])
    assert found.s == 0.0
    assert found.u_mean == 0.0
    assert math.isnan(found.autocorrelation)


def test_one_result_is_no_row() -> None:
    with pytest.raises(OutOfRange, match="at least 2"):
        summary([5.0])
