"""What a certificate says between its points, and how long it holds."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer import Calibration, Point
from clampwright.drawer.calibration import HOLD_PERCENT, months_after
from clampwright.drawer.many import deviations_at
from clampwright.errors import OutOfRange

DATE = dt.date(2025, 3, 1)
POINTS = (Point(20, -1.0, 0.006), Point(60, -3.0, 0.004), Point(100, 0.5, 0.005))
CERTIFICATE = Calibration(DATE, POINTS)


@pytest.mark.parametrize(
    ("torque", "deviation"), [(20, -1.0), (40, -2.0), (60, -3.0), (80, -1.25), (100, 0.5)]
)
def test_straight_lines_between_the_points(torque: float, deviation: float) -> None:
    known = CERTIFICATE.at(torque, "cw")
    assert known is not None
    assert known.deviation == pytest.approx(deviation)


def test_the_larger_uncertainty_of_the_points_beside_counts() -> None:
    known = CERTIFICATE.at(40, "cw")
    assert known is not None
    assert known.u_rel == 0.006


@pytest.mark.parametrize("torque", [10.0, 19.0, 103.0, 150.0])
def test_nothing_is_carried_on_beyond_the_points(torque: float) -> None:
    assert CERTIFICATE.at(torque, "cw") is None
    assert CERTIFICATE.setting_for(torque, "cw") is None


def test_an_end_point_speaks_for_its_near_neighbourhood_only() -> None:
    inside = 20 * (1 - HOLD_PERCENT / 100) + 1e-6
    known = CERTIFICATE.at(inside, "cw")
    assert known is not None
    assert known.deviation == -1.0
    assert CERTIFICATE.at(inside - 1e-4, "cw") is None


def test_the_other_direction_is_not_known() -> None:
    assert CERTIFICATE.at(60, "ccw") is None


def test_a_date_alone_says_nothing_about_deviation() -> None:
    assert Calibration(DATE).at(60, "cw") is None
    assert Calibration(DATE).setting_for(60, "cw") is None


@pytest.mark.parametrize("point", [Point(20, 0.0, 0.005), Point(60.5, 3.0, 0.005)])
def test_points_that_do_not_rise_are_refused(point: Point) -> None:
    with pytest.raises(OutOfRange, match="do not rise"):
        Calibration(DATE, (*POINTS, point))


@given(deviations=st.lists(st.floats(-8, 8), min_size=1, max_size=6), part=st.floats(0, 1))
def test_setting_for_is_the_inverse_of_at(deviations: list[float], part: float) -> None:
    points = tuple(
        Point(20.0 * (i + 1), deviation, 0.005) for i, deviation in enumerate(deviations)
    )
    certificate = Calibration(DATE, points)
    torque = points[0].torque + part * (points[-1].torque - points[0].torque)
    known = certificate.at(torque, "cw")
    assert known is not None
    back = certificate.setting_for(torque / (1 + known.deviation / 100), "cw")
    assert back is not None
    assert back.torque == pytest.approx(torque, rel=1e-9)
    assert back.deviation == pytest.approx(known.deviation, abs=1e-6)


@given(torque=st.floats(20, 100))
def test_array_form_agrees(torque: float) -> None:
    known = CERTIFICATE.at(torque, "cw")
    assert known is not None
    many = deviations_at(
        np.array([[torque]]), [p.torque for p in POINTS], [p.deviation for p in POINTS]
    )
    assert many.shape == (1, 1)
    assert many[0, 0] == pytest.approx(known.deviation, abs=1e-9)


def test_array_form_knows_nothing_beyond_the_points() -> None:
    outside = deviations_at([5.0, 500.0], [20.0, 100.0], [1.0, 2.0])
    assert all(math.isnan(value) for value in outside)


@pytest.mark.parametrize("points", [[], [20.0, 20.0], [40.0, 20.0]])
def test_array_form_refuses_points_that_do_not_rise(points: list[float]) -> None:
    with pytest.raises(OutOfRange, match="must rise"):
        deviations_at([30.0], points, [0.0] * len(points))


@pytest.mark.parametrize(
    ("date", "months", "later"),
    [
        (dt.date(2025, 3, 1), 12, dt.date(2026, 3, 1)),
        (dt.date(2024, 2, 29), 12, dt.date(2025, 2, 28)),
        (dt.date(2025, 8, 31), 6, dt.date(2026, 2, 28)),
        (dt.date(2025, 12, 15), 1, dt.date(2026, 1, 15)),
    ],
)
def test_months_after(date: dt.date, months: int, later: dt.date) -> None:
    assert months_after(date, months) == later


def test_due_date_stated_or_counted() -> None:
    assert Calibration(DATE).due_on == dt.date(2026, 3, 1)
    assert Calibration(DATE, months=6).due_on == dt.date(2025, 9, 1)
    assert Calibration(DATE, due=dt.date(2025, 5, 5)).due_on == dt.date(2025, 5, 5)
