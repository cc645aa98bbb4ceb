"""A slow disk and lines that break off, seen from a device: sent again, everything is there once.

What else can fail is tried in other files; `docs/reference/faults.md` lists all of it.
"""

from __future__ import annotations

import json
import socket
import sqlite3
import threading
from typing import Any
from urllib.parse import urlsplit

import pytest
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.store import Store

JOB = "trailer-wheel"


class Slow(sqlite3.Connection):
    """A connection whose COMMIT takes as long as the test says."""

    begun = threading.Event()
    over = threading.Event()

    def commit(self) -> None:
        if self.in_transaction and not self.over.is_set():
            self.begun.set()
            assert self.over.wait(60)
        super().commit()


def test_a_slow_disk_is_waited_for_and_pages_are_shown_meanwhile(
    opened: TestClient, wheel: Any, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = sqlite3.connect

    def connect(*arguments: Any, **named: Any) -> sqlite3.Connection:
        return real(*arguments, **named, factory=Slow)

    monkeypatch.setattr(Slow, "begun", threading.Event())
    monkeypatch.setattr(Slow, "over", threading.Event())
    monkeypatch.setattr("clampwright.store.engine.sqlite3.connect", connect)
    entry, answers = wheel.entry(), list[Any]()

    def send() -> None:
        answers.append(wheel.put(opened, entry, wheel.click(1)))

    sender = threading.Thread(target=send)
    sender.start()
    try:
        assert Slow.begun.wait(60)
        assert opened.get("/formulas").status_code == 200
        assert answers == [], "no receipt before the disk has it"
    finally:
        Slow.over.set()
        sender.join()
    assert [answer.status_code for answer in answers] == [201]
    assert wheel.put(opened, entry, wheel.click(1)).status_code == 200, "it is there, once"
    assert wheel.kinds(workshop) == ["job_opened", "pull"]


def request_for(address: str, method: str, path: str, body: bytes) -> tuple[bytes, bytes]:
    """The head and the body of a request as they go over the line."""
    host = urlsplit(address).netloc
    head = (
        f"{method} {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: {address}\r\n"
        f"Content-Type: application/json\r\nContent-Length: {len(body)}\r\n"
        "Connection: close\r\n\r\n"
    )
    return head.encode(), body


def sent(address: str, data: bytes, *, hear: bool) -> bytes:
    """Send bytes, and hear the answer or hang up without having heard it."""
    there = urlsplit(address)
    assert there.hostname is not None
    with socket.create_connection((there.hostname, there.port or 80), timeout=30) as line:
        line.sendall(data)
        heard = b""
        while hear and (piece := line.recv(65536)):
            heard += piece
        return heard


def test_a_line_that_breaks_off_leaves_all_or_nothing(
    nearby: Any, wheel: Any, workshop: Workshop
) -> None:
    head, body = request_for(nearby.address, "POST", f"/api/jobs/{JOB}/opening", b"")
    assert b" 201 " in sent(nearby.address, head + body, hear=True)
    entry = wheel.entry()
    path, pull = f"/api/jobs/{JOB}/pulls/{entry}", json.dumps(wheel.click(1)).encode()
    head, body = request_for(nearby.address, "PUT", path, pull)
    for cut in (len(body) // 2, len(body) - 1):
        sent(nearby.address, head + body[:cut], hear=False)
    # Whole, but the sender was gone before the answer: it may be there, and never twice.
    sent(nearby.address, head + body, hear=False)
    for _ in range(2):
        heard = sent(nearby.address, head + body, hear=True)
        assert heard.split(b"\r\n")[0].split(b" ")[1] in {b"200", b"201"}
    assert b" 200 " in heard.split(b"\r\n")[0]
    assert wheel.kinds(workshop) == ["job_opened", "pull"]
    with Store.open(workshop.folder, write=False) as store:
        assert store.check() == 3
