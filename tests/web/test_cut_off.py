"""Server killed and page loaded again at random moments: every pull is on the log exactly once."""

from __future__ import annotations

import random
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Error, Page, expect
from tests.web.conftest import PATIENCE, brisk

from clampwright.bench.folder import Workshop
from clampwright.demo.run import build_workshop
from clampwright.store import Store

JOB = "launch-engine-head"
BENCH = f"/jobs/{JOB}/pull"
MAIN = "bench-page[data-ready] .hands > :not([hidden]) .main:not(dialog *)"
MOMENTS = 10


def on_the_log(place: Workshop) -> list[tuple[int, int]]:
    with Store.open(place.folder, write=False) as store:
        entries = [one for one in store.entries(job=JOB) if one["kind"] == "pull"]
    assert len({one["id"] for one in entries}) == len(entries)
    return [(one["body"]["stage"], one["body"]["fastener"]) for one in entries]


def asked(page: Page) -> tuple[int, int]:
    _joint, stage, fastener = (page.locator("bench-page").get_attribute("data-key") or "").split(
        "/"
    )
    return int(stage), int(fastener)


def go_to_pull(page: Page) -> None:
    """Get on to the next pull from wherever the page is."""
    page.wait_for_selector(MAIN)
    while page.locator("bench-page").get_attribute("data-mode") != "pull":
        page.locator(MAIN).tap()
        page.wait_for_selector(MAIN)


def go(page: Page, address: str) -> None:
    """Go to a page, though the browser may be trying a broken one again by itself just then."""
    for _ in range(20):
        try:
            page.goto(address)
        except Error as error:
            if "interrupted by another navigation" not in error.message:
                raise
            page.wait_for_timeout(50)
        else:
            return
    raise AssertionError("the browser did not settle")


def disturb(page: Page, server: Any, chance: random.Random) -> None:
    """Kill the server, load the page again, or both, in either order."""
    what = chance.choice(["kill", "load", "kill, load", "load, kill"])
    for one in what.split(", "):
        page.wait_for_timeout(chance.uniform(0, 120))
        if one == "kill":
            server.kill()
            continue
        try:
            page.reload(wait_until="commit")
        except Error:  # the server is gone: the browser shows its own page for that
            page.wait_for_timeout(10)


def trouble(browser: Browser, server: Any, moments: int, seed: int) -> int:
    """Do a job with trouble at every pull; return how many answers the page had said to keep."""
    chance, place = random.Random(seed), server.place
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    brisk(page)
    page.goto(server.address)
    page.get_by_role("button", name=re.compile("^Begin this job: Cylinder head")).tap()
    promised = 0
    for _moment in range(moments):
        go_to_pull(page)
        key, before = asked(page), on_the_log(place)
        assert key not in before
        if chance.random() < 0.2:
            server.kill()
        page.locator(MAIN).tap()
        said = chance.random() < 0.5
        if said:
            page.locator(".sending, .verdict-word").first.wait_for()
        disturb(page, server, chance)
        server.kill()
        server.start()
        go(page, server.address + BENCH)
        expect(page.locator("unsent-count")).to_have_text("All sent")
        after = on_the_log(place)
        assert after in ([*before, key], before), "exactly once, or never promised"
        if said:
            assert after == [*before, key], "what the page said to keep is on the log"
            promised += 1
    context.close()
    return promised


def test_at_ten_moments(browser: Browser, server: Any) -> None:
    promised = trouble(browser, server, MOMENTS, seed=20)
    assert promised >= 3
    with Store.open(server.place.folder, write=False) as store:
        assert store.check() > promised


@pytest.mark.soak
def test_at_two_hundred_moments(
    browser: Browser, nursery: Any, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    server = request.getfixturevalue("server")
    promised = 0
    for turn in range(10):
        server.kill()
        server.place = build_workshop(tmp_path / f"turn-{turn}", replace=False)
        server.start()
        promised += trouble(browser, server, 20, seed=1000 + turn)
    print(f"{promised} promised answers, each on the log exactly once")
    assert promised >= 50
    assert nursery.poll() is None
