"""When a wrench is due: calendar, uses, drift, what happened; care at the right moment."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace

from clampwright.drawer import Calibration, Drawer, Point, Scale, Tool
from clampwright.drawer.calibration import months_after
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.drawer.care import care_for
from clampwright.drawer.due import due_list, due_of, reliability_words
from clampwright.drawer.happened import Happened, event_rules
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import UseLimits

DAY = dt.date(2026, 10, 5)
CLICK = Tool(
    "c", "Click", "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),),
    calibration=Calibration(dt.date(2026, 6, 27), (Point(100, -0.5, 0.005),)),
)  # fmt: skip


def record(day: dt.date, deviation: float, *, left: float | None = None) -> CalibrationRecord:
    found = (RecordedPoint(100.0, deviation, 1.0, 2.0),)
    after = () if left is None else (RecordedPoint(100.0, left, 1.0, 2.0),)
    return CalibrationRecord(day, "N·m", found, after)


def kinds(tool: Tool, history: ToolHistory | None = None) -> dict[str, dt.date]:
    found = due_of(tool, history or ToolHistory(), DAY)
    return {reason.kind: reason.on for reason in found.reasons}


def test_the_calendar_the_uses_and_the_high_load_each_have_a_day() -> None:
    assert kinds(CLICK) == {"time": dt.date(2027, 6, 27)}
    used = replace(CLICK, uses=2500)
    assert kinds(used)["uses"] == DAY + dt.timedelta(days=100), "2500 in 100 days, 2500 to go"
    over = replace(CLICK, uses=5000)
    assert kinds(over)["uses"] == DAY
    hard = replace(CLICK, uses=300, high_uses=150, use_limits=UseLimits(high_uses=200))
    assert kinds(hard)["high uses"] == DAY + dt.timedelta(days=33)
    new = replace(CLICK, calibration=Calibration(DAY - dt.timedelta(days=5)), uses=400)
    assert "uses" not in kinds(new), "five days say nothing of the rate"
    assert kinds(replace(CLICK, calibration=None)) == {"unknown": DAY}


def test_what_happened_makes_it_due_at_once() -> None:
    dropped = replace(CLICK, doubts=(Happened("dropped", DAY - dt.timedelta(days=1)),))
    found = due_of(dropped, ToolHistory(), DAY)
    assert found.reasons[0].kind == "event"
    assert found.state(DAY) == "overdue"
    away = replace(CLICK, doubts=(Happened("out_of_service", DAY),))
    assert "event" not in kinds(away), "no calibration puts it back into service"


def test_drift_is_carried_forward_by_its_bound() -> None:
    """Metrology notes 5.3 (computed there): the bound reaches −4 % at 79.696 months; here the same
    line, steeper, so that it lies within the interval (1.4 × −3.1136 % at 60 months)."""
    start = dt.date(2022, 1, 1)
    days = [months_after(start, 12 * n) for n in range(5)]
    row = tuple(
        replace(record(day, 1.4 * value), months=12)
        for day, value in zip(days, (-0.3, -0.9, -1.2, -1.9, -2.2), strict=True)
    )
    tool = replace(CLICK, calibration=row[-1].calibration())
    found = due_of(tool, ToolHistory(calibrations=row), dt.date(2026, 2, 1))
    drift = next(reason for reason in found.reasons if reason.kind == "drift")
    assert days[-1] < drift.on < months_after(days[-1], 12)
    assert found.reasons[0] == drift
    assert "95 % bound" in str(drift.say)
    adjusted = (*row[:4], replace(row[4], left=row[0].found))
    again = due_of(tool, ToolHistory(calibrations=adjusted), dt.date(2026, 2, 1))
    assert all(reason.kind != "drift" for reason in again.reasons), "an adjustment begins anew"
    steady = tuple(record(day, -0.3) for day in days)
    assert "drift" not in kinds(tool, ToolHistory(calibrations=steady))


def test_the_staircase_and_the_reliability_are_told() -> None:
    good = ToolHistory(calibrations=(record(dt.date(2027, 6, 27), -0.5),))
    hint = str(due_of(CLICK, good, dt.date(2027, 7, 1)).hints[0])
    assert "lengthened; 15 months after 12" in hint
    bad = ToolHistory(calibrations=(record(dt.date(2027, 6, 27), -5.0, left=0.0),))
    assert "shortened" in str(due_of(CLICK, bad, dt.date(2027, 7, 1)).hints[0])
    drawer = Drawer((CLICK,))
    assert reliability_words(drawer, {"c": good}) is None
    many = ToolHistory(calibrations=tuple(record(DAY, value) for value in (-0.5, -1, -2, -5)))
    told = str(reliability_words(drawer, {"c": many}))
    months = 12 * math.log(0.95) / math.log(0.75)
    assert "3 of 4 calibrations" in told
    assert f"would be {months:.0f} months" in told


def test_the_list_is_sorted_and_leaves_out_what_needs_no_calibration() -> None:
    old = replace(CLICK, id="old", calibration=Calibration(dt.date(2024, 1, 1)))
    drawer = Drawer((CLICK, old, Tool("bar", "Bar", "bar", "1/2 in")))
    found = due_list(drawer, drawer, {}, DAY)
    assert [due.tool.id for due in found] == ["old", "c"]
    assert [due.state(DAY) for due in found] == ["overdue", "later"]
    assert found[1].state(dt.date(2027, 6, 1)) == "soon"


def test_each_tool_asks_for_its_own_care_at_its_moment() -> None:
    after = care_for(CLICK, "after_job")
    assert [one.event for one in after] == ["wound_down"]
    assert "20.0 N·m, its lowest mark; never below" in str(after[0].say)
    assert care_for(replace(CLICK, mechanism="fixed"), "after_job") == (), "not the fixed ones"
    assert care_for(replace(CLICK, kind="beam"), "after_job") == (), "nothing to wind"
    electronic = replace(CLICK, kind="electronic")
    assert [one.event for one in care_for(electronic, "after_job")] == ["battery_out"]
    assert [one.event for one in care_for(electronic, "before_use")] == ["zeroed"]
    assert "five or six" in str(care_for(CLICK, "before_use")[0].say)
    assert "take a bar" in str(care_for(CLICK, "loosening")[0].say)
    for moment in ("before_use", "after_job", "loosening"):
        for kind in ("click", "beam", "dial", "electronic", "bar"):
            tool = replace(CLICK, kind=kind)
            for one in care_for(tool, moment):
                assert one.event in {"", *event_rules()}
                assert one.source
