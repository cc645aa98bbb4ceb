"""Take the pictures of the README: the real pages, served from a fresh invented workshop.

``make pictures`` writes them to docs/pictures; ``--into FOLDER --all`` takes every page at three
sizes in both looks, to be looked at.
"""

from __future__ import annotations

import argparse
import shutil
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import urlencode

import uvicorn

from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, open_session
from clampwright.bench.session import Session
from clampwright.cli.serve import bound
from clampwright.demo.run import build_workshop
from clampwright.web.app import create_app, own_hosts
from clampwright.web.practice_pages import EXAMPLE as WHAT_IF
from clampwright.work.readings import ClickReading, ValueReading

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

PICTURES = Path(__file__).parents[1] / "docs" / "pictures"
FLAGS = ("--no-sandbox", "--disable-gpu", "--disable-background-networking", "--no-first-run")
SIZES = {"phone": (390, 844), "tablet": (820, 1180), "desktop": (1440, 900)}
WHEEL = "/jobs/trailer-wheel"


@contextmanager
def served(place: Workshop) -> Iterator[str]:
    """Serve a workshop in a thread; gives its address."""
    taken = bound("127.0.0.1", 0)
    port = taken.getsockname()[1]
    app = create_app(place.folder, hosts=own_hosts(port), speed=0.5)
    server = uvicorn.Server(
        uvicorn.Config(
            app, log_level="warning", ws="websockets-sansio", timeout_graceful_shutdown=2
        )
    )
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]})
    thread.start()
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.should_exit = True
        thread.join()


def pull(session: Session, count: int) -> None:
    """Let so many pulls go well."""
    for _ in range(count):
        due = session.next()
        if due is None or due.choice is None or due.choice.setting is None:
            return
        setting = due.choice.setting
        figure = Decimal(f"{setting.value:g}")
        if due.choice.tool.kind == "click":
            reading = ClickReading(
                clicked=True, moved=True, setting=figure, unit=setting.scale_unit
            )
            session.take(due.key, reading)
        else:
            session.take(due.key, ValueReading(figure, setting.scale_unit))


def prepare(place: Workshop) -> None:
    """Bring the workshop to where the pictures are taken."""
    with open_session(place, place.jobs / "trailer-wheel.toml", today=today()) as session:
        pull(session, 2)


def shoot(page: Page, name: str, folder: Path) -> None:
    """Take one picture."""
    page.wait_for_timeout(300)
    page.evaluate("document.activeElement?.blur()")
    page.screenshot(path=folder / f"{name}.png")
    print(folder / f"{name}.png")


def open_page(browser: Browser, address: str, size: str, look: str) -> Page:
    """Open a page at one of the sizes, in one of the looks."""
    width, height = SIZES[size]
    hand = size != "desktop"
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if look == "night" else "light",
        has_touch=hand,
        is_mobile=hand,
        reduced_motion="reduce",
    )
    page = context.new_page()
    page.goto(address)
    return page


PASTED = """Gauge cover (invented). Oil the threads and the underside of the heads.
1) Tighten the 4 bolts M6 x 20 crosswise to 20 lbs.
2) Then turn 30°.
"""


def settle(browser: Browser, address: str, folder: Path) -> None:
    """Paste a procedure and stop at its question."""
    page = open_page(browser, f"{address}/procedures/new", "phone", "day")
    page.get_by_label("The procedure as it is printed").fill(PASTED)
    page.get_by_text("The fastener, if you know it").tap()
    page.get_by_label("Thread, such as M10").fill("M6")
    page.get_by_label("Strength class").select_option("8.8")
    page.get_by_label("Head or nut").select_option("ISO 4014/4017")
    page.get_by_label("Threads and faces are").select_option("oiled")
    page.get_by_role("button", name="Read it").tap()
    page.locator(".answer").first.wait_for()
    page.evaluate("document.querySelector('#reading').scrollIntoView()")
    shoot(page, "procedure-marked", folder)
    page.evaluate("document.querySelector('.questions').scrollIntoView()")
    shoot(page, "procedure-question", folder)


def readme(browser: Browser, address: str, place: Workshop, folder: Path) -> None:
    """Take the README's pictures."""
    ready = "bench-page[data-ready]"
    page = open_page(browser, f"{address}{WHEEL}/pull", "phone", "day")
    page.wait_for_selector(ready)
    shoot(page, "bench-day", folder)
    page.get_by_role("button", name="Clicked, stood still").tap()
    page.locator(".verdict-word").wait_for()
    shoot(page, "verdict", folder)
    with open_session(place, place.jobs / "trailer-wheel.toml", today=today()) as session:
        session.restart("wheel", 5, "clicked without moving", renewed=False)
        pull(session, 5)
    page = open_page(browser, f"{address}{WHEEL}/pull", "phone", "night")
    page.wait_for_selector(ready)
    shoot(page, "bench-night", folder)
    page.get_by_role("button", name="Simulated pull").tap()
    page.wait_for_function("() => parseInt(document.querySelector('.live-part')?.textContent) > 60")
    page.screenshot(path=folder / "live.png")
    page.locator(".verdict-word").wait_for()
    page = open_page(browser, f"{address}/jobs/launch-engine-head", "tablet", "day")
    shoot(page, "plan", folder)
    shoot(open_page(browser, address, "desktop", "day"), "jobs", folder)
    settle(browser, address, folder)


def everything(browser: Browser, address: str, folder: Path) -> None:
    """Take every page at three sizes in both looks."""
    paths = {
        "jobs": "/",
        "plan": "/jobs/launch-engine-head",
        "plan-found": "/jobs/coupling-as-typed",
        "bench": f"{WHEEL}/pull",
        "record": f"{WHEEL}/record",
        "procedures": "/procedures",
        "procedure-new": "/procedures/new",
        "practice": "/practice",
        "practice-try": "/practice/exercise?exercise=first/1",
        "practice-estimate": "/practice/exercise?exercise=first/2",
        "practice-fault": "/practice/exercise?exercise=first/5",
        "practice-what-if": f"/practice/what-if?{urlencode(WHAT_IF)}",
        "api": "/api",
        "problem": "/jobs/nothing",
    }
    for name, path in paths.items():
        for size in SIZES:
            for look in ("day", "night"):
                page = open_page(browser, address + path, size, look)
                shoot(page, f"{name}-{size}-{look}", folder)
                page.context.close()


def main() -> int:
    """Take the pictures; 2 when there is no browser."""
    from playwright.sync_api import sync_playwright  # noqa: PLC0415 - after the answer to --help

    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--into", type=Path, default=PICTURES)
    asked.add_argument("--all", action="store_true")
    given = asked.parse_args()
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        print("The pictures need Chromium on the PATH; on Debian: apt-get install chromium")
        return 2
    given.into.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        place = build_workshop(Path(folder) / "workshop", replace=False)
        prepare(place)
        browser = playwright.chromium.launch(executable_path=chromium, args=list(FLAGS))
        with served(place) as address:
            if given.all:
                everything(browser, address, given.into)
            else:
                readme(browser, address, place, given.into)
        browser.close()
    return 0


if __name__ == "__main__":
    sys.exit(main())
