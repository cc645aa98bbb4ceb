"""Entries that come late, twice, changed, from two devices, in thousands: nothing is lost."""

from __future__ import annotations

import datetime as dt
import json
import random
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from clampwright.bench.asides import aside_id, content_hash
from clampwright.bench.folder import Workshop
from clampwright.bench.records import record_text
from clampwright.cli import group
from clampwright.errors import StoreFull
from clampwright.proof.ids import is_uuid7
from clampwright.store import Store
from clampwright.web import queue_api
from clampwright.web.app import App, create_app
from clampwright.web.arrival import clock_words
from clampwright.web.queue_api import MOST
from clampwright.words import words

JOB = "trailer-wheel"


def row(wheel: Any, body: dict[str, Any], entry: str = "", **device: Any) -> dict[str, Any]:
    content = {name: value for name, value in body.items() if name != "device"}
    about = {**wheel.device, **device}
    one = {"job": JOB, "way": "pulls", "id": entry or wheel.entry(), "content": content}
    return {**one, "device": about}


def bodies(place: Workshop, kind: str) -> list[dict[str, Any]]:
    with Store.open(place.folder, write=False) as store:
        return [one["body"] for one in store.entries(job=JOB) if one["kind"] == kind]


def send(client: TestClient, *rows: dict[str, Any], aside: bool = False) -> list[dict[str, Any]]:
    answer = client.post("/api/entries", json={"entries": list(rows), "aside": aside})
    assert answer.status_code == 200, answer.text
    answers: list[dict[str, Any]] = answer.json()["answers"]
    return answers


def test_the_receipt_names_the_content(opened: TestClient, wheel: Any, workshop: Workshop) -> None:
    entry, body = wheel.entry(), wheel.click(1)
    receipt = wheel.put(opened, entry, body).json()
    del body["device"]
    assert receipt["sha256"] == content_hash(JOB, "pulls", body)
    assert bodies(workshop, "pull")[0]["sent"] == {"counter": 1, "sha256": receipt["sha256"]}


