"""What becomes of each of many entries that come at once; all is invented."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http import HTTPStatus
from types import SimpleNamespace
from typing import Any

import pytest
from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse
from pydantic import Field, ValidationError, model_validator

from clampwright.errors import ClampwrightError, Missing, Refused, StoreBusy, StoreFull
from clampwright.web import queue_api
from clampwright.web.access import RULE, UNKNOWN, Refusal, rules
from clampwright.web.arrival import content_of, way_of
from clampwright.web.hands import NotLetIn
from clampwright.web.models import Device, Sent
from clampwright.web.queue_api import MOST, EntriesIn, EntryIn
from clampwright.words import words

ENTRY = "017f22e2-79b0-7cc3-98c4-dc0c0c07398{}"
DEVICE = {"id": "tablet-2", "time": "2026-03-01T09:00:00+01:00", "counter": 7}


class Turned(Sent):
    """An invented kind of entry."""

    device: Device
    turns: int = 1
    parts: list[int] = Field(default_factory=list)

    @model_validator(mode="after")
    def some(self) -> Turned:
        if self.turns == 0:
            raise ValueError("no turn is no entry")
        return self


class Bench:
    """A server that knows one kind of entry, pulls, and answers what it is told to."""

    def __init__(self, *outcomes: Any) -> None:
        self.outcomes = iter(outcomes)
        self.heard: list[tuple[Request, str, str, Turned]] = []
        self.turns = 0
        self.app = FastAPI()
        self.app.state.house = SimpleNamespace(desk=SimpleNamespace(held=self.held))
        self.app.put("/api/jobs/{job}/pulls/{entry}")(self.put_pull)
        self.app.put("/api/jobs/{job}/turns/{entry}")(self.put_pull)
        self.app.put("/api/tools/{job}/looks/{entry}")(self.put_pull)  # of a tool, not of a job
        self.app.put("/api/jobs/{job}/notes/{entry}/text")(self.put_pull)
        self.app.post("/api/jobs/{job}/asks/{entry}")(self.put_pull)

    @contextmanager
    def held(self) -> Iterator[None]:
        self.turns += 1
        yield

    def put_pull(self, request: Request, job: str, entry: str, sent: Turned) -> JSONResponse:
        self.heard.append((request, job, entry, sent))
        outcome = next(self.outcomes, HTTPStatus.CREATED)
        if isinstance(outcome, Exception):
            raise outcome
        status, told = outcome if isinstance(outcome, tuple) else (outcome, {})
        return JSONResponse({"told": len(self.heard), **told}, status)

    def request(self, **scope: Any) -> Request:
        kept = {"type": "http", "method": "POST", "app": self.app, "headers": [(b"x-mark", b"7")]}
        return Request({**kept, **scope})

    def take(self, *entries: EntryIn, aside: bool = False, **scope: Any) -> list[dict[str, Any]]:
        return list(queue_api.answers(self.request(**scope), entries, aside=aside))


def entry(
    number: int = 1, content: dict[str, Any] | None = None, way: str = "pulls", **device: Any
) -> EntryIn:
    return EntryIn.model_validate(
        {
            "job": "wheel-job",
            "way": way,
            "id": ENTRY.format(number),
            "content": content or {},
            "device": {**DEVICE, **device},
        }
    )


def statuses(answers: Sequence[dict[str, Any]]) -> list[int]:
    return [one["status"] for one in answers]


@pytest.mark.parametrize("aside", [False, True])
def test_each_goes_the_way_it_would_go_alone(*, aside: bool) -> None:
    bench = Bench((HTTPStatus.CREATED, {"verdict": "within"}))
    answers = bench.take(entry(4, {"turns": 3, "device": "mine"}, left=2), aside=aside)
    wanted = {"id": ENTRY.format(4), "status": 201, "told": 1, "verdict": "within"}
    assert answers == [wanted]
    assert type(answers[0]["status"]) is int
    ((request, job, entry_id, sent),) = bench.heard
    assert (job, entry_id) == ("wheel-job", ENTRY.format(4))
    assert sent.turns == 3
    assert sent.device == Device.model_validate({**DEVICE, "left": 2}), (
        "the device is never taken from the content"
    )
    assert sent.device.model_fields_set == {*DEVICE, "left"}, "what it did not say is not said"
    assert content_of(request) == {"turns": 3}
    assert way_of(request) == "pulls"
    assert request.url.path == f"/api/jobs/wheel-job/pulls/{entry_id}"
    assert dict(request.query_params) == ({"aside": "true"} if aside else {})
    assert request.scope[RULE] == rules()["PUT", "/api/jobs/{job}/pulls/{entry}"] != UNKNOWN
    assert request.headers["x-mark"] == "7", "who sends is who sent all of them"
    assert request.app is bench.app


def test_what_an_entry_is_asked_is_unknown_where_its_address_is_in_no_table() -> None:
    bench = Bench()
    assert statuses(bench.take(entry(way="turns"))) == [201]
    assert bench.heard[0][0].scope[RULE] == UNKNOWN


def test_what_is_known_of_the_request_is_known_of_each_entry() -> None:
    bench = Bench()
    state = {"language": "de", "body": b"all of them"}
    bench.take(entry(1, {"turns": 2}), entry(2), state=state)
    requests = [one[0] for one in bench.heard]
    assert [one.state.language for one in requests] == ["de", "de"]
    assert [content_of(one) for one in requests] == [{"turns": 2}, {}]
    assert state["body"] == b"all of them"


def test_the_right_to_write_is_taken_once_for_all() -> None:
    bench = Bench()
    sent = EntriesIn(entries=[entry(n) for n in range(3)])
    told = queue_api.take_many(bench.request(), sent)
    assert [one["told"] for one in told["answers"]] == [1, 2, 3]
    assert bench.turns == 1
    assert [one[0].query_params.get("aside") for one in bench.heard] == [None] * 3
    queue_api.take_many(bench.request(), EntriesIn(entries=[entry()], aside=True))
    assert bench.heard[3][0].query_params["aside"] == "true"


STOPPED, WENT_ON = 1, 2


@pytest.mark.parametrize(
    ("outcome", "status", "error", "taken"),
    [
        (HTTPStatus.OK, 200, None, WENT_ON),
        ((HTTPStatus.ACCEPTED, {"awaits": {}}), 202, None, WENT_ON),
        (Refused(words("done already")), 409, "done already", WENT_ON),
        (Missing(words("no such job"), "job"), 404, "no such job", WENT_ON),
        (ClampwrightError(words("no number")), 422, "no number", WENT_ON),
        ((499, {}), 499, None, WENT_ON),
        # To be sent again later: what follows may rest on it.
        ((500, {}), 500, None, STOPPED),
        (StoreBusy(words("in use")), 503, "in use", STOPPED),
        (StoreFull(words("disk full")), 507, "disk full", STOPPED),
        (NotLetIn(Refusal(401, words("sign in"), {"sign_in": True})), 401, "sign in", STOPPED),
        (NotLetIn(Refusal(403, words("by PIN"), {"sign": "close"})), 403, "by PIN", STOPPED),
        (NotLetIn(Refusal(403, words("may not"), {"locked": 1})), 403, "may not", WENT_ON),
    ],
)
def test_it_goes_on_after_what_is_settled_and_stops_at_what_must_come_again(
    outcome: Any, status: int, error: str | None, taken: int
) -> None:
    bench = Bench(outcome)
    answers = bench.take(entry(1), entry(2))
    assert statuses(answers) == [status, 201][:taken]
    assert answers[0].get("error") == error
    assert len(bench.heard) == taken
    if isinstance(outcome, NotLetIn):
        assert answers[0] == {"id": ENTRY.format(1), "status": status, "error": error} | dict(
            outcome.why.more
        )


@pytest.mark.parametrize(
    ("content", "told"),
    [
        ({"turns": "x"}, "turns: Input should be a valid integer"),
        ({"parts": [1, "x"], "other": 1}, "parts.1: Input should be a valid integer"),
        ({"other": 1}, "other: Extra inputs are not permitted"),
        ({"turns": 0}, "-: Value error, no turn is no entry"),
    ],
)
def test_what_cannot_be_taken_is_told_with_its_place(content: dict[str, Any], told: str) -> None:
    bench = Bench()
    refused, after = bench.take(entry(1, content), entry(2))
    assert refused == {"id": ENTRY.format(1), "status": 422, "error": told}
    assert after["status"] == 201
    assert len(bench.heard) == 1


@pytest.mark.parametrize("way", ["no-such-way", "looks", "notes", "asks", "openapi"])
def test_a_kind_that_no_job_takes_is_told(way: str) -> None:
    bench = Bench()
    told = f"entries of the kind {way} are not known here"
    assert bench.take(entry(1, way=way)) == [{"id": ENTRY.format(1), "status": 404, "error": told}]
    assert bench.heard == []


def test_no_more_than_so_many_come_at_once() -> None:
    EntriesIn(entries=[entry()] * MOST)
    with pytest.raises(ValidationError):
        EntriesIn(entries=[entry()] * (MOST + 1))
    with pytest.raises(ValidationError):
        entry(way="../pulls")
