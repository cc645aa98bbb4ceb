"""From pulls on the log to the joints a wrench may have spoilt."""

from __future__ import annotations

import datetime as dt
import json
from typing import TYPE_CHECKING, Any

import pytest

from clampwright.bench.days import today
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import open_session, open_store
from clampwright.bench.histories import happened_of, histories_of
from clampwright.bench.look_back import look_back
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.records import record_of as record_bytes
from clampwright.bench.records import record_text
from clampwright.bench.rehearsal import rehearse
from clampwright.bench.tool_events import decide_joint, keep_calibration, note_event
from clampwright.drawer.calibration_entry import record_of
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import PULL_MEMBERS, Decision, fold_tools
from clampwright.errors import Refused
from clampwright.proof.verification import verify
from clampwright.store.glimpses import glimpse_of
from clampwright.work.past_pulls import KINDS, SINGLE, TOGETHER, past_pulls

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop

FOUND: list[dict[str, Any]] = [
    {"set": 10, "reference": 10.3},
    {"set": 36, "reference": 38.2},
    {"set": 60, "reference": 64},
]
LEFT: list[dict[str, Any]] = [{"set": 10, "reference": 10.0}, {"set": 60, "reference": 60.1}]


@pytest.fixture
def worked(workshop: Workshop) -> Workshop:
    """The wheel job done with the click wrench, and the wrench then found off."""
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    tool = drawer_of(workshop).described.tool("click-60")
    record = record_of(
        tool, date=today(), today=today(), found=FOUND, left=LEFT, uncertainty_percent=1.2, k=2
    )
    with open_store(workshop) as store:
        keep_calibration(store, tool, record, today=today())
    return workshop


def test_every_standing_pull_is_found_with_the_limits_of_its_joint(worked: Workshop) -> None:
    with open_store(worked, write=False) as store:
        pulls = past_pulls(store.glimpses(KINDS, SINGLE, TOGETHER), "click-60")
    assert {(one.stage, one.fastener) for one in pulls} == {(1, n) for n in range(1, 6)}
    one = pulls[0]
    assert (one.shown, one.harm_level, one.direction) == (44.0, 1, "cw")
    assert 40 < one.low < 45 < one.high < 50
    assert one.clamp is not None


def test_pulls_undone_or_made_by_another_tool_since_are_left_out(worked: Workshop) -> None:
    with open_session(worked, worked.jobs / "trailer-wheel.toml", today=today()) as session:
        session.restart("wheel", 3, "went over", renewed=False)
    with open_store(worked, write=False) as store:
        left = past_pulls(store.glimpses(KINDS, SINGLE, TOGETHER), "click-60")
    assert {one.fastener for one in left} == {1, 2, 4, 5}


def test_a_decision_needs_a_reason_and_stands_for_its_finding(worked: Workshop) -> None:

    with open_store(worked) as store:
        drawer = drawer_of(worked)
        found = look_back(store, drawer, "click-60")
        joint = found.review.joints[0]
        assert found.decided(joint) is None
        finding, tool = found.window.found.entry, found.window.tool
        for decision, reason in (("recheck", " "), ("burn", "because")):
            with pytest.raises(Refused):
                decide_joint(
                    store, tool, Decision(finding, "trailer-wheel", "wheel", decision, reason)
                )
        size = store.head()[0]
        decide_joint(store, tool, Decision(finding, "trailer-wheel", "wheel", "redo", "to be sure"))
        assert store.head()[0] == size + 1
    with open_store(worked, write=False) as store:
        again = look_back(store, drawer_of(worked), "click-60")
    decided = again.decided(again.review.joints[0])
    assert decided is not None
    assert (decided.decision, decided.reason) == ("redo", "to be sure")
    with pytest.raises(Refused, match="no joint of job 'other'"):
        again.joints_of("other")


