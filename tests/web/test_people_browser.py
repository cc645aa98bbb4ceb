"""Signing by touch: tags and PIN in every look, locked over a pull under way, nothing lost."""

from __future__ import annotations

import datetime as dt
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
import uvicorn
from argon2.profiles import CHEAPEST
from looked_over import clean
from playwright.sync_api import Page, Route, expect
from starlette.testclient import TestClient

from clampwright.bench.folder import Workshop
from clampwright.bench.passwords import Hashing
from clampwright.bench.people import People
from clampwright.cli.serve import bound
from clampwright.store import Store
from clampwright.web.app import create_app, own_hosts

JOB = "trailer-wheel"
PASSWORD = "four plain words here"  # noqa: S105 - invented, for tests
CHEAP = Hashing(CHEAPEST)
LEAST = 64
"""Touch targets, CSS px."""


class Clock:
    def __init__(self) -> None:
        self.ahead = dt.timedelta()

    def __call__(self) -> dt.datetime:
        return dt.datetime.now(dt.UTC) + self.ahead


@dataclass
class Bay:
    address: str
    place: Workshop
    clock: Clock

    def pulls(self) -> list[Any]:
        with Store.open(self.place.folder, write=False) as store:
            return [one["body"] for one in store.entries(job=JOB, kinds=("pull",))]


@pytest.fixture
def bay(workshop: Workshop, wheel: Any) -> Iterator[Bay]:
    """A server where everybody signs in, the wheel's first stage done."""
    alone = create_app(workshop.folder, hosts=["127.0.0.1:1"], hashing=CHEAP)
    own = "http://127.0.0.1:1"
    with TestClient(alone, base_url=own, headers={"origin": own}) as client:
        assert client.post(f"/api/jobs/{JOB}/opening").status_code == 201
        wheel.settle(client, 1)
    clock = Clock()
    with Store.open(workshop.folder, clock=clock) as store:
        people = People(store, workshop.folder, CHEAP)
        people.add("A. Chief", "administrator", password=PASSWORD, pin="2741")
        people.add("B. Fitter", "mechanic", pin="8305")
        people.add("C. Learner", "apprentice", pin="6174")
    taken = bound("127.0.0.1", 0)
    port = taken.getsockname()[1]
    app = create_app(
        workshop.folder, hosts=own_hosts(port), sign_in=True, hashing=CHEAP, clock=clock, speed=4.0
    )
    config = uvicorn.Config(
        app, log_level="critical", ws="websockets-sansio", timeout_graceful_shutdown=1
    )
    found = uvicorn.Server(config)
    thread = threading.Thread(target=found.run, kwargs={"sockets": [taken]})
    thread.start()
    yield Bay(f"http://127.0.0.1:{port}", workshop, clock)
    found.should_exit = True
    thread.join(60)
    assert not thread.is_alive()


def large_enough(page: Page, what: str) -> None:
    sizes = page.eval_on_selector_all(
        what, "all => all.map(e => e.getBoundingClientRect()).map(r => [r.width, r.height])"
    )
    assert sizes
    assert all(min(size) >= LEAST for size in sizes), (what, sizes)


def enrol(page: Page, bay: Bay, to: str) -> None:
    page.goto(bay.address + to)
    clean(page, "signing in on a new device")
    page.get_by_label("Name", exact=True).fill("A. Chief")
    page.get_by_label("Password", exact=True).fill(PASSWORD)
    page.get_by_label("What this device is called").fill("tablet at bay 2")
    page.get_by_role("button", name="Sign in").tap()
    page.wait_for_url(bay.address + to)


def by_touch(page: Page, pin: str) -> None:
    for digit in pin:
        page.get_by_role("button", name=digit, exact=True).tap()
    page.get_by_role("button", name="Done").tap()


def by_keys(page: Page, pin: str) -> None:
    page.locator(".pin-rows").wait_for()
    # After a lost connection the first key only wakes the page; this one changes nothing.
    for sign in ("Backspace", *pin, "Enter"):
        page.keyboard.press(sign)


def test_a_password_sent_before_the_page_is_ready_stays_where_it_was_typed(
    handset: Any, bay: Bay
) -> None:
    """The modules are late, as on a weak network; without them a form knows no address."""
    page: Page = handset.page

    def late(route: Route) -> None:
        (route.continue_ if route.request.url.endswith("/look.js") else route.abort)()

    page.route("**/*.js", late)
    page.goto(f"{bay.address}/sign-in")
    address = page.url
    page.locator("#name").fill("ana")
    page.locator("#password").fill(PASSWORD)
    page.evaluate("addEventListener('submit', (sent) => { window.kept = sent.defaultPrevented; })")
    page.locator("#by-password [type=submit]").tap()
    page.wait_for_function("() => window.kept")
    assert page.locator("#password").input_value() == PASSWORD
    assert page.url == address


