"""The live channel: a recorded pull comes in by the socket and is taken like any recorded pull."""

from __future__ import annotations

import asyncio
import json
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketState

from clampwright.bench.folder import Workshop
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.session import Session
from clampwright.store import Store
from clampwright.trace.reading import read_csv
from clampwright.web.desk import Desk
from clampwright.web.live import LiveRoom

ADDRESS = "ws://127.0.0.1:8123/live/trailer-wheel"
PULL = {"joint": "wheel", "stage": 2, "fastener": 1}


def recorded(place: Workshop) -> tuple[bytes, list[list[float]]]:
    """A pull of stage 2 as a file, and as the samples of a wrench."""
    with Store.open(place.folder, write=False) as store:
        session = Session(store, "trailer-wheel", place.papers)
        mechanic = SimulatedMechanic(session.plan, seed=3)
        due = session.next()
        assert due is not None
        assert due.key.stage == 2
        data = mechanic.pull(due).trace
        assert data is not None
    trace = read_csv(data, "pull")
    rows = np.column_stack((trace.time, trace.torque, trace.angle)).tolist()
    return data, rows


def hear(socket: Any, name: str) -> Any:
    """The next message of a kind."""
    for _ in range(400):
        told = socket.receive_json()
        if name in told:
            return told[name]
    raise AssertionError(f"no {name} was heard")


def hear_growth(socket: Any, size: int) -> None:
    """Hear that the log has so many entries; a slow server tells of earlier ones too."""
    while (told := hear(socket, "changed")) < size:
        pass
    assert told == size


@pytest.fixture
def second_stage(opened: TestClient, wheel: Any) -> TestClient:
    wheel.settle(opened, 1)
    return opened


def test_a_pull_over_the_socket_is_what_the_same_file_is(
    second_stage: TestClient, workshop: Workshop, wheel: Any
) -> None:
    data, rows = recorded(workshop)
    entry = wheel.entry()
    with (
        second_stage.websocket_connect(ADDRESS) as page,
        second_stage.websocket_connect(ADDRESS) as wrench,
    ):
        wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": entry})
        for start in range(0, len(rows), 40):
            wrench.send_json({"samples": rows[start : start + 40]})
        wrench.send_json({"end": True})
        live = hear(page, "live")
        assert (live["fastener"], live["unit"], live["entry"]) == (1, "N·m", entry)
        taken = hear(page, "taken")
    assert taken["verdict"] == "within"
    with Store.open(workshop.folder, write=False) as store:
        kept = store.get(entry)
    body = kept["body"]
    assert workshop.papers.read(body["reading"]["paper"]) == data
    with Store.open(workshop.folder) as store:
        session = Session(store, "trailer-wheel", workshop.papers)
        key = session.state.pulls[-1].key
        found = session.trace_reading(key, data, "file", "electronic-200").found
    assert [str(reason) for reason in found.reasons] == taken["reasons"][: len(found.reasons)]
    chart = second_stage.get(f"/api/jobs/trailer-wheel/pulls/{entry}/chart").json()
    assert chart["$schema"].endswith("v6.json")
    assert chart["title"]["text"] == "WITHIN"


def feed(wrench: Any, rows: list[list[float]], entry: str, size: int = 1) -> list[dict[str, Any]]:
    """Send a pull sample by sample and hear an answer to each message."""
    wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": entry, "answers": True})
    heard = []
    for start in range(0, len(rows), size):
        wrench.send_json({"samples": rows[start : start + size]})
        heard.append(hear(wrench, "now"))
    return heard


@pytest.mark.parametrize("size", [1, 7])
def test_a_wrench_that_asks_is_answered_with_where_it_stands(
    second_stage: TestClient, workshop: Workshop, wheel: Any, size: int
) -> None:
    data, rows = recorded(workshop)
    rows = rows[:: 1 if size > 1 else 4]
    with second_stage.websocket_connect(ADDRESS) as wrench:
        heard = feed(wrench, rows, wheel.entry(), size)
        wrench.send_json({"end": True})
        taken = hear(wrench, "taken")
    assert taken["verdict"] == "within"
    known = [now for now in heard if now]
    assert len(known) >= len(heard) - 8
    says = [now["say"] for now in known]
    assert says.index("turn") < says.index("slow_down") < says.index("stop")
    events = [name for now in known for name in now["events"]]
    assert [name for name in events if name in {"snug", "target"}] == ["snug", "target"]
    assert events[-1] == "stroke_ended"
    assert known[-1]["share"] <= 1.0
    before = next(now for now in known if now["say"] == "slow_down")
    assert 0.0 < before["remaining_deg"] < 40.0
    assert data  # the pull is there


