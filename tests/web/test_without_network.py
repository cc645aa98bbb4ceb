"""The bench without network: pages kept by a worker, work that goes on, a queue carried by hand."""

from __future__ import annotations

import datetime as dt
import json
import random
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect
from tests.web.conftest import PATIENCE, brisk

from clampwright.bench.exchange import read_exchange
from clampwright.bench.folder import Workshop
from clampwright.cli.serve import bound
from clampwright.demo.run import build_workshop
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.web.app import App, create_app, own_hosts

JOB = "trailer-wheel"
HEAD = "launch-engine-head"
MAIN = "bench-page[data-ready] .hands > :not([hidden]) .main:not(dialog *)"
READY = "offline-note[data-standing=ready]"
ORDER = [1, 3, 5, 2, 4]


def pulls(place: Workshop, job: str = JOB) -> list[tuple[int, int]]:
    with Store.open(place.folder, write=False) as store:
        found = [one for one in store.entries(job=job) if one["kind"] == "pull"]
    assert len({one["id"] for one in found}) == len(found)
    counters = [one["body"]["sent"]["counter"] for one in found]
    assert counters == sorted(counters), "in the order of the device"
    return [(one["body"]["stage"], one["body"]["fastener"]) for one in found]


@dataclass
class Phone:
    """A phone on which the browser gives a worker."""

    context: BrowserContext
    page: Page

    def begin(self, address: str, job: str = JOB, *, ready: str = READY) -> None:
        """Open a job and come to its first pull, with everything kept for work without network."""
        api, own = f"{address}/api/jobs/{job}", {"origin": address}
        assert self.page.request.post(f"{api}/opening", headers=own).status == 201
        device = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
        if job == JOB:
            passing = {"joint": "wheel", "stage": 1, "fastener": 1, "reason": "on paper"}
            sent = {**passing, "device": device}
            put = self.page.request.put(f"{api}/passings/{uuid7()}", data=sent, headers=own)
            assert put.status == 201
        self.page.goto(f"{address}/jobs/{job}/pull")
        self.page.wait_for_selector("bench-page[data-mode=pull]")
        self.page.wait_for_selector(ready)

    def pull(self, figure: str = "90,5") -> tuple[int, int]:
        """Answer the pull that is asked, whatever the page shows before it; return which it was."""
        page = self.page
        page.wait_for_selector(MAIN)
        while page.locator("bench-page").get_attribute("data-mode") != "pull":
            page.locator(MAIN).tap()
            page.wait_for_selector(MAIN)
        key = page.locator("bench-page").get_attribute("data-key") or ""
        if page.locator("#figure").count():
            page.locator("#figure").fill(figure)
        page.locator(MAIN).tap()
        page.locator(".verdict-word").first.wait_for()
        _joint, stage, fastener = key.split("/")
        return int(stage), int(fastener)


@pytest.fixture
def away(browser: Browser) -> Iterator[Phone]:
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, accept_downloads=True
    )
    context.set_default_timeout(PATIENCE)
    found = Phone(context, context.new_page())
    brisk(found.page)
    complaints: list[str] = []
    found.page.on("pageerror", lambda error: complaints.append(str(error)))
    yield found
    context.close()
    assert complaints == []


def test_a_whole_pass_and_more_without_a_server_and_through_reloads(
    away: Phone, server: Any
) -> None:
    page = away.page
    away.begin(server.address)
    assert away.pull() == (1, 1)
    expect(page.locator(".verdict-word").first).to_have_text("within")
    server.kill()
    done = [away.pull() for _ in range(2)]
    expect(page.locator("pull-verdict")).to_contain_text("Compared here: inside the limits")
    expect(page.locator("pull-verdict")).to_contain_text("the verdict of the workshop follows")
    page.reload()
    expect(page.locator(".kept-page")).to_contain_text("No answer from the workshop")
    expect(page.locator("unsent-count")).to_contain_text("2 not sent yet")
    done += [away.pull() for _ in range(5)]
    page.goto(f"{server.address}/jobs/{JOB}")
    expect(page.locator(".kept-page")).to_be_visible()
    expect(page.locator("unsent-count")).to_contain_text("7 not sent yet")
    page.goto(f"{server.address}/jobs/{JOB}/pull")
    done += [away.pull() for _ in range(2)]
    keys = page.evaluate(
        "caches.keys().then(async (names) => (await Promise.all(names.map(async (name) =>"
        " (await (await caches.open(name)).keys())"
        ".map((one) => new URL(one.url).pathname)))).flat())"
    )
    assert f"/jobs/{JOB}/pull" in keys
    assert not [one for one in keys if one.startswith("/api/")], "no answer is kept that could lie"
    with pytest.raises(Error, match="Failed to fetch"):
        page.evaluate(f"fetch('/api/jobs/{JOB}/bench')")
    server.start()
    expect(page.locator("unsent-count")).to_have_text("All sent")
    wanted = [(stage, number) for stage in (1, 2) for number in ORDER]
    assert [(1, 1), *done] == wanted
    assert pulls(server.place) == wanted


