"""The wheel job at the bench, in a real browser: by touch, by keyboard, by two pages, alone."""

from __future__ import annotations

import json
import re
import resource
from decimal import Decimal
from typing import Any, Literal

import pytest
from playwright.sync_api import Browser, Page, expect
from tests.web.conftest import brisk
from websockets.sync.client import ClientConnection, connect

from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.work.fold import PullKey
from clampwright.work.readings import ClickReading, ValueReading

JOB = "trailer-wheel"
BENCH = f"/jobs/{JOB}/pull"


def begin_by_touch(page: Page, address: str) -> None:
    """Open the job from the list and pass its preparation, as a person does."""
    brisk(page)
    page.goto(address)
    page.get_by_role("button", name=re.compile("^Begin this job: Left wheel")).tap()
    page.get_by_role("link", name="Go through the list").tap()
    page.get_by_text("Go on without the open points").tap()
    page.locator("#pass-reason").fill("gone through on paper")
    page.get_by_role("button", name="Go on with this reason").tap()
    page.wait_for_selector("bench-page[data-mode=pull]")


def begin(page: Page, address: str) -> None:
    """Come to the first pull without the pages before it: each would cost every test its load."""
    job, own = f"{address}/api/jobs/{JOB}", {"origin": address}
    assert page.request.post(f"{job}/opening", headers=own).status == 201
    device = {"id": "device-0123456789ab", "time": "2026-10-05T08:00:00.000Z", "counter": 1}
    passing = {"joint": "wheel", "stage": 1, "fastener": 1, "reason": "on paper", "device": device}
    assert page.request.put(f"{job}/passings/{uuid7()}", data=passing, headers=own).status == 201
    brisk(page)
    page.goto(f"{address}{BENCH}")
    page.wait_for_selector("bench-page[data-mode=pull]")


def mode(page: Page) -> str:
    return page.locator("bench-page").get_attribute("data-mode") or ""


def settled(page: Page) -> None:
    """Wait until the page takes an answer: to a pull, to a verdict, or at the end."""
    page.wait_for_selector("bench-page[data-ready] .hands > :not([hidden]) .main:not(dialog *)")


def answer(page: Page, figure: str = "90,5") -> None:
    """Answer what is asked, by touch, as a person does whose pull went well."""
    settled(page)
    if mode(page) == "pull" and page.locator("#figure").count():
        page.locator("#figure").fill(figure)
    page.locator("bench-page .hands > :not([hidden]) .main:not(dialog *)").tap()


def do_first_stage(place: Workshop) -> None:
    """Do the first stage as a terminal would."""
    with Store.open(place.folder) as store:
        session = Session(store, JOB, place.papers)
        for fastener in (1, 3, 5, 2, 4):
            click = ClickReading(clicked=True, moved=True, setting=Decimal(44), unit="N·m")
            session.take(PullKey("wheel", 1, fastener), click)


def kinds(place: Workshop) -> list[str]:
    with Store.open(place.folder, write=False) as store:
        return [entry["kind"] for entry in store.entries(job=JOB)]


def pulls(place: Workshop) -> list[tuple[int, int]]:
    with Store.open(place.folder, write=False) as store:
        bodies = [e["body"] for e in store.entries(job=JOB) if e["kind"] == "pull"]
    return [(body["stage"], body["fastener"]) for body in bodies]


WHOLE = [
    *((1, n) for n in (1, 3, 5, 2, 4)),
    *((2, n) for n in (1, 3, 5, 2, 4)),
    (3, 0),
    *((4, n) for n in (1, 3, 5, 2, 4)),
]


