"""How often something may be asked: enough for a class, not enough for who means harm."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from starlette.routing import Route
from starlette.testclient import TestClient
from tests.web.staffed import Bench, open_job, pull, put
from tests.web.test_people import bench  # noqa: F401 - a fixture

from clampwright.bench import practice as practice_module
from clampwright.proof.ids import uuid7
from clampwright.web import bucket
from clampwright.web.app import App
from clampwright.web.bucket import Bucket, Limits, dear
from clampwright.work.people_rules import figure

NOW = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)


class Clock:
    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> dt.datetime:
        return self.now

    def later(self, seconds: float) -> None:
        self.now += dt.timedelta(seconds=seconds)


def test_so_much_at_once_and_then_slowly() -> None:
    clock = Clock()
    found = Bucket(clock, "strangers")
    assert [found.wait("a") for _ in range(200)] == [0] * 200
    assert found.wait("a") == 1
    assert found.wait("b") == 0, "another one is not held back"
    clock.later(1)
    assert [found.wait("a") for _ in range(3)] == [0, 0, 1]


def test_a_class_of_forty_behind_one_address_is_never_held_back() -> None:
    """Each pulls every 5 s, with a chart each time, for ten minutes."""
    clock = Clock()
    limits = Limits(clock)
    ways = (("PUT", "/api/jobs/{job}/pulls/{entry}"),
            ("GET", "/api/jobs/{job}/pulls/{entry}/chart.svg"))  # fmt: skip
    for _ in range(120):
        for who in range(40):
            for way in ways:
                assert not limits.wait(way, address="a", session=f"s{who}", stranger=False)
        clock.later(5)


def test_what_is_dear_stands_in_the_list_of_addresses(app: App) -> None:
    there = {
        (method, route.path)
        for route in app.routes
        if isinstance(route, Route)
        for method in route.methods or ()
    }
    assert dear() <= there
    drawn = {way for way in there if way[1].endswith((".pdf", ".svg")) and way[0] == "GET"}
    assert drawn <= dear()
    assert there >= bucket.KEEPS


@pytest.mark.parametrize("part", ["acting_session", "dear_session"])
def test_a_session_that_asks_without_end_is_told_to_wait(
    bench: Bench,  # noqa: F811 - the fixture
    monkeypatch: pytest.MonkeyPatch,
    wheel: Any,
    part: str,
) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    sent = pull(wheel, 1)
    gate_limits(bench, monkeypatch, part)
    for n in range(4):
        answer = (
            put(tablet, "pulls", sent) if part == "acting_session" else tablet.get("/drawer/choose")
        )
        if n < 3:
            assert answer.status_code != 429
    assert answer.status_code == 429
    assert int(answer.headers["retry-after"]) >= 1
    assert "too much was asked from here at once" in answer.json()["error"]
    assert tablet.get("/api/jobs").status_code == 200, "looking goes on"


def gate_limits(bench: Bench, monkeypatch: pytest.MonkeyPatch, part: str) -> None:  # noqa: F811 - as above
    """Let three through, and no more: what is counted is the same."""
    before = Bucket.__init__

    def small(self: Bucket, clock: Any, name: str = "asking") -> None:
        before(self, clock, name)
        if name == part:
            self._most = 3

    monkeypatch.setattr(Bucket, "__init__", small)
    bench.app.middleware_stack = None  # built anew, with these


def answer(client: TestClient, learner: str = "7") -> Any:
    body = {"learner": learner, "exercise": "feel:25 N·m", "answer": {"reached": "24 N·m"}}
    return client.put(f"/api/practice/classes/evening/answers/{uuid7()}", json=body)


def test_strangers_see_no_classes_and_nobody_elses_tries(bench: Bench) -> None:  # noqa: F811 - as above
    stranger, tablet = bench.device(), bench.enrolled()
    assert answer(stranger).status_code == 201, "practice needs no name"
    asked = "/practice/exercise?exercise=feel:25+N%C2%B7m&class=evening&learner=7"
    page = stranger.get("/practice").text
    assert "/practice/classes/evening" not in page
    assert "Sign in to see the classes" in page
    assert "Your tries" not in stranger.get(asked).text
    assert "/practice/classes/evening" in tablet.get("/practice").text
    assert stranger.get("/api/practice/classes").status_code == 401


def test_strangers_fill_neither_the_disk_nor_the_day(
    bench: Bench,  # noqa: F811 - as above
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    stranger = bench.device()
    answers = {answer(stranger).status_code for _ in range(figure("strangers", "at_once"))}
    assert answers == {201}
    assert answer(stranger).status_code == 429
    tablet = bench.enrolled()
    assert answer(tablet).status_code == 201, "who has signed in goes on"
    bench.clock.later(60)
    kept = sum(one.stat().st_size for one in (bench.place.folder / "practice").glob("*.jsonl"))
    monkeypatch.setattr("clampwright.web.practice_api.figure", lambda *_: kept + 10)
    assert "too many answers" in answer(stranger).json()["error"]
    assert kept < practice_module.LARGEST_ALL
    assert answer(tablet).status_code == 201