def test_outside_the_limits_is_offered_what_follows_a_verdict(away: Phone, server: Any) -> None:
    page = away.page
    away.begin(server.address)
    for _ in range(5):
        away.pull()
    server.kill()
    assert away.pull("110") == (2, 1)
    expect(page.locator("pull-verdict")).to_contain_text("Compared here: outside the limits")
    page.reload()
    page.locator("pull-verdict").get_by_text("outside the limits").wait_for()
    page.wait_for_selector(MAIN)
    page.get_by_role("button", name="Go on in spite of it").tap()
    page.get_by_role("radio", name="Checked by another reading").tap()
    page.get_by_role("button", name="Note it").tap()
    assert away.pull() == (2, 3)
    server.start()
    expect(page.locator("unsent-count")).to_have_text("All sent")
    with Store.open(server.place.folder, write=False) as store:
        kinds = [one["kind"] for one in store.entries(job=JOB)][-3:]
    assert kinds == ["pull", "pull_accepted", "pull"]


def test_where_the_browser_gives_no_worker_it_goes_on_while_open_and_says_so(
    away: Phone, server: Any
) -> None:
    page = away.page
    page.add_init_script("delete Navigator.prototype.serviceWorker")
    page.clock.set_fixed_time(dt.datetime.now(dt.UTC) + dt.timedelta(days=1, minutes=3))
    away.begin(server.address, ready="offline-note[data-standing=none]")
    expect(page.locator("offline-note")).to_contain_text("Over plain http")
    server.kill()
    done = [away.pull() for _ in range(6)]
    expect(page.locator("unsent-count")).to_contain_text("6 not sent yet")
    server.start()
    expect(page.locator("unsent-count")).to_have_text("All sent")
    assert pulls(server.place) == done == [*((1, number) for number in ORDER), (2, 1)]
    told = "The clock of this device is 1 d 0 h"
    expect(page.locator("offline-note")).to_contain_text(told)


def test_a_device_without_room_says_so_and_loses_nothing(away: Phone, server: Any) -> None:
    page = away.page
    page.add_init_script(
        "IDBObjectStore.prototype.put = () => {"
        " throw new DOMException('full', 'QuotaExceededError') }"
    )
    away.begin(server.address)
    server.kill()
    away.pull()
    expect(page.locator("offline-note")).to_contain_text("no room left: save the entries as a file")
    expect(page.locator("unsent-count")).to_contain_text("1 not sent yet")
    page.evaluate("document.querySelector('pull-verdict').showEnd({id: 'x', closed: false}, 1)")
    expect(page.locator("pull-verdict")).to_contain_text("it can be closed when they are sent")
    expect(page.get_by_role("button", name="Close this job")).to_have_count(0)
    server.start()
    expect(page.locator("unsent-count")).to_have_text("All sent")
    assert pulls(server.place) == [(1, 1)]


def test_a_queue_is_carried_by_hand_and_a_stuck_device_freed(
    away: Phone, server: Any, browser: Browser, tmp_path: Path
) -> None:
    page = away.page
    away.begin(server.address)
    server.kill()
    done = [away.pull() for _ in range(3)]
    page.get_by_role("button", name="3 not sent yet").tap()
    expect(page.get_by_role("heading", name="3 entries are only on this device")).to_be_visible()
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save them as a file").tap()
    file = tmp_path / "entries.json"
    saved.value.save_as(file)
    assert len(read_exchange(file.read_bytes(), file.name).entries) == 3
    page.get_by_role("button", name="Show them as").tap()
    expect(page.locator("dialog svg.code")).to_be_visible()
    page.get_by_role("button", name="Close").tap()
    page.add_init_script("window.fetch = () => Promise.reject(new Error('no network'))")
    page.route("**/api/**", lambda route: route.abort())

    server.start()
    other = browser.new_context(service_workers="block")
    desk = other.new_page()
    for told in ("3 taken, 0 were here already.", "0 taken, 3 were here already."):
        desk.goto(f"{server.address}/entries")
        desk.locator("#file").set_input_files(file)
        desk.get_by_role("button", name="Take them in").click()
        expect(desk.locator("#outcome")).to_contain_text(told)
    other.close()
    assert pulls(server.place) == done

    page.goto(f"{server.address}/reset")
    assert page.evaluate("navigator.serviceWorker.controller") is None, "outside of its reach"
    expect(page.locator("#told")).to_contain_text("3 entries are only on this device")
    expect(page.locator("#empty")).to_be_hidden()
    page.get_by_role("button", name="Throw the kept pages away").tap()
    expect(page.locator("#told")).to_contain_text("3 entries are still on this device")
    left = "Promise.all([navigator.serviceWorker.getRegistrations(), caches.keys()])"
    assert page.evaluate(f"{left}.then((both) => both.flat().length)") == 0
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the entries as a file").tap()
    saved.value.save_as(file)
    assert len(read_exchange(file.read_bytes(), file.name).entries) == 3
    page.get_by_role("button", name="remove the entries").tap()
    expect(page.locator("#told")).to_contain_text("were removed")
    page.reload()
    expect(page.locator("#told")).to_contain_text("No entry waits")


