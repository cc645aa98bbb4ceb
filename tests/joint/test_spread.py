"""Uncertain inputs of a relation: against random samples, the linear law, and exact cases."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.formula import relation
from clampwright.formula.calculation import Calculation, calculate
from clampwright.joint.spread import read_together, read_uncertainties, spread
from clampwright.joint.torque_tension import clamp_from_torque
from clampwright.units import Unreadable

LONG = {"torque": "45 N·m", "P": "1.5 mm", "d2": "9.0257 mm", "bearing_diameter": "12.815 mm",
        "mu_thread": "0.12", "mu_bearing": "0.12"}  # fmt: skip
U = {"torque": 1.35, "mu_thread": 0.018, "mu_bearing": 0.018}


def long_form(**change: str) -> Calculation:
    return calculate(relation("clamp_from_torque_long_form"), LONG | change)


@pytest.mark.parametrize("correlation", [0.0, 0.5, 1.0])
def test_the_band_is_that_of_a_million_random_samples(correlation: float) -> None:
    found = spread(long_form(), U, together={("mu_thread", "mu_bearing"): correlation})
    rng = np.random.default_rng(7)
    one, other, tool = rng.standard_normal((3, 2_000_000))
    sigma = math.sqrt(math.log1p(0.15**2))
    under = correlation * one + math.sqrt(1 - correlation**2) * other
    clamp = clamp_from_torque(
        45.0 * np.exp(math.sqrt(math.log1p(0.03**2)) * tool), P=1.5, d2=9.0257,
        bearing_diameter=12.815, mu_thread=0.12 * np.exp(sigma * one),
        mu_bearing=0.12 * np.exp(sigma * under),
    )  # fmt: skip
    low, high = np.quantile(clamp, (0.05, 0.95))
    assert found.p05 == pytest.approx(low, rel=1e-3)
    assert found.p95 == pytest.approx(high, rel=1e-3)
    assert found.mean == pytest.approx(clamp.mean(), rel=1e-3)


def test_one_uncertain_input_has_the_points_of_its_own_distribution() -> None:
    found = spread(long_form(), {"torque": 2.25})
    sigma = math.sqrt(math.log1p(0.05**2))
    for place, z in ((found.p05, -1.6448536), (found.p95, 1.6448536)):
        assert place == pytest.approx(found.nominal * math.exp(sigma * z), rel=2e-4)


@settings(max_examples=20)
@given(st.floats(0.001, 0.02), st.floats(-1.0, 1.0))
def test_small_uncertainties_give_the_linear_law(size: float, correlation: float) -> None:
    u = {"mu_thread": 0.12 * size, "mu_bearing": 0.12 * size}
    found = spread(long_form(), u, together={("mu_thread", "mu_bearing"): correlation})
    parts = {part.input.name: part.u for part in found.parts}
    a, b = parts["mu_thread"], parts["mu_bearing"]
    assert found.u == pytest.approx(
        math.sqrt(max(a * a + b * b + 2 * correlation * a * b, 0.0)), abs=1e-6 * found.nominal
    )
    if correlation > -0.9:
        assert found.p95 - found.p05 == pytest.approx(2 * 1.64485 * found.u, rel=5e-3)


def test_what_is_left_is_what_the_law_gives_with_half_the_uncertainty() -> None:
    whole = spread(long_form(), U)
    for part in whole.parts:
        name = part.input.name
        halved = spread(long_form(), U | {name: U[name] / 2})
        assert halved.u / whole.u == pytest.approx(part.left, rel=1e-4)
    shares = [part.share for part in whole.parts]
    assert shares == sorted(shares, reverse=True)
    assert sum(shares) == pytest.approx(1.0)
    assert "μ_b" in str(whole.narrowing()[0])


def test_a_relation_that_takes_no_arrays_is_asked_point_by_point() -> None:
    one = relation("gasket_unloading_bend")
    done = calculate(one, dict(one.example.given))
    found = spread(done, {"stress_reached": 0.4})
    assert found.p05 < found.nominal < found.p95


def test_the_same_twice() -> None:
    assert spread(long_form(), U) == spread(long_form(), U)


def test_sizes_as_a_person_writes_them() -> None:
    done = long_form()
    assert read_uncertainties(done, {"T": "3 %", "mu_th": "0.018", "P": "0.001 in"}) == {
        "torque": pytest.approx(1.35), "mu_thread": 0.018, "P": pytest.approx(0.0254),
    }  # fmt: skip
    assert read_together(done, ["mu_th, mu_b", "T;P=-0,5"]) == {
        ("mu_thread", "mu_bearing"): 1.0, ("torque", "P"): -0.5,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("call", "error", "match"),
    [
        (lambda: spread(long_form(), {}), Missing, "no input is uncertain"),
        (lambda: spread(long_form(), {"mu_thread": 0.1}), OutOfRange, "more than half"),
        (lambda: spread(long_form(), {"mu_thread": -0.1}), OutOfRange, "must not be negative"),
        (lambda: spread(long_form(), {"mu_thread": math.nan}), OutOfRange, "must not be negative"),
        (lambda: spread(long_form(), {"K": 0.1}), Unreadable, "there are torque, P"),
        (lambda: spread(long_form(), {"torque": 1.0}, together={("torque", "P"): 1.0}),
         ClampwrightError, "both must be uncertain"),
        (lambda: spread(long_form(), U, together={("mu_thread", "mu_bearing"): 1.5}),
         OutOfRange, "correlation is 1.5"),
        (lambda: read_together(long_form(), ["T"]), Unreadable, "two inputs"),
        (lambda: read_uncertainties(long_form(), {"T": "3 kg"}), ClampwrightError, "torque"),
    ],
)  # fmt: skip
def test_bad_uncertainty_is_refused(call: Any, error: type[Exception], match: str) -> None:
    with pytest.raises(error, match=match):
        call()
