"""The page for when there is no figure."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from playwright.sync_api import expect

from clampwright.bench.folder import Workshop
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.work.figures import questions

if TYPE_CHECKING:
    from playwright.sync_api import Page
    from starlette.testclient import TestClient


def test_a_question_is_kept_and_answered_by_touch(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.goto(nearby.address)
    page.get_by_role("link", name="No figure?").tap()
    expect(page.locator("h1")).to_contain_text("nothing is tightened")
    page.locator("#at-plate").fill("painted over")
    page.locator("#what").fill("bolt of the rudder arm")
    page.get_by_role("button", name="Keep this question").tap()
    form = page.locator("form[data-asked]")
    form.get_by_label("The figure with its unit").fill("85 N·m")
    form.get_by_role("button", name="Enter the figure").tap()
    expect(page.locator("#notice")).to_contain_text("name the source")
    form.get_by_label("Where it stands").fill("Rudder handbook, page 9")
    form.get_by_role("button", name="Enter the figure").tap()
    expect(page.locator(".findings")).to_contain_text("85 N·m")
    with Store.open(workshop.folder, write=False) as store:
        (one,) = questions(store.entries())
    assert one.asked["looked"] == {"plate": "painted over"}
    assert one.found is not None


def test_the_table_is_shown_when_asked_for_and_says_what_it_is_not(client: TestClient) -> None:
    assert "N·m</td>" not in client.get("/figures").text
    shown = client.get("/figures?thread=M12&strength=8.8").text
    assert "not the maker&#39;s figure" in shown
    assert "N·m</td>" in shown
    assert "No job takes a figure from this table." in shown
    assert "M99" in client.get("/figures?thread=M99&strength=8.8").text


def test_content_that_cannot_be_is_refused(client: TestClient) -> None:
    entry = str(uuid7())
    body = {"what": "arm bolt", "looked": {"plate": "none"}}
    assert client.put(f"/api/figures/{entry}", json=body).status_code == 201
    assert client.put(f"/api/figures/{entry}", json=body).status_code == 200
    for way, wrong, status in (
        ("figures", {"what": " "}, 409),
        ("figures", {"what": "x", "looked": {"cellar": "dark"}}, 422),
        ("figures", {"what": "x", "torque": "9"}, 422),
        ("figure-answers", {"asked": "nobody", "figure": "1 N·m", "source": "desk"}, 422),
    ):
        answer = client.put(f"/api/{way}/{uuid7()}", json=wrong)
        assert answer.status_code == status, answer.text
    assert len(client.get("/api/figures").json()["questions"]) == 1
