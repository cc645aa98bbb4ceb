"""People behind a client: signing in, signing, what an entry says, what is refused and not told."""

from __future__ import annotations

import json
import logging
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect
from tests.web.staffed import (
    CHEAP,
    HOST,
    JOB,
    OWN,
    PASSWORD,
    PINS,
    Bench,
    open_job,
    pull,
    put,
    staffed,
)

from clampwright.bench.acting import acting
from clampwright.bench.exchange import read_exchange
from clampwright.bench.folder import Workshop
from clampwright.bench.names import Names
from clampwright.bench.people import People
from clampwright.bench.records import record_text
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.app import create_app
from clampwright.web.carried import take_carried


@pytest.fixture
def bench(workshop: Workshop) -> Bench:
    return staffed(workshop)


def test_who_has_not_signed_in_sees_nothing(bench: Bench) -> None:
    stranger = bench.device()
    page = stranger.get(f"/jobs/{JOB}?turn=90")
    assert page.status_code == 303
    assert page.headers["location"] == "/sign-in?to=%2Fjobs%2Ftrailer-wheel%3Fturn%3D90"
    assert page.headers["content-security-policy"]
    told = stranger.get("/api/jobs")
    assert (told.status_code, told.json()["sign_in"]) == (401, True)
    assert stranger.get("/api/session").json()["tiles"] == [], "no names for strangers"
    assert "B. Fitter" not in stranger.get("/sign-in").text
    with (
        pytest.raises(WebSocketDisconnect),
        stranger.websocket_connect(f"ws://{HOST}/live/{JOB}", headers={"origin": OWN}),
    ):
        pass


def test_where_a_way_leads_after_signing_in_stays_here(bench: Bench) -> None:
    ways = ("//evil.example", "https://evil.example", "/\\evil.example", "javascript:x")
    for to in (*ways, "/\t/evil.example", "/\n/evil.example"):
        page = bench.device().get("/sign-in", params={"to": to}).text
        assert 'data-to="/"' in page
    assert 'data-to="/people"' in bench.device().get("/sign-in?to=/people").text


def test_a_password_opens_a_session_and_cookies_are_for_this_server_alone(bench: Bench) -> None:
    client = bench.device()
    sent = {"name": "a. chief", "password": PASSWORD}
    answer = client.post("/api/session/password", json=sent)
    assert answer.status_code == 201
    assert (answer.json()["name"], answer.json()["state"]) == ("A. Chief", "open")
    (cookie,) = answer.headers.get_list("set-cookie")
    for flag in ("HttpOnly", "SameSite=strict", "Path=/", "Max-Age=43200"):
        assert flag in cookie
    assert "Secure" not in cookie, "over plain http it would never be sent"
    assert client.get("/api/jobs").status_code == 200
    (gone,) = client.post("/api/session/end", json={}).headers.get_list("set-cookie")
    for flag in ("HttpOnly", "SameSite=strict", "Path=/", "Max-Age=0"):
        assert flag in gone
    secure = TestClient(
        bench.app, base_url=f"https://{HOST}", headers={"origin": f"https://{HOST}"}
    )
    answer = secure.post("/api/session/password", json=sent)
    assert "Secure" in answer.headers["set-cookie"]


def test_a_wrong_login_says_why_and_not_who_exists(bench: Bench) -> None:
    answers = set()
    for name in ("A. Chief", "Nobody"):
        body = {"name": name, "password": "wrong words here"}
        answer = bench.device().post("/api/session/password", json=body)
        answers.add((answer.status_code, answer.json()["error"]))
    assert answers == {(403, "the name or the password is wrong")}


