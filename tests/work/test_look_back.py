"""A tool found off: every pull with it is judged against its own joint's limits."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from typing import Any

import pytest

from clampwright.drawer import Calibration, Point, Scale, Tool
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.metrology.look_back import Finding, look_back
from clampwright.drawer.window import Window, window_of
from clampwright.errors import ClampwrightError, Missing
from clampwright.work.letter import letter
from clampwright.work.look_back import PastPull, advice_for, review

START, END = dt.date(2025, 10, 1), dt.date(2026, 10, 1)
WRENCH = Tool(
    "c", "Click wrench", "click", "1/2 in", (Scale("N·m", 20, 200, 10, 1),),
    directions=("cw", "ccw"),
    calibration=Calibration(START, (Point(100, -0.6, 0.004),)),
)  # fmt: skip


def recorded(deviation: float, day: dt.date = END, entry: str = "finding") -> CalibrationRecord:
    points = (RecordedPoint(100.0, deviation, 0.8, 2.0),)
    return CalibrationRecord(day, "N·m", points, entry=entry)


def pull(day: int, *, level: int = 1, joint: str = "a", **given: Any) -> PastPull:
    when = dt.datetime.combine(START, dt.time(8), dt.UTC) + dt.timedelta(days=day)
    known: dict[str, Any] = {"shown": 100.0, "ratio": 1.0, "low": 95.0, "high": 104.0} | given
    return PastPull(
        f"{joint}-{day}", "job", "machine", joint, f"Joint {joint}", level, 1, 1, when,
        clamp=50_000.0, target=100.0, **known,
    )  # fmt: skip


def window(**given: object) -> Window:
    history = ToolHistory(calibrations=(recorded(-5.2),), **given)  # type: ignore[arg-type]  # by parameter
    return window_of(WRENCH, history)


def test_the_worked_example_comes_out_of_the_whole_chain() -> None:
    """Metrology notes 8.4 (invented there, worked in double precision): day 300 of 365."""
    found = review(window(), [pull(300)])
    one = found.joints[0].worst
    assert found.window.days == 365
    assert math.isclose(one.drift_torque, 104.5815, abs_tol=5e-5)
    assert math.isclose(one.shift_torque, 105.4852, abs_tol=5e-5)
    plain = look_back(
        Finding(-0.6, -5.2, 365, 0.4, 0.4), time=[300], indicated=[100], low=95, high=104
    )
    assert math.isclose(one.drift_chance, plain.drift_chance[0], rel_tol=1e-12)
    assert math.isclose(one.shift_chance, plain.shift_chance[0], rel_tol=1e-12)
    assert math.isclose(one.clamp(one.drift_torque) or 0.0, 50_000 * 1.045815, rel_tol=1e-6)


def test_joints_are_sorted_by_harm_and_then_by_chance() -> None:
    pulls = [pull(360, level=3, joint="x"), pull(10, joint="y"), pull(350, joint="z"),
             pull(200, joint="z")]  # fmt: skip
    found = review(window(), pulls)
    assert [one.worst.pull.joint for one in found.joints] == ["z", "y", "x"]
    assert [one.pull.entry for one in found.joints[0].pulls] == ["z-350", "z-200"]
    assert found.count == 4


def test_pulls_outside_the_window_are_counted_and_left_out() -> None:
    found = review(window(), [pull(-3), pull(100), pull(400)])
    assert (found.count, found.outside) == (1, 2)
    assert review(window(), []).joints == ()


def test_a_known_knock_puts_the_shift_there() -> None:
    knock = Happened("dropped", START + dt.timedelta(days=200))
    found = review(window(events=(knock,), begins=(0,)), [pull(100), pull(300, joint="b")])
    before, after = (found.joints[1].worst, found.joints[0].worst)
    assert before.shift_chance < 0.001, "it was good until then"
    assert after.shift_chance > 0.99, "and off since then"
    other = Happened("dropped", START + dt.timedelta(days=210))
    both = window(events=(knock, other), begins=(0, 1))
    assert both.sudden is None, "which of two knocks it was nobody knows"


def test_a_good_check_on_the_way_shortens_the_window() -> None:
    day = START + dt.timedelta(days=200)
    check = CheckRecord(day, "t", "N·m", ((100.0, 100.2),), -0.2, 0.4, 0.2, "agrees")
    short = window(checks=(check,))
    assert (short.start, short.days) == (day, 165)
    assert "checked and right" in str(short.since)
    assert review(short, [pull(100)]).outside == 1


def test_a_check_that_found_it_off_is_a_finding_too() -> None:
    check = CheckRecord(END, "t", "N·m", ((100.0, 106.0),), -5.7, 0.5, 3.0, "off", entry="check")
    found = window_of(WRENCH, ToolHistory(checks=(check,)))
    assert found.found.entry == "check"
    assert found.found.points[0].deviation == -5.7


def test_the_newest_finding_beyond_the_limit_counts_unless_another_is_named() -> None:
    good = recorded(-1.0, END + dt.timedelta(days=30), "later")
    history = ToolHistory(calibrations=(recorded(-5.2), good))
    assert window_of(WRENCH, history).found.entry == "finding"
    assert window_of(WRENCH, history, entry="later").found.entry == "later"
    assert window_of(WRENCH, history, entry="later").start == END


def test_a_direction_nobody_looked_at_is_less_certain() -> None:
    found = review(window(), [pull(300), pull(300, joint="b")._replace(direction="ccw")])
    chances = {one.worst.pull.joint: one.worst.drift_chance for one in found.joints}
    assert chances["b"] < chances["a"], "spread over more than the way that was looked at"


def test_time_can_be_measured_in_uses() -> None:
    pulls = [pull(day) for day in range(0, 100, 10)]
    by_days, by_uses = (review(window(), pulls, by=by).joints[0] for by in ("days", "uses"))
    last = {one.pull.entry: one.drift_torque for one in by_uses.pulls}["a-90"]
    assert last > {one.pull.entry: one.drift_torque for one in by_days.pulls}["a-90"]
    with pytest.raises(ClampwrightError, match="must be days or uses"):
        review(window(), pulls, by="moons")


def test_an_adapter_changes_torque_and_place_on_the_scale() -> None:
    found = review(window(), [pull(300, ratio=1.15, low=110, high=130)]).joints[0].worst
    assert math.isclose(found.drift_torque, 1.15 * 104.5815, rel_tol=1e-6)


def test_advice_gets_stricter_with_the_harm() -> None:
    assert [advice_for(0.3, level) for level in (1, 2, 3)] == ["redo", "recheck", "recheck"]
    assert [advice_for(0.01, level) for level in (1, 2, 3)] == ["fine"] * 3


def test_without_a_finding_or_a_good_day_before_there_is_no_window() -> None:
    with pytest.raises(Missing, match="nothing is on the log"):
        window_of(WRENCH, ToolHistory())
    with pytest.raises(Missing, match="every pull with it is in question"):
        window_of(replace(WRENCH, calibration=None), ToolHistory(calibrations=(recorded(-5.2),)))


def test_the_letter_says_what_was_found_and_what_is_to_be_done() -> None:
    found = review(window(), [pull(300), pull(300, joint="b", low=0.0)])
    joints = found.joints
    text = "\n".join(
        str(line) for line in letter(found.window, joints, ["redo", ""], workshop="Yard", today=END)
    )
    assert "To the owner of: machine" in text
    assert "do not use the machine" in text
    assert "loosened and tightened anew" in text
    assert "not decided yet" in text
    calm = "\n".join(
        str(line)
        for line in letter(found.window, joints, ["fine", "fine"], workshop="Yard", today=END)
    )
    assert "do not use" not in calm
