"""The preparation list by touch, and what a device may send of it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from playwright.sync_api import expect

from clampwright.bench.folder import Workshop
from clampwright.store import Store

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from starlette.testclient import TestClient

JOB = "trailer-wheel"


def bodies(place: Workshop, kind: str) -> list[dict[str, Any]]:
    with Store.open(place.folder, write=False) as store:
        return [one["body"] for one in store.entries(job=JOB) if one["kind"] == kind]


def test_the_list_by_touch(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    page.goto(nearby.address)
    page.get_by_role("button", name=re.compile("^Begin this job: Left wheel")).tap()
    expect(page.locator("before-pull")).to_contain_text("12 points of the preparation list")
    page.get_by_role("link", name="Go through the list").tap()
    point = page.locator("#wheel-wheel_surface")
    point.get_by_text("Dry: ball or cone seats").tap()
    point.get_by_role("button", name="Take this choice").tap()
    expect(point.locator(".became")).to_have_text("Dry: ball or cone seats, stud-piloted")
    skipped = page.locator("#wheel-sockets")
    skipped.get_by_text("Skip it, with a reason").tap()
    skipped.get_by_role("button", name="Skip it").tap()
    expect(page.locator("#notice")).to_contain_text("give the reason for skipping it")
    skipped.get_by_label("Reason").fill("by eye")
    skipped.get_by_role("button", name="Skip it").tap()
    expect(skipped.locator(".became")).to_have_text("Skipped: by eye")
    page.locator("#wheel-wheel_ground").get_by_text("Raised, and checked").tap()
    page.locator("#wheel-wheel_ground").get_by_role("button", name="Take this choice").tap()
    for left in range(9, 0, -1):
        expect(page.locator("#left")).to_have_text(f"open: {left}")
        page.locator(".point.is-open").first.get_by_role("button", name="It is so").tap()
    expect(page.locator("#left")).to_have_text("Nothing is open.")
    page.get_by_role("link", name="To the bench").tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    settled = {one["point"]: one for one in bodies(workshop, "preparation_settled")}
    assert len(settled) == 12
    assert settled["wheel_surface"]["chosen"]["source"].startswith("US Army TM 5-3805-254-14&P-2")
    assert settled["sockets"]["reason"] == "by eye"


def test_a_device_may_send_the_same_again_and_nothing_unknown(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    entry = wheel.entry()
    body = {
        "joint": "wheel", "point": "support", "how": "ticked", "answer": "", "reason": "",
        "device": dict(wheel.device),
    }  # fmt: skip
    assert wheel.put(opened, entry, body, "preparations").status_code == 201
    assert wheel.put(opened, entry, body, "preparations").status_code == 200
    assert wheel.put(opened, entry, {**body, "point": "sockets"}, "preparations").status_code == 409
    for wrong, status in (
        ({"point": "paint"}, 422),
        ({"how": "skipped"}, 409),
        ({"how": "guessed"}, 422),
    ):
        answer = wheel.put(opened, wheel.entry(), {**body, **wrong}, "preparations")
        assert answer.status_code == status, answer.text
    assert len(bodies(workshop, "preparation_settled")) == 1
    listed = opened.get(f"/api/jobs/{JOB}/preparation").json()["joints"][0]
    assert listed["must"] is True
    assert sum(point["open"] for point in listed["points"]) == 11


def test_going_on_without_it_is_taken_with_a_reason_only(
    opened: TestClient, wheel: Any, workshop: Workshop
) -> None:
    body = {
        "joint": "wheel", "stage": 1, "fastener": 1, "reason": " ", "device": dict(wheel.device),
    }  # fmt: skip
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["preparation"]["must"] is True
    assert wheel.put(opened, wheel.entry(), body, "passings").status_code == 409
    body["reason"] = "list on the wall"
    assert wheel.put(opened, wheel.entry(), body, "passings").status_code == 201
    assert opened.get(f"/api/jobs/{JOB}/bench").json()["preparation"] is None
    (passed,) = bodies(workshop, "preparation_passed_over")
    assert len(passed["open"]) == 12


def test_a_job_not_begun_shows_its_list_to_read(client: TestClient) -> None:
    page = client.get(f"/jobs/{JOB}/preparation").text
    assert "until then this is a list to read" in page
    assert "It is so</button>" not in page
    assert client.get("/jobs/nope/preparation").status_code == 404
