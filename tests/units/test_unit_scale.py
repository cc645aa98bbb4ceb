"""Conversion of values and arrays, and values as text."""

import math
from decimal import Decimal
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import Ambiguous
from clampwright.units import (
    Unit,
    Unreadable,
    convert,
    factor,
    format_quantity,
    parse_quantity,
    units,
)

UNITS = st.sampled_from(sorted(units().values(), key=lambda unit: unit.name))
TORQUES = st.sampled_from([u for u in units().values() if u.kind == "torque"])
SIZES = st.floats(-1e6, 1e6, allow_nan=False)


@given(TORQUES, TORQUES)
def test_a_factor_is_the_exact_ratio_rounded_once(one: Unit, other: Unit) -> None:
    exact = one.factor / other.factor
    assert factor(one, other) == float(exact)
    assert abs(Fraction(factor(one, other)) / exact - 1) <= Fraction(1, 2**53)


@given(TORQUES, TORQUES, TORQUES)
def test_factors_chain(one: Unit, two: Unit, three: Unit) -> None:
    assert factor(one, two) * factor(two, three) == pytest.approx(factor(one, three), rel=1e-15)


@given(SIZES, TORQUES, TORQUES)
def test_there_and_back_again(value: float, one: Unit, other: Unit) -> None:
    assert convert(convert(value, one, other), other, one) == pytest.approx(value, rel=1e-15)


@given(st.floats(-273.15, 1e4), st.sampled_from(["°C", "°F"]), st.sampled_from(["°C", "°F"]))
def test_temperatures_there_and_back(value: float, one: str, other: str) -> None:
    back = convert(convert(value, one, other), other, one)
    assert back == pytest.approx(value, rel=1e-14, abs=1e-12)


def test_fixed_points_of_temperature() -> None:
    assert convert(0.0, "°C", "°F") == 32
    assert convert(-40.0, "°F", "°C") == pytest.approx(-40, abs=1e-13)


def test_an_array_is_converted_value_by_value() -> None:
    values = np.array([0.0, 1.0, 30.5, -4.0])
    converted = convert(values, "ft·lbf", "N·m")
    assert converted.tolist() == [convert(float(v), "ft·lbf", "N·m") for v in values]


def test_units_of_different_kinds_do_not_mix() -> None:
    with pytest.raises(Unreadable, match="N·m is a torque and N is a force"):
        factor("N·m", "N")
    with pytest.raises(Ambiguous):
        factor("lbs", "N·m")


@pytest.mark.parametrize(
    ("value", "unit", "options", "text"),
    [
        (31, "N·m", {"digits": 1}, "31.0 N·m"),
        (31.25, "N·m", {"digits": 1}, "31.3 N·m"),
        (12.5, "N·m", {"digits": 0}, "13 N·m"),
        (41.37, "ft·lbf", {"resolution": 0.5}, "41.5 ft·lbf"),
        (41.0, "ft·lbf", {"resolution": 0.5}, "41.0 ft·lbf"),
        (41.37, "ft·lbf", {"resolution": 5.0}, "40 ft·lbf"),
        (141.0, "N·m", {"resolution": 50}, "150 N·m"),
        (0.3, "N·m", {"resolution": 0.1}, "0.3 N·m"),
        (33.01, "N·m", {"digits": 0, "towards": "up"}, "34 N·m"),
        (33.99, "N·m", {"resolution": 0.5, "towards": "down"}, "33.5 N·m"),
        (33.5, "N·m", {"resolution": 0.5, "towards": "up"}, "33.5 N·m"),
        (-0.01, "N·m", {"digits": 1}, "0.0 N·m"),
        (0, "N·m", {}, "0 N·m"),
        (30.0, "N·m", {}, "30 N·m"),
        (1234.56, "N·m", {}, "1235 N·m"),
        (0.00551234, "in", {}, "0.005512 in"),
        (Decimal("8.50"), "N·m", {"digits": 2}, "8.50 N·m"),
        (90, "deg", {}, "90°"),
        (1, "turn", {}, "1 turn"),
        (1.5, "turn", {}, "1.5 turns"),
        (2, "flat", {}, "2 flats"),
        (80, "degC", {}, "80 °C"),
        (30, "ft-lb", {}, "30 ft·lbf"),
    ],
)
def test_a_value_is_written_for_a_person(
    value: float, unit: str, options: dict[str, float], text: str
) -> None:
    assert format_quantity(value, unit, **options) == text  # type: ignore[arg-type]  # the table mixes option types


@given(SIZES, UNITS, st.integers(0, 6))
def test_what_is_written_reads_back_within_half_the_last_digit(
    value: float, unit: Unit, digits: int
) -> None:
    text = format_quantity(value, unit, digits=digits)
    read = parse_quantity(text, unit.kind, decimal=".").to(unit)
    assert abs(read - value) <= 0.5 * 10.0**-digits + 1e-9 * abs(value)


@given(SIZES, st.sampled_from([0.1, 0.25, 0.5, 1.0, 2.0, 2.5, 5.0, 10.0]))
def test_rounding_a_limit_never_widens_it(value: float, resolution: float) -> None:
    up = format_quantity(value, "N·m", resolution=resolution, towards="up")
    down = format_quantity(value, "N·m", resolution=resolution, towards="down")
    high, low = (parse_quantity(text, decimal=".").value for text in (up, down))
    assert low <= value <= high
    assert high - low <= resolution * (1 + 1e-9)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_value_that_is_not_finite_is_not_written(value: float) -> None:
    with pytest.raises(Unreadable, match="finite"):
        format_quantity(value, "N·m")


def test_contradicting_options_are_a_slip_of_the_code() -> None:
    with pytest.raises(ValueError, match="not both"):
        format_quantity(1, "N·m", digits=1, resolution=0.5)
    with pytest.raises(ValueError, match="above 0"):
        format_quantity(1, "N·m", resolution=0)
