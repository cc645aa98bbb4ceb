"""Two servers on one workshop, its log in a database: each sees what the other took."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from contextlib import ExitStack
from typing import Any

import pytest
from postgres import Server
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop, open_session
from clampwright.bench.sign_in import SESSION_COOKIE
from clampwright.errors import StoreBusy
from clampwright.store import Store
from clampwright.web.app import create_app

JOB = "trailer-wheel"
HOST = "127.0.0.1:8123"
OWN = f"http://{HOST}"


@pytest.fixture
def two(postgres: Server, workshop: Workshop) -> Iterator[list[TestClient]]:
    postgres.folder_on(workshop.folder)
    with ExitStack() as stack:
        yield [
            stack.enter_context(
                TestClient(
                    create_app(workshop.folder, hosts=[HOST]),
                    base_url=OWN,
                    headers={"origin": OWN},
                    raise_server_exceptions=False,
                )
            )
            for _ in range(2)
        ]


def test_a_wheel_done_over_two_servers(
    wheel: Any, two: list[TestClient], postgres: Server, workshop: Workshop
) -> None:
    one, other = two
    assert one.get("/").status_code == other.get("/safe").status_code == 200
    assert one.post(f"/api/jobs/{JOB}/opening").status_code == 201
    assert other.post(f"/api/jobs/{JOB}/opening").status_code == 200
    entry, body = wheel.entry(), wheel.click(1)
    assert wheel.put(one, entry, body).status_code == 201
    assert wheel.put(other, entry, body).status_code == 200, "once, whoever it is sent to"
    second = wheel.put(other, wheel.entry(), wheel.click(1))
    assert second.status_code == 409
    assert "done already" in second.json()["error"]
    assert wheel.put(other, wheel.entry(), wheel.click(3)).status_code == 201
    seen = [client.get(f"/api/jobs/{JOB}/bench").json() for client in two]
    assert seen[0] == seen[1]
    assert other.get("/safe").status_code == 200
    postgres.stop()
    try:
        away = wheel.put(one, wheel.entry(), wheel.click(5))
        signed_in = other.get("/", headers={"cookie": f"{SESSION_COOKIE}=invented"})
        for answer in (away, other.get("/healthz"), signed_in):
            assert answer.status_code == 503
            assert "cannot be reached" in answer.text
    finally:
        postgres.start()
    assert wheel.put(one, wheel.entry(), wheel.click(5)).status_code == 201
    with Store.open(workshop.folder, write=False) as store:
        assert store.check() == 5


def test_two_who_work_on_one_job_do_not_overlook_each_other(
    postgres: Server, workshop: Workshop
) -> None:
    postgres.folder_on(workshop.folder)
    job, today = workshop.jobs / f"{JOB}.toml", dt.date(2026, 3, 1)
    with open_session(workshop, job, today=today) as one:
        with open_session(workshop, job, today=today) as other:
            one.put("note", {"n": 1})
            one.put("note", {"n": 2})
            with pytest.raises(StoreBusy, match="another program has just added to the job"):
                other.put("note", {"n": 3})
        with open_session(workshop, job, today=today) as again:
            again.put("note", {"n": 3})
        with pytest.raises(StoreBusy, match="another program has just added to the job"):
            one.put("note", {"n": 4})
