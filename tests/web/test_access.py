"""axe finds nothing to complain of in any state of the bench; text at twice its size works."""

from __future__ import annotations

from typing import Any

from looked_over import clean, in_frames
from playwright.sync_api import Page, expect

from clampwright.bench.folder import Workshop
from clampwright.store import Store

JOB = "trailer-wheel"
FORMULA = "torque_from_clamp_long_form"
MAIN = "bench-page[data-ready] .hands > :not([hidden]) .main:not(dialog *)"


def told_and_settled(page: Page) -> None:
    """Tell what happened and settle it, looking at every step; back at the sheet in the end."""
    page.get_by_role("button", name="Wrong setting").tap()
    clean(page, "several fasteners are asked for")
    page.get_by_role("button", name="These").tap()
    clean(page, "a question with its answers")
    page.get_by_role("button", name="Nobody can tell").tap()
    clean(page, "what is offered")
    page.get_by_role("button", name="Note it").tap()
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    clean(page, "something is to be done first")
    page.get_by_role("button", name="Done", exact=True).tap()
    page.locator("#due-told").fill("sheet 7")
    clean(page, "the maker is asked")
    page.wait_for_selector("bench-page[data-mode=due][data-ready]")
    page.get_by_role("button", name="No: only what is named here").tap()
    page.wait_for_selector("bench-page[data-mode=pull][data-ready]")
    page.get_by_role("button", name="Sounds and lights").tap()
    clean(page, "sounds and lights")
    page.locator("dialog[open]").get_by_role("button", name="Close").tap()
    page.get_by_role("button", name="Something happened").tap()


def test_every_state_of_the_bench_in_every_look(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/no/such/page")
    clean(page, "a page that is not there")
    page.goto(f"{nearby.address}/jobs/{JOB}")
    page.get_by_role("button", name="Begin this job").tap()
    page.wait_for_selector(MAIN)
    clean(page, "the preparation list is open")
    page.get_by_role("link", name="Go through the list").tap()
    page.get_by_text("Go on without the open points").tap()
    page.locator("#pass-reason").fill("gone through on paper")
    clean(page, "the preparation list")
    page.get_by_role("button", name="Go on with this reason").tap()
    page.wait_for_selector(MAIN)
    clean(page, "a click is asked")
    page.get_by_role("button", name="Something happened").tap()
    clean(page, "what happened")
    told_and_settled(page)
    page.get_by_role("button", name="Loosened fully: start it again").tap()
    clean(page, "a reason is asked")
    page.locator("dialog[open]").get_by_role("button", name="Close").tap()
    page.get_by_role("button", name="Setting card").tap()
    page.locator("dialog[open] svg").wait_for()
    clean(page, "setting card")
    page.locator("dialog[open]").get_by_role("button", name="Close").tap()
    page.get_by_role("button", name="Clicked, stood still").tap()
    page.wait_for_selector(MAIN)
    expect(page.locator(".verdict-word")).to_have_text("doubtful")
    clean(page, "a verdict that stands open")
    page.locator(MAIN).tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    page.wait_for_selector(MAIN)
    with Store.open(workshop.folder):
        page.locator(MAIN).tap()
        expect(page.locator(".verdict-word")).to_have_text("Kept here, will be sent")
        clean(page, "an entry is kept")
    expect(page.locator(".verdict-word")).to_have_text("within")
    clean(page, "within")
    page.goto(f"{nearby.address}/jobs/{JOB}/record")
    clean(page, "record")


def test_nothing_runs_out_of_the_side_even_with_text_twice_as_large(
    handset: Any, nearby: Any
) -> None:
    page: Page = handset.page
    page.goto(f"{nearby.address}/jobs/{JOB}")
    page.get_by_role("button", name="Begin this job").tap()
    page.wait_for_selector(MAIN)
    for path in (f"/jobs/{JOB}", f"/jobs/{JOB}/pull", f"/formulas/{FORMULA}"):
        page.goto(nearby.address + path)
        page.evaluate("document.documentElement.style.setProperty('font-size', '200%')")
        for width in (390, 820, 1440):
            page.set_viewport_size({"width": width, "height": 900})
            in_frames(page)
            assert page.evaluate("document.documentElement.scrollWidth") <= width, (path, width)
            if path.endswith("/pull"):
                page.get_by_role("button", name="Sounds and lights").tap()
                inside = "(one) => one.scrollWidth <= one.clientWidth"
                sheet = page.locator("dialog[open]")
                assert sheet.evaluate(inside), ("the sheet too", width)
                sheet.get_by_role("button", name="Close").tap()