def test_other_content_under_one_id_three_times_all_kept_and_settled(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    entry = wheel.entry()
    contents = [wheel.click(1), wheel.click(1, moved=False), wheel.click(3)]
    answers = [wheel.put(opened, entry, one) for one in [*contents, *contents]]
    assert [one.status_code for one in answers] == [201, 409, 409, 200, 409, 409]
    kept = [one.json()["aside"] for one in answers if one.status_code == 409]
    assert kept[:2] == kept[2:], "the first receipt again"
    assert all(is_uuid7(one["entry"]) for one in kept)
    assert wheel.kinds(workshop) == ["job_opened", "pull", "kept_aside", "kept_aside"]
    found = bodies(workshop, "kept_aside")
    assert [one["content"]["fastener"] for one in found] == [1, 3]
    assert [one["sha256"] for one in found] == [one["sha256"] for one in kept[:2]]
    page = opened.get(f"/jobs/{JOB}").text
    assert page.count("Not taken from device-0123456789ab, still open") == 2
    settle = {"reason": "the first stands", "device": wheel.device}
    done = [
        wheel.put(opened, wheel.entry(), {**settle, "aside": one["entry"]}, "settled-asides")
        for one in [*kept[:2], kept[0]]
    ]
    assert [one.status_code for one in done] == [201, 201, 409]
    record = opened.get(f"/jobs/{JOB}/record.json").content
    told = "\n".join(record_text(record))
    assert told.count("Settled: the first stands") == 2
    assert "stage 1, fastener 3: clicked, it moved" in told


def test_other_content_in_a_member_that_no_rule_looks_at(opened: TestClient, wheel: Any) -> None:
    """The tool is not among what is decided; by the hash it is other content all the same."""
    entry, body = wheel.entry(), wheel.value(1, "45", stage=1)
    assert wheel.put(opened, entry, body).status_code == 201
    assert wheel.put(opened, entry, {**body, "tool": "click-60"}).status_code == 409


def test_an_entry_counts_for_the_next_though_something_failed_after_it(
    opened: TestClient, app: App, workshop: Workshop
) -> None:
    """Else the next of many would be judged as if that pull had not been made."""
    desk = app.state.house.desk

    def fails() -> None:
        with desk.working(JOB) as session:
            session.put("paper_attached", {"joint": "", "paper": "ab"})
            raise OSError("after it")

    with desk.held():
        with pytest.raises(OSError, match="after it"):
            fails()
        assert len(desk.look().jobs[JOB].papers) == 1
    assert len(bodies(workshop, "paper_attached")) == 1
    assert opened.get(f"/api/jobs/{JOB}/bench").status_code == 200


def test_a_queue_shares_a_commit_and_nothing_is_told_before_it(
    opened: TestClient, app: App, wheel: Any, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    rows = [row(wheel, wheel.click(fastener)) for fastener in (1, 3, 5)]
    kept, commits = Store.together, list[int]()

    @contextmanager
    def full(store: Store) -> Iterator[None]:
        with kept(store):
            yield
            commits.append(store.head()[0])
            raise StoreFull(words("no room left"))

    monkeypatch.setattr(Store, "together", full)
    monkeypatch.setattr(queue_api, "TOGETHER", 2)
    answer = opened.post("/api/entries", json={"entries": rows})
    assert (answer.status_code, len(commits)) == (507, 1)
    assert "answers" not in answer.json()
    assert wheel.kinds(workshop) == ["job_opened"]
    assert not app.state.house.desk.look().jobs[JOB].pulls, "nor is it remembered here"
    monkeypatch.setattr(Store, "together", kept)
    assert [one["status"] for one in send(opened, *rows)] == [201, 201, 201]
    assert [one["status"] for one in send(opened, *rows)] == [200, 200, 200]
    assert len(app.state.house.desk.look().jobs[JOB].pulls) == 3


def test_two_devices_at_one_fastener(opened: TestClient, wheel: Any, workshop: Workshop) -> None:
    first, second = row(wheel, wheel.click(1)), row(wheel, wheel.click(1), id="device-other")
    assert [one["status"] for one in send(opened, first, second)] == [201, 409]
    assert wheel.kinds(workshop) == ["job_opened", "pull"], "refused: it is still on its device"
    (answer,) = send(opened, second, aside=True)
    assert answer["status"] == 409
    assert answer["aside"]["sha256"] == content_hash(JOB, "pulls", second["content"])
    assert send(opened, second, aside=True) == [answer], "as often as it is sent"
    (kept,) = bodies(workshop, "kept_aside")
    assert "done already" in kept["why"]["text"]


def test_a_job_with_something_aside_is_not_closed(opened: TestClient, wheel: Any) -> None:
    for stage in (1, 2):
        wheel.settle(opened, stage)
    send(opened, row(wheel, wheel.click(1)), aside=True)
    closing = wheel.put(opened, wheel.entry(), {"device": wheel.device}, "closings")
    assert closing.status_code == 409


def test_a_clock_a_day_wrong_is_said_and_changes_no_order(
    workshop: Workshop, wheel: Any, client: TestClient
) -> None:
    assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201
    wrong = (dt.datetime.now(dt.UTC) + dt.timedelta(days=1, minutes=2)).isoformat()
    back = "2001-01-01T00:00:00Z"
    rows = [
        row(wheel, wheel.click(1), counter=1, time=wrong, now=wrong),
        row(wheel, wheel.click(3), counter=2, time=back, now=wrong),
    ]
    first, second = send(client, *rows)
    assert 86_400 < first["clock"]["off_s"] < 86_700
    assert "1 d 0 h" in first["clock"]["say"]
    assert second["status"] == 201
    found = bodies(workshop, "pull")
    assert [one["fastener"] for one in found] == [1, 3]
    assert [one["sent"]["counter"] for one in found] == [1, 2]
    assert all(one["sent"]["clock_off_s"] == first["clock"]["off_s"] for one in found)
    right = row(wheel, wheel.click(5), now=dt.datetime.now(dt.UTC).isoformat())
    assert "clock" not in send(client, right)[0]


def test_a_clock_that_is_behind_is_told_so() -> None:
    assert "behind" in str(clock_words(-7_200))
    assert "2 h 0 min" in str(clock_words(-7_200))


def test_no_closing_while_a_device_said_it_has_entries(opened: TestClient, wheel: Any) -> None:
    told = wheel.click(1)
    told["device"] = {**wheel.device, "id": "device-away", "left": 3}
    assert wheel.put(opened, wheel.entry(), told).status_code == 201
    closing = wheel.entry()
    body = {"device": wheel.device}
    refused = wheel.put(opened, closing, body, "closings")
    assert refused.status_code == 409
    assert "3 entries of this job are still only on device-away" in refused.json()["error"]
    spite = wheel.put(opened, closing, {**body, "reason": "fell into the river"}, "closings")
    assert "pulls are still open" in spite.json()["error"], "only this reason is set aside"
    told["device"]["left"] = 0
    told["fastener"] = 3
    assert wheel.put(opened, wheel.entry(), told).status_code == 201
    assert "pulls are still open" in wheel.put(opened, closing, body, "closings").json()["error"]


def test_a_plan_changed_meanwhile_is_a_choice(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    mark = opened.get(f"/api/jobs/{JOB}/bench").json()["plan"]
    one = row(wheel, wheel.click(1), plan=mark)
    file = workshop.jobs / f"{JOB}.toml"
    file.write_text(file.read_text("utf-8") + "\n# a change that makes it another plan\n", "utf-8")
    from clampwright.bench.papers import Papers  # noqa: PLC0415 - only here
    from clampwright.bench.session import Session  # noqa: PLC0415 - only here

    with Store.open(workshop.folder) as store:
        drawer = workshop.drawer.read_bytes()
        papers: Papers = workshop.papers
        Session.start(store, file.read_bytes(), drawer, papers, today=dt.date(2026, 10, 5))
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["plan"] != mark
    (refused,) = send(opened, one)
    assert (refused["status"], refused["plan_changed"]) == (409, True)
    del one["device"]["plan"]
    assert [found["status"] for found in send(opened, one)] == [201]


def test_many_go_the_way_each_would_go_alone(opened: TestClient, wheel: Any) -> None:
    rows = [
        row(wheel, wheel.click(1)),
        {**row(wheel, wheel.click(3)), "way": "no-such-way"},
        {**row(wheel, wheel.click(3)), "job": "no-such-job"},
        row(wheel, {**wheel.click(3), "stage": "two"}),
        row(wheel, wheel.click(3)),
    ]
    answers = send(opened, *rows)
    assert [one["status"] for one in answers] == [201, 404, 404, 422, 201]
    assert [one["id"] for one in answers] == [one["id"] for one in rows]
    again = send(opened, rows[0], rows[4])
    assert [one["status"] for one in again] == [200, 200]
    assert again[0]["verdict"] == answers[0]["verdict"]
    too_many = {"entries": [row(wheel, wheel.click(1))] * (MOST + 1)}
    assert opened.post("/api/entries", json=too_many).status_code == 422


def test_a_full_store_stops_there_and_says_so(
    opened: TestClient, wheel: Any, workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    from clampwright.errors import StoreFull  # noqa: PLC0415 - only here
    from clampwright.words import words  # noqa: PLC0415 - only here

    append, room = Store.append, iter([True, False])

    def until_full(self: Store, *given: Any, **named: Any) -> Any:
        if not next(room):
            raise StoreFull(words("the disk is full; nothing was stored"))
        return append(self, *given, **named)

    monkeypatch.setattr(Store, "append", until_full)
    rows = [row(wheel, wheel.click(number)) for number in (1, 3, 5)]
    answers = send(opened, *rows)
    assert [one["status"] for one in answers] == [201, 507], "the third is not tried"
    assert "disk is full" in answers[1]["error"]
    monkeypatch.undo()
    assert [one["status"] for one in send(opened, *rows)] == [200, 201, 201]
    assert wheel.kinds(workshop) == ["job_opened", "pull", "pull", "pull"]


def test_in_whatever_pieces_a_queue_comes_each_is_taken_once(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    """Pieces that overlap, come again and are cut short, as they are when answers are lost."""
    chance = random.Random(8)
    numbers = [1, 3, 5, 2, 4]
    rows = [row(wheel, wheel.click(number), counter=at) for at, number in enumerate(numbers)]
    sent = 0
    while sent < len(rows):
        begin = chance.randrange(sent + 1)
        end = min(len(rows), begin + chance.randrange(1, 4))
        send(opened, *rows[begin:end])
        sent = max(sent, end)
    found = bodies(workshop, "pull")
    assert [one["fastener"] for one in found] == numbers
    assert [one["sent"]["counter"] for one in found] == [0, 1, 2, 3, 4]


def exchange(rows: list[dict[str, Any]]) -> bytes:
    entries = [
        {
            "job": one["job"],
            "way": one["way"],
            "id": one["id"],
            "counter": one["device"]["counter"],
            "made": one["device"]["time"],
            "content": one["content"],
            "sha256": content_hash(one["job"], one["way"], one["content"]),
        }
        for one in rows
    ]
    head = {"format": "clampwright-entries", "version": 1, "device": "device-0123456789ab"}
    return json.dumps({**head, "made": "2026-10-05T08:00:00Z", "entries": entries}).encode()


@pytest.mark.usefixtures("opened")
@pytest.mark.parametrize("aside", [False, True])
def test_a_file_is_taken_in_by_the_command(
    wheel: Any, workshop: Workshop, tmp_path: Path, *, aside: bool
) -> None:
    from click.testing import CliRunner  # noqa: PLC0415 - only here

    run = CliRunner().invoke
    rows = [row(wheel, wheel.click(number), counter=9 - at) for at, number in enumerate((3, 1))]
    if aside:
        rows.append(row(wheel, wheel.click(1), counter=10))
    file = tmp_path / "entries.json"
    file.write_bytes(exchange(rows))
    where = ["--workshop", str(workshop.folder)]
    first = run(group, ["entries", "take-in", str(file), *where])
    assert first.exit_code == int(aside), first.output
    assert "2 taken, 0 were here already." in first.output
    again = run(group, ["entries", "take-in", str(file), *where, "--json"])
    assert json.loads(again.output)["known"] == 2
    assert [one["fastener"] for one in bodies(workshop, "pull")] == [1, 3], "by the counter"
    listed = run(group, ["entries", "aside", JOB, *where])
    assert listed.exit_code == int(aside)
    if aside:
        entry = listed.output.split()[0]
        done = run(group, ["entries", "aside", JOB, *where, "--settle", entry, "--reason", "same"])
        assert (done.exit_code, "Settled: same" in done.output) == (0, True)


def _codes(file: bytes) -> list[str]:
    import base64  # noqa: PLC0415 - only here
    import hashlib  # noqa: PLC0415 - only here

    text = base64.urlsafe_b64encode(file).decode().rstrip("=")
    parts = [text[at : at + 200] for at in range(0, len(text), 200)]
    tag = hashlib.sha256(file).hexdigest()[:8]
    return [f"CWE1 {at}/{len(parts)} {tag} {part}" for at, part in enumerate(parts, 1)]


Spoil = Callable[[bytes], bytes]


@pytest.mark.parametrize(
    ("spoil", "message"),
    [
        (lambda file: b"\xff" + file, "neither a file of entries"),
        (lambda file: file[:40], "neither a file of entries"),
        (lambda file: file.replace(b'"version": 1', b'"version": 2'), "a newer program"),
        (lambda file: file.replace(b'"fastener": 1', b'"fastener": 2'), "was altered"),
        (lambda file: file.replace(b'"counter": 1', b'"counter": "x"'), "is not whole"),
        (lambda file: "\n".join(_codes(file)[1:]).encode(), "codes are missing: 1"),
        (lambda file: "\n".join(_codes(file) + _codes(file + b" ")).encode(), "two different"),
        (lambda file: "\n".join(_codes(file)).replace("A", "B").encode(), "was altered"),
    ],
)
def test_a_spoilt_file_is_refused_and_nothing_taken(
    opened: TestClient, wheel: Any, workshop: Workshop, spoil: Spoil, message: str
) -> None:
    from clampwright.bench.exchange import read_exchange  # noqa: PLC0415 - only here
    from clampwright.errors import BadFile  # noqa: PLC0415 - only here

    file = exchange([row(wheel, wheel.click(1))])
    assert read_exchange("\n".join(reversed(_codes(file))).encode(), "codes.txt").entries
    with pytest.raises(BadFile, match=message):
        read_exchange(spoil(file), "entries.json")
    assert opened.get("/entries").status_code == 200
    assert wheel.kinds(workshop) == ["job_opened"]


def test_the_name_of_what_is_kept_aside_depends_on_both() -> None:
    first = "01890a5d-ac96-774b-bcce-b302099a8057"
    found = {aside_id(first, "00"), aside_id(first, "01"), aside_id(first[:-1] + "8", "00")}
    assert len(found) == 3
    assert all(is_uuid7(one) for one in found)


@pytest.mark.parametrize("count", [500, pytest.param(5_000, marks=pytest.mark.soak)])
def test_a_long_queue(workshop: Workshop, wheel: Any, count: int) -> None:
    """Measured: how long until all are on the log, and that each is there once."""
    app = create_app(workshop.folder, hosts=["127.0.0.1:8123"])
    own = "http://127.0.0.1:8123"
    with TestClient(app, base_url=own, headers={"origin": own}) as client:
        assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201
        rows = [row(wheel, wheel.value(1, "20", stage=1), counter=at) for at in range(count)]
        begin = time.perf_counter()
        for at in range(0, len(rows), 100):
            answers = send(client, *rows[at : at + 100])
            assert {one["status"] for one in answers} == {201}
        print(f"{count} entries in {time.perf_counter() - begin:.1f} s")
    found = bodies(workshop, "pull")
    assert [one["sent"]["counter"] for one in found] == list(range(count))
