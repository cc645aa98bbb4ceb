"""What happened to tools, over the pages and their API: kept once, refused in clear words."""

from __future__ import annotations

from typing import Any

import pytest
from icalendar import Calendar
from looked_over import clean, in_frames
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient

from clampwright.bench.days import today
from clampwright.bench.drawers import drawer_of
from clampwright.bench.folder import Workshop, open_session, open_store
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.bench.tool_events import keep_calibration, keep_check, note_event
from clampwright.drawer.calibration_entry import record_of
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import Happened
from clampwright.proof.ids import uuid7
from clampwright.store import Store

JOB = "trailer-wheel"
DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
FOUND = "10 = 10.3\n36 = 40\n60 = 66"


def put(client: TestClient, way: str, body: dict[str, Any], *, tool: str = "click-60") -> Any:
    entry = body.pop("entry", str(uuid7()))
    return client.put(
        f"/api/drawer/tools/{tool}/{way}/{entry}", json={**body, "device": dict(DEVICE)}
    )


def kept(place: Workshop, *kinds: str) -> list[dict[str, Any]]:
    if not (place.folder / "workshop.sqlite").is_file():
        return []
    with Store.open(place.folder, write=False) as store:
        return [entry["body"] for entry in store.entries(kinds=kinds)]


def prepare(place: Workshop) -> None:
    """Do the wheel with the click wrench, then find it off, check it and drop it."""
    with open_session(place, place.jobs / f"{JOB}.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    tool = drawer_of(place).described.tool("click-60")
    points = [{"set": 36, "reference": 40}, {"set": 60, "reference": 66}]
    record = record_of(tool, date=today(), today=today(), found=points, uncertainty_percent=1, k=2)
    check = CheckRecord(today(), "t", "N·m", ((40.0, 40.2),), 0.2, 0.4, 0.3, "agrees")
    with open_store(place) as store:
        keep_calibration(store, tool, record, today=today())
        for _ in range(3):
            keep_check(store, tool, check, today=today())
        note_event(store, tool, Happened("dropped", today()), today=today())


def certificate(**more: Any) -> dict[str, Any]:
    return {"date": today().isoformat(), "found": FOUND, "uncertainty": "1,2", "k": "2"} | more


def test_an_event_is_kept_once_and_shown(client: TestClient, workshop: Workshop) -> None:
    body = {"event": "dropped", "date": today().isoformat(), "note": "off the <bench>"}
    entry = str(uuid7())
    first = put(client, "events", body | {"entry": entry})
    again = put(client, "events", body | {"entry": entry})
    assert (first.status_code, again.status_code) == (201, 200)
    assert len(kept(workshop, "tool_event")) == 1
    page = client.get("/drawer/click-60").text
    assert "it was dropped on" in page
    assert "off the &lt;bench&gt;" in page
    due = client.get("/drawer/due").text
    assert due.index("Click wrench 10 to 60") < due.index("Electronic wrench 10 to 200")


def test_uses_by_hand_are_added(client: TestClient) -> None:
    body = {"event": "used", "date": today().isoformat(), "count": "40", "high": "3"}
    assert put(client, "events", body).status_code == 201
    assert "3940 since its calibration, of 5000" in client.get("/drawer/click-60").text


@pytest.mark.parametrize(
    ("way", "body", "said"),
    [
        ("events", {"event": "dropped", "date": "2099-01-01"}, "after today"),
        ("events", {"event": "dropped", "date": "soon"}, "is not a day"),
        ("events", {"event": "sang", "date": "2026-01-01"}, "no event of a tool"),
        ("events", {"event": "used", "date": "2026-01-01", "count": "1.5"}, "no whole number"),
        ("events", {"event": "battery_out", "date": "2026-01-01"}, "no battery"),
        ("calibrations", certificate(k=""), "k is missing"),
        ("calibrations", certificate(uncertainty=""), "uncertainty_percent is missing"),
        ("calibrations", certificate(found="70 = 71"), "outside the scale"),
        ("calibrations", certificate(found="60 = 61 ccw"), "this wrench does not have"),
        ("calibrations", certificate(unit="ft lbf"), "the scales are in N·m"),
        ("calibrations", certificate(date="2099-01-01"), "after today"),
        ("calibrations", certificate(found="<a>&b;</a>"), "write what was set"),
        ("calibrations", certificate(found=""), "at least one point"),
        ("checks", {"trusted": "electronic-200", "pairs": "40 = 40.3"}, "at least 2"),
        ("checks", {"trusted": "bar-12", "pairs": "40 = 40\n40 = 41"}, "shows no torque"),
        ("checks", {"trusted": "electronic-200", "pairs": "forty"}, "write what both showed"),
        ("performed", {"uncertainty": "0.5", "k": "2"}, "no readings"),
        ("performed", {"found_1": "10 10.1"}, "both stand on its certificate"),
        ("performed", {"found_1": "4 4.1", "lever": "320"}, "latitude of the place"),
        ("performed", {"found_1": "10 -1", "uncertainty": "0.5", "k": "2"}, "readings"),
        ("performed", {"found_1": "10 10.1", "uncertainty": "-1", "k": "2"}, "its certificate"),
        ("decisions", {"finding": "x", "job": "j", "joint": "j", "decision": "burn",
                       "reason": "why"}, "no decision"),
        ("decisions", {"finding": "x", "job": "j", "joint": "j", "decision": "redo",
                       "reason": " "}, "give the reason"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_and_nothing_is_kept(
    client: TestClient, workshop: Workshop, way: str, body: dict[str, Any], said: str
) -> None:
    answer = put(client, way, dict(body))
    assert answer.status_code in {409, 422}, answer.text
    assert said in answer.json()["error"]
    assert kept(workshop, "tool_event", "tool_calibrated", "tool_checked") == []


def test_a_tool_nobody_has_is_not_found(client: TestClient) -> None:
    for path in (
        "/drawer/none",
        "/drawer/none/calibrate",
        "/drawer/none/look-back",
        "/drawer/bar-12/calibrate",
        f"/drawer/click-60/reports/{uuid7()}.pdf",
    ):
        assert client.get(path).status_code == 404, path
    body = {"event": "dropped", "date": "2026-01-01"}
    assert put(client, "events", body, tool="none").status_code == 404


def test_a_calibration_is_performed_told_and_printed(
    client: TestClient, workshop: Workshop
) -> None:
    page = client.get("/drawer/click-60/calibrate").text
    assert "load it 5 times to 60.0 N·m" in page
    assert "cw 36.0 N·m" in page
    body = {"uncertainty": "0,5", "k": "2", "rule": "simple", "by": "A. Fitter",
            "found_1": "10.1 10.05 10,2", "found_3": "60.3 60.4"}  # fmt: skip
    answer = put(client, "performed", body)
    assert answer.status_code == 201
    assert "decision rule: simple acceptance" in answer.json()["told"]
    assert "This is no accredited calibration" in answer.json()["told"]
    [record] = kept(workshop, "tool_calibrated")
    assert [point["shown"] for point in record["found"]] == ["10", "60"]
    weight = {"lever": "320", "latitude": "54.3", "height": "20", "found_2": "11.5 11.52"}
    assert "gravity 9.81" in put(client, "performed", weight).json()["told"]
    link = next(
        part.partition('"')[0]
        for part in client.get("/drawer/click-60").text.split('href="')
        if part.startswith("/drawer/click-60/reports/")
    )
    paper = client.get(link)
    assert paper.headers["content-type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")


def test_checks_are_told_and_charted(client: TestClient) -> None:
    pairs = "40 = 40.3\n40 = 40.5\n40 = 40.2"
    for _ in range(3):
        answer = put(client, "checks", {"trusted": "electronic-200", "pairs": pairs, "unit": "N·m"})
        assert answer.status_code == 201
    assert "both be wrong in the same way" in answer.json()["told"]
    page = client.get("/drawer/click-60").text
    assert "checked against electronic-200" in page
    assert 'aria-label="3 checks' in page


def test_the_due_list_and_its_calendar(client: TestClient) -> None:
    page = client.get("/drawer/due").text
    assert "overdue" in page
    answer = client.get("/drawer/due.ics")
    assert answer.headers["content-type"].startswith("text/calendar")
    assert len(Calendar.from_ical(answer.content).walk("VEVENT")) >= 4


def test_looking_back_decides_and_writes(client: TestClient, wheel: Any) -> None:
    page = client.get("/drawer/click-60/look-back").text
    assert "Nothing is on the log" in page
    client.post(f"/api/jobs/{JOB}/opening")
    wheel.settle(client, 1)
    assert put(client, "calibrations", certificate()).status_code == 201
    page = client.get("/drawer/click-60/look-back").text
    assert "Left wheel" in page
    assert "Advice: do it again; not decided" in page
    finding = page.partition('name="finding" value="')[2].partition('"')[0]
    body = {"finding": finding, "job": JOB, "joint": "wheel", "decision": "redo", "reason": "sure"}
    assert put(client, "decisions", body).status_code == 201
    assert "Decided: do it again" in client.get("/drawer/click-60/look-back").text
    letter = client.get("/drawer/click-60/look-back/letter", params={"job": JOB}).text
    assert "loosened and tightened anew" in letter
    assert client.get("/drawer/click-60/look-back/letter?job=none").status_code == 422


def test_a_study_is_evaluated_and_a_bad_one_explained(client: TestClient) -> None:
    rows = [f"{who},{part},{n},{20 * part + n / 10}" for who in "AB" for part in (1, 2)
            for n in (1, 2)]  # fmt: skip
    good = client.get("/drawer/study", params={"readings": "\n".join(rows)})
    assert "of the spread" in good.text
    bad = client.get("/drawer/study", params={"readings": "\n".join(rows[1:])})
    assert bad.status_code == 422
    assert "is missing" in bad.text
    assert client.get("/drawer/study").status_code == 200


def test_the_tools_of_a_job_are_put_away_with_a_tick(client: TestClient, wheel: Any) -> None:
    assert client.get(f"/jobs/{JOB}/care").status_code == 404
    client.post(f"/api/jobs/{JOB}/opening")
    wheel.settle(client, 1)
    page = client.get(f"/jobs/{JOB}/care").text
    assert "Wind it down to 10.0 N·m, its lowest mark; never below." in page
    body = {"event": "wound_down", "date": today().isoformat()}
    assert put(client, "events", body).status_code == 201
    assert "done today" in client.get(f"/jobs/{JOB}/care").text
    assert f"/jobs/{JOB}/care" in client.get(f"/jobs/{JOB}").text


def test_a_person_notes_a_drop_on_the_page(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/drawer/click-60")
    page.get_by_text("Something happened to it").tap()
    page.get_by_label("What happened", exact=True).select_option("dropped")
    page.get_by_label("In your own words").fill("from the ladder")
    page.get_by_role("button", name="Put it on the log").first.tap()
    expect(page.get_by_text("from the ladder")).to_be_visible()
    assert kept(workshop, "tool_event")[0]["note"] == "from the ladder"


def test_axe_finds_nothing_and_nothing_runs_out_of_the_side(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    prepare(workshop)
    page: Page = handset.page
    for path in ("/drawer/click-60", "/drawer/click-60/look-back", "/drawer/due",
                 f"/drawer/click-60/look-back/letter?job={JOB}", f"/jobs/{JOB}/care"):  # fmt: skip
        page.goto(nearby.address + path)
        page.evaluate("document.querySelectorAll('details').forEach(one => { one.open = true; })")
        clean(page, path)
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        in_frames(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 390, path


@pytest.mark.parametrize("tool", ["bar-12", "ratchet-38", "gauge-12"])
def test_a_tool_that_shows_no_torque_has_nothing_to_look_back_over(
    opened: TestClient, tool: str
) -> None:
    page = opened.get(f"/drawer/{tool}/look-back")
    assert page.status_code == 200
    assert "shows no torque: no pull rests on what it reads" in page.text