def test_tags_and_pin_by_touch_and_keys_and_every_page_in_each_look(handset: Any, bay: Bay) -> None:
    page: Page = handset.page
    enrol(page, bay, "/people")
    page.get_by_text("Look after").first.tap()
    clean(page, "somebody is looked after")
    page.evaluate("async () => { await caches.open('clampwright-pages-1') }")
    page.get_by_role("button", name="Sign out", exact=True).tap()
    page.wait_for_url("**/sign-in")
    assert page.evaluate("caches.keys()") == [], "no page of a job stays on the device"
    page.locator(".tag").first.wait_for()
    large_enough(page, ".tag")
    clean(page, "tags")
    page.get_by_role("button", name="B. Fitter").tap()
    large_enough(page, ".pin-rows .button")
    clean(page, "PIN")
    by_touch(page, "8306")
    expect(page.get_by_role("alert").filter(has_text="the PIN is wrong")).to_be_visible()
    by_touch(page, "8305")
    page.wait_for_url(bay.address + "/")
    page.goto(f"{bay.address}/jobs/{JOB}/second-look")
    clean(page, "second look")
    page.get_by_role("button", name="Not in order").tap()
    page.locator("dialog.who .tag").first.wait_for()
    expect(page.get_by_role("button", name="C. Learner")).to_be_disabled()
    clean(page, "who signs")
    page.get_by_role("button", name="A. Chief").tap()
    by_keys(page, "2741")
    expect(page.get_by_text("NOT in order")).to_be_visible()


def test_locked_over_a_pull_under_way_nothing_is_lost(handset: Any, bay: Bay) -> None:
    page: Page = handset.page
    page.clock.install()
    enrol(page, bay, f"/jobs/{JOB}/pull")
    page.locator("#figure").fill("90,5")
    before = len(bay.pulls())

    def idle() -> None:
        bay.clock.ahead += dt.timedelta(seconds=400)
        page.clock.fast_forward(400_000)
        expect(page.get_by_text("Locked. Nothing is lost.")).to_be_visible()

    idle()
    clean(page, "locked")
    page.keyboard.press("Escape")
    expect(page.locator("dialog.who")).to_be_visible()
    by_keys(page, "2741")
    expect(page.locator("dialog.who")).to_have_count(0)
    expect(page.locator("#figure")).to_have_value("90,5")
    # A pull that is being recorded goes on underneath, and is kept.
    page.get_by_role("button", name="simulated").tap()
    page.wait_for_selector("bench-page[data-mode=live]")
    idle()
    until = time.monotonic() + 60
    while len(bay.pulls()) == before and time.monotonic() < until:
        page.wait_for_timeout(50)
    assert len(bay.pulls()) == before + 1
    assert bay.pulls()[-1]["made_by"]["signed"] == "session"
    by_keys(page, "2741")
    expect(page.locator("dialog.who")).to_have_count(0)
    expect(page.locator("bench-page:not([data-mode=live])")).to_be_visible()
    assert len(bay.pulls()) == before + 1


def test_gone_on_in_spite_of_a_verdict_without_network_is_signed_later(
    handset: Any, bay: Bay
) -> None:
    page: Page = handset.page
    enrol(page, bay, f"/jobs/{JOB}/pull")
    bench = page.locator("bench-page")
    page.wait_for_selector("bench-page[data-ready]")
    page.wait_for_function("() => customElements.get('something-happened') !== undefined")
    page.wait_for_function("() => JSON.parse(localStorage.getItem('who') ?? '{}').person")
    page.wait_for_load_state("networkidle")
    first = bench.get_attribute("data-key")
    page.route("**/api/**", lambda route: route.abort())
    page.locator("#figure").fill("110")
    page.keyboard.press("Enter")
    expect(page.locator("pull-verdict")).to_contain_text("outside the limits")
    page.wait_for_selector("bench-page[data-ready]")
    page.get_by_role("button", name="Go on in spite of it").tap()
    page.get_by_role("radio", name="Checked by another reading").tap()
    page.get_by_role("button", name="Note it").tap()
    told = "It has no effect before A. Chief has signed it."
    expect(page.locator("pull-verdict")).to_contain_text(told)
    page.wait_for_selector("bench-page[data-ready]")
    page.get_by_role("button", name="Go on", exact=True).tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert bench.get_attribute("data-key") != first, "the others of the stage go on"
    page.unroute("**/api/**")
    page.get_by_role("button", name="Send now").first.tap()
    page.get_by_role("link", name="To be signed: 1").wait_for()
    with Store.open(bay.place.folder, write=False) as store:
        kinds = [one["kind"] for one in store.entries(job=JOB)][-2:]
    assert kinds == ["pull", "signature_awaited"]
    page.goto(bay.address)
    expect(page.locator(".job").first).to_contain_text("waits for A. Chief to sign")
    page.get_by_role("link", name="Come back to sign").tap()
    page.get_by_role("heading", name="Waits to be signed").wait_for()
    clean(page, "what waits to be signed")
    page.get_by_role("button", name="Sign it now").tap()
    page.locator("dialog.who .tag").first.wait_for()
    page.get_by_role("button", name="A. Chief").tap()
    by_keys(page, "2741")
    expect(page.get_by_role("heading", name="Waits to be signed")).to_have_count(0)
    with Store.open(bay.place.folder, write=False) as store:
        last = list(store.entries(job=JOB))[-1]
    assert (last["kind"], last["body"]["made_by"]["signed"]) == ("pull_accepted", "pin")
