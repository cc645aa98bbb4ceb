"""What must be signed and was done where nobody could: held open, signed once, refused, listed."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner
from starlette.testclient import TestClient
from tests.web.staffed import JOB, Bench, open_job, pull, put, staffed

from clampwright.bench.acting import acting
from clampwright.bench.exchange import read_exchange
from clampwright.bench.folder import Workshop
from clampwright.bench.records import record_text
from clampwright.cli import group
from clampwright.errors import Refused
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.carried import take_carried


@pytest.fixture
def bench(workshop: Workshop) -> Bench:
    return staffed(workshop)


def doubtful(tablet: TestClient, wheel: Any) -> str:
    """A pull that stands doubtful on the log."""
    open_job(tablet)
    entry = str(uuid7())
    assert put(tablet, "pulls", wheel.click(1, moved=False), entry).status_code == 201
    return entry


def acceptance(bench: Bench, wheel: Any, of: str, by: str, **device: Any) -> dict[str, Any]:
    made = {**wheel.device, "person": bench.ids[by], "late": True, **device}
    return {"entry": of, "reason": "seen to turn", "device": made}


def kinds(bench: Bench) -> list[str]:
    with Store.open(bench.place.folder, write=False) as store:
        return [one["kind"] for one in store.entries(job=JOB)]


def waits(client: TestClient) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = client.get("/api/unsigned").json()["unsigned"]
    return found


def test_a_late_acceptance_is_held_open_and_takes_effect_when_it_is_signed(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    of, entry = doubtful(tablet, wheel), str(uuid7())
    early = acceptance(bench, wheel, of, "B. Fitter", late=False)
    bench.tap(tablet, "B. Fitter")
    assert put(tablet, "acceptances", early, entry).json()["sign"] == "accept_doubtful"
    late = acceptance(bench, wheel, of, "B. Fitter")
    sent = [put(tablet, "acceptances", late, entry) for _ in range(3)]
    assert [one.status_code for one in sent] == [202] * 3
    assert sent[0].json() == sent[2].json(), "as often as it is sent: the first receipt"
    assert "waits for B. Fitter to sign" in sent[0].json()["told"]
    assert kinds(bench) == ["job_opened", "pull", "signature_awaited"]
    now = tablet.get(f"/api/jobs/{JOB}/bench").json()
    assert now["waits"][0]["key"] == ["wheel", 1, 1]
    assert now["ahead"][0] == ["wheel", 1, 3], "the others of this stage go on"
    assert now["ahead"][4] == ["wheel", 1, 1], "and the stage ends with it"
    assert "waits for B. Fitter to sign" in tablet.get("/").text
    assert tablet.get("/api/jobs").json()["jobs"][0]["unsigned"] == 1
    (one,) = waits(tablet)
    again = {**one["content"], "device": one["device"]}
    path = f"/api/jobs/{JOB}/{one['way']}/{one['id']}"
    assert tablet.put(path, json=again).json()["sign"] == "accept_doubtful"
    chief = bench.signature(tablet, "A. Chief", "accept_doubtful", entry)
    refused = tablet.put(path, json=again, headers={"x-signature": chief})
    assert refused.status_code == 409
    assert "waits for B. Fitter to sign" in refused.json()["error"]
    own = {"x-signature": bench.signature(tablet, "B. Fitter", "accept_doubtful", entry)}
    signed = [tablet.put(path, json=again, headers=own).status_code for _ in range(3)]
    assert signed == [201, 200, 200]
    assert put(tablet, "acceptances", late, entry).status_code == 200, "the device learns of it too"
    assert kinds(bench) == ["job_opened", "pull", "signature_awaited", "pull_accepted"]
    assert bench.made_by(entry)["signed"] == "pin"
    assert waits(tablet) == []
    assert tablet.get(f"/api/jobs/{JOB}/bench").json()["ahead"][0] == ["wheel", 1, 3]
    assert ["wheel", 1, 1] not in tablet.get(f"/api/jobs/{JOB}/bench").json()["ahead"]


def test_what_is_held_open_can_be_refused_with_a_reason_and_both_stand(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    of, entry = doubtful(tablet, wheel), str(uuid7())
    late = acceptance(bench, wheel, of, "B. Fitter")
    put(tablet, "acceptances", late, entry)
    (one,) = waits(tablet)
    for reason, status in (("", 409), ("pulled again instead", 201), ("once more", 409)):
        refusal = str(uuid7())
        token = bench.signature(tablet, "A. Chief", "accept_doubtful", refusal)
        body = {"unsigned": one["entry"], "reason": reason, "device": dict(wheel.device)}
        found = put(tablet, "not-signed", body, refusal, **{"x-signature": token})
        assert found.status_code == status, found.text
    again = {**one["content"], "device": one["device"]}
    token = bench.signature(tablet, "B. Fitter", "accept_doubtful", entry)
    found = put(tablet, "acceptances", again, entry, **{"x-signature": token})
    assert found.status_code == 409
    assert "pulled again instead" in found.json()["error"]
    told = put(tablet, "acceptances", late, entry)
    assert (told.status_code, "pulled again" in told.json()["told"]) == (202, True)
    record = tablet.get(f"/jobs/{JOB}/record.json")
    assert record.status_code == 200, record.text
    text = "\n".join(record_text(record.content))
    assert "(not to count: pulled again instead)" in text


def test_other_content_under_the_id_of_what_is_held_open_is_kept_beside_it(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    of, entry = doubtful(tablet, wheel), str(uuid7())
    late = acceptance(bench, wheel, of, "B. Fitter")
    assert put(tablet, "acceptances", late, entry).status_code == 202
    other = put(tablet, "acceptances", {**late, "reason": "another"}, entry)
    assert other.status_code == 409
    assert other.json()["aside"]["sha256"]
    assert kinds(bench)[2:] == ["signature_awaited", "kept_aside"]


def test_what_a_learner_may_not_waits_for_somebody_who_may(bench: Bench, wheel: Any) -> None:
    tablet = bench.enrolled()
    of, entry = doubtful(tablet, wheel), str(uuid7())
    late = acceptance(bench, wheel, of, "C. Learner")
    told = put(tablet, "acceptances", late, entry)
    assert told.status_code == 202
    assert "waits for somebody to sign who may do this" in told.json()["told"]
    (one,) = waits(tablet)
    again = {**one["content"], "device": one["device"]}
    token = bench.signature(tablet, "A. Chief", "accept_doubtful", entry)
    found = put(tablet, "acceptances", again, entry, **{"x-signature": token})
    assert found.status_code == 201


def test_a_queue_goes_on_after_what_is_held_open_and_the_job_stays_open(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.tap(tablet, "B. Fitter")
    of = str(uuid7())
    late = {**wheel.device, "person": bench.ids["B. Fitter"], "late": True}

    def row(way: str, content: dict[str, Any], entry: str = "") -> dict[str, Any]:
        rest = {name: value for name, value in content.items() if name != "device"}
        return {
            "job": JOB,
            "way": way,
            "id": entry or str(uuid7()),
            "content": rest,
            "device": late,
        }

    rows = [
        row("pulls", wheel.click(1, moved=False), of),
        row("acceptances", {"entry": of, "reason": "seen"}),
        row("pulls", wheel.click(3)),
        row("closings", {}),
    ]
    answers = tablet.post("/api/entries", json={"entries": rows}).json()["answers"]
    assert [one["status"] for one in answers] == [201, 202, 201, 202]
    assert kinds(bench)[1:] == ["pull", "signature_awaited", "pull", "signature_awaited"]
    closing = str(uuid7())
    token = bench.signature(tablet, "B. Fitter", "close_job", closing)
    found = put(
        tablet, "closings", {"device": dict(wheel.device)}, closing, **{"x-signature": token}
    )
    assert found.status_code == 409


def test_what_was_made_before_its_sender_signed_in_is_not_put_in_that_name(
    bench: Bench, wheel: Any
) -> None:
    tablet = bench.enrolled()
    open_job(tablet)
    bench.clock.later(3600)
    bench.tap(tablet, "B. Fitter")
    before, wrong_clock, after = (str(uuid7()) for _ in range(3))
    tablet_put = put(tablet, "pulls", pull(wheel, 1, "2026-10-05T08:30:00Z"), before)
    assert tablet_put.status_code == 201
    assert bench.made_by(before) == {
        "person": "not-known", "role": "mechanic", "signed": "not known",
    }  # fmt: skip
    ahead = {"now": "2026-10-06T09:00:10Z"}  # a day ahead: made half an hour before the session
    put(tablet, "pulls", pull(wheel, 3, "2026-10-06T08:30:10Z", **ahead), wrong_clock)
    assert bench.made_by(wrong_clock)["person"] == "not-known"
    put(tablet, "pulls", pull(wheel, 5, "2026-10-05T09:00:05Z"), after)
    assert bench.made_by(after)["signed"] == "session"
    page = tablet.get(f"/jobs/{JOB}").text
    assert "Person not known" in page
    by_chief, by_fitter = str(uuid7()), str(uuid7())
    body = {"entry": before, "person": "C. Learner", "reason": "the rota", "device": wheel.device}
    denied = tablet.post(
        "/api/signatures",
        json={"person": bench.ids["B. Fitter"], "secret": "8305", "act": "name_hand",
              "entry": by_fitter},
    )  # fmt: skip
    assert denied.status_code == 403
    token = {"x-signature": bench.signature(tablet, "A. Chief", "name_hand", by_chief)}
    assert put(tablet, "named-hands", body, by_chief, **token).status_code == 201
    assert put(tablet, "named-hands", body, by_chief, **token).status_code == 200
    left = tablet.get("/api/unsigned").json()["not_known"]
    assert [one["entry"] for one in left] == [wrong_clock]
    text = "\n".join(record_text(tablet.get(f"/jobs/{JOB}/record.json").content))
    assert f"{bench.ids['C. Learner']} (apprentice), named afterwards: 1 × pulls" in text
    assert "person not known, made before its sender signed in: 1 × pulls" in text


def carried(way: str, content: dict[str, Any], **more: Any) -> Any:
    rest = {name: value for name, value in content.items() if name != "device"}
    entry = {
        "job": JOB, "way": way, "id": str(uuid7()), "counter": 2, "made": "2026-10-05T08:03:00Z",
        "content": rest, **more,
    }  # fmt: skip
    whole = {"format": "clampwright-entries", "version": 1, "device": "device-1"}
    return entry["id"], read_exchange(json.dumps({**whole, "entries": [entry]}).encode(), "q.json")


def test_carried_in_at_the_terminal_the_name_given_there_holds_for_what_names_nobody(
    bench: Bench, wheel: Any
) -> None:
    open_job(bench.enrolled())
    entry, queue = carried("pulls", wheel.click(1))
    with acting("A. Chief"):
        assert take_carried(bench.place.folder, queue).taken == 1
    assert bench.made_by(entry) == {
        "person": bench.ids["A. Chief"], "role": "administrator", "signed": "terminal",
    }  # fmt: skip


def test_the_command_lists_signs_and_refuses(bench: Bench, wheel: Any) -> None:
    run = CliRunner().invoke
    tablet = bench.enrolled()
    of = doubtful(tablet, wheel)
    rest = {"entry": of, "reason": "seen to turn"}
    entry, queue = carried("acceptances", rest, person=bench.ids["A. Chief"])
    told = take_carried(bench.place.folder, queue)
    assert (told.taken, len(told.held)) == (0, 1)
    at = ["--workshop", str(bench.place.folder)]
    done = run(group, ["entries", "unsigned", *at])
    assert done.exit_code == 1
    assert "waits for A. Chief to sign" in done.output
    done = run(group, ["--as", "B. Fitter", "entries", "unsigned", JOB, "--sign", entry, *at],
               input="8305\n")  # fmt: skip
    assert isinstance(done.exception, Refused), done.output
    done = run(group, ["--as", "A. Chief", "entries", "unsigned", JOB, "--sign", entry, *at],
               input="wrong\n")  # fmt: skip
    assert isinstance(done.exception, Refused), done.output
    done = run(group, ["--as", "A. Chief", "entries", "unsigned", JOB, "--sign", entry, *at],
               input="four plain words here\n")  # fmt: skip
    assert done.exit_code == 0, done.output
    assert bench.made_by(entry)["signed"] == "password"
    assert kinds(bench)[2:] == ["signature_awaited", "pull_accepted"]