def test_what_cannot_have_happened_is_refused_and_nothing_is_stored(workshop: Workshop) -> None:
    drawer = drawer_of(workshop).described
    tomorrow = today() + dt.timedelta(days=1)
    with open_store(workshop, create=True) as store:
        size = store.head()[0]
        for tool, event in (
            ("click-60", Happened("dropped", tomorrow)),
            ("bar-12", Happened("wound_down", today())),
            ("click-60", Happened("battery_out", today())),
        ):
            with pytest.raises(Refused):
                note_event(store, drawer.tool(tool), event, today=today())
        assert store.head()[0] == size


def test_a_drop_counts_for_the_next_job_and_not_for_one_under_way(workshop: Workshop) -> None:
    wheel = workshop.jobs / "trailer-wheel.toml"
    with open_session(workshop, wheel, today=today()) as session:
        before = session.plan
    tool = drawer_of(workshop).described.tool("click-60")
    with open_store(workshop) as store:
        note_event(store, tool, Happened("dropped", today()), today=today())
    with open_session(workshop, wheel, today=today()) as session:
        assert session.plan == before, "judged by what was planned"
    coupling = workshop.jobs / "propeller-coupling.toml"
    with open_session(workshop, coupling, today=today()) as session:
        reasons = [
            str(reason)
            for joint in session.plan.joints
            for stage in joint.stages
            for choice in stage.choices
            if choice.tool.id == "click-60"
            for reason in choice.blockers
        ]
    assert any("it was dropped on" in reason for reason in reasons)


def test_the_database_takes_out_the_same_members_as_reading_whole_does(worked: Workshop) -> None:
    with open_session(worked, worked.jobs / "trailer-wheel.toml", today=today()) as session:
        session.restart("wheel", 3, 'went ‘over’ \\ "far"\n', renewed=False)
    asked = ((KINDS, SINGLE, TOGETHER), (("pull",), ("body.tool",), PULL_MEMBERS))
    with open_store(worked, write=False) as store:
        for kinds, single, together in asked:
            quick = [tuple(row) for row in store.glimpses(kinds, single, together)]
            assert len(quick) > 5
            assert quick == [
                glimpse_of(entry, single, together) for entry in store.entries(kinds=kinds)
            ]


def test_tools_are_told_of_alike_from_glimpses_and_from_whole_entries(worked: Workshop) -> None:
    with open_store(worked, write=False) as store:
        whole = fold_tools(store.entries())
        quick = histories_of(store)
        without = happened_of(store)
    assert quick == whole
    assert sum(quick["click-60"].pulls.values()) == 5
    assert without["click-60"].calibrations == whole["click-60"].calibrations
    assert not without["click-60"].pulls


def test_a_record_takes_along_what_the_log_tells_of_its_tools(workshop: Workshop) -> None:
    tool = drawer_of(workshop).described.tool("click-60")
    other = drawer_of(workshop).described.tool("bar-12")
    record = record_of(
        tool, date=today(), today=today(), found=LEFT, left=[], uncertainty_percent=1.2, k=2
    )
    with open_store(workshop, create=True) as store:
        note_event(store, tool, Happened("dropped", today()), today=today())
        kept = keep_calibration(store, tool, record, today=today())
        zeroed = note_event(store, tool, Happened("wound_down", today()), today=today())
        note_event(store, other, Happened("dropped", today()), today=today())
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    with open_store(workshop) as store:
        found = record_bytes(store, "trailer-wheel")
        note_event(store, tool, Happened("dropped", today()), today=today())
        assert record_bytes(store, "trailer-wheel") == found, "what came later changes nothing"
    assert verify(found).ok
    outside = [row["entry"] for row in json.loads(found)["entries"] if row["entry"]["job"] is None]
    used = [one["id"] for one in outside if one["body"].get("tool") == "click-60"]
    assert used == [kept.id, zeroed.id]
    text = "\n".join(record_text(found))
    assert "not adjusted" in text
    assert "wound down" in text
    assert "dropped" not in text