def test_the_way_out_needs_no_other_file() -> None:
    static = Path(__file__).parents[2] / "src" / "clampwright" / "web" / "static"
    text = (static / "reset.js").read_text("utf-8")
    assert "import" not in text.replace("nothing here may import anything", "")


@dataclass
class Near:
    """The application in a thread, with its parts at hand."""

    address: str
    app: App


@pytest.fixture
def near(workshop: Workshop) -> Iterator[Near]:
    taken = bound("127.0.0.1", 0)
    port = taken.getsockname()[1]
    app = create_app(workshop.folder, hosts=own_hosts(port), patience=0.3)
    config = uvicorn.Config(
        app, log_level="critical", ws="websockets-sansio", timeout_graceful_shutdown=1
    )
    found = uvicorn.Server(config)
    thread = threading.Thread(target=found.run, kwargs={"sockets": [taken]})
    thread.start()
    yield Near(f"http://127.0.0.1:{port}", app)
    found.should_exit = True
    thread.join(60)
    assert not thread.is_alive()


def test_a_new_version_waits_until_a_page_is_opened_anew(away: Phone, near: Near) -> None:
    page, assets = away.page, near.app.state.house.assets
    away.begin(near.address)
    old = assets.version

    def version() -> str:
        path: str = page.evaluate(
            "new URL(document.querySelector('script[type=module]').src).pathname"
        )
        return path.split("/")[2]

    def standing() -> list[bool]:
        found: list[bool] = page.evaluate(
            "navigator.serviceWorker.getRegistration('/jobs/').then((one) =>"
            " [one.active !== null, one.installing !== null || one.waiting !== null])"
        )
        return found

    assets.version = "00000000000000aa"
    page.evaluate("navigator.serviceWorker.getRegistration('/jobs/').then((one) => one.update())")
    assert standing() == [True, True], "it waits"
    assert away.pull() == (1, 1)
    assert version() == old, "no code is changed under an open page"
    paths = (
        f"caches.match('/jobs/{JOB}/pull', {{cacheName: 'clampwright-pages-{old}'}})"
        ".then((one) => one.text())"
    )
    page.reload(wait_until="commit")
    page.wait_for_selector(READY)
    assert version() == "00000000000000aa"
    assert f"/static/{old}/" in page.evaluate(paths), "a page is kept with the files it needs"
    page.evaluate(
        """async () => {
          const one = await navigator.serviceWorker.getRegistration('/jobs/');
          while (one.waiting || one.installing) await new Promise((next) => setTimeout(next, 20));
        }"""
    )
    names = page.evaluate("caches.keys()")
    for kind in ("files", "pages"):
        assert {f"clampwright-{kind}-{one}" for one in (old, assets.version)} <= set(names)
    assert away.pull() == (1, 3)


def load_anew(page: Page) -> None:
    """Load the page anew, whatever it is just doing.

    Between two documents the browser has no page that its driver could tell to load; a finger
    finds the same one moment later.
    """
    for _try in range(50):
        try:
            page.reload(wait_until="commit")
        except Error as error:
            if "Not attached to an active page" not in str(error):
                raise
            page.wait_for_load_state("domcontentloaded")
        else:
            return
    raise AssertionError("the page could not be loaded anew")


def outage(phone: Phone, server: Any, moments: int, seed: int) -> int:
    """Work through a job while the server dies, comes back, and the page is loaded at random."""
    chance, done = random.Random(seed), []
    phone.begin(server.address, HEAD)
    trouble = 0
    for _moment in range(moments):
        if chance.random() < 0.5:
            trouble += 1
            server.kill() if server.process else server.start()
        if chance.random() < 0.3:
            trouble += 1
            load_anew(phone.page)
        done.append(phone.pull())
        if chance.random() < 0.3:
            trouble += 1
            load_anew(phone.page)
    if not server.process:
        server.start()
    expect(phone.page.locator("unsent-count")).to_have_text("All sent")
    assert len(set(done)) == moments, "no pull is asked twice"
    assert pulls(server.place, HEAD) == done, "each once, in the order they were made"
    return trouble


def test_cut_at_random_moments_the_work_goes_on(away: Phone, server: Any) -> None:
    assert outage(away, server, 10, seed=3) >= 5


@pytest.mark.soak
def test_cut_at_two_hundred_random_moments(away: Phone, server: Any, tmp_path: Path) -> None:
    trouble = 0
    for turn in range(10):
        server.kill()
        server.place = build_workshop(tmp_path / f"turn-{turn}", replace=False)
        server.start()
        trouble += outage(away, server, 20, seed=500 + turn)
    print(f"{trouble} cuts and loads during 200 pulls, each on the log exactly once")


def test_the_page_of_the_worker(near: Near, away: Phone) -> None:
    reply = away.page.request.get(f"{near.address}/service-worker.js")
    assert reply.headers["cache-control"] == "no-cache"
    first = reply.text().splitlines()[0]
    kept = json.loads(first.removeprefix("self.KEPT = ").removesuffix(";"))
    assert kept["version"] == near.app.state.house.assets.version
    for address in kept["files"]:
        assert away.page.request.get(near.address + address).status == 200
