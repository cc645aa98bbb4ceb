"""A calibration performed in the workshop: the order, the reference, what the readings come to."""

from __future__ import annotations

import datetime as dt
import math
from typing import Any

import pytest

from clampwright.drawer import Scale, Tool
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.evaluated import Reference, evaluate, record_from
from clampwright.drawer.guided import further_series, points_of, sequence_of, steps_for
from clampwright.drawer.hung_weight import HungWeight, hung_weight_torque, local_gravity
from clampwright.drawer.metrology.budget_check import budget_check
from clampwright.drawer.metrology.readings import tool_budget
from clampwright.errors import ClampwrightError, Missing, OutOfRange, Refused

CLICK = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),))
BEAM = Tool("b", "Beam", "beam", "1/2 in", (Scale("N·m", 0, 200, 20, 5),), directions=("cw", "ccw"))
DEVICE = Reference("device", 0.5)
T1 = (20.15, 20.28, 20.05, 20.20, 20.12)
"""Worked example T1 of the metrology notes (invented there, computed)."""
T1_SERIES = {
    "reproducibility": (20.12, 20.30, 20.21, 20.05),
    "drive": (20.10, 20.16, 20.22, 20.14),
    "interface": (20.11, 20.19, 20.15, 20.13),
    "grip": (20.24, 20.02),
}
T2 = {60.0: (61.1, 61.4, 60.9, 61.3, 61.2), 100.0: (103.6, 103.9, 104.3, 103.8, 104.0)}


def test_a_click_wrench_is_loaded_five_times_and_read_five_times_at_three_points() -> None:
    steps = steps_for(CLICK)
    assert [step.kind for step in steps] == ["preload"] * 5 + ["read"] * 15
    assert {step.target for step in steps if step.kind == "preload"} == {100.0}
    assert points_of(CLICK) == (20.0, 60.0, 100.0)
    assert [(s.point, s.reading) for s in steps if s.kind == "read"][:6] == [
        (1, 1), (1, 2), (1, 3), (1, 4), (1, 5), (2, 1),
    ]  # fmt: skip
    assert "from memory" in sequence_of(CLICK).source


def test_an_indicating_wrench_is_loaded_once_and_set_to_zero_in_each_direction() -> None:
    steps = steps_for(BEAM)
    kinds = [(step.direction, step.kind) for step in steps if step.kind != "read"]
    assert kinds == [("cw", "preload"), ("cw", "zero"), ("ccw", "preload"), ("ccw", "zero")]
    assert points_of(BEAM) == (40.0, 120.0, 200.0), "a fifth of it, where the scale begins at zero"


def test_what_shows_no_torque_is_not_calibrated() -> None:
    with pytest.raises(Refused, match="nothing to calibrate"):
        steps_for(Tool("x", "Bar", "bar", "1/2 in"))
    assert {one.name for one in further_series()} == set(T1_SERIES)


def test_the_worked_budget_comes_out() -> None:
    """T1: W 1.878081 %, W' 2.670278 %."""
    done = evaluate(CLICK, {("cw", 20.0): T1}, DEVICE, series=T1_SERIES)
    budget = done.points[0].budget
    assert math.isclose(budget.W, 1.878081, abs_tol=5e-7)
    assert math.isclose(budget.W_prime, 2.670278, abs_tol=5e-7)
    assert not any("not looked at" in str(remark) for remark in done.remarks)
    assert "not looked at" in str(evaluate(CLICK, {("cw", 20.0): T1}, DEVICE).remarks[0])


def test_every_reading_counts_and_not_the_mean() -> None:
    """T2: the mean of −3.77 % passes ±4 %, the reading of −4.12 % does not."""
    done = evaluate(CLICK, {("cw", at): row for at, row in T2.items()}, DEVICE, rule="simple")
    by_point = {point.shown: point for point in done.points}
    assert math.isclose(by_point[60.0].result.mean_deviation, -1.92796, abs_tol=5e-6)
    assert math.isclose(by_point[100.0].result.mean_deviation, -3.77166, abs_tol=5e-6)
    assert by_point[60.0].verdict == "pass"
    assert by_point[100.0].result.failing == (3,)
    assert by_point[100.0].verdict == done.verdict == "fail"


@pytest.mark.parametrize(
    ("rule", "verdict", "said"),
    [
        ("simple", "fail", "simple acceptance"),
        ("guarded", "conditional fail", "guard band of 2 u"),
        ("probability", "conditional fail", "at least 95 %"),
    ],
)
def test_the_decision_names_its_rule(rule: Any, verdict: str, said: str) -> None:
    done = evaluate(CLICK, {("cw", 100.0): T2[100.0]}, DEVICE, rule=rule)
    assert done.verdict == verdict
    assert said in str(done.rule)


def test_a_reference_too_coarse_is_told_and_leaves_no_decision_where_it_cannot() -> None:
    coarse = evaluate(CLICK, {("cw", 100.0): T2[100.0]}, Reference("spring", 3.0))
    assert any("at most a quarter" in str(remark) for remark in coarse.remarks)
    hopeless = evaluate(CLICK, {("cw", 100.0): T2[100.0]}, Reference("guess", 9.0))
    assert hopeless.verdict == "not decided"
    assert "a better measurement is needed" in str(hopeless.points[0].problem)


