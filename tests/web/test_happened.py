"""Something happened, over the API and by touch; the device looks things up as the server does."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from starlette.testclient import TestClient
from tests.web.test_bench_page import JOB, answer, begin, kinds, settled
from tests.web.test_modules import evaluate

from clampwright.bench.folder import Workshop
from clampwright.store import Store
from clampwright.web.happened_view import tables_view
from clampwright.work.happening_tables import SORTS, fits, happenings, questions, rules


def told(wheel: Any, what: str, fastener: int, stage: int = 1, **more: Any) -> dict[str, Any]:
    return {
        "joint": "wheel",
        "stage": stage,
        "fastener": fastener,
        "what": what,
        "answers": {},
        "tool": "click-60",
        "device": dict(wheel.device),
        **more,
    }


def bench(client: TestClient) -> dict[str, Any]:
    found: dict[str, Any] = client.get(f"/api/jobs/{JOB}/bench").json()
    return found


def test_a_slip_is_noted_settled_and_taken_back_each_once(wheel: Any, opened: TestClient) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1))
    entry, settling = wheel.entry(), wheel.entry()
    slip = told(wheel, "slip", 1, answers={"reached": "yes"})
    sent = [wheel.put(opened, entry, slip, "happenings").status_code for _ in range(3)]
    assert sent == [201, 200, 200]
    other = {**slip, "fastener": 3}
    assert wheel.put(opened, entry, other, "happenings").status_code == 409
    now = bench(opened)
    assert now["ahead"][0] == ["wheel", 1, 1]
    (due,) = now["dues"]
    assert (due["due"], due["ask"]) == ("loosen", "Loosen fastener 1 fully")
    refused = wheel.put(opened, wheel.entry(), wheel.click(1))
    assert refused.status_code == 409
    assert "first settle what happened here: Loosen fastener" in refused.json()["error"]
    body = {"joint": "wheel", "happening": entry, "due": "loosen", "device": dict(wheel.device)}
    sent = [wheel.put(opened, settling, body, "settlings").status_code for _ in range(3)]
    assert sent == [201, 200, 200]
    assert wheel.put(opened, wheel.entry(), body, "settlings").status_code == 409
    back = {"entry": entry, "reason": "it was not so", "device": dict(wheel.device)}
    refused = wheel.put(opened, wheel.entry(), back, "takings-back")
    assert "only the last thing" in refused.json()["error"]
    undo = wheel.entry()
    for what in (settling, entry):
        undo = wheel.entry()
        body = {**back, "entry": what}
        assert wheel.put(opened, undo, body, "takings-back").status_code == 201
    assert wheel.put(opened, undo, body, "takings-back").status_code == 200
    now = bench(opened)
    assert (now["dues"], now["ahead"][0]) == ([], ["wheel", 1, 3])
    listed = opened.get(f"/api/jobs/{JOB}/happenings").json()
    assert [one["taken_back"] for one in listed["happenings"]] == ["it was not so"] * 2
    assert listed["back"]["what"] == "the pull of fastener 1 at stage 1: within"


def test_a_wrench_in_doubt_is_laid_aside_and_another_taken(wheel: Any, opened: TestClient) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1))
    entry = wheel.entry()
    doubt = told(wheel, "wrench_in_doubt", 3, answers={"how": "strange"})
    assert wheel.put(opened, entry, doubt, "happenings").status_code == 201
    now = bench(opened)
    assert now["aside"] == ["Click wrench 10 to 60 N·m"]
    assert now["steps"]["wheel/1"]["tool"]["id"] != "click-60"
    assert now["ahead"][0] == ["wheel", 1, 3], "the work goes on"
    refused = wheel.put(opened, wheel.entry(), wheel.click(3))
    assert refused.status_code == 409
    off = {
        "joint": "wheel", "happening": entry, "due": "suspect", "answer": "off",
        "device": dict(wheel.device),
    }  # fmt: skip
    assert wheel.put(opened, wheel.entry(), off, "settlings").status_code == 201
    assert bench(opened)["dues"][0]["ask"] == "Loosen fastener 1 fully"


def test_what_is_no_answer_is_said_and_changes_nothing(wheel: Any, opened: TestClient) -> None:
    for body, status, why in (
        (told(wheel, "ghost", 1), 409, "must be one of: slip"),
        (told(wheel, "slip", 1), 409, "not answered yet"),
        (told(wheel, "slip", 1, answers={"reached": "hm"}), 409, "must be one of: no, yes"),
        (told(wheel, "slip", 9), 404, "no pull at joint wheel"),
        (told(wheel, "slip", 1, answers={"reached": 3}), 422, ""),
        (told(wheel, "slip", 1, more=1), 422, ""),
    ):
        found = wheel.put(opened, wheel.entry(), body, "happenings")
        assert (found.status_code, why in found.text) == (status, True), found.text
    assert bench(opened)["size"] == 2


def test_a_shift_change_hands_over_with_a_summary_and_no_names_on_the_log(
    wheel: Any, opened: TestClient, workshop: Workshop
) -> None:
    wheel.put(opened, wheel.entry(), wheel.click(1))
    body = told(wheel, "shift_change", 3, answers={"from": "A. Early", "to": "B. Late"})
    assert wheel.put(opened, wheel.entry(), body, "happenings").status_code == 201
    given, taken = bench(opened)["dues"]
    assert (given["due"], taken["due"], taken["told"]) == ("handover_given", "handover", "next")
    assert given["lines"][0] == "A. Early handed over to B. Late"
    assert given["lines"][2] == "done in this stage: 1; still to do: 3, 5, 2, 4"
    assert given["lines"][3] == "Next: fastener 3, stage 1"
    assert taken["lines"] == ["A. Early handed over to B. Late"], "what is read back is not shown"
    at = {"joint": "wheel", "happening": given["happening"], "device": dict(wheel.device)}
    for due, read_back, status in (
        ("handover_given", "", 201),
        ("handover", "", 409),
        ("handover", "5", 409),
        ("handover", "3", 201),
    ):
        found = wheel.put(opened, wheel.entry(), {**at, "due": due, "told": read_back}, "settlings")
        assert found.status_code == status, found.text
    assert bench(opened)["dues"] == []
    with Store.open(workshop.folder, write=False) as store:
        text = json.dumps(list(store.entries(job=JOB)), ensure_ascii=False)
    assert "Early" not in text
    listed = opened.get(f"/api/jobs/{JOB}/happenings").json()
    assert listed["happenings"][0]["told"][1] == "A. Early handed over to B. Late"
    record = opened.get(f"/jobs/{JOB}/record.txt").text
    assert "A. Early handed over" in record
    assert "Who takes over: which fastener is next? Done (3)" in record


@pytest.mark.parametrize(("how", "event"), [("dropped", True), ("strange", False)])
def test_a_wrench_that_was_dropped_is_due_for_a_check_in_the_drawer_too(
    wheel: Any, opened: TestClient, workshop: Workshop, how: str, *, event: bool
) -> None:
    entry = wheel.entry()
    body = told(wheel, "wrench_in_doubt", 3, answers={"how": how}, note="off the fender")
    sent = [wheel.put(opened, entry, body, "happenings").status_code for _ in range(3)]
    assert sent == [201, 200, 200]
    with Store.open(workshop.folder, write=False) as store:
        mine = [one for one in store.entries() if one["kind"] == "tool_event"]
    assert [(one["body"]["tool"], one["body"]["event"]) for one in mine] == (
        [("click-60", "dropped")] if event else []
    )
    assert ("it was dropped on" in opened.get("/drawer/click-60").text) == event
    assert ("it was dropped on" in opened.get("/drawer/due").text) == event


def ways(what: str, sort: str) -> Iterator[dict[str, str]]:
    """Every way in which the questions of a sort of stage can be answered."""
    mine = [q for q in questions() if q.happening == what and sort in q.stages]

    def further(answers: dict[str, str]) -> Iterator[dict[str, str]]:
        nxt = next((q for q in mine if q.name not in answers and fits(q.when, answers)), None)
        if nxt is None:
            yield answers
            return
        for one in [a.name for a in nxt.answers] or ["1"]:
            yield from further({**answers, nxt.name: one})

    yield from further({})


def test_the_device_offers_what_the_server_offers() -> None:
    every = [
        {"what": what, "sort": sort, "stage": 2, "answers": answers}
        for what in happenings()
        for sort in SORTS
        for answers in ways(what, sort)
    ]
    assert len(every) > 100
    call = "((t, every) => every.map((one) => [m.askNext(t, one), m.offered(t, one).say]))"
    found = evaluate(
        "happening-rules.js", f"{call}({json.dumps(tables_view())}, {json.dumps(every)})"
    )
    for one, (asked, say) in zip(every, found, strict=True):
        fitting = [
            rule
            for rule in rules()
            if rule.happening == one["what"]
            and one["sort"] in rule.stages
            and fits(rule.when, one["answers"])  # type: ignore[arg-type]  # a dict of texts
        ]
        assert (asked, [say]) == (None, [str(rule.say) for rule in fitting]), one


def sizes(page: Page, selector: str) -> list[float]:
    found: list[float] = page.eval_on_selector_all(
        selector,
        "all => all.map((one) => { const box = one.getBoundingClientRect();"
        " return Math.min(box.width, box.height); })",
    )
    return found


def test_a_slip_by_touch(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    for _ in range(3):
        answer(page)  # fastener 1, its verdict, fastener 3
    settled(page)
    page.get_by_role("button", name="Go on").tap()
    settled(page)
    page.get_by_role("button", name="Something happened").tap()
    tiles = sizes(page, "dialog[open] .button")
    assert len(tiles) == 12 + 3 + 1, "what can happen, three other ways, close"
    assert min(tiles) >= 64
    box = page.locator("dialog[open]").bounding_box()
    assert box is not None
    assert box["y"] >= 0
    assert box["y"] + box["height"] <= 844, "all of it without scrolling"
    assert page.evaluate(
        "(d => d.scrollHeight <= d.clientHeight)(document.querySelector('dialog[open]'))"
    )
    page.get_by_role("button", name="The socket slipped").tap()
    expect(page.get_by_role("button", name="At fastener 5")).to_be_visible()
    page.get_by_role("button", name="3", exact=True).tap()
    page.get_by_role("button", name="Yes, or I am not sure").tap()
    expect(page.locator(".offer")).to_contain_text("Back this fastener off fully")
    expect(page.locator("dialog .offer-source")).to_contain_text("FAA AC 43.13-1B")
    assert min(sizes(page, "dialog[open] .button")) >= 64
    page.get_by_role("button", name="Note it").tap()
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    expect(page.locator("what-is-due h2")).to_have_text("Loosen fastener 3 fully")
    page.reload()
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    page.get_by_role("button", name="Done", exact=True).tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert page.locator("bench-page").get_attribute("data-key") == "wheel/1/3"
    settled(page)
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Take the last entry back").tap()
    page.get_by_role("radio", name="It was not so").tap()
    page.get_by_role("button", name="Note it").tap()
    page.wait_for_selector("bench-page[data-mode=due]")
    assert kinds(workshop)[2:] == [
        "pull", "pull", "something_happened", "happening_settled", "taken_back",
    ]  # fmt: skip


def test_without_the_server_what_follows_is_worked_out_and_settled_on_the_device(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    for _ in range(2):
        answer(page)  # fastener 1 and its verdict
    settled(page)
    page.wait_for_function("() => customElements.get('something-happened') !== undefined")
    page.wait_for_load_state("networkidle")
    page.route("**/api/**", lambda route: route.abort())
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Went too far").tap()
    page.get_by_role("button", name="1", exact=True).tap()
    expect(page.locator("dialog .harm")).to_contain_text("Ask the maker's information")
    page.get_by_role("button", name="Note it").tap()
    expect(page.locator(".verdict-word")).to_have_text("Kept here, will be sent")
    expect(page.locator("pull-verdict")).to_contain_text("What follows was worked out here")
    settled(page)
    page.get_by_role("button", name="Go on").tap()
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    expect(page.locator("what-is-due h2")).to_have_text("Loosen fastener 1 fully")
    page.get_by_role("button", name="Done", exact=True).tap()
    settled(page)
    page.get_by_role("button", name="Go on").tap()
    expect(page.locator("what-is-due h2")).to_contain_text("whole pattern")
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    page.get_by_role("button", name="No: only what is named here").tap()
    expect(page.locator("what-is-due .wrong")).to_have_text(
        "Say where, such as handbook page 4-12."
    )
    page.locator("#due-told").fill("handbook 4-12")
    page.get_by_role("button", name="No: only what is named here").tap()
    settled(page)
    page.get_by_role("button", name="Go on").tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert page.locator("bench-page").get_attribute("data-key") == "wheel/1/1", "it begins anew"
    page.unroute("**/api/**")
    page.get_by_role("button", name="Send now").first.tap()
    expect(page.locator("unsent-count")).not_to_have_class("some")
    expect(page.locator("bench-page > .hands > .notice")).not_to_contain_text("otherwise")
    assert kinds(workshop)[2:] == [
        "pull", "something_happened", "happening_settled", "happening_settled",
    ]  # fmt: skip


def test_where_the_workshop_finds_otherwise_than_the_device_it_is_shown(
    handset: Any, nearby: Any, wheel: Any
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    page.wait_for_function("() => customElements.get('something-happened') !== undefined")
    page.wait_for_load_state("networkidle")
    page.route("**/api/**", lambda route: route.abort())
    headers = {"origin": nearby.address}
    for fastener in (1, 3):  # another device pulls meanwhile
        sent = page.request.put(
            f"{nearby.address}/api/jobs/{JOB}/pulls/{wheel.entry()}",
            data=wheel.click(fastener),
            headers=headers,
        )
        assert sent.status == 201
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Wrong order").tap()
    page.get_by_role("button", name="No", exact=True).tap()
    page.get_by_role("button", name="Note it").tap()
    settled(page)
    page.unroute("**/api/**")
    page.get_by_role("button", name="Send now").first.tap()
    notice = page.locator("bench-page > .hands > .notice")
    expect(notice).to_contain_text("The workshop found otherwise than this device reckoned")
    expect(notice).to_contain_text("Loosen fully, in this order: 3, 1")
