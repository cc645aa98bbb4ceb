"""Entries over the API: taken once, refused in clear words, kept when the store cannot."""

from __future__ import annotations

import resource
import signal
import threading
from decimal import Decimal
from typing import Any

import pytest
from postgres import on_both
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.errors import StoreFull
from clampwright.store import Store
from clampwright.web.answers import status_of
from clampwright.words import words
from clampwright.work.readings import ClickReading

JOB = "trailer-wheel"


@on_both
def test_a_job_is_opened_once(wheel: Any, client: TestClient, workshop: Workshop) -> None:
    assert client.get(f"/api/jobs/{JOB}").json()["state"] == "new"
    assert client.get(f"/api/jobs/{JOB}/bench").status_code == 404
    first = client.post(f"/api/jobs/{JOB}/opening")
    again = client.post(f"/api/jobs/{JOB}/opening")
    assert (first.status_code, again.status_code) == (201, 200)
    assert wheel.kinds(workshop) == ["job_opened"]
    assert client.get(f"/api/jobs/{JOB}").json()["state"] == "open"
    assert first.json()["to_settle"] == 0
    assert client.post("/api/jobs/coupling-as-typed/opening").json()["to_settle"] > 0


@on_both
def test_new_is_201_the_same_again_200_other_content_409(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    entry = wheel.entry()
    first = wheel.put(opened, entry, wheel.click(1))
    again = wheel.put(opened, entry, wheel.click(1))
    other = wheel.put(opened, entry, wheel.click(3))
    assert [a.status_code for a in (first, again, other)] == [201, 200, 409]
    assert first.json() == again.json()
    assert first.json()["verdict"]["verdict"] == "within"
    assert "other content" in other.json()["error"]
    assert wheel.kinds(workshop) == ["job_opened", "pull", "kept_aside"], "both are kept"


@on_both
def test_an_entry_keeps_what_the_device_said(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    entry = wheel.entry()
    wheel.put(opened, entry, wheel.click(1))
    with Store.open(workshop.folder, write=False) as store:
        kept = store.get(entry)
    assert kept["device"] == {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z"}


def test_a_stage_done_twice_by_two_pages_is_told_so(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    assert wheel.put(opened, wheel.entry(), wheel.click(1)).status_code == 201
    second = wheel.put(opened, wheel.entry(), wheel.click(1))
    assert second.status_code == 409
    assert "done already" in second.json()["error"]
    assert wheel.kinds(workshop) == ["job_opened", "pull"]


def test_a_comma_is_a_decimal_mark(wheel: Any, opened: TestClient) -> None:
    wheel.settle(opened, 1)
    answer = wheel.put(opened, wheel.entry(), wheel.value(1, "90,4"))
    assert answer.status_code == 201
    assert answer.json()["verdict"]["verdict"] == "within"
    short = wheel.put(opened, wheel.entry(), wheel.value(3, "80.1"))
    assert short.json()["verdict"]["verdict"] == "short"
    assert "Pull on smoothly" in short.json()["verdict"]["next"]


@pytest.mark.parametrize(
    ("body", "wanted"),
    [
        (lambda wheel: wheel.value(1, "ninety"), (422, "ninety")),
        (lambda wheel: wheel.value(1, "90", unit="furlong"), (409, "furlong")),
        (lambda wheel: wheel.value(1, "5000"), (422, "5000")),
        (lambda wheel: wheel.value(1, "0"), (422, "0")),
        (lambda wheel: {**wheel.click(1), "fastener": 6}, (404, "fastener 6")),
        (lambda wheel: {**wheel.click(1), "joint": "axle"}, (404, "axle")),
        (lambda wheel: {**wheel.click(1), "stage": 9}, (404, "stage 9")),
        (lambda wheel: {**wheel.click(1), "stage": "1"}, (422, "stage")),
        (lambda wheel: {**wheel.click(1), "tool": "hammer"}, (409, "hammer")),
        (lambda wheel: {**wheel.click(1), "colour": "red"}, (422, "colour")),
        (lambda wheel: {**wheel.click(1), "reading": {"kind": "guess"}}, (422, "reading")),
        (
            lambda wheel: {**wheel.click(1), "device": {"id": "a", "time": "yesterday"}},
            (422, "device.time"),
        ),
        (lambda _wheel: {}, (422, "joint")),
        (lambda _wheel: [], (422, "-")),
    ],
)
def test_bad_content_is_one_sentence(
    wheel: Any, opened: TestClient, workshop: Workshop, body: Any, wanted: tuple[int, str]
) -> None:
    status, says = wanted
    answer = wheel.put(opened, wheel.entry(), body(wheel))
    assert (answer.status_code, list(answer.json())) == (status, ["error"])
    assert says in answer.json()["error"]
    assert "Traceback" not in answer.text
    assert wheel.kinds(workshop) == ["job_opened"]


def test_what_is_no_json_or_no_entry_id_is_refused(wheel: Any, opened: TestClient) -> None:
    path, json = f"/api/jobs/{JOB}/pulls", {"content-type": "application/json"}
    broken = opened.put(f"{path}/{wheel.entry()}", content=b"{", headers=json)
    assert (broken.status_code, broken.json()["error"]) == (400, "this is not JSON")
    assert opened.put(f"{path}/7", json=wheel.click(1)).status_code == 422
    assert opened.delete(f"{path}/{wheel.entry()}").status_code == 405


@pytest.mark.parametrize("job", ["nope", "..%2f..%2fetc%2fpasswd", "x" * 200, "%00", "trailer"])
def test_a_wrong_job_is_not_found(wheel: Any, opened: TestClient, job: str) -> None:
    for path in (f"/api/jobs/{job}", f"/api/jobs/{job}/bench", f"/jobs/{job}", f"/jobs/{job}/pull"):
        answer = opened.get(path)
        assert answer.status_code in {404, 422}, path
        assert "Traceback" not in answer.text
    assert wheel.put(opened, wheel.entry(), wheel.click(1)).status_code == 201


@on_both
def test_going_on_in_spite_and_beginning_anew_are_taken_once(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    pull, acceptance, restart = wheel.entry(), wheel.entry(), wheel.entry()
    device = wheel.click(1)["device"]
    wheel.put(opened, pull, wheel.click(1, moved=False))
    body = {"entry": pull, "reason": "checked by a second wrench", "device": device}
    none = {**body, "reason": "  "}
    assert wheel.put(opened, acceptance, none, "acceptances").status_code == 409
    answers = [wheel.put(opened, acceptance, body, "acceptances").status_code for _ in range(3)]
    assert answers == [201, 200, 200]
    again = {"joint": "wheel", "fastener": 1, "reason": "slipped", "renewed": True}
    sent = [
        wheel.put(opened, restart, {**again, "device": device}, "restarts").status_code
        for _ in range(3)
    ]
    assert sent == [201, 200, 200]
    assert wheel.kinds(workshop) == ["job_opened", "pull", "pull_accepted", "fastener_restarted"]
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["ahead"][0] == ["wheel", 1, 1]


def test_an_open_job_is_not_closed(wheel: Any, opened: TestClient) -> None:
    answer = wheel.put(opened, wheel.entry(), {"device": wheel.click(1)["device"]}, "closings")
    assert answer.status_code == 409
    assert "15 pulls are still open" in answer.json()["error"]


def test_the_bench_tells_what_is_now_and_what_comes(opened: TestClient) -> None:
    bench = opened.get(f"/api/jobs/{JOB}/bench?turn=90&mirror=true").json()
    assert bench["ahead"][:3] == [["wheel", 1, 1], ["wheel", 1, 3], ["wheel", 1, 5]]
    assert bench["view"] == {"turn": 90, "mirror": True}
    step = bench["steps"]["wheel/1"]
    assert (step["figure"], step["unit"], step["ask"]) == ("44", "N·m", "click")
    assert step["asked"] == "45.0 N·m at the fastener"
    assert (step["direction"], step["arrow"]) == ("cw", "ccw")
    assert bench["last"] is None
    assert opened.get(f"/api/jobs/{JOB}/bench?turn=45").status_code == 422
    assert opened.get(f"/api/jobs/{JOB}/bench?turn=half").status_code == 422


def test_a_verdict_that_stands_open_comes_with_the_bench(wheel: Any, opened: TestClient) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1, moved=False))
    last = opened.get(f"/api/jobs/{JOB}/bench").json()["last"]
    assert (last["verdict"], last["fastener"], last["settled"]) == ("doubtful", 1, False)


def test_while_a_terminal_writes_the_page_is_told_to_wait(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    entry = wheel.entry()
    with Store.open(workshop.folder):
        busy = wheel.put(opened, entry, wheel.click(1))
        assert busy.status_code == 503
        assert int(busy.headers["retry-after"]) > 0
        assert "kept and sent when it has finished" in busy.json()["error"]
        assert opened.get(f"/api/jobs/{JOB}/bench").status_code == 200
    assert wheel.put(opened, entry, wheel.click(1)).status_code == 201


def test_an_idle_server_leaves_the_turn_to_a_terminal(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1))
    with Store.open(workshop.folder) as store:
        assert store.head()[0] == 3


@on_both
def test_what_a_terminal_wrote_is_seen(opened: TestClient, workshop: Workshop) -> None:
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["pulls"]["done"] == 0
    with Store.open(workshop.folder) as store:
        session = Session(store, JOB, workshop.papers)
        due = session.next()
        assert due is not None
        session.take(due.key, ClickReading(True, True, Decimal(44), "N·m"))
    bench = opened.get(f"/api/jobs/{JOB}/bench").json()
    assert (bench["pulls"]["done"], bench["ahead"][0]) == (1, ["wheel", 1, 3])


def test_a_full_disk_is_507_and_nothing_is_taken(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    size = (workshop.folder / "workshop.sqlite").stat().st_size
    before = resource.getrlimit(resource.RLIMIT_FSIZE)
    handler = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)  # then the write fails, as on a disk
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, before[1]))
    taken = 0  # the first pulls may still find room in the file as it is
    try:
        for fastener in (1, 3, 5, 2, 4):
            entry, pull = wheel.entry(), wheel.click(fastener)
            full = wheel.put(opened, entry, pull)
            if full.status_code != 201:
                break
            taken += 1
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, before)
        signal.signal(signal.SIGXFSZ, handler)
    assert full.status_code == 507, full.text
    assert "Nothing was stored" in full.json()["error"]
    assert wheel.put(opened, entry, pull).status_code == 201
    assert wheel.kinds(workshop) == ["job_opened", *["pull"] * (taken + 1)]


