"""The page on who outside is told: turned on, shown once, tried, turned off; sent by the server."""

from __future__ import annotations

import asyncio
import datetime as dt
import json
import logging
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from clampwright.bench import outbox, telling
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.outbox import read_outbox
from clampwright.bench.reach import Target
from clampwright.errors import StoreFull
from clampwright.proof.ids import uuid7
from clampwright.store.lock import WriterLock
from clampwright.web import telling_pages
from clampwright.web.telling_pages import sending
from clampwright.words import words

DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
URL = "http://127.0.0.1:9/told?token=not-to-be-shown"


def turn_on(client: TestClient, **more: Any) -> Any:
    body = {"name": "board", "url": URL, "about": ["job_closed"], "inside": True, "device": DEVICE}
    return client.put(f"/api/tellings/{uuid7()}", json={**body, **more})


def test_turned_on_tried_and_turned_off(client: TestClient, workshop: Workshop) -> None:
    assert "Nobody outside is told anything" in client.get("/telling").text
    made = turn_on(client)
    assert made.status_code == 201, made.text
    secret, receiver = made.json()["secret"], made.json()["receiver"]
    assert turn_on(client).status_code == 409, "the name is taken"
    tried = client.post(f"/api/tellings/{receiver}/trial", json={"device": DEVICE})
    assert tried.status_code == 200
    page = client.get("/telling").text
    assert "http://127.0.0.1:9" in page
    assert secret not in page
    assert "not-to-be-shown" not in page
    assert len(read_outbox(workshop.folder).receivers[0].waiting) == 1
    for _ in range(2):
        ended = client.post(f"/api/tellings/{receiver}/end", json={"device": DEVICE})
    assert ended.status_code == 422, ended.text
    assert read_outbox(workshop.folder).receivers == []


def test_sent_twice_it_is_turned_on_once_and_the_secret_is_not_told_again(
    client: TestClient,
) -> None:
    entry = str(uuid7())
    body = {"name": "board", "url": URL, "about": ["job_closed"], "inside": True, "device": DEVICE}
    first, second = (client.put(f"/api/tellings/{entry}", json=body) for _ in range(2))
    assert (first.status_code, second.status_code) == (201, 200)
    assert "secret" not in second.json()


def test_what_could_not_be_written_down_is_not_told_to_be_on(
    client: TestClient, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    address = f"/api/tellings/{uuid7()}"
    body = {"name": "board", "url": URL, "about": ["job_closed"], "inside": True, "device": DEVICE}

    def full(*_args: object) -> None:
        raise StoreFull(words("no room"))

    monkeypatch.setattr(outbox, "PATIENCE", 0.0)
    lock = WriterLock(workshop.folder / "telling.lock")
    assert client.put(address, json=body).status_code == 503
    lock.release()
    with monkeypatch.context() as patched:
        patched.setattr(outbox, "write_outbox", full)
        assert client.put(address, json=body).status_code == 507, "the log had not taken it before"
    again = client.put(address, json=body)
    assert again.status_code == 409
    assert "turn it on anew" in again.json()["error"]
    assert turn_on(client).status_code == 201


@pytest.mark.parametrize(
    "more",
    [{"url": "https://127.0.0.1/x", "inside": False}, {"about": []}, {"about": ["all"]},
     {"url": "x"}, {"name": "<b>"}, {"inside": "yes"}, {"more": 1}],
)  # fmt: skip
def test_what_cannot_be_turned_on_is_said_in_one_sentence(
    client: TestClient, workshop: Workshop, more: dict[str, Any]
) -> None:
    refused = turn_on(client, **more)
    assert refused.status_code in {404, 409, 422}, refused.text
    assert refused.json()["error"]
    assert read_outbox(workshop.folder).receivers == []


class Heard(logging.Handler):
    """Tells that a line was logged."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: list[str] = []
        self.heard = asyncio.Event()

    def emit(self, record: logging.LogRecord) -> None:
        self.lines.append(record.getMessage())
        self.heard.set()


def test_the_server_sends_by_itself_and_logs_what_was_not_taken(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    got: list[str] = []

    def deliver(_to: Target, _fields: Any, body: bytes, *, seconds: float) -> int:
        got.append(json.loads(body)["about"])
        return 503 if seconds else 204

    async def run() -> list[str]:
        heard = Heard()
        telling_pages.log.addHandler(heard)
        try:
            async with sending(workshop.folder, lambda: dt.datetime.now(dt.UTC), look_every=0.01):
                await asyncio.to_thread(_begin_and_close, workshop.folder)
                await asyncio.wait_for(heard.heard.wait(), 20)
        finally:
            telling_pages.log.removeHandler(heard)
        return heard.lines

    monkeypatch.setattr(telling, "deliver", deliver)
    with ThreadPoolExecutor(1) as another:  # the browser's driver keeps a loop in this thread
        lines = another.submit(lambda: asyncio.run(run())).result()
    assert lines == ["receiver board: it answered 503"]
    assert got == ["job_closed"]


def _begin_and_close(folder: Path) -> None:
    with open_store(Workshop(folder), create=True) as store:
        telling.begin_telling(store, folder, name="board", url=URL, about=("job_closed",),
                              inside=True)  # fmt: skip
        store.append("job_closed", {}, job="trailer-wheel")