def test_the_record_keeps_found_apart_from_left_with_all_it_rests_on() -> None:
    found = evaluate(CLICK, {("cw", at): row for at, row in T2.items()}, DEVICE)
    left = evaluate(CLICK, {("cw", 100.0): [100.1, 100.2, 99.9]}, DEVICE)
    record = record_from(found, left, date=dt.date(2026, 3, 1), months=12, by="A. Fitter")
    again = CalibrationRecord.from_body(record.as_body())
    assert again.details["found"]["points"][1]["readings"] == [f"{one:g}" for one in T2[100.0]]
    assert again.rule == "guard band of 2 u"
    assert [point.shown for point in again.found] == [60.0, 100.0]
    known = again.calibration().at(100.0, "cw")
    assert known is not None
    assert abs(known.deviation) < 0.1
    assert again.includes_resolution
    with pytest.raises(Missing):
        record_from(None, None, date=dt.date(2026, 3, 1), months=12)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"readings": {}}, "there are no readings"),
        ({"resolution": -0.5}, "the resolution is -0.5; it must be above 0"),
        ({"resolution": 0.0}, "the resolution is 0"),
        ({"readings": {("cw", 120.0): [1.0, 2.0]}}, "point 120 N·m lies outside the scale"),
        ({"readings": {("ccw", 60.0): [60.0, 61.0]}}, "ccw is no direction of this wrench"),
        ({"readings": {("cw", 60.0): [60.0, -1.0]}}, "readings"),
        ({"readings": {("cw", 60.0): [60.0]}}, "at least 2 are needed"),
        ({"series": {"colour": [1.0, 2.0]}}, "no series of a calibration"),
        ({"series": {"grip": [1.0]}}, "at least two means"),
    ],
)
def test_readings_that_cannot_be_are_refused(given: dict[str, Any], said: str) -> None:
    readings = given.pop("readings", {("cw", 60.0): T2[60.0]})
    with pytest.raises(ClampwrightError, match=said):
        evaluate(CLICK, readings, DEVICE, **given)


@pytest.mark.parametrize(
    ("uncertainty", "k", "said"),
    [(0.0, 2.0, "copy it from its certificate"), (-1.0, 2.0, "copy it"), (1.0, 0.0, "k is 0"),
     (1.0, 7.0, "k is 7")],
)  # fmt: skip
def test_a_reference_without_uncertainty_or_k_is_refused(
    uncertainty: float, k: float, said: str
) -> None:
    with pytest.raises(OutOfRange, match=said):
        Reference("device", uncertainty, k)


def test_gravity_is_that_of_the_published_ellipsoid() -> None:
    """GRS 80, Moritz 2000 (from memory): 9.780 326 7715, 9.806 199 203, 9.832 186 3685 m/s²."""
    assert math.isclose(local_gravity(0.0), 9.7803267715, abs_tol=5e-11)
    assert math.isclose(local_gravity(45.0), 9.806199203, abs_tol=1e-9)
    assert math.isclose(local_gravity(90.0), 9.8321863685, abs_tol=5e-11)
    assert local_gravity(-45.0) == local_gravity(45.0)
    # The free-air change is 0.3086 mGal/m (textbooks of geodesy, from memory).
    assert math.isclose(local_gravity(45.0) - local_gravity(45.0, 1e6), 3.086e-3, rel_tol=2e-3)
    for place in ((91.0, 0.0), (45.0, 2e7), (math.nan, 0.0)):
        with pytest.raises(OutOfRange):
            local_gravity(*place)


def test_a_hung_weight_pulls_as_statics_says() -> None:
    torque = hung_weight_torque(10.0, 400.0, 9.80665)
    assert math.isclose(torque, 10 * 9.80665 * 0.4 * (1 - 1.2 / 7850), rel_tol=1e-12)
    assert math.isclose(
        hung_weight_torque(10.0, 400.0, 9.80665, 60.0 - 15.0), torque * math.cos(math.pi / 4)
    )
    weight = HungWeight(400.0, 9.81, carrier=0.5)
    assert math.isclose(weight.torque(weight.mass_for(60.0)), 60.0, rel_tol=1e-12)
    assert weight.mass_for(0.1) == 0.0
    assert HungWeight(400.0, 9.81, u_lever=4.0).uncertainty_percent > 2.0
    for mass, lever, gravity in ((0.0, 400.0, 9.81), (1.0, -1.0, 9.81), (1.0, 400.0, 1.6)):
        with pytest.raises(OutOfRange):
            hung_weight_torque(mass, lever, gravity)


def test_drawing_and_propagating_agree_or_the_difference_is_explained() -> None:
    """JCGM 101 clause 8; T1 of the notes: ±1.783 % drawn (4 million) with a normal scatter,
    ±1.822 % with a scaled t, where propagation gives ±1.84 % (1.96 w)."""
    budget = tool_budget(
        set_value=20, readings=T1, resolution=0.5, device_W=0.5,
        sequence_means=T1_SERIES["reproducibility"], drive_means=T1_SERIES["drive"],
        interface_means=T1_SERIES["interface"], grip_means=T1_SERIES["grip"],
    )  # fmt: skip
    check = budget_check(budget)
    assert math.isclose(check.half_width, 1.822, abs_tol=0.01)
    assert check.agrees
    edges = budget_check(tool_budget(set_value=20, readings=T1, resolution=2.0, device_W=0.1))
    assert not edges.agrees
    assert "resolution dominates" in str(edges.why)
    few = budget_check(
        tool_budget(set_value=20, readings=[19.0, 21.0], resolution=0.01, device_W=0.1)
    )
    assert "take more of them" in str(few.why)
    assert budget_check(budget) == check, "the same draws every time"
