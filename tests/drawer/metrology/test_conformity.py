"""Conformity: probabilities, guard bands, decisions, and how often they are wrong."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from clampwright.drawer.metrology.conformity import (
    action_threshold,
    conformance_probability,
    decide,
    global_risk,
    guard_band,
)
from clampwright.errors import ClampwrightError


@given(y=st.floats(-20, 20), u=st.floats(0.01, 5), low=st.floats(-10, 0), wide=st.floats(0.1, 20))
def test_probability_agrees_with_scipy(y: float, u: float, low: float, wide: float) -> None:
    known = stats.norm.cdf(low + wide, y, u) - stats.norm.cdf(low, y, u)
    found = conformance_probability(y, u=u, low=low, high=low + wide)
    assert found == pytest.approx(float(known), abs=1e-12)
    assert 0.0 <= found <= 1.0


def test_a_value_at_its_limit_is_as_likely_in_as_out() -> None:
    assert conformance_probability(4.0, u=0.5, high=4.0) == pytest.approx(0.5)


@given(u=st.floats(0.01, 2), confidence=st.floats(0.51, 0.999))
def test_at_the_guarded_limit_the_probability_is_the_one_asked_for(
    u: float, confidence: float
) -> None:
    at = 10.0 - guard_band(u, confidence=confidence)
    assert conformance_probability(at, u=u, high=10.0) == pytest.approx(confidence, abs=1e-9)


def test_at_the_threshold_the_limit_is_passed_with_the_confidence_asked_for() -> None:
    seen = action_threshold(100, u_rel=0.02, confidence=0.999)
    assert conformance_probability(seen, u=0.02 * seen, low=100) == pytest.approx(0.999)


@pytest.mark.parametrize(
    ("value", "rule", "verdict"),
    [
        (2.9, "guarded", "pass"),
        (3.5, "guarded", "conditional pass"),
        (4.5, "guarded", "conditional fail"),
        (5.1, "guarded", "fail"),
        (3.5, "simple", "pass"),
        (4.1, "simple", "fail"),
        (3.1, "probability", "pass"),
        (3.3, "probability", "conditional pass"),
    ],
)
def test_the_rule_decides_and_is_named(value: float, rule: str, verdict: str) -> None:
    for sign in (1, -1):
        found = decide(sign * value, u=0.5, low=-4, high=4, rule=rule)  # type: ignore[arg-type]  # a parameter of the test
        assert found.verdict == verdict
        assert str(found.rule)
        assert found.accepted == pytest.approx((-found.accepted[1], found.accepted[1]))


def test_one_limit_is_enough() -> None:
    assert decide(509.7, u=8.6, low=490, rule="probability").verdict == "pass"
    assert math.isinf(decide(509.7, u=8.6, low=490).accepted[1])


@pytest.mark.parametrize("acceptance", [None, 3.175, 3.0])
def test_global_risk_agrees_with_a_double_integral(acceptance: float | None) -> None:
    found = global_risk(scatter=1.8, u=0.5, limit=4.0, acceptance=acceptance)
    accept = 4.0 if acceptance is None else acceptance

    def taken(x: float) -> float:
        inside = stats.norm.cdf(accept, x, 0.5) - stats.norm.cdf(-accept, x, 0.5)
        return float(inside * stats.norm.pdf(x, 0, 1.8))

    def left(x: float) -> float:
        return float(stats.norm.pdf(x, 0, 1.8)) - taken(x)

    accepted, _ = integrate.quad(taken, 4.0, 12.0, epsabs=1e-13)
    rejected, _ = integrate.quad(left, 0.0, 4.0, epsabs=1e-13, limit=200)
    assert found.wrongly_accepted == pytest.approx(2 * accepted, abs=1e-10)
    assert found.wrongly_rejected == pytest.approx(2 * rejected, abs=1e-10)
    assert found.bad == pytest.approx(2 * stats.norm.sf(4.0, 0, 1.8), rel=1e-10)


def test_global_risk_agrees_with_random_tools() -> None:
    rng = np.random.default_rng(3)
    true = rng.normal(0, 1.8, 400_000)
    seen = true + rng.normal(0, 0.5, true.size)
    found = global_risk(scatter=1.8, u=0.5, limit=4.0, acceptance=3.0)
    rejected = np.mean((np.abs(true) <= 4) & (np.abs(seen) > 3))
    assert found.wrongly_rejected == pytest.approx(float(rejected), rel=0.03)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: conformance_probability(1, u=0, high=2), "u is 0"),
        (lambda: conformance_probability(1, u=1), "give low, high or both"),
        (lambda: conformance_probability(1, u=1, low=3, high=2), "nothing between"),
        (lambda: conformance_probability(1, u=1, low=math.nan), "low"),
        (lambda: guard_band(0.5, confidence=0.3), "confidence"),
        (lambda: action_threshold(100, u_rel=0.5, confidence=0.999), "1 − z u_rel"),
        (lambda: decide(1, u=1, high=2, rule="lenient"), "rule"),  # type: ignore[arg-type]  # the mistake under test
        (lambda: decide(1, u=3, low=-4, high=4), "better measurement"),
        (lambda: decide(1, u=0.1, low=-4, high=4, k=0), "k is 0"),
        (lambda: global_risk(scatter=0, u=1, limit=4), "scatter"),
        (lambda: global_risk(scatter=1, u=1, limit=4, acceptance=-1), "acceptance"),
    ],
)
def test_bad_input_is_refused_in_words(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
