"""Ways a result comes in at the page: marks, dial, phone, lengths, a second person."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from looked_over import complaints
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient
from tests.web.test_modules import evaluate

import clampwright.web
from clampwright.bench.folder import Workshop
from clampwright.drawer.calibration import Direction
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.trace.phone_simulate import recorded_phone
from clampwright.work.clock_marks import MarkTurn, clock_text, goal_of, nearest_turns

PLUG = "gearbox-drain-plug"
DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
MARKS = {"kind": "marks", "start": "2", "end": "8:15", "turns": 0, "turning": "cw"}
WEB = Path(clampwright.web.__file__).parent


def put(client: TestClient, stage: int, reading: dict[str, Any], entry: str | None = None) -> Any:
    body = {"joint": "plug", "stage": stage, "fastener": 1, "reading": reading, "device": DEVICE}
    return client.put(f"/api/jobs/{PLUG}/pulls/{entry or uuid7()}", json=body)


@pytest.fixture
def plug(client: TestClient) -> TestClient:
    """The plug, snug: the turn of 180 degrees is next."""
    assert client.post(f"/api/jobs/{PLUG}/opening").status_code == 201
    assert put(client, 1, {"kind": "done", "done": True}).status_code == 201
    return client


def test_nothing_anywhere_is_typed_into_a_browsers_own_number_field() -> None:
    """A comma is lost in them, and a wheel changes them unseen."""
    found = [*WEB.glob("templates/**/*.html"), *WEB.glob("static/**/*.js")]
    assert len(found) > 60
    number = re.compile(r"""type["']?\s*[:=,]\s*["']?number\b""")
    assert [path.name for path in found if number.search(path.read_text())] == []
    assert number.search('<input type="number">')
    assert number.search('make("input", { type: "number" })')


def test_the_device_reckons_marks_as_the_server_does() -> None:
    cases: list[tuple[float, float, Direction]] = [
        (7.5 * start, angle, turning)
        for start in range(0, 48, 7)
        for angle in (0.5, 45.0, 90.0, 180.0, 359.5, 360.0, 450.0, 765.0)
        for turning in ("cw", "ccw")
    ]
    call = (
        f"{json.dumps(cases)}.map(([s, a, t]) => {{ const g = m.goalOf(s, a, t); return [g.goal, "
        "g.turns, m.clockText(g.goal), m.angleOf(s, g.goal, g.turns, t), "
        "m.nearestTurns(s, g.goal, t, a + 40)]; })"
    )
    for (start, angle, turning), told in zip(cases, evaluate("clock-marks.js", call), strict=True):
        goal, turns = goal_of(start, angle, turning)
        assert told == [
            goal,
            turns,
            clock_text(goal),
            MarkTurn(start, goal, turns, turning).angle,
            nearest_turns(start, goal, turning, angle + 40),
        ]
    assert evaluate("clock-marks.js", "m.spreadOfMarks()") == pytest.approx(2 * MarkTurn(0, 1).u)


def test_each_way_is_compared_on_the_device() -> None:
    deg = {"low": 170, "high": 190, "text": "170° to 190°"}
    step = {"compare": {"units": {"deg": deg, "mm": {**deg, "low": 0.14, "high": 0.16}}}}
    lengths = {"kind": "stretch", "free": ["95,02"], "tight": ["95.17", "95.16"], "unit": "mm"}
    cases: list[tuple[dict[str, Any], bool | None]] = [
        (MARKS, True),
        ({**MARKS, "turns": 1}, False),
        ({"kind": "gauge", "value": "184", "zero": "0", "play": "4", "unit": "deg"}, True),
        ({"kind": "gauge", "value": "184", "zero": "50", "play": None, "unit": "deg"}, False),
        ({"kind": "phone", "value": "178.5", "unit": "deg", "u": "3"}, True),
        (lengths, True),
        ({**lengths, "tight": ["95.3"]}, False),
        ({"kind": "while_turning", "values": ["1"], "unit": "N·m"}, None),
    ]
    readings = json.dumps([reading for reading, _inside in cases])
    call = f"{readings}.map((one) => m.compare({json.dumps(step)}, one).inside)"
    assert evaluate("compare.js", call) == [inside for _reading, inside in cases]


def test_marks_go_to_the_log_once_however_often_they_are_sent(plug: TestClient) -> None:
    step = plug.get(f"/api/jobs/{PLUG}/bench").json()["steps"]["plug/2"]
    assert step["ways"] == ["marks", "gauge", "phone"]
    assert step["turn"] == {"angle": 180.0, "flats": "3 flats of the hexagon"}
    entry = str(uuid7())
    first = put(plug, 2, MARKS, entry)
    assert first.status_code == 201
    assert first.json()["verdict"]["reasons"][0].startswith("turned 187.5° in all, ± 6.1° (95 %)")
    assert put(plug, 2, MARKS, entry).status_code == 200, "the same again"
    assert put(plug, 2, {**MARKS, "end": "8"}, entry).status_code == 409, "other content"


@pytest.mark.parametrize(
    "reading",
    [
        {**MARKS, "end": "25"},
        {**MARKS, "turns": -1},
        {**MARKS, "turning": "left"},
        {**MARKS, "step": "wide"},
        {"kind": "gauge", "value": "90", "play": "-3"},
        {"kind": "phone", "value": "90", "u": "none"},
        {"kind": "stretch", "free": [], "tight": ["1"], "unit": "mm", "step": "0.01"},
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_stored(
    plug: TestClient, workshop: Workshop, reading: dict[str, Any]
) -> None:
    assert put(plug, 2, reading).status_code == 422
    with Store.open(workshop.folder, write=False) as store:
        assert sum(entry["kind"] == "pull" for entry in store.entries(job=PLUG)) == 1


def test_a_phones_recording_is_reckoned_as_the_library_does(client: TestClient) -> None:
    made = recorded_phone(7)
    rows = [
        [float(t), *map(float, w), *map(float, g)]
        for t, w, g in zip(made.time, made.rates, made.gravity, strict=True)
    ]
    found = client.post("/api/phone-angle", json={"rows": rows})
    assert found.status_code == 200
    told = found.json()
    assert abs(float(told["angle"]) - made.turned) < 2 * float(told["u"])
    assert told["swings"] == made.swings
    assert client.post("/api/phone-angle", json={"rows": rows[:5]}).status_code == 422
    still = [[k / 100, 0, 0, 0, 0, 0, 9.8] for k in range(100)]
    refused = client.post("/api/phone-angle", json={"rows": still})
    assert "did not turn" in refused.json()["error"]


def test_a_phones_row_is_turned_into_its_own_axes() -> None:
    told = evaluate(
        "phone-rows.js",
        "[m.rowOf(1, {alpha: 3, beta: 1, gamma: 2}, {x: 4, y: 5, z: 6}), "
        "m.rowOf(1, {alpha: null, beta: 1, gamma: 2}, null), "
        "m.tidied([[0], [0], [1], [0.5], [2]])]",
    )
    assert told == [[1, 1, 2, 3, 4, 5, 6], None, [[0], [1], [2]]]


def test_marks_by_touch_and_a_second_person(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/jobs/{PLUG}")
    page.get_by_role("button", name=re.compile("^Begin")).first.tap()
    page.wait_for_selector("bench-page[data-ready]")
    page.get_by_role("button", name="Done").tap()
    page.wait_for_selector("bench-page[data-ready][data-mode=result] pull-verdict .main")
    page.get_by_role("button", name="Go on").tap()
    expect(page.locator(".target-asked")).to_have_text("mark from 12 to 6 o'clock")
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    last = page.locator("pulls-ahead").bounding_box()
    assert last is not None
    assert last["y"] + last["height"] <= 844, "all of the pull stands on the screen"
    page.get_by_role("button", name="Keys").tap()
    for key in ("4", "Minus", "5", "Decimal mark", "2"):
        page.get_by_role("button", name=key, exact=True).tap()
    page.locator("key-pad").get_by_role("button", name="Done").tap()
    expect(page.locator("#figure")).to_have_value("-45.2")
    page.get_by_role("button", name="By marks, dial or phone").tap()
    assert complaints(page) == []
    take = page.locator("by-marks .main")
    box = take.bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= 844
    take.tap()
    expect(page.locator(".mark-told")).to_have_text("Touch first where the mark stands now.")
    dial = page.locator("mark-dial svg").bounding_box()
    assert dial is not None
    page.touchscreen.tap(dial["x"] + dial["width"] * 0.51, dial["y"] + dial["height"] * 0.9)
    expect(page.locator(".mark-told")).to_have_text("That is 180°, ± 6° as an eye reads it.")
    page.locator("mark-dial").press("ArrowRight")
    expect(page.locator(".mark-told")).to_contain_text("187.5°")
    take.tap()
    page.wait_for_selector("bench-page[data-ready][data-mode=result] pull-verdict .main")
    page.get_by_role("button", name="A second person reads").tap()
    expect(page.locator("dialog[open]")).not_to_contain_text("mark from")
    expect(page.locator("dialog[open] say-aloud")).to_have_count(0)
    page.locator("mark-dial").press("ArrowUp")
    page.locator("by-marks .main").tap()
    expect(page.locator("bench-page > .hands > .notice")).to_contain_text("They differ: 187.5°")
    expect(page.locator("bench-page")).to_have_attribute("data-mode", "pull")
    with Store.open(workshop.folder, write=False) as store:
        bodies = [e["body"] for e in store.entries(job=PLUG) if e["kind"] == "reading_confirmed"]
    assert [one["agrees"] for one in bodies] == [False]


def to_the_turn(page: Page, address: str) -> None:
    """Open the plug's job and go on to the turn of 180 degrees."""
    page.goto(f"{address}/jobs/{PLUG}")
    page.get_by_role("button", name=re.compile("^Begin")).first.tap()
    page.wait_for_selector("bench-page[data-ready]")
    page.get_by_role("button", name="Done").tap()
    page.wait_for_selector("bench-page[data-ready][data-mode=result] pull-verdict .main")
    page.get_by_role("button", name="Go on").tap()
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    page.get_by_role("button", name="By marks, dial or phone").tap()


MOVED = """(rows) => {
  const real = performance.now.bind(performance);
  for (const [t, x, y, z, ...g] of rows) {
    performance.now = () => 1e6 + 1000 * t;
    dispatchEvent(new DeviceMotionEvent("devicemotion", {
      rotationRate: { beta: x, gamma: y, alpha: z },
      accelerationIncludingGravity: { x: g[0], y: g[1], z: g[2] },
    }));
  }
  performance.now = real;
}"""


def test_a_phone_on_the_handle_and_a_dial(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    to_the_turn(page, nearby.address)
    page.get_by_role("button", name="Phone", exact=True).tap()
    page.get_by_role("button", name="Begin to record").tap()
    page.get_by_role("button", name="End the recording").tap()
    expect(page.locator(".phone-told")).to_contain_text("The sensor told nothing")
    made = recorded_phone(7)
    rows = np.column_stack((made.time, made.rates, made.gravity)).tolist()
    page.get_by_role("button", name="Begin to record").tap()
    page.evaluate(MOVED, rows)
    page.get_by_role("button", name="End the recording").tap()
    expect(page.locator(".phone-told")).to_contain_text(re.compile(r"° ± \d+° \(95 %\), swings:"))
    page.get_by_role("button", name="Dial", exact=True).tap()
    assert complaints(page) == []
    page.get_by_role("button", name="Take this angle").last.tap()
    expect(page.locator("dialog[open] .wrong")).to_contain_text("Type the figure you read")
    page.get_by_label("The dial shows, °").fill("181,5")
    page.get_by_label("while pulling", exact=True).tap()
    page.get_by_role("button", name="Take this angle").last.tap()
    expect(page.locator("pull-verdict")).to_contain_text("Turned 181.5° in all, ± 3.8° (95 %)")
    with Store.open(workshop.folder, write=False) as store:
        readings = [e["body"]["reading"] for e in store.entries(job=PLUG) if e["kind"] == "pull"]
    assert (readings[-1]["kind"], readings[-1]["held"]) == ("gauge", "loaded")


def test_where_the_page_is_not_secure_the_phone_says_so(handset: Any, nearby: Any) -> None:
    handset.page.add_init_script(
        "Object.defineProperty(window, 'isSecureContext', { get: () => false });"
    )
    to_the_turn(handset.page, nearby.address)
    handset.page.get_by_role("button", name="Phone", exact=True).tap()
    told = handset.page.locator(".phone-told")
    expect(told).to_contain_text("the browser withholds the rotation sensor")
    way = handset.page.get_by_role("link", name="What works here, and how to get the rest")
    expect(way).to_have_attribute("href", "/extras")
