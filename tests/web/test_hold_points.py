"""Hold points at the bench page, running torque of each nut, and taking apart by touch."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from playwright.sync_api import expect

from clampwright.bench.folder import Workshop
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.work.fold import JobState, fold

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from starlette.testclient import TestClient

EXAMPLE = Path(__file__).parents[2] / "examples" / "adjusting-workshop"
DEVICE = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}


@pytest.fixture
def workshop(tmp_path: Path) -> Workshop:
    """The workshop of the adjusting joints instead of the demonstration's."""
    shutil.copytree(EXAMPLE, tmp_path / "workshop")
    return Workshop(tmp_path / "workshop")


def state(place: Workshop, job: str) -> JobState:
    with Store.open(place.folder, write=False) as store:
        return fold(store.entries(job=job))


def begin(page: Page, address: str, job: str) -> None:
    page.goto(f"{address}/jobs/{job}")
    page.get_by_role("button", name="Begin").tap()
    page.wait_for_selector("bench-page[data-ready]")


def read(page: Page, figure: str) -> None:
    page.wait_for_selector("bench-page[data-mode=pull][data-ready]")
    page.locator("#figure").fill(figure)
    page.get_by_role("button", name="Take this").tap()
    page.locator(".verdict-word").wait_for()


def go_on(page: Page) -> None:
    page.wait_for_selector("bench-page[data-ready]")
    page.locator("pull-verdict .main").tap()


def test_a_sleeve_is_approached_and_the_shaft_felt_by_touch(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address, "winch-pinion")
    page.get_by_role("button", name="Done").tap()
    go_on(page)
    read(page, "2,4")
    expect(page.locator("pull-verdict")).to_contain_text("Turn the nut a little further")
    go_on(page)
    read(page, "3,4")
    go_on(page)
    page.wait_for_selector("bench-page[data-mode=before][data-ready]")
    expect(page.locator(".before-ask")).to_contain_text("turn freely by hand")
    page.get_by_role("button", name="No", exact=True).tap()
    expect(page.locator("before-pull")).to_contain_text("no does not fit")
    page.wait_for_selector("bench-page[data-mode=before][data-ready]")
    page.get_by_role("button", name="Yes", exact=True).tap()
    page.get_by_role("button", name="Close this job").wait_for()
    done = state(workshop, "winch-pinion")
    assert [pull.verdict for pull in done.pulls] == ["within", "short", "within"]
    assert [one["outcome"] for one in done.hold_answers] == ["does not fit", "fits"]


def test_minutes_before_the_first_stage_and_each_nut_its_own_figure(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address, "shaft-flange")
    expect(page.locator(".before-limits")).to_have_text("Wanted: at most 20 min")
    page.locator("#hold-answer").fill("5")
    page.get_by_role("button", name="Take this value").tap()
    for figure in ("1.2", "2.0", "1.0", "1.1"):
        read(page, figure)
        go_on(page)
    page.wait_for_selector("bench-page[data-mode=pull][data-ready]")
    expect(page.locator("pull-view")).to_contain_text("19.2 N·m at the fastener")
    assert len(state(workshop, "shaft-flange").pulls) == 4


def test_taking_apart_by_touch(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    begin(page, nearby.address, "shaft-flange")
    page.goto(f"{nearby.address}/jobs/shaft-flange")
    page.get_by_role("link", name="Take apart").tap()
    page.wait_for_url("**/apart")
    expect(page.locator(".apart-number")).to_have_text("4")
    page.locator("#breakaway").fill("24 N·m")
    page.locator("#note").fill("rust")
    page.get_by_role("button", name="Done: next fastener").tap()
    expect(page.locator(".apart-number")).to_have_text("2")
    page.wait_for_load_state()  # the page is a new one: its script is there only now
    page.locator("#breakaway").fill("24 mm")
    page.get_by_role("button", name="Done: next fastener").tap()
    expect(page.locator("#notice")).to_contain_text("torque")
    assert state(workshop, "shaft-flange").apart["flange", 1, 4]["note"] == "rust"


def test_what_a_device_sends_is_taken_once_or_refused(
    client: TestClient, workshop: Workshop
) -> None:
    job = "shaft-flange"
    assert client.post(f"/api/jobs/{job}/opening").status_code == 201
    entry = str(uuid7())
    hold = {"joint": "flange", "hold": 1, "answer": "5 min", "reason": "", "device": DEVICE}
    assert client.put(f"/api/jobs/{job}/holds/{entry}", json=hold).status_code == 201
    assert client.put(f"/api/jobs/{job}/holds/{entry}", json=hold).status_code == 200
    other = {**hold, "answer": "6 min"}
    assert client.put(f"/api/jobs/{job}/holds/{entry}", json=other).status_code == 409
    for way, body, status in (
        ("holds", {**hold, "hold": 9}, 409),
        ("holds", {**hold, "answer": "soon"}, 422),
        ("holds", {**hold, "answer": "5 mm"}, 422),
        ("loosenings", {"joint": "flange", "round": 7, "fastener": 1, "device": DEVICE}, 409),
        ("loosenings", {"joint": "hub", "round": 1, "fastener": 1, "device": DEVICE}, 409),
    ):
        answer = client.put(f"/api/jobs/{job}/{way}/{uuid7()}", json=body)
        assert answer.status_code == status, answer.text
    loosened = {"joint": "flange", "round": 1, "fastener": 4, "device": DEVICE}
    entry = str(uuid7())
    for status in (201, 200):
        answer = client.put(f"/api/jobs/{job}/loosenings/{entry}", json=loosened)
        assert answer.status_code == status, answer.text
    done = state(workshop, job)
    assert len(done.hold_answers) == 1
    assert len(done.apart) == 1
    holds = client.get(f"/api/jobs/{job}/bench").json()["holds"]
    assert [one["hold"] for one in holds] == [2, 3]
