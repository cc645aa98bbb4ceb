"""Probabilities and quantiles against SciPy, and there and back again."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright import distributions as d
from clampwright.errors import OutOfRange

SHARES = (1e-9, 1e-4, 0.025, 0.3, 0.5, 0.5000001, 0.8, 0.975, 0.9999)
DOFS = (0.7, 1, 2, 3, 4.5, 9, 16.76, 30, 120, 5000)


@pytest.mark.parametrize("p", SHARES)
def test_normal(p: float) -> None:
    assert d.normal_quantile(p) == pytest.approx(stats.norm.ppf(p), rel=1e-12, abs=1e-12)
    z = float(stats.norm.ppf(p))
    assert d.normal_probability(z) == pytest.approx(p, rel=1e-12)


@pytest.mark.parametrize("dof", DOFS)
@pytest.mark.parametrize("p", SHARES)
def test_student(p: float, dof: float) -> None:
    t = float(stats.t.ppf(p, dof))
    assert d.t_quantile(p, dof) == pytest.approx(t, rel=1e-10, abs=1e-13)
    # SciPy itself is off by 6e-11 near the middle at one degree of freedom (see the next test).
    assert d.t_probability(t, dof) == pytest.approx(float(stats.t.cdf(t, dof)), rel=2e-10)


@pytest.mark.parametrize("t", [-300.0, -2.0, -1e-7, 0.0, 3e-7, 0.9, 40.0])
def test_student_with_one_degree_of_freedom_is_an_arc_tangent(t: float) -> None:
    assert d.t_probability(t, 1) == pytest.approx(0.5 + math.atan(t) / math.pi, rel=1e-14)


@pytest.mark.parametrize("dof", DOFS)
@pytest.mark.parametrize("p", SHARES)
def test_chi_square(p: float, dof: float) -> None:
    x = float(stats.chi2.ppf(p, dof))
    assert d.chi_square_quantile(p, dof) == pytest.approx(x, rel=1e-9)
    assert d.chi_square_probability(x, dof) == pytest.approx(
        float(stats.chi2.cdf(x, dof)), rel=1e-10
    )


@pytest.mark.parametrize(("a", "b"), [(0.5, 0.5), (1, 1), (46, 5), (47, 4), (0.5, 40), (300, 200)])
@pytest.mark.parametrize("p", SHARES)
def test_beta(p: float, a: float, b: float) -> None:
    x = float(stats.beta.ppf(p, a, b))
    assert d.beta_quantile(p, a, b) == pytest.approx(x, rel=1e-9)
    assert d.beta_probability(x, a, b) == pytest.approx(float(stats.beta.cdf(x, a, b)), rel=1e-10)


@pytest.mark.parametrize("f", [0.0, 0.1, 0.434, 1.0, 3.35, 79.41, 492.29])
@pytest.mark.parametrize("dofs", [(1, 1), (2, 18), (9, 18), (18, 60), (4.5, 7.2)])
def test_f(f: float, dofs: tuple[float, float]) -> None:
    assert d.f_probability(f, *dofs) == pytest.approx(float(stats.f.cdf(f, *dofs)), rel=1e-10)


def test_many_degrees_of_freedom_are_the_normal_distribution() -> None:
    assert d.t_quantile(0.975, math.inf) == d.normal_quantile(0.975)
    assert d.t_probability(1.3, math.inf) == d.normal_probability(1.3)


@given(p=st.floats(1e-6, 1 - 1e-6), dof=st.floats(1, 500))
def test_there_and_back(p: float, dof: float) -> None:
    assert d.t_probability(d.t_quantile(p, dof), dof) == pytest.approx(p, rel=1e-9)
    x = d.chi_square_quantile(p, dof)
    assert d.chi_square_probability(x, dof) == pytest.approx(p, rel=1e-9)


@given(dof=st.floats(1, 200), low=st.floats(-20, 20), step=st.floats(0.01, 5))
def test_a_probability_rises(dof: float, low: float, step: float) -> None:
    assert d.t_probability(low, dof) < d.t_probability(low + step, dof) + 1e-15


@pytest.mark.parametrize(
    "call",
    [
        lambda: d.normal_quantile(0.0),
        lambda: d.t_quantile(1.0, 3),
        lambda: d.t_quantile(math.nan, 3),
        lambda: d.t_quantile(0.5, 0),
        lambda: d.t_probability(1.0, math.nan),
        lambda: d.chi_square_quantile(0.5, -1),
        lambda: d.beta_quantile(0.5, 0, 1),
        lambda: d.beta_probability(0.5, 1, -2),
        lambda: d.f_probability(1, 0, 2),
    ],
)
def test_an_argument_outside_its_range_is_refused(call: Callable[[], float]) -> None:
    with pytest.raises(OutOfRange):
        call()


def test_the_ends_of_the_range_have_their_probabilities() -> None:
    assert d.beta_probability(-1, 2, 3) == 0.0
    assert d.beta_probability(2, 2, 3) == 1.0
    assert d.chi_square_probability(-1, 3) == 0.0
