"""What has to be done later: planned with a reason, never by turning on what stretched for good."""

import datetime as dt
from pathlib import Path

import pytest
from icalendar import Calendar

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.follow_up import (
    add_follow_up,
    calendar_of,
    known_follow_ups,
    settle_follow_up,
    slip,
)
from clampwright.demo.run import build_workshop
from clampwright.errors import Missing, Refused
from clampwright.report.sheet import sheet_pdf
from clampwright.store import Store
from clampwright.work.follow_up import AFTER, FollowUp, advice, when

DAY = dt.date(2026, 3, 1)


@pytest.fixture
def place(tmp_path: Path) -> Workshop:
    """The invented workshop of the demonstration, with an empty log."""
    place = build_workshop(tmp_path / "yard", replace=False)
    Store.open(place.folder, create=True).close()
    return place


def planned(
    place: Workshop, job: str = "trailer-wheel", joint: str = "wheel", **more: object
) -> FollowUp:
    given = {
        "what": "retorque",
        "how": "pull_up",
        "after": {"distance_km": 50.0, "days": 3.0},
        "told": "the owner (invented)",
        "source": "",
        "today": DAY,
        **more,
    }
    with open_store(place) as store:
        return add_follow_up(store, place, place.jobs / f"{job}.toml", joint, **given)  # type: ignore[arg-type] # some calls give wrong things on purpose


def test_planned_open_overdue_done(place: Workshop) -> None:
    one = planned(place)
    assert one.day == dt.date(2026, 3, 4)
    assert [one.state(DAY + dt.timedelta(days=n)) for n in (0, 3, 4)] == ["open", "open", "overdue"]
    with open_store(place) as store:
        settle_follow_up(store, one.id[:18], outcome="done", reason="", today=DAY)
        (again,) = known_follow_ups(store)
        assert again.state(DAY + dt.timedelta(days=99)) == "done"
        with pytest.raises(Refused, match="was settled on 2026-03-01"):
            settle_follow_up(store, one.id, outcome="refused", reason="late", today=DAY)


def test_refused_needs_a_reason(place: Workshop) -> None:
    one = planned(place)
    with open_store(place) as store:
        size = store.head()[0]
        with pytest.raises(Missing, match="say why it was refused"):
            settle_follow_up(store, one.id, outcome="refused", reason=" ", today=DAY)
        assert store.head()[0] == size
        done = settle_follow_up(store, one.id, outcome="refused", reason="sold", today=DAY)
        assert (done.state(DAY), done.reason) == ("refused", "sold")


def test_what_was_tightened_by_angle_is_not_tightened_again(place: Workshop) -> None:
    with pytest.raises(Refused, match="turning on would stretch it further"):
        planned(place, "launch-engine-head", "head")
    # Looking at the marks is another matter.
    assert planned(place, "launch-engine-head", "head", what="check").how == ""


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"how": ""}, "practice is in conflict about how"),
        ({"how": "harder"}, "practice is in conflict about how"),
        ({"after": {}}, "say after what it is due"),
        ({"after": {"days": 0.0}}, "say after what it is due"),
        ({"after": {"moons": 1.0}}, "say after what it is due"),
        ({"after": {"days": float("nan")}}, "say after what it is due"),
        ({"told": "  "}, "say who was told"),
        ({"what": "repaint"}, "none of retorque, check, audit"),
        ({"joint": "door"}, "has no joint 'door'"),
    ],
)
def test_what_cannot_be_planned(place: Workshop, more: dict[str, object], message: str) -> None:
    with pytest.raises((Refused, Missing), match=message):
        planned(place, **more)  # type: ignore[arg-type] # wrong things on purpose
    with open_store(place) as store:
        assert known_follow_ups(store) == ()
        assert store.head()[0] == 1


def test_the_calendar_has_what_has_a_day(place: Workshop) -> None:
    one = planned(place)
    planned(place, after={"distance_km": 50.0})
    with open_store(place, write=False) as store:
        data = calendar_of(known_follow_ups(store), store.origin, DAY + dt.timedelta(days=10))
    (event,) = Calendar.from_ical(data).walk("VEVENT")
    assert str(event["uid"]).startswith(one.id)
    assert event.decoded("dtstart") == DAY + dt.timedelta(days=10)
    assert "Tighten again: wheel of trailer-wheel" in str(event["summary"])


def test_the_slip_can_be_printed(place: Workshop) -> None:
    one = planned(place)
    pdf = sheet_pdf(slip(one, "Invented Yard"), language="en")
    assert pdf.startswith(b"%PDF-")
    assert pdf == sheet_pdf(slip(one, "Invented Yard"), language="en")


def test_when_is_told_whole() -> None:
    told = str(when(dict.fromkeys(AFTER, 2.0)))
    assert told == (
        "after 2 km or after 2 hours or after 2 days or after 2 times hot and cold, "
        "whichever comes first"
    )


def test_every_line_of_advice_names_its_source() -> None:
    for line in advice():
        assert line.source.startswith("trade practice 7")
        assert any(line.row[name] for name in AFTER)
