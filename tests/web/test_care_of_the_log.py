"""Pages about what comes after: follow-ups, labels, the log's heads, its key, its backups."""

from __future__ import annotations

import zipfile
from typing import TYPE_CHECKING, Any

import pytest
from icalendar import Calendar
from looked_over import complaints
from playwright.sync_api import expect

from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.ids import uuid7
from clampwright.store import Store

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from clampwright.bench.folder import Workshop

PAGES = ("/after", "/labels", "/safe")


def planned(wheel: Any, **more: str) -> dict[str, Any]:
    plain = {
        "where": "trailer-wheel/wheel",
        "what": "retorque",
        "how": "pull_up",
        "days": "3",
        "told": "the owner of the trailer",
        "source": "owner's sheet",
    }
    return {**plain, **more, "device": dict(wheel.device)}


def test_before_there_is_a_log_every_page_says_so(client: TestClient) -> None:
    assert "Nothing is to be followed up." in client.get("/after").text
    assert "There is no log yet" in client.get("/safe").text
    assert client.get("/api/follow-ups").json() == {"follow_ups": []}
    assert Calendar.from_ical(client.get("/after.ics").content).walk("VEVENT") == []


def test_a_follow_up_is_planned_once_listed_put_in_the_calendar_and_settled(
    opened: TestClient, wheel: Any
) -> None:
    entry = str(uuid7())
    path = f"/api/follow-ups/{entry}"
    assert opened.put(path, json=planned(wheel)).status_code == 201
    assert opened.put(path, json=planned(wheel)).status_code == 200, "sent again"
    (one,) = opened.get("/api/follow-ups").json()["follow_ups"]
    assert (one["id"], one["state"], one["after"]) == (entry, "open", {"days": 3.0})
    page = opened.get("/after").text
    assert "the owner of the trailer" in page
    (event,) = Calendar.from_ical(opened.get("/after.ics").content).walk("VEVENT")
    assert event.decoded("dtstart").isoformat() == one["day"]
    slip = opened.get(f"/after/{entry}/slip.pdf")
    assert (slip.headers["content-type"], slip.content[:5]) == ("application/pdf", b"%PDF-")
    settling = f"/api/follow-ups/{entry}/settlings/{uuid7()}"
    body = {"outcome": "refused", "reason": "", "device": dict(wheel.device)}
    refused = opened.put(settling, json=body)
    assert refused.status_code >= 400
    assert "say why it was refused" in refused.json()["error"]
    body["reason"] = "sold the trailer"
    assert opened.put(settling, json=body).status_code == 201
    assert opened.put(settling, json=body).status_code == 200
    assert opened.get("/api/follow-ups").json()["follow_ups"][0]["state"] == "refused"
    assert "sold the trailer" in opened.get("/after").text


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"how": ""}, "practice is in conflict about how"),
        ({"days": ""}, "say after what it is due"),
        ({"days": "three"}, "three"),
        ({"told": " "}, "say who was told"),
        ({"where": "trailer-wheel/hub"}, "hub"),
        ({"where": "launch-engine-head/head"}, "turning on would stretch it further"),
    ],
)
def test_what_cannot_be_planned_is_told_and_nothing_is_stored(
    opened: TestClient, wheel: Any, workshop: Workshop, more: dict[str, str], says: str
) -> None:
    size = _size(workshop)
    answer = opened.put(f"/api/follow-ups/{uuid7()}", json=planned(wheel, **more))
    assert 400 <= answer.status_code < 500
    assert says in answer.json()["error"]
    assert _size(workshop) == size


def test_a_head_is_signed_printed_and_noted_as_kept(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    before = opened.get("/safe").text
    assert "None is known to be kept outside" in before
    note = opened.post("/api/heads", json={"device": dict(wheel.device)}).json()["head"]
    assert read_checkpoint(note).head.size == _size(workshop)
    assert opened.get("/safe/head.pdf").content[:5] == b"%PDF-"
    path = f"/api/kept-heads/{uuid7()}"
    nobody = opened.put(path, json={"where": " ", "device": dict(wheel.device)})
    assert "say who keeps it" in nobody.json()["error"]
    body = {"where": "folder at the notary", "device": dict(wheel.device)}
    assert opened.put(path, json=body).status_code == 201
    assert opened.put(path, json=body).status_code == 200
    assert "folder at the notary" in opened.get("/safe").text


def test_a_backup_is_made_while_the_server_works_and_holds_no_key(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    made = opened.post("/api/backups", json={"device": dict(wheel.device)})
    assert made.status_code == 201
    assert made.json()["file"] in opened.get("/safe").text
    with zipfile.ZipFile(workshop.folder / "backups" / made.json()["file"]) as saved:
        assert not [name for name in saved.namelist() if name.endswith((".key", ".pem"))]
        assert saved.testzip() is None


def test_labels_open_the_pages_by_the_address_given(client: TestClient) -> None:
    page = client.get("/labels").text
    assert "reached from this machine only" in page
    asked = {"kind": ["tools", "joints"], "address": "https://192.168.1.7:8123"}
    assert client.get("/labels.pdf", params=asked).content[:5] == b"%PDF-"
    for wrong, says in (
        ({"kind": "tools", "address": "javascript:alert(1)"}, "no address of the pages"),
        ({"kind": "horses", "address": "http://x"}, "say what the labels are for"),
        ({"address": "http://x"}, "say what the labels are for"),
    ):
        answer = client.get("/labels.pdf", params=wrong)
        assert 400 <= answer.status_code < 500
        assert says in answer.text.replace("Say what", "say what")


def test_by_touch_on_the_phone_with_nothing_for_axe_to_complain_of(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    with Store.open(workshop.folder, create=True) as store:
        store.sign_checkpoint()
    page = handset.page
    for path in PAGES:
        page.goto(f"{nearby.address}{path}")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        assert complaints(page) == [], path
    page.goto(f"{nearby.address}/after")
    page.locator("#where").select_option("trailer-wheel/wheel")
    page.locator("#how").select_option("pull_up")
    page.locator("#distance_km").fill("50")
    page.locator("#told").fill("Owner")
    page.get_by_role("button", name="Plan one").tap()
    expect(page.locator(".tool")).to_contain_text("Tighten again: wheel")


def _size(workshop: Workshop) -> int:
    with Store.open(workshop.folder, write=False) as store:
        return store.head()[0]
