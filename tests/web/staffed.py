"""A workshop with people who sign in, and devices on it, behind clients."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass, field
from typing import Any

from argon2.profiles import CHEAPEST
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.passwords import Hashing
from clampwright.bench.people import People
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.app import App, create_app

HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"
JOB = "trailer-wheel"
CHEAP = Hashing(CHEAPEST)
PASSWORD = "four plain words here"  # noqa: S105 - invented, for tests
PINS = {"A. Chief": "2741", "B. Fitter": "8305", "C. Learner": "6174"}


class Clock:
    def __init__(self) -> None:
        self.now = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        return self.now

    def later(self, seconds: float) -> None:
        self.now += dt.timedelta(seconds=seconds)


@dataclass
class Bench:
    """A workshop with three people, and devices on it."""

    place: Workshop
    app: App
    clock: Clock
    ids: dict[str, str]
    clients: list[TestClient] = field(default_factory=list)

    def device(self, **headers: str) -> TestClient:
        found = TestClient(
            self.app,
            base_url=OWN,
            headers={"origin": OWN, **headers},
            raise_server_exceptions=False,
            follow_redirects=False,
        )
        self.clients.append(found)
        return found

    def enrolled(self) -> TestClient:
        found = self.device()
        body = {"name": "A. Chief", "password": PASSWORD, "called": "tablet at bay 2"}
        assert found.post("/api/devices", json=body).status_code == 201
        return found

    def tap(self, client: TestClient, name: str, pin: str | None = None) -> Any:
        body = {"person": self.ids[name], "pin": pin or PINS[name]}
        return client.post("/api/session/pin", json=body)

    def signature(self, client: TestClient, name: str, act: str, entry: str) -> str:
        body = {"person": self.ids[name], "secret": PINS[name], "act": act, "entry": entry}
        answer = client.post("/api/signatures", json=body)
        assert answer.status_code == 201, answer.text
        return str(answer.json()["signature"])

    def made_by(self, entry: str) -> Any:
        with Store.open(self.place.folder, write=False) as store:
            return store.get(entry)["body"].get("made_by")


def staffed(workshop: Workshop) -> Bench:
    """Return a workshop in which three people sign in: chief, mechanic and apprentice."""
    clock = Clock()
    with Store.open(workshop.folder, create=True, clock=clock) as store:
        people = People(store, workshop.folder, CHEAP)
        ids = {
            "A. Chief": people.add("A. Chief", "administrator", password=PASSWORD, pin="2741").id,
            "B. Fitter": people.add("B. Fitter", "mechanic", pin="8305").id,
            "C. Learner": people.add("C. Learner", "apprentice", pin="6174").id,
        }
    app = create_app(
        workshop.folder, hosts=[HOST], clock=clock, patience=0.2, sign_in=True, hashing=CHEAP
    )
    return Bench(workshop, app, clock, ids)


def open_job(client: TestClient) -> None:
    assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201


def pull(wheel: Any, fastener: int, at: str = "2026-10-05T08:00:00.000Z", **device: Any) -> Any:
    body = wheel.click(fastener)
    return {**body, "device": {**body["device"], "time": at, **device}}


def put(client: TestClient, way: str, body: Any, entry: str | None = None, **headers: str) -> Any:
    path = f"/api/jobs/{JOB}/{way}/{entry or uuid7()}"
    return client.put(path, json=body, headers=headers)