def test_the_lockout_answers_429_and_outlives_the_server(bench: Bench) -> None:
    tablet = bench.enrolled()
    told = [bench.tap(tablet, "B. Fitter", "0001").json()["error"] for _ in range(3)]
    assert told[0] == "the PIN is wrong; tries left before a wait: 2"
    locked = bench.tap(tablet, "B. Fitter")
    assert (locked.status_code, locked.headers["retry-after"]) == (429, "30")
    again = create_app(
        bench.place.folder, hosts=[HOST], clock=bench.clock, sign_in=True, hashing=CHEAP
    )
    other = TestClient(again, base_url=OWN, headers={"origin": OWN}, cookies=tablet.cookies)
    assert bench.tap(other, "B. Fitter").status_code == 429
    bench.clock.later(30)
    assert bench.tap(other, "B. Fitter").status_code == 201


def test_an_address_asks_so_often_and_no_more(bench: Bench) -> None:
    client = bench.device()

    def tried(n: int) -> Any:
        body = {"name": f"name {n}", "password": "wrong words here", "more": 1}  # costs nothing
        return client.post("/api/session/password", json=body)

    assert {tried(n).status_code for n in range(30)} == {422}
    held = tried(31)
    assert (held.status_code, held.headers["retry-after"]) == (429, "2")
    assert client.get("/sign-in").status_code == 200, "only tries are held back"
    bench.clock.later(2)
    assert tried(32).status_code == 422
    assert tried(33).status_code == 429


def test_who_confirms_is_who_signs_whatever_name_is_typed(bench: Bench) -> None:
    tablet = bench.enrolled()
    device = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00Z", "counter": 1}
    sent: dict[str, Any] = {
        "title": "Hub nut",
        "text": "Tighten to 90 N·m.",
        "locale": "en",
        "choice": None,
        "source": {"title": "Invented handbook", "page": "2"},
        "files": [],
        "procedure": None,
        "by": "Somebody Typed",
        "device": device,
    }
    made = tablet.put(f"/api/procedures/versions/{uuid7()}", json=sent)
    assert made.status_code == 201, made.text
    one = made.json()
    entry = str(uuid7())
    path = f"/api/procedures/{one['procedure']}/{one['version']}/confirmations/{entry}"
    body = {"sha256": one["sha256"], "by": "Another Name", "device": device}
    assert tablet.put(path, json=body).json()["sign"] == "confirm_procedure"
    headers = {"x-signature": bench.signature(tablet, "A. Chief", "confirm_procedure", entry)}
    same = tablet.put(path, json=body, headers=headers)
    assert same.status_code == 409, "one person under two names is one person"
    assert Names(bench.place.folder).known("Somebody Typed") is None


def test_a_pin_is_not_enough_elsewhere(bench: Bench) -> None:
    answer = bench.tap(bench.device(), "B. Fitter")
    assert answer.status_code == 403
    assert "enrolled device only" in answer.json()["error"]
    body = {"name": "B. Fitter", "password": "8305", "called": "own phone"}
    assert bench.device().post("/api/devices", json=body).status_code == 403