def test_pages_hear_what_the_hand_should_do_and_what_happened(
    second_stage: TestClient, workshop: Workshop, wheel: Any
) -> None:
    _data, rows = recorded(workshop)
    with (
        second_stage.websocket_connect(ADDRESS) as page,
        second_stage.websocket_connect(ADDRESS) as wrench,
    ):
        wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
        for start in range(0, len(rows), 10):
            wrench.send_json({"samples": rows[start : start + 10]})
        wrench.send_json({"end": True})
        told = []
        while "taken" not in (message := page.receive_json()):
            if "live" in message:
                told.append(message["live"])
    says = [live["say"] for live in told]
    assert says[0] == "turn"
    assert says.index("slow_down") < says.index("stop")
    stop = told[says.index("stop")]
    assert stop["told"] == "stop: the target is reached"
    assert stop["rest"] == ""
    assert "° to go" in told[says.index("slow_down")]["rest"]
    assert any("the stroke has ended" in live["happened"] for live in told)


def test_a_socket_that_slips_is_told_while_it_happens(second_stage: TestClient, wheel: Any) -> None:
    rows = [[0.01 * i, min(0.5 * i, 70.0), 0.3 * i] for i in range(120)]
    rows += [[1.2 + 0.01 * i, 0.2, 36.0 + 4.0 * i] for i in range(30)]
    with second_stage.websocket_connect(ADDRESS) as wrench:
        heard = feed(wrench, rows, wheel.entry())
        wrench.send_json({"cancel": True})
        assert "broken off" in hear(wrench, "stopped")
    assert "slipped" in [name for now in heard if now for name in now["events"]]
    assert heard[-1]["say"] == "back_off"


def test_one_sample_a_message_and_several_lines_do_as_well(
    second_stage: TestClient, workshop: Workshop, wheel: Any
) -> None:
    _data, rows = recorded(workshop)
    with second_stage.websocket_connect(ADDRESS) as wrench:
        wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
        lines = [json.dumps({"t": t, "torque": q, "angle": a}) for t, q, a in rows]
        for start in range(0, len(lines), 100):
            wrench.send_text("\n".join(lines[start : start + 100]))
        wrench.send_json({"end": True})
        assert hear(wrench, "taken")["verdict"] == "within"


