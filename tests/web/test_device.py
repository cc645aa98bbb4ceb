"""The device on the server's serial line: a pull it records, a plug that is pulled, the page."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any, cast

import pytest
from cable import Cable
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient
from tests.web.conftest import HOST, JOB, OWN
from tests.web.test_bench_page import begin, do_first_stage
from tests.web.test_live import ADDRESS, PULL, hear, recorded

from clampwright.bench.acting import acting, present
from clampwright.bench.device_file import Device, keep_device
from clampwright.bench.folder import Workshop
from clampwright.store import Store
from clampwright.store.writing import Actor
from clampwright.trace.line_stream import LineStream
from clampwright.web import device_pages, device_room
from clampwright.web.app import App, create_app
from clampwright.web.live_peaks import LivePeaks

FORM = "begins R:; separator semicolon; time 1 ms; torque 2 N·m; angle 3 deg"


@pytest.fixture
def cable(tmp_path: Path) -> Iterator[Cable]:
    found = Cable(tmp_path)
    yield found
    found.pull()


@pytest.fixture
def app(workshop: Workshop, cable: Cable) -> App:
    device = Device(port=cable.port, lines=FORM, tool="electronic-200", rest_s=2.5)
    keep_device(workshop.folder, device)
    return create_app(workshop.folder, hosts=[HOST], patience=0.2)


@pytest.fixture
def ready(opened: TestClient, wheel: Any) -> TestClient:
    """The wheel job at its second stage, the port open."""
    wheel.settle(opened, 1)
    pause = threading.Event()
    for _ in range(1000):
        if opened.get("/api/device").json()["open"]:
            return opened
        pause.wait(0.01)
    raise AssertionError(opened.get("/api/device").json())


def arm(client: TestClient, entry: str) -> Any:
    body = {"pull": PULL, "tool": "electronic-200", "entry": entry}
    return client.post(f"/api/jobs/{JOB}/device-pulls", json=body)


def lines(place: Workshop) -> bytes:
    _data, rows = recorded(place)
    rest = [[rows[-1][0] + 0.1 * k, 0.0, rows[-1][2]] for k in range(1, 30)]
    text = [f"R:{1000 * t:.0f};{torque:.2f};{angle:.2f}" for t, torque, angle in rows[::3] + rest]
    return "\r\n".join([*text, ""]).encode()


def test_the_device_records_a_pull_a_page_asked_for(
    ready: TestClient, workshop: Workshop, wheel: Any, cable: Cable
) -> None:
    data, entry = lines(workshop), wheel.entry()
    bench = ready.get(f"/api/jobs/{JOB}/bench").json()
    assert bench["device"] == {"tool": "electronic-200", "problem": ""}
    cable.send(b"R:1;500;9\r\n")  # between pulls: nobody's
    with ready.websocket_connect(ADDRESS) as page:
        assert arm(ready, entry).status_code == 202
        assert arm(ready, wheel.entry()).status_code == 409, "one pull at a time"
        half = len(data) // 2 + 7  # in the middle of a line
        cable.send(data[:half])
        cable.send(data[half:])
        taken = hear(page, "taken")
    assert taken["verdict"] == "within", taken["reasons"]
    assert taken["entry"] == entry
    with Store.open(workshop.folder, write=False) as store:
        assert store.get(entry)["body"]["reading"]["kind"] == "trace"


def test_what_comes_between_pulls_is_shown_to_practise_by_and_kept_nowhere(
    ready: TestClient, workshop: Workshop, wheel: Any, cable: Cable
) -> None:
    kinds = wheel.kinds(workshop)
    pause = threading.Event()
    cable.send(b"R:1;18.0;9\r\nready\r\nR:2;24.5;12\r\n")
    for _ in range(1000):
        if shown := ready.get("/api/practice/live").json()["sources"]:
            break
        pause.wait(0.01)
    assert [(one["name"], one["highest"]) for one in shown] == [("electronic-200", "24.5 N·m")]
    assert wheel.kinds(workshop) == kinds


def test_a_plug_pulled_in_the_middle_leaves_nothing_and_everybody_is_told(
    ready: TestClient, workshop: Workshop, wheel: Any, cable: Cable
) -> None:
    data = lines(workshop)
    with ready.websocket_connect(ADDRESS) as page:
        assert arm(ready, wheel.entry()).status_code == 202
        cable.send(data[: len(data) // 2])
        hear(page, "live")
        cable.pull()
        assert "nothing was recorded" in hear(page, "stopped")
    refused = arm(ready, wheel.entry())
    assert refused.status_code == 409
    assert "the device is not there" in refused.json()["error"]
    assert wheel.kinds(workshop).count("pull") == 5


def test_a_failure_of_the_program_ends_the_pull_and_everybody_is_told(
    ready: TestClient, workshop: Workshop, wheel: Any, cable: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    def failing(*_given: object) -> None:
        raise RuntimeError("spring broke")

    with ready.websocket_connect(ADDRESS) as page:
        assert arm(ready, wheel.entry()).status_code == 202
        monkeypatch.setattr(LineStream, "take", failing)
        cable.send(lines(workshop)[:400])
        assert "nothing was recorded" in hear(page, "stopped")
    monkeypatch.undo()
    assert arm(ready, wheel.entry()).status_code == 202, "the next pull is recorded again"


def test_a_pull_that_waits_can_be_broken_off(ready: TestClient, wheel: Any) -> None:
    with ready.websocket_connect(ADDRESS) as page:
        arm(ready, wheel.entry())
        assert ready.get("/api/device").json()["pulling"]
        ready.post("/api/device/break-off", json={})
        assert "broken off" in hear(page, "stopped")
    assert not ready.get("/api/device").json()["pulling"]


def test_nobody_waits_for_ever(
    ready: TestClient, wheel: Any, cable: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(device_room, "GIVEN_UP_AFTER", 0.1)
    with ready.websocket_connect(ADDRESS) as page:
        arm(ready, wheel.entry())
        assert "broken off" in hear(page, "stopped"), "no torque came"
        monkeypatch.setattr(device_room, "GIVEN_UP_AFTER", 120.0)
        monkeypatch.setattr(device_room, "SILENT_AFTER", 0.1)
        arm(ready, wheel.entry())
        cable.send(b"R:1;1;0\r\nR:2;50;1\r\n")
        assert "fell silent" in hear(page, "stopped")


def test_the_page_says_how_it_stands_and_what_is_wrong(
    ready: TestClient, cable: Cable, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert "It is open, and nothing came yet" in ready.get("/device").text
    monkeypatch.setattr(device_pages, "_SECONDS", 0.1)
    missing = ready.post("/device", data={"port": "/dev/no-such-port", "speed": "9600"})
    assert 'data-code="missing"' in missing.text
    cable.send(b"T=1 A=2\r\n" * 5)
    pause = threading.Event()
    for _ in range(500):
        if "lines came" in ready.get("/device").text:
            break
        pause.wait(0.01)
    monkeypatch.setattr(device_pages, "_SECONDS", 60.0)
    own = ready.post("/device", data={"port": cable.port, "speed": "9600", "lines": FORM})
    assert 'data-code="no_match"' in own.text
    assert "T=1 A=2" in own.text
    for asked in ({"port": "x", "speed": "fast"}, {"port": "x", "lines": "what"}):
        assert ready.post("/device", data=asked).status_code == 422


def test_a_server_without_a_device(workshop: Workshop, wheel: Any) -> None:
    app = create_app(workshop.folder, hosts=[HOST])
    with TestClient(app, base_url=OWN, headers={"origin": OWN}) as client:
        assert "this workshop has no device.toml" in client.get("/device").text.lower()
        client.post(f"/api/jobs/{JOB}/opening")
        assert arm(client, wheel.entry()).status_code == 409
        assert client.get(f"/api/jobs/{JOB}/bench").json()["device"] is None


@pytest.fixture
def plugged(workshop: Workshop, cable: Cable) -> Workshop:
    """The workshop with a device, before its server starts."""
    keep_device(workshop.folder, Device(port=cable.port, lines=FORM, tool="electronic-200"))
    return workshop


def test_a_bench_page_lets_the_device_record(
    plugged: Workshop, handset: Any, nearby: Any, cable: Cable
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    do_first_stage(plugged)
    page.reload()
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    page.get_by_role("button", name="From the device").tap()
    page.get_by_role("button", name="Break off").tap()
    expect(page.locator("bench-page > .hands > .notice")).to_contain_text("nothing was recorded")
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    page.get_by_role("button", name="From the device").tap()
    page.wait_for_selector("bench-page[data-mode=live]")
    cable.send(lines(plugged))
    expect(page.locator("pull-verdict")).to_contain_text("within", ignore_case=True)


def test_the_entry_is_by_the_hand_that_asked_for_it(cable: Cable) -> None:
    """The port is read by nobody in particular; the pull is somebody's all the same."""
    fitter = Actor("p-1", "mechanic", "session")
    heard: list[tuple[str, Actor | None]] = []
    over = asyncio.Event()

    class Room:
        async def receive(self, _job: str, _source: object, message: dict[str, Any]) -> None:
            heard.append((next(iter(message)), present()))
            if "end" in message:
                over.set()

    async def pull() -> None:
        device = Device(port=cable.port, lines="time 1 ms; torque 2 N·m; angle 3 deg", rest_s=0.5)
        room = device_room.DeviceRoom(cast("Any", Room()), device, LivePeaks())
        async with room.listening():
            while room.line is None or not room.line.state.open:  # noqa: ASYNC110 - a thread opens it
                await asyncio.sleep(0.01)
            with acting(fitter):
                await room.arm("job", PULL, "electronic-200", "e-1")
            rows = [(100 * k, 10 * k, k) for k in range(9)]
            rows += [(900 + k, 0, 9) for k in range(0, 900, 90)]
            cable.send(b"".join(b"%d %d %d\n" % row for row in rows))
            await over.wait()

    aside = threading.Thread(target=lambda: asyncio.run(asyncio.wait_for(pull(), 30)))
    aside.start()  # a browser's loop may be running in this thread
    aside.join()
    assert [heard[0], heard[-1]] == [("pull", fitter), ("end", fitter)]
    assert {who for _what, who in heard} == {fitter}