def test_an_entry_says_whose_hand_made_it(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    assert bench.tap(tablet, "C. Learner").status_code == 201
    entry = str(uuid7())
    assert put(tablet, "pulls", pull(wheel, 1), entry).status_code == 201
    learner = {"person": bench.ids["C. Learner"], "role": "apprentice", "signed": "session"}
    assert bench.made_by(entry) == learner
    bench.tap(tablet, "B. Fitter")
    again = put(tablet, "pulls", pull(wheel, 1), entry)
    assert again.status_code == 200, "sent again by another hand it is the same entry"
    assert bench.made_by(entry) == learner


def test_a_role_is_refused_at_the_gate_and_by_the_store(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.tap(tablet, "C. Learner")
    answer = tablet.get(f"/jobs/{JOB}/record.json")
    assert answer.status_code == 403
    assert "apprentice may not do this (write a record)" in answer.json()["error"]
    assert put(tablet, "pulls", {**wheel.click(1, moved=False)}).status_code == 201
    body = {"entry": str(uuid7()), "reason": "it is fine", "device": dict(wheel.device)}
    answer = put(tablet, "acceptances", body)
    assert (answer.status_code, answer.json()["sign"]) == (403, "accept_doubtful")
    sent = {"person": bench.ids["C. Learner"], "secret": "6174", "act": "accept_doubtful",
            "entry": str(uuid7())}  # fmt: skip
    answer = tablet.post("/api/signatures", json=sent)
    assert answer.status_code == 403
    assert "responsible person" in answer.json()["error"]


def test_somebody_else_signs_on_the_learners_device(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.tap(tablet, "C. Learner")
    doubtful = str(uuid7())
    put(tablet, "pulls", wheel.click(1, moved=False), doubtful)
    body = {"entry": doubtful, "reason": "the nut was seen to turn", "device": dict(wheel.device)}
    entry = str(uuid7())
    signature = bench.signature(tablet, "B. Fitter", "accept_doubtful", entry)
    elsewhere = bench.enrolled()
    assert (
        put(elsewhere, "acceptances", body, entry, **{"x-signature": signature}).status_code == 403
    )
    other = put(tablet, "acceptances", body, str(uuid7()), **{"x-signature": signature})
    assert other.status_code == 403, "a signature is for its own entry only"
    taken = put(tablet, "acceptances", body, entry, **{"x-signature": signature})
    assert taken.status_code == 201
    assert bench.made_by(entry) == {
        "person": bench.ids["B. Fitter"],
        "role": "mechanic",
        "signed": "pin",
    }
    assert tablet.get("/api/session").json()["name"] == "C. Learner", "who works goes on working"
    assert put(tablet, "acceptances", body, entry, **{"x-signature": signature}).status_code == 200


def test_after_a_while_without_a_touch_the_device_is_locked(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.clock.later(290)
    assert tablet.get("/api/jobs").status_code == 200, "what a page asks by itself is no touch"
    bench.clock.later(20)
    told = tablet.get("/api/jobs")
    assert (told.status_code, told.json()["locked"]) == (401, True)
    assert tablet.get("/api/session").json()["state"] == "locked"
    assert put(tablet, "pulls", pull(wheel, 1)).status_code == 401, "no hand is named: it waits"
    assert bench.tap(tablet, "A. Chief").status_code == 201
    bench.clock.later(290)
    assert tablet.post("/api/session/presence", json={}).status_code == 200
    bench.clock.later(290)
    assert tablet.get("/api/jobs").status_code == 200


def test_what_was_made_without_a_network_is_taken_and_marked(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    told = bench.tap(tablet, "B. Fitter").json()
    who = {"person": told["person"], "session": told["session"]}
    bench.clock.later(4000)  # long locked, and then signed out
    tablet.post("/api/session/end", json={})
    in_time, too_late, named = (str(uuid7()) for _ in range(3))
    assert (
        put(tablet, "pulls", pull(wheel, 1, "2026-10-05T08:03:00Z", **who), in_time).status_code
        == 201
    )
    assert (
        put(tablet, "pulls", pull(wheel, 3, "2026-10-05T08:40:00Z", **who), too_late).status_code
        == 201
    )
    assert bench.made_by(in_time)["signed"] == "session"
    assert bench.made_by(too_late) == {
        "person": bench.ids["B. Fitter"],
        "role": "mechanic",
        "signed": "not at the time",
    }
    other = {**who, "person": bench.ids["C. Learner"]}
    assert (
        put(tablet, "pulls", pull(wheel, 5, "2026-10-05T08:03:00Z", **other), named).status_code
        == 201
    )
    assert bench.made_by(named)["signed"] == "not at the time", "the session was another's"
    assert put(bench.device(), "pulls", pull(wheel, 2, **who)).status_code == 401, "not enrolled"
    nobody = pull(wheel, 2, person="person-000000000000")
    assert put(tablet, "pulls", nobody).status_code == 401


def test_what_is_carried_by_hand_stays_the_entry_of_who_made_it(bench: Bench, wheel: Any) -> None:
    chief = bench.enrolled()
    open_job(chief)
    made: dict[str, Any] = {"person": bench.ids["B. Fitter"], "late": True}
    by_page, by_file = str(uuid7()), str(uuid7())
    assert put(chief, "pulls", pull(wheel, 1, **made), by_page).status_code == 201
    told = {"person": bench.ids["B. Fitter"], "role": "mechanic", "signed": "not at the time"}
    assert bench.made_by(by_page) == told
    content = {name: value for name, value in pull(wheel, 3).items() if name != "device"}
    entry = {
        "job": JOB, "way": "pulls", "id": by_file, "counter": 2, "made": "2026-10-05T08:03:00Z",
        "person": bench.ids["B. Fitter"], "content": content,
    }  # fmt: skip
    whole = {
        "format": "clampwright-entries",
        "version": 1,
        "device": "device-1",
        "entries": [entry],
    }
    carried = read_exchange(json.dumps(whole).encode(), "queue.json")
    with acting("A. Chief"):
        assert take_carried(bench.place.folder, carried).taken == 1
    assert bench.made_by(by_file) == told


def test_nobody_carries_in_for_others_what_the_own_role_may_not(bench: Bench, wheel: Any) -> None:
    chief, phone = bench.enrolled(), bench.device()
    open_job(chief)
    doubtful = str(uuid7())
    put(chief, "pulls", wheel.click(1, moved=False), doubtful)
    with Store.open(bench.place.folder, clock=bench.clock) as store:
        People(store, bench.place.folder, CHEAP).set_password("C. Learner", "a learner's own words")
    sent = {"name": "C. Learner", "password": "a learner's own words"}
    assert phone.post("/api/session/password", json=sent).status_code == 201
    made: dict[str, Any] = {"person": bench.ids["B. Fitter"], "late": True}
    body = {"entry": doubtful, "reason": "seen", "device": {**wheel.device, **made}}
    assert put(phone, "acceptances", body).status_code in {401, 403}


def test_a_queue_is_taken_entry_by_entry_each_by_its_own_hand(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    told = bench.tap(tablet, "B. Fitter").json()
    who = {"person": told["person"], "session": told["session"]}
    doubtful, second, third = (str(uuid7()) for _ in range(3))

    def one(entry: str, way: str, body: Any) -> dict[str, Any]:
        content = {name: value for name, value in body.items() if name != "device"}
        device = {**wheel.device, **who}
        return {"job": JOB, "way": way, "id": entry, "content": content, "device": device}

    queue = [
        one(doubtful, "pulls", wheel.click(1, moved=False)),
        one(second, "acceptances", {"entry": doubtful, "reason": "seen"}),
        one(third, "pulls", wheel.click(3)),
    ]
    answers = tablet.post("/api/entries", json={"entries": queue}).json()["answers"]
    assert [one["status"] for one in answers] == [201, 403], "what follows waits for the signature"
    assert answers[1]["sign"] == "accept_doubtful"
    bench.clock.later(4000)
    bench.tap(tablet, "C. Learner")
    answers = tablet.post("/api/entries", json={"entries": queue[2:]}).json()["answers"]
    assert [one["status"] for one in answers] == [201]
    assert bench.made_by(third)["person"] == bench.ids["B. Fitter"]
    queue[2]["device"] = {**wheel.device, "person": "person-000000000000"}
    queue[2]["id"] = str(uuid7())
    tablet.post("/api/session/end", json={})
    answers = tablet.post("/api/entries", json={"entries": queue[2:]}).json()["answers"]
    assert [one["status"] for one in answers] == [401]
    assert bench.device().post("/api/entries", json={"entries": queue}).status_code == 401


PICTURE = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)


def test_a_second_look_alone_takes_a_pause_and_a_photograph_and_the_record_says_so(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.tap(tablet, "B. Fitter")
    for fastener in (1, 3, 5, 2, 4):
        assert put(tablet, "pulls", wheel.click(fastener)).status_code == 201
    page = tablet.get(f"/jobs/{JOB}/second-look").text
    assert "still to be taken" in page
    body = {"joint": "wheel", "in_order": True, "note": "marks seen", "photograph": "",
            "alone": False, "device": dict(wheel.device)}  # fmt: skip

    def looked(name: str, more: dict[str, Any]) -> Any:
        entry = str(uuid7())
        signature = bench.signature(tablet, name, "second_look", entry)
        return put(tablet, "second-looks", {**body, **more}, entry, **{"x-signature": signature})

    refused = looked("B. Fitter", {})
    assert refused.status_code == 409
    assert "15 minutes are left; another person may look at once" in refused.json()["error"]
    bench.clock.later(16 * 60)
    assert "with a photograph" in looked("B. Fitter", {}).json()["error"]
    bench.tap(tablet, "B. Fitter")
    name = {"name": "wheel.png"}
    kept = tablet.post("/api/procedures/files", params=name, content=PICTURE).json()["sha256"]
    assert looked("B. Fitter", {"photograph": kept}).status_code == 201
    assert looked("A. Chief", {"in_order": False, "note": "one mark missing"}).status_code == 201
    with Store.open(bench.place.folder) as store:
        text = "\n".join(record_text(store.record(JOB), Names(bench.place.folder).all()))
    assert "Second look by the same person, alone, 16 minutes after the last pull" in text
    assert "Second look by another person: NOT in order. one mark missing" in text
    assert "B. Fitter (mechanic), signed in" in text
    assert f"{bench.ids['B. Fitter']}" not in text


def test_on_this_machine_alone_nobody_needs_to_sign_in(bench: Bench, wheel: Any) -> None:
    app = create_app(bench.place.folder, hosts=[HOST], hashing=CHEAP)
    here = TestClient(app, base_url=OWN, headers={"origin": OWN})
    open_job(here)
    entry = str(uuid7())
    assert put(here, "pulls", pull(wheel, 1), entry).status_code == 201
    assert bench.made_by(entry) is None
    assert here.get("/api/people").status_code == 422, "people are looked after by name"
    body = {"name": "D. New", "role": "administrator"}
    assert here.post("/api/people", json=body).status_code == 409
    sent = {"name": "A. Chief", "password": PASSWORD}
    assert here.post("/api/session/password", json=sent).status_code == 201
    entry = str(uuid7())
    assert put(here, "pulls", pull(wheel, 3), entry).status_code == 201
    assert bench.made_by(entry)["signed"] == "session"
    assert here.post("/api/people", json={**body, "role": "mechanic"}).status_code == 201


def test_people_are_looked_after_by_administrators(bench: Bench) -> None:
    tablet = bench.enrolled()
    added = tablet.post("/api/people", json={"name": "D. New", "role": "mechanic", "pin": "5926"})
    new = added.json()["id"]
    bench.ids["D. New"] = new
    PINS_NEW = "5926"
    other = bench.enrolled()
    assert bench.tap(other, "D. New", PINS_NEW).status_code == 201
    assert len(tablet.get("/api/people").json()["sessions"]) >= 2
    assert tablet.post(f"/api/people/{new}/role", json={"role": "apprentice"}).status_code == 200
    assert other.get("/api/session").json()["role"] == "apprentice", "at once"
    assert tablet.post(f"/api/people/{new}/sessions-end", json={}).json() == {"ended": 1}
    assert other.get("/api/jobs").status_code == 401
    sent = {"kind": "pin", "secret": "1234"}
    assert tablet.post(f"/api/people/{new}/secret", json=sent).status_code == 409
    assert tablet.post(f"/api/people/{new}/erasing", json={}).status_code == 200
    page = tablet.get("/people").text
    assert "a person, name erased" in page
    assert "D. New" not in page
    device = tablet.get("/api/people").json()["devices"][1]["id"]
    assert tablet.post(f"/api/devices/{device}/end", json={}).status_code == 200
    assert other.get("/api/session").json()["enrolled"] is False
    gone = tablet.post("/api/people/person-000000000000/role", json={"role": "mechanic"})
    assert gone.status_code == 404
    bench.tap(tablet, "B. Fitter")
    own = f"/api/people/{bench.ids['B. Fitter']}/secret"
    sent = {"kind": "pin", "secret": "5926"}
    for present in ({}, {"present": "5926"}):
        assert tablet.post(own, json=sent | present).status_code == 403, "whoever walks by"
    assert bench.tap(tablet, "B. Fitter").status_code == 201, "the PIN is as it was"
    assert tablet.post(own, json=sent | {"present": PINS["B. Fitter"]}).status_code == 200
    assert bench.tap(tablet, "B. Fitter", "5926").status_code == 201
    others = tablet.post(f"/api/people/{bench.ids['A. Chief']}/secret",
                         json={"kind": "pin", "secret": "5926"})  # fmt: skip
    assert others.status_code == 403


def test_signing_out_ends_the_session_and_leaves_the_device(bench: Bench) -> None:
    tablet = bench.enrolled()
    token = tablet.cookies["clampwright-session"]
    assert tablet.post("/api/session/end", json={}).json()["ended"] is True
    tablet.cookies.set("clampwright-session", token)
    assert tablet.get("/api/jobs").status_code == 401, "ended on the server, not only forgotten"
    told = tablet.get("/api/session").json()
    assert told["enrolled"]
    assert {one["name"] for one in told["tiles"]} == set(PINS)


@pytest.mark.parametrize(
    "cookie",
    [
        "",
        "x",
        "clampwright-session=",
        'clampwright-session="',
        "a" * 4000,
        "clampwright-session=\x01",
        "clampwright-device=0; x=y;;;",
    ],
)
def test_odd_cookies_are_nobody(bench: Bench, cookie: str) -> None:
    answer = bench.device().get("/api/jobs", headers={"cookie": cookie})
    assert answer.status_code == 401


def test_neither_log_files_nor_answers_hold_a_secret(
    bench: Bench, wheel: Any, caplog: pytest.LogCaptureFixture, capfd: pytest.CaptureFixture[str]
) -> None:
    caplog.set_level(logging.DEBUG)
    tablet = bench.enrolled()
    open_job(tablet)
    bad = {"name": "A. Chief", "password": PASSWORD, "more": 1}
    told = [tablet.post("/api/session/password", json=bad).text]  # refused by its shape
    told.append(bench.tap(tablet, "B. Fitter", "83 05").text)
    told.append(bench.tap(tablet, "B. Fitter").text)
    told.append(put(tablet, "pulls", pull(wheel, 1)).text)
    told.append(tablet.get("/people").text)
    out = capfd.readouterr()
    everything = "\n".join([*told, caplog.text, out.out, out.err])
    with Store.open(bench.place.folder, write=False) as store:
        everything += "\n".join(json.dumps(entry) for entry in store.entries())
    for secret in (PASSWORD, "83 05", "8305", "argon2", tablet.cookies["clampwright-session"]):
        assert secret not in everything, secret


def test_no_secret_stands_in_any_file_of_the_workshop(bench: Bench) -> None:
    tablet = bench.enrolled()
    bench.tap(tablet, "B. Fitter")
    cookies = [tablet.cookies[name] for name in ("clampwright-session", "clampwright-device")]
    for path in Path(bench.place.folder).rglob("*"):
        data = path.read_bytes() if path.is_file() else b""
        assert not any(one.encode() in data for one in (PASSWORD, *cookies)), path


@pytest.mark.parametrize(
    "origin", ["http://evil.example", "null", "http://127.0.0.1:8124", "https://127.0.0.1:8123"]
)
def test_another_site_does_nothing_with_these_cookies(bench: Bench, origin: str) -> None:
    tablet = bench.enrolled()
    for path in ("/api/session/end", "/api/people", "/api/session/pin", "/api/devices"):
        answer = tablet.post(path, json={}, headers={"origin": origin})
        assert answer.status_code == 403, path
    assert tablet.get("/api/session").json()["state"] == "open"
