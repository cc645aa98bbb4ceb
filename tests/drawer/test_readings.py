"""From a reading back to the torque, and the scale it may have been read on."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import (
    Adapter,
    Calibration,
    Point,
    Scale,
    load_drawer,
    other_scale_readings,
    torque_from_reading,
)
from clampwright.errors import OutOfRange, Refused

DRAWER = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
CLICK, BEAM = DRAWER.tool("click"), DRAWER.tool("beam")
BOTH = replace(
    CLICK,
    scales=(Scale("ft·lbf", 20, 150, 10, 1), Scale("N·m", 30, 200, 10, 2)),
    calibration=Calibration(dt.date(2025, 1, 1), (Point(30, -2.0, 0.005), Point(200, -2.0, 0.005))),
)
ADAPTER = Adapter("open", "Open-end adapter", "3/8 in", 40.0)


def test_reading_is_corrected_and_known_to_a_degree() -> None:
    received = torque_from_reading(BOTH, "ft·lbf", 50.0, ADAPTER)
    assert received.torque == pytest.approx(50 * 1.3558179483314004 / 0.98 * 360 / 320)
    assert received.u / received.torque == pytest.approx(received.u_rel)
    assert 0.005 < received.u_rel < 0.02
    assert received.trust.basis == "certificate"


def test_scale_as_object_or_unit() -> None:
    assert torque_from_reading(BOTH, BOTH.scales[0], 50.0) == torque_from_reading(
        BOTH, "ft·lbf", 50.0
    )


def test_direction_of_the_pull_counts() -> None:
    received = torque_from_reading(BOTH, "N·m", 100.0, direction="ccw")
    assert (received.torque, received.trust.basis) == (100.0, "other direction")


@pytest.mark.parametrize("reading", [9.9, 60.1, 0.0, -5.0, float("nan")])
def test_reading_that_cannot_stand_on_the_scale(reading: float) -> None:
    with pytest.raises(OutOfRange, match="cannot be read on Click wrench: its scale goes from 10"):
        torque_from_reading(CLICK, "N·m", reading)


def test_reading_where_nothing_is_claimed() -> None:
    with pytest.raises(OutOfRange, match="below 40, a fifth of the scale of Beam wrench") as caught:
        torque_from_reading(BEAM, "N·m", 20.0)
    assert (caught.value.low, caught.value.high) == (40.0, 200)
    with pytest.raises(OutOfRange):
        torque_from_reading(BEAM, "N·m", 0.0)


def test_scale_the_tool_does_not_have() -> None:
    with pytest.raises(Refused, match="has no scale in kgf·m; it has N·m"):
        torque_from_reading(CLICK, "kgf·m", 3.0)


def test_value_that_fits_the_other_scale_too() -> None:
    others = other_scale_readings(BOTH, 45.0, "N·m")
    assert [other.scale.unit for other in others] == ["ft·lbf"]
    assert others[0].torque == pytest.approx(45 * 1.3558179483314004 / 0.98)
    turned = other_scale_readings(BOTH, 45.0, BOTH.scales[1], ADAPTER)
    assert turned[0].torque == pytest.approx(others[0].torque * 360 / 320)


@pytest.mark.parametrize(("value", "units"), [(25.0, []), (180.0, ["N·m"]), (10.0, [])])
def test_value_that_only_fits_where_the_scale_reaches(value: float, units: list[str]) -> None:
    assert [other.scale.unit for other in other_scale_readings(BOTH, value, "ft·lbf")] == units


def test_without_a_stated_scale_all_that_fit_are_named() -> None:
    assert len(other_scale_readings(BOTH, 45.0)) == 2
    assert other_scale_readings(CLICK, 45.0, "N·m") == ()