def test_the_wheel_job_by_touch_to_its_end(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    begin_by_touch(page, nearby.address)
    for _ in range(2 * len(WHOLE)):
        answer(page)
    settled(page)
    assert mode(page) == "end"
    page.get_by_role("button", name="Close this job").tap()
    page.get_by_text("This job is closed").wait_for()
    assert pulls(workshop) == WHOLE
    assert kinds(workshop)[-1] == "job_closed"
    expect(page.locator("unsent-count")).to_have_text("All sent")
    strange = {url for url in handset.asked if not url.startswith(nearby.address)}
    assert strange == set(), "nothing is loaded from elsewhere"


def test_what_is_to_be_settled_is_seen_before_the_bench(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.goto(nearby.address)
    page.get_by_role("button", name=re.compile("^Begin this job: The same coupling")).tap()
    page.wait_for_url("**/jobs/coupling-as-typed")
    expect(page.locator(".findings")).to_contain_text("in·lbf fits this fastener only in another")


def test_the_target_can_be_read_from_afar(handset: Any, nearby: Any, workshop: Workshop) -> None:
    begin(handset.page, nearby.address)
    page: Page = handset.page
    for figure in ("44", "89.9"):
        expect(page.locator(".target-digits")).to_have_text(figure)
        tall = page.evaluate(
            """() => {
              const tall = (selector) => {
                const part = document.querySelector(selector);
                const style = getComputedStyle(part);
                const pen = document.createElement("canvas").getContext("2d");
                pen.font = `${style.fontWeight} ${style.fontSize} ${style.fontFamily}`;
                return [...part.textContent].filter((sign) => /[0-9A-Z]/.test(sign)).map((sign) => {
                  const size = pen.measureText(sign);
                  return size.actualBoundingBoxAscent + Math.min(0, size.actualBoundingBoxDescent);
                });
              };
              return { digits: tall(".target-digits"), unit: tall(".target-unit") };
            }"""
        )
        assert len(tall["digits"]) == len(figure.replace(".", ""))
        assert min(tall["digits"]) >= 0.2 * 390, tall
        assert min(tall["unit"]) >= 0.5 * min(tall["digits"]) - 1, tall
        for name in (".target-digits", ".target-unit"):
            # In one go: the page may draw its parts anew between two questions.
            left, right = page.evaluate(
                "(name) => (({left, right}) => [left, right])"
                "(document.querySelector(name).getBoundingClientRect())",
                name,
            )
            assert 0 <= left < right <= 390, name
        if figure == "44":
            do_first_stage(workshop)
            page.reload()


def test_on_a_phone_the_pull_needs_no_scrolling_and_its_targets_are_large(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    for _stage in range(2):
        assert page.evaluate("scrollY") == 0
        main = page.locator("pull-answer .main:not(dialog *)").bounding_box()
        assert main is not None
        assert main["height"] >= 96
        assert main["width"] >= 0.94 * 390
        for part in page.locator("bench-page :is(button, input, label.chip)").all():
            if part.is_visible():
                box = part.bounding_box()
                assert box is not None
                assert box["height"] >= 64, part.inner_html()
                assert box["width"] >= 64, part.inner_html()
        last = page.locator("pulls-ahead").bounding_box()
        assert last is not None
        assert last["y"] + last["height"] <= 844, "all of the pull stands on the screen"
        assert page.evaluate("document.documentElement.scrollWidth") == 390
        if page.locator(".target-digits").inner_text() == "44":
            do_first_stage(workshop)
            with Store.open(workshop.folder) as store:  # on to the place with the longest words
                session = Session(store, JOB, workshop.papers)
                for fastener in (1, 3):
                    session.take(PullKey("wheel", 2, fastener), ValueReading(Decimal(90), "N·m"))
            page.reload()
            expect(page.locator(".who-place")).to_have_text("at 9:36 on the clock face")
            settled(page)


def test_on_a_phone_in_german_the_pull_needs_no_scrolling_and_no_word_is_broken(
    german_handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = german_handset.page
    begin(page, nearby.address)
    with Store.open(workshop.folder) as store:  # on to the place with the longest words
        session = Session(store, JOB, workshop.papers)
        for fastener in (1, 3):
            click = ClickReading(clicked=True, moved=True, setting=Decimal(44), unit="N·m")
            session.take(PullKey("wheel", 1, fastener), click)
    page.reload()
    expect(page.locator(".who-place")).to_have_text("Uhrlage 9:36")
    settled(page)
    last = page.locator("pulls-ahead").bounding_box()
    assert last is not None
    assert last["y"] + last["height"] <= 844, "all of the pull stands on the screen"
    card = page.get_by_role("button", name="Einstellkarte")
    lines = card.evaluate(
        "(one) => { const all = document.createRange(); all.selectNodeContents(one);"
        " return all.getClientRects().length; }"
    )
    assert lines == 1, "one word stands on one line"


def contrast(page: Page, selector: str) -> float:
    """Contrast of a part's letters with what lies behind them (WCAG 2.2, relative luminance)."""
    pair: list[str] = page.evaluate(
        """(selector) => {
          const part = document.querySelector(selector);
          let behind = part;
          const ground = (e) => getComputedStyle(e).backgroundColor;
          const none = "rgba(0, 0, 0, 0)";
          while (behind.parentElement && ground(behind) === none) behind = behind.parentElement;
          const style = getComputedStyle(part);
          const ink = part instanceof SVGElement ? style.fill : style.color;
          return [ink, ground(behind)];
        }""",
        selector,
    )
    light = sorted(luminance(color) for color in pair)
    return (light[1] + 0.05) / (light[0] + 0.05)


def luminance(color: str) -> float:
    parts = [int(part) / 255 for part in re.findall(r"\d+", color)[:3]]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_measure_of_contrast_is_right() -> None:
    assert luminance("rgb(255, 255, 255)") == pytest.approx(1.0)
    assert luminance("rgb(119, 119, 119)") == pytest.approx(0.184, abs=5e-4)


def stand_out(page: Page, *parts: str) -> None:
    """Hold that parts of the page can be read from afar by day and by night."""
    looks: tuple[Literal["light", "dark"], ...] = ("light", "dark")
    for look in looks:
        page.emulate_media(color_scheme=look)
        for part in parts:
            assert contrast(page, part) >= 7, (part, look)


def test_contrast_is_7_to_1_in_both_looks(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    stand_out(
        page, ".target-digits", ".target-unit", ".stage-line", ".who-place", ".take", ".set",
        ".next", ".left", "pull-answer .main:not(dialog *)", "pull-answer .second", ".foot p",
    )  # fmt: skip
    settled(page)
    page.get_by_role("button", name="Clicked, stood still").tap()
    page.locator(".verdict-word").wait_for()
    stand_out(page, ".verdict-word", ".verdict-first", ".verdict-next")


def test_a_look_chosen_is_kept(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.goto(nearby.address)
    ground = "getComputedStyle(document.documentElement).backgroundColor"
    day = page.evaluate(ground)
    page.get_by_label("Look").select_option("dark")
    night = page.evaluate(ground)
    assert day != night
    page.reload()
    assert page.evaluate(ground) == night


def test_by_keyboard_alone(browser: Browser, nearby: Any, workshop: Workshop) -> None:
    context = browser.new_context(viewport={"width": 1440, "height": 900})
    page = context.new_page()
    page.goto(nearby.address)
    start = page.get_by_role("button", name=re.compile("^Begin this job: Left wheel"))
    for _ in range(30):
        page.keyboard.press("Tab")
        if start.evaluate("(one) => one === document.activeElement"):
            break
    ring = "getComputedStyle(document.activeElement).outlineStyle"
    assert page.evaluate(ring) != "none", "the focus can be seen"
    page.keyboard.press("Enter")
    settled(page)
    page.keyboard.press("Enter")
    page.wait_for_url("**/preparation")
    page.locator("#passing summary").focus()
    page.keyboard.press("Enter")
    page.locator("#pass-reason").focus()
    page.keyboard.type("gone through on paper")
    page.keyboard.press("Enter")
    page.wait_for_selector("bench-page[data-mode=pull]")
    for turn in range(2):
        settled(page)
        page.keyboard.press("Space" if turn % 2 else "Enter")
        page.locator(".verdict-word").wait_for()
        settled(page)
        page.keyboard.press("Enter")
        page.wait_for_selector("bench-page[data-mode=pull]")
    with Store.open(workshop.folder) as store:
        session = Session(store, JOB, workshop.papers)
        for fastener in (5, 2, 4):
            click = ClickReading(clicked=True, moved=True, setting=Decimal(44), unit="N·m")
            session.take(PullKey("wheel", 1, fastener), click)
    page.wait_for_selector("bench-page[data-key='wheel/2/1']")
    settled(page)
    assert page.evaluate("document.activeElement.id") == "figure"
    page.keyboard.type("90.5", delay=120)  # as a hand does: a device that types is told by its pace
    page.keyboard.press("Enter")
    page.locator(".verdict-word").wait_for()
    assert page.evaluate(ring) != "none"
    settled(page)
    page.keyboard.press("Space")
    page.wait_for_selector("bench-page[data-mode=pull]")
    settled(page)
    page.evaluate("document.activeElement.blur()")
    page.keyboard.press("Enter")
    expect(page.locator("#figure-wrong")).to_contain_text("Type the figure you read")
    context.close()
    assert pulls(workshop) == WHOLE[:6]


def test_a_doubtful_click_is_settled_with_a_reason(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    page.get_by_role("button", name="Clicked, stood still").tap()
    expect(page.locator(".verdict-word")).to_have_text("doubtful")
    page.reload()
    expect(page.locator(".verdict-word")).to_have_text("doubtful")
    settled(page)
    page.get_by_role("button", name="Go on in spite of it").tap()
    page.get_by_role("button", name="Note it").tap()
    page.get_by_text("Give the reason: it stands in the record.").wait_for()
    page.get_by_role("radio", name="Checked by another reading").tap()
    page.get_by_role("button", name="Note it").tap()
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert page.locator("bench-page").get_attribute("data-key") == "wheel/1/3"
    settled(page)
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Loosened fully: start it again").tap()
    page.get_by_role("radio", name="The socket slipped").tap()
    page.get_by_role("checkbox", name="A new fastener was fitted").tap()
    page.get_by_role("button", name="Note it").tap()
    page.locator("dialog[open]").wait_for(state="detached")
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert kinds(workshop) == [
        "job_opened", "preparation_passed_over", "pull", "pull_accepted", "fastener_restarted",
    ]  # fmt: skip
    with Store.open(workshop.folder, write=False) as store:
        body = list(store.entries(job=JOB))[-1]["body"]
    assert set(body.pop("sent")) == {"counter", "sha256"}
    assert body == {
        "fastener": 3,
        "joint": "wheel",
        "reason": "The socket slipped",
        "renewed": True,
    }


def test_another_tool_and_the_big_keys(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Take another tool").tap()
    page.get_by_role("button", name=re.compile("^Electronic wrench")).tap()
    page.get_by_role("button", name="Keys").tap()
    for key in ("4", "4", "Decimal mark", "9", "9", "Delete last"):
        page.locator("dialog[open]").get_by_role("button", name=key, exact=True).tap()
    page.locator("dialog[open]").get_by_role("button", name="Done").tap()
    expect(page.locator("#figure")).to_have_value("44.9")
    settled(page)
    page.get_by_role("button", name="Take this value").tap()
    expect(page.locator(".verdict-word")).to_have_text("within")
    with Store.open(workshop.folder, write=False) as store:
        body = list(store.entries(job=JOB))[-1]["body"]
    assert body["tool"] == "electronic-200"
    assert body["reading"] == {"kind": "value", "unit": "N·m", "value": "44.9"}


def test_a_map_turned_and_mirrored_is_kept_on_the_device(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    expect(page.locator(".who-way").first).to_have_text("clockwise")
    expect(page.locator(".who-place")).to_have_text("at 12 o'clock")
    page.get_by_role("button", name="Turn the map a quarter, to where you stand").tap()
    expect(page.locator(".who-place")).to_have_text("at 3 o'clock")
    page.get_by_role("button", name="Mirror the map, as reached from behind").tap()
    expect(page.locator(".who-way").first).to_have_text("counter-clockwise")
    page.reload()
    expect(page.locator(".who-place")).to_have_text("at 3 o'clock")
    expect(page.locator(".who-way").first).to_have_text("counter-clockwise")


def test_the_simulated_wrench_pulls_live(handset: Any, nearby: Any, workshop: Workshop) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    page.get_by_role("button", name="Simulated pull").tap()
    page.wait_for_selector("bench-page[data-mode=live]")
    expect(page.get_by_role("progressbar")).to_be_visible()
    page.locator(".verdict-word").wait_for()
    page.get_by_text("The pull as a curve").tap()
    page.wait_for_function("() => document.querySelector('img.curve')?.naturalWidth > 100")
    with Store.open(workshop.folder, write=False) as store:
        body = list(store.entries(job=JOB))[-1]["body"]
    assert (body["reading"]["kind"], body["tool"]) == ("trace", "electronic-200")
    expect(page.locator(".verdict-word")).to_have_text(body["verdict"])


def wrench_at(address: str) -> ClientConnection:
    """A wrench that takes whatever it is told: else its closing would wait for room to hear."""
    origin = {"origin": address}
    return connect(f"ws{address[4:]}/live/{JOB}", additional_headers=origin, max_queue=None)


def test_a_live_value_shows_its_age_and_a_silent_wrench_is_told(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    do_first_stage(workshop)
    with wrench_at(nearby.address) as wrench:
        start = {"joint": "wheel", "stage": 2, "fastener": 1}
        entry = str(uuid7())
        wrench.send(json.dumps({"pull": start, "tool": "electronic-200", "entry": entry}))
        wrench.send(json.dumps({"t": 0.0, "torque": 44.95, "angle": 0.0}))
        page.wait_for_selector("bench-page[data-mode=live]")
        fresh = "document.querySelector('live-gauge:not(.stale) .live-value')?.textContent"
        for n in range(1, 600):  # on a busy machine a value may be old when it is looked at
            wrench.send(json.dumps({"t": n / 10, "torque": 63.0, "angle": 3.0}))
            page.wait_for_timeout(100)  # longer than the server waits between two values
            if " ".join((page.evaluate(fresh) or "").split()) == "63 N·m":
                break
        else:
            raise AssertionError("no value was shown as a fresh one")
        expect(page.locator(".live-part")).to_have_text("70 % of the goal")
        expect(page.get_by_role("progressbar")).to_have_attribute("aria-valuenow", "70")
        expect(page.locator(".live-age")).to_contain_text("not to be trusted")
        expect(page.locator("live-gauge")).to_have_class("stale")
        assert contrast(page, ".live-value") >= 7
    expect(page.locator(".notice").first).to_contain_text("fell silent")
    settled(page)
    assert mode(page) == "pull"
    assert pulls(workshop) == WHOLE[:5]


def test_a_page_that_missed_the_end_of_a_live_pull_finds_out(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.add_init_script(
        """window.sockets = [];
        window.WebSocket = class extends WebSocket {
          constructor(address) { super(address); window.sockets.push(this); }
        };"""
    )
    begin(page, nearby.address)
    do_first_stage(workshop)
    page.wait_for_selector("bench-page[data-key='wheel/2/1']")
    with wrench_at(nearby.address) as wrench:
        start = {"joint": "wheel", "stage": 2, "fastener": 1}
        entry = str(uuid7())
        wrench.send(json.dumps({"pull": start, "tool": "electronic-200", "entry": entry}))
        wrench.send(json.dumps({"t": 0.0, "torque": 44.95, "angle": 0.0}))
        page.wait_for_selector("bench-page[data-mode=live]")
        page.evaluate("() => window.sockets.forEach((one) => one.close())")
        wrench.send(json.dumps({"cancel": True}))
    page.wait_for_selector("bench-page[data-mode=pull]")
    settled(page)


def test_two_pages_on_one_stage(
    browser: Browser, nearby: Any, handset: Any, workshop: Workshop
) -> None:
    """The second one is told and moves on; what it had kept goes beside the log's own entries."""
    first: Page = handset.page
    begin(first, nearby.address)
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    second = context.new_page()
    second.add_init_script("window.WebSocket = class extends EventTarget {}")  # hears nothing
    second.goto(nearby.address + BENCH)
    second.wait_for_selector("bench-page[data-mode=pull]")
    answer(first)
    first.locator(".verdict-word").wait_for()
    answer(second)
    expect(second.locator(".verdict-word")).to_have_text("Not taken")
    expect(second.locator("pull-verdict")).to_contain_text("done already")
    second.reload()
    expect(second.locator(".verdict-word")).to_have_text("Not taken")
    answer(second)
    second.wait_for_selector("bench-page[data-mode=pull]")
    assert second.locator("bench-page").get_attribute("data-key") == "wheel/1/3"
    expect(second.locator("unsent-count")).to_have_text("All sent")
    expect(second.locator("aside-list")).to_be_hidden()
    assert kinds(workshop)[-2:] == ["pull", "kept_aside"], "nothing is lost"
    context.close()


def test_a_page_that_hears_of_another_moves_on_and_says_so(
    browser: Browser, nearby: Any, handset: Any
) -> None:
    first: Page = handset.page
    begin(first, nearby.address)
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    second = context.new_page()
    second.goto(nearby.address + BENCH)
    second.wait_for_selector("bench-page[data-mode=pull]")
    answer(first)
    expect(second.locator(".notice").first).to_contain_text("Another page or the terminal")
    assert second.locator("bench-page").get_attribute("data-key") == "wheel/1/3"
    context.close()


def test_while_a_terminal_works_the_entry_is_kept_and_said_so(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    with Store.open(workshop.folder):
        answer(page)
        expect(page.locator(".verdict-word")).to_have_text("Kept here, will be sent")
        expect(page.locator("pull-verdict")).to_contain_text("terminal or another program")
        expect(page.locator("unsent-count")).to_contain_text("1 not sent yet")
        expect(page.locator("pull-verdict")).to_contain_text("inside the limits")
        page.goto(nearby.address)
        expect(page.locator("unsent-count")).to_contain_text("1 not sent yet")
        page.goto(nearby.address + BENCH)
        expect(page.locator("unsent-count")).to_contain_text("1 not sent yet")
    expect(page.locator("unsent-count")).to_have_text("All sent")
    page.wait_for_selector("bench-page[data-mode=pull][data-key='wheel/1/3']")
    assert pulls(workshop) == WHOLE[:1]


def test_with_a_full_disk_the_entry_is_kept_and_said_so(
    handset: Any, server: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, server.address)
    size = (workshop.folder / "workshop.sqlite").stat().st_size
    process = server.process
    before = resource.prlimit(process, resource.RLIMIT_FSIZE)
    resource.prlimit(process, resource.RLIMIT_FSIZE, (size, before[1]))
    answer(page)
    expect(page.locator(".verdict-word")).to_have_text("Kept here, will be sent")
    expect(page.locator("pull-verdict")).to_contain_text("disk is full")
    expect(page.locator("unsent-count")).to_contain_text("1 not sent yet")
    assert pulls(workshop) == []
    resource.prlimit(process, resource.RLIMIT_FSIZE, before)
    expect(page.locator("unsent-count")).to_have_text("All sent")
    assert pulls(workshop) == WHOLE[:1]


def test_without_the_server_the_work_goes_on_and_is_sent_once(
    handset: Any, server: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, server.address)
    answer(page)
    page.locator(".verdict-word").wait_for()
    answer(page)
    page.wait_for_selector("bench-page[data-mode=pull]")
    server.kill()
    for fastener in (3, 5, 2):
        page.wait_for_selector(f"bench-page[data-mode=pull][data-key='wheel/1/{fastener}']")
        answer(page)
        expect(page.locator(".verdict-word")).to_have_text("Kept here, will be sent")
        expect(page.locator("pull-verdict")).to_contain_text("Not judged yet")
        answer(page)
    expect(page.locator("unsent-count")).to_contain_text("3 not sent yet")
    marked = page.locator("[data-fastener='3']").get_attribute("data-state")
    assert marked == "done"
    server.start()
    expect(page.locator("unsent-count")).to_have_text("All sent")
    page.wait_for_selector("bench-page[data-mode=pull][data-key='wheel/1/4']")
    assert pulls(workshop) == WHOLE[:4]


def test_a_browser_that_keeps_nothing_says_so(browser: Browser, nearby: Any, handset: Any) -> None:
    begin(handset.page, nearby.address)
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    page = context.new_page()
    page.add_init_script("Object.defineProperty(window, 'indexedDB', {value: undefined})")
    page.goto(nearby.address + BENCH)
    expect(page.locator(".notice").first).to_contain_text("keeps nothing between visits")
    answer(page)
    expect(page.locator(".verdict-word")).to_have_text("within")
    context.close()
