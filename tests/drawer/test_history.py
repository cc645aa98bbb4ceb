"""What the log tells of a tool is folded into what the tool is worth today."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import replace
from typing import Any

import pytest

from clampwright.drawer import Calibration, Demand, Drawer, Point, Scale, Tool, fitness
from clampwright.drawer.as_of import drawer_as_of, tool_as_of
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import Happened, event_rules
from clampwright.drawer.history import ToolHistory, fold_tools
from clampwright.drawer.pinned import drawer_with, states_of
from clampwright.drawer.told import lines_of
from clampwright.drawer.tools import UseLimits
from clampwright.drawer.trust import trust_when_showing
from clampwright.errors import ClampwrightError

DAY = dt.date(2026, 10, 5)
POINTS = (Point(10, -0.5, 0.005), Point(60, -1.0, 0.005))
WRENCH = Tool(
    "c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),),
    calibration=Calibration(dt.date(2026, 3, 1), POINTS), uses=100,
)  # fmt: skip


def entry(
    kind: str, body: dict[str, Any], day: str = "2026-09-01", place: int = 0
) -> dict[str, Any]:
    return {
        "kind": kind,
        "id": f"entry-{place}",
        "job": None,
        "device": {"id": "d", "time": f"{day}T08:00:00Z"},
        "body": {"tool": "c", **body},
    }


def event(name: str, day: str, **more: Any) -> dict[str, Any]:
    return entry("tool_event", {"event": name, "date": day, "note": "", **more}, day)


def pull(day: str, shown: str, *, clicked: bool = True) -> dict[str, Any]:
    setting = {"value": shown, "unit": "N·m"}
    reading = {"kind": "click", "clicked": clicked, "moved": True, "setting": setting}
    return entry("pull", {"reading": reading, "setting": setting}, day)


def calibrated(day: str, *, found: float = -1.0, left: float | None = None) -> dict[str, Any]:
    def points(deviation: float) -> tuple[RecordedPoint, ...]:
        return tuple(RecordedPoint(at, deviation, 1.0, 2.0) for at in (10.0, 36.0, 60.0))

    record = CalibrationRecord(
        dt.date.fromisoformat(day), "N·m", points(found), () if left is None else points(left)
    )
    return entry("tool_calibrated", record.as_body(), day)


def checked(day: str, verdict: Any) -> dict[str, Any]:
    check = CheckRecord(
        dt.date.fromisoformat(day), "t", "N·m", ((40.0, 40.1),), 0.2, 0.4, 0.3, verdict
    )
    return entry("tool_checked", check.as_body(), day)


def now(*entries: dict[str, Any], tool: Tool = WRENCH) -> Tool:
    return tool_as_of(tool, fold_tools(entries).get("c", ToolHistory()))


@pytest.mark.parametrize("name", [n for n, r in event_rules().items() if r.raises_doubt])
def test_a_doubt_stands_until_what_its_rule_names(name: str) -> None:
    rule = event_rules()[name]
    assert [one.event for one in now(event(name, "2026-09-01")).doubts] == [name]
    enders = {
        "calibration": calibrated("2026-09-02"),
        "check": checked("2026-09-02", "agrees"),
        "in_service": event("in_service", "2026-09-02"),
    }
    for what, ender in enders.items():
        left = now(event(name, "2026-09-01"), ender).doubts
        assert (left == ()) == (what in rule.ended_by), what


def test_what_lies_before_the_event_or_finds_it_off_ends_nothing() -> None:
    dropped = event("dropped", "2026-09-10")
    assert now(dropped, calibrated("2026-09-09")).doubts, "entered later, done before"
    assert now(calibrated("2026-09-10"), dropped).doubts, "same day, before the drop"
    assert not now(dropped, calibrated("2026-09-10")).doubts, "same day, after the drop"
    found = now(dropped, checked("2026-09-11", "off")).doubts
    assert {one.event for one in found} == {"dropped", "found_off"}
    assert now(dropped, checked("2026-09-11", "not known")).doubts


def test_a_newer_certificate_in_the_drawer_file_ends_older_doubts() -> None:
    dropped = event("dropped", "2026-02-01")
    assert now(dropped).doubts == ()
    assert now(event("out_of_service", "2026-02-01")).doubts, "only a person puts it back"


def test_pulls_are_counted_from_the_calibration_on_and_added_to_those_unseen() -> None:
    pulls = [pull("2026-02-20", "30"), pull("2026-09-01", "30"), pull("2026-09-01", "55"),
             pull("2026-09-02", "50", clicked=False)]  # fmt: skip
    tool = now(*pulls)
    assert (tool.uses, tool.high_uses) == (102, 1), "100 in the file, 2 since, 1 at 80 % or more"
    by_hand = event("used", "2026-09-03", count=40, high=7)
    tool = now(*pulls, by_hand)
    assert (tool.uses, tool.high_uses) == (142, 8)
    tool = now(*pulls, by_hand, calibrated("2026-09-02"))
    assert (tool.uses, tool.high_uses) == (40, 7), "a new calibration begins anew"


def test_the_newest_calibration_holds_as_left() -> None:
    assert now(calibrated("2026-09-01", found=-5.0, left=-0.3)).calibration is not None
    tool = now(calibrated("2026-09-01", found=-5.0, left=-0.3), calibrated("2026-02-01"))
    assert tool.calibration is not None
    known = tool.calibration.at(36.0, "cw")
    assert known is not None
    assert math.isclose(known.deviation, -0.3)
    older = now(calibrated("2026-02-01", found=-5.0))
    assert older.calibration == WRENCH.calibration, "the file's own is newer"


def test_an_event_lowers_trust_and_forbids_what_its_rule_says() -> None:
    good, dropped = WRENCH, now(event("dropped", "2026-09-01"))
    before, after = (trust_when_showing(tool, 36.0, "cw") for tool in (good, dropped))
    assert after.basis == "event"
    assert after.deviation == before.deviation, "the certificate is still the best guess"
    wanted = math.hypot(before.u_rel, 0.04 / math.sqrt(3))
    assert math.isclose(after.u_rel, wanted, rel_tol=1e-12)
    for level, usable in ((1, False), (2, False), (3, True)):
        found = fitness(dropped, Demand("torque", 36.0, harm_level=level), today=DAY)
        assert found.usable is usable, level
        assert any("dropped on 2026-09-01" in str(reason) for reason in found.reasons)


def test_uses_near_the_largest_torque_can_have_a_limit_of_their_own() -> None:
    limited = replace(WRENCH, use_limits=UseLimits(high_uses=2))
    tool = now(*[pull("2026-09-01", "55")] * 3, tool=limited)
    found = fitness(tool, Demand("torque", 36.0, harm_level=1), today=DAY)
    assert not found.usable
    assert "3 uses near its largest torque" in str(found.blockers[0])


def test_the_state_of_a_job_can_be_pinned_and_rebuilt() -> None:
    drawer = Drawer((WRENCH,))
    entries = [event("dropped", "2026-09-01"), calibrated("2026-08-01"), pull("2026-09-01", "30")]
    histories = fold_tools(entries)
    assert drawer_with(drawer, {}) is drawer
    pinned = drawer_with(drawer, states_of(drawer, histories)).tool("c")
    fresh = drawer_as_of(drawer, histories).tool("c")
    assert pinned.calibration == fresh.calibration
    assert (pinned.uses, pinned.high_uses) == (fresh.uses, fresh.high_uses)
    assert [one.event for one in pinned.doubts] == ["dropped"]


def test_folding_in_parts_is_folding_at_once() -> None:
    entries = [pull("2026-09-01", "30"), event("dropped", "2026-09-01"), pull("2026-09-01", "30"),
               checked("2026-09-02", "agrees"), calibrated("2026-09-03")]  # fmt: skip
    parts: dict[str, ToolHistory] = {}
    for one in entries:
        parts = fold_tools([one], parts)
    assert parts == fold_tools(entries)


def test_what_a_newer_program_wrote_is_passed_over() -> None:
    strange = entry("tool_event", {"event": "sang", "date": "2026-09-01"})
    assert (
        fold_tools([strange, entry("tool_checked", {"date": "2026-09-01"})])["c"] == ToolHistory()
    )


def test_the_history_is_told_newest_first() -> None:
    history = fold_tools([
        event("used", "2026-08-01", count=4, high=1),
        calibrated("2026-09-01", found=-5.0, left=0.1),
        checked("2026-09-05", "agrees"),
    ])["c"]  # fmt: skip
    told = [str(line.what) for line in lines_of(history)]
    assert "agrees" in told[0]
    assert "-5.00 % off at 10 N·m, adjusted" in told[1]
    assert "used 4 times" in told[2]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"event": "sang"}, "'sang' is no event"),
        ({"event": "used"}, "whole number above 0"),
        ({"event": "used", "count": -1}, "whole number above 0"),
        ({"event": "used", "count": 3, "high": 4}, "cannot be part of 3"),
    ],
)
def test_an_event_that_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    with pytest.raises(ClampwrightError, match=said):
        Happened(given.pop("event"), DAY, **given)