@pytest.mark.parametrize(
    ("messages", "says"),
    [
        (["[1, 2]"], "one JSON object a line"),
        (["{"], "one JSON object a line"),
        (['{"t": NaN, "torque": 1, "angle": 0}'], "one JSON object a line"),
        (['{"t": 0, "torque": 1, "angle": 0}'], "no pull was begun"),
        (["x" * 70_000], "at most 60000 signs"),
        (['{"pull": {"joint": "wheel"}, "tool": "electronic-200"}'], "pull.stage"),
        (["{start}", '{"t": 0.1, "torque": 1}'], "numbers"),
        (["{start}", '{"t": 0.1, "torque": "1", "angle": 0}'], "numbers"),
        (["{start}", '{"t": 0.1, "torque": true, "angle": 0}'], "numbers"),
        (["{start}", '{"samples": 7}'], "numbers"),
        (["{start}", '{"samples": [[0.2, 1, 1], [0.1, 1, 1]]}'], "must rise"),
        (["{start}", "{start}"], "another wrench is pulling"),
    ],
)
def test_what_is_no_pull_is_told_and_nothing_is_recorded(
    second_stage: TestClient, wheel: Any, messages: list[str], says: str
) -> None:
    start = json.dumps({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
    with second_stage.websocket_connect(ADDRESS) as wrench:
        for message in messages:
            wrench.send_text(message.replace("{start}", start))
        assert says in hear(wrench, "error")
    bench = second_stage.get("/api/jobs/trailer-wheel/bench").json()
    assert bench["pulls"]["done"] == 5


@pytest.mark.parametrize(
    ("pull", "tool", "says"),
    [
        ({**PULL, "fastener": 9}, "electronic-200", "no pull"),
        ({**PULL, "stage": 1}, "electronic-200", "done already"),
        (PULL, "click-150ft", "does not record"),
        (PULL, "hammer", "hammer"),
    ],
)
def test_a_pull_that_cannot_be_is_refused_at_its_start(
    second_stage: TestClient, wheel: Any, pull: dict[str, Any], tool: str, says: str
) -> None:
    with second_stage.websocket_connect(ADDRESS) as wrench:
        wrench.send_json({"pull": pull, "tool": tool, "entry": wheel.entry()})
        assert says in hear(wrench, "error")


def test_a_wrench_that_falls_silent_leaves_nothing_and_everybody_is_told(
    second_stage: TestClient, wheel: Any
) -> None:
    with second_stage.websocket_connect(ADDRESS) as page:
        with second_stage.websocket_connect(ADDRESS) as wrench:
            wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
            wrench.send_json({"t": 0.0, "torque": 5.0, "angle": 0.0})
            hear(page, "live")
        assert "fell silent" in hear(page, "stopped")
    assert second_stage.get("/api/jobs/trailer-wheel/bench").json()["pulls"]["done"] == 5


def test_a_pull_broken_off_or_too_short_is_told(second_stage: TestClient, wheel: Any) -> None:
    for last, says in (({"cancel": True}, "broken off"), ({"end": True}, "at least 2 samples")):
        with second_stage.websocket_connect(ADDRESS) as wrench:
            wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
            wrench.send_json({"t": 0.0, "torque": 5.0, "angle": 0.0})
            wrench.send_json(last)
            assert says in hear(wrench, "stopped")


def test_a_whole_pull_waits_for_a_terminal_to_finish(
    second_stage: TestClient, workshop: Workshop, wheel: Any
) -> None:
    _data, rows = recorded(workshop)
    with second_stage.websocket_connect(ADDRESS) as wrench:
        with Store.open(workshop.folder):
            wrench.send_json({"pull": PULL, "tool": "electronic-200", "entry": wheel.entry()})
            wrench.send_json({"samples": rows[:900]})
            wrench.send_json({"samples": rows[900:]} if rows[900:] else {"samples": []})
            wrench.send_json({"end": True})
            assert "kept" in hear(wrench, "waiting")
        assert hear(wrench, "taken")["verdict"] == "within"


def test_the_simulated_wrench_goes_the_same_way(second_stage: TestClient, wheel: Any) -> None:
    entry = wheel.entry()
    with second_stage.websocket_connect(ADDRESS) as page:
        answer = second_stage.post(
            "/api/jobs/trailer-wheel/simulated", json={**PULL, "entry": entry}
        )
        assert answer.status_code == 202
        assert hear(page, "live")["entry"] == entry
        taken = hear(page, "taken")
    assert (taken["entry"], taken["recorded"]) == (entry, True)
    assert taken["verdict"] == "within"


def test_the_simulated_wrench_is_for_invented_jobs_only(
    client: TestClient, workshop: Workshop, wheel: Any
) -> None:
    file = workshop.jobs / "trailer-wheel.toml"
    file.write_text(file.read_text("utf-8").replace("invented = true", "invented = false"), "utf-8")
    assert client.post("/api/jobs/trailer-wheel/opening").status_code == 201
    wheel.settle(client, 1)
    answer = client.post("/api/jobs/trailer-wheel/simulated", json={**PULL, "entry": wheel.entry()})
    assert answer.status_code == 409
    assert "invented" in answer.json()["error"]


def test_pages_hear_that_the_log_has_grown(opened: TestClient, wheel: Any) -> None:
    with opened.websocket_connect(ADDRESS) as page:
        wheel.put(opened, wheel.entry(), wheel.click(1))
        hear_growth(page, 3)


def test_pages_hear_what_a_terminal_wrote(
    opened: TestClient, workshop: Workshop, wheel: Any
) -> None:
    with opened.websocket_connect(ADDRESS) as page:
        with Store.open(workshop.folder) as store:
            session = Session(store, "trailer-wheel", workshop.papers)
            session.restart("wheel", 2, "loosened by hand", renewed=False)
        hear_growth(page, 3)
    assert wheel.kinds(workshop) == ["job_opened", "fastener_restarted"]


class Device:
    """A page as the room sees it; asleep it takes nothing and never answers."""

    application_state = WebSocketState.CONNECTED

    def __init__(self, *, asleep: bool) -> None:
        self.asleep = asleep
        self.heard: list[str] = []
        self.closed = False

    async def accept(self) -> None:
        pass

    async def send_text(self, text: str) -> None:
        if self.asleep:
            await asyncio.Event().wait()
        self.heard.append(text)

    async def receive_text(self) -> str:
        await asyncio.Event().wait()
        raise AssertionError

    async def close(self, code: int) -> None:
        self.closed = code == 1013


def test_a_device_that_sleeps_does_not_hold_up_the_others(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("clampwright.web.live.ASLEEP_AFTER", 0.05)

    async def told() -> tuple[Device, Device]:
        room = LiveRoom(Desk(workshop))
        asleep, awake = Device(asleep=True), Device(asleep=False)
        tasks = [
            asyncio.create_task(room.attend(one, "job"))  # type: ignore[arg-type]  # stands in
            for one in (asleep, awake)
        ]
        await asyncio.sleep(0)
        for number in range(20):
            await asyncio.wait_for(room.tell("job", {"changed": number}), 1.0)
        await asyncio.sleep(0)
        for task in tasks:
            task.cancel()
        await asyncio.gather(*tasks, return_exceptions=True)
        return asleep, awake

    # In a thread of its own: a browser's driver may have a loop running in this one.
    with ThreadPoolExecutor(1) as apart:
        asleep, awake = apart.submit(lambda: asyncio.run(told())).result()
    assert asleep.closed
    assert asleep.heard == []
    assert len(awake.heard) == 20
    assert not awake.closed


def test_a_page_that_was_let_go_is_not_listened_to(workshop: Workshop) -> None:
    """Its channel ends in good order, as after its own closing."""
    gone = Device(asleep=False)
    gone.application_state = WebSocketState.DISCONNECTED

    async def attended() -> None:
        await asyncio.wait_for(LiveRoom(Desk(workshop)).attend(gone, "job"), 5.0)  # type: ignore[arg-type]  # stands in

    with ThreadPoolExecutor(1) as apart:
        apart.submit(lambda: asyncio.run(attended())).result()
    assert not gone.heard