@on_both
def test_the_same_entry_sent_by_many_at_once_is_one(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    entry, found = wheel.entry(), list[int]()
    lock = threading.Lock()

    def send() -> None:
        answer = wheel.put(opened, entry, wheel.click(1))
        with lock:
            found.append(answer.status_code)

    threads = [threading.Thread(target=send) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(found) == [200] * 7 + [201]
    assert wheel.kinds(workshop) == ["job_opened", "pull"]


def test_a_job_with_an_open_question_says_what_to_settle(
    client: TestClient, workshop: Workshop
) -> None:
    file = workshop.jobs / f"{JOB}.toml"
    text = file.read_text(encoding="utf-8").replace("45 N·m then 90 N·m", "45 lb then 90 lb")
    file.write_text(text, encoding="utf-8")
    answer = client.post(f"/api/jobs/{JOB}/opening")
    assert answer.status_code == 422
    assert "wheel" in answer.json()["error"]
    page = client.get(f"/jobs/{JOB}")
    assert page.status_code == 200
    assert "45 lb" in page.text  # the question stands on the job's own page, to be settled there
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_a_broken_job_file_is_listed_with_its_problem(
    client: TestClient, workshop: Workshop
) -> None:
    (workshop.jobs / "broken.toml").write_text("[job]\nid = 7\n", encoding="utf-8")
    found = {job["id"]: job for job in client.get("/api/jobs").json()["jobs"]}
    assert found["broken.toml"]["state"] == "problem"
    assert "broken.toml" in found["broken.toml"]["note"]
    assert client.get("/").status_code == 200


def test_a_store_that_is_none_is_told(client: TestClient, workshop: Workshop) -> None:
    (workshop.folder / "workshop.sqlite").write_bytes(b"this is no store, only text " * 50)
    for path in ("/", "/api/jobs", f"/jobs/{JOB}"):
        answer = client.get(path)
        assert answer.status_code == 422
        assert "not a store" in answer.text


def test_full_store_errors_have_one_status(client: TestClient) -> None:
    assert status_of(StoreFull(words("full"))) == 507
    assert client.get("/api/jobs").status_code == 200
