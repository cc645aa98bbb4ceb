"""A device that types: told from fingers by time, filled in and never confirmed."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from looked_over import complaints
from playwright.sync_api import Page, expect
from tests.web.test_bench_page import JOB, begin, do_first_stage
from tests.web.test_modules import evaluate

from clampwright.bench.folder import Workshop
from clampwright.store import Store

Keys = list[tuple[str, float]]


def typed(text: str, *, at: float = 1000.0, gap: float = 5.0) -> Keys:
    """Keys as a device types them; a line feed is Enter."""
    keys = [("Enter" if sign == "\n" else sign) for sign in text]
    return [(key, at + gap * k) for k, key in enumerate(keys)]


def played(cases: list[Keys]) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = evaluate(
        "typed-burst.js", f"{json.dumps(cases)}.map((keys) => m.replay(keys))"
    )
    return found


def whole(text: str, *, enter: bool = True, double: bool = False) -> dict[str, Any]:
    return {"text": text, "enter": enter, "double": double}


def test_what_a_device_types_is_told_from_what_fingers_type() -> None:
    late = [*typed("45.3"), ("Enter", 1300.0)]
    cases: list[tuple[Keys, list[dict[str, Any]], str]] = [
        (typed("45.3 Nm\n"), [whole("45.3 Nm")], "4"),
        (typed("45.3 Nm"), [whole("45.3 Nm", enter=False)], "4"),
        (late, [whole("45.3", enter=False)], "4"),
        (typed("45.3\n", gap=30.0), [whole("45.3")], "4"),
        (typed("45.3\n", gap=60.0), [], "45.3Enter"),
        (typed("45\n", gap=150.0), [], "45Enter"),
        (
            [*typed("45.3\n"), *typed("45.3\n", at=1500)],
            [whole("45.3"), whole("45.3", double=True)],
            "44",
        ),
        ([*typed("45.3\n"), *typed("45.3\n", at=9000)], [whole("45.3"), whole("45.3")], "44"),
        ([*typed("45.3\n"), *typed("46.1\n", at=1500)], [whole("45.3"), whole("46.1")], "44"),
        (typed("12"), [], "12"),
        ([("4", 0.0), ("5", 20.0), ("Backspace", 200.0)], [], "45Backspace"),
        ([*typed("9"), *typed("45.3\n", at=1200)], [whole("45.3")], "94"),
        ([("Shift", 0.0), *typed("45.3\n", at=2.0)], [whole("45.3")], "Shift4"),
    ]  # fmt: skip
    found = played([keys for keys, _texts, _passed in cases])
    for (keys, texts, passed), one in zip(cases, found, strict=True):
        assert one["texts"] == texts, keys
        assert one["passed"] == passed, keys


@pytest.mark.parametrize(
    ("mark", "text", "told"),
    [
        ("either", "45.3 Nm", ("45.3", "N·m", "")),
        ("either", "45,3", ("45.3", "", "")),
        ("either", "+0045.30 N.m", ("+0045.30", "N·m", "")),
        ("either", "T 33 ft-lb", ("33", "ft·lbf", "")),
        ("either", "90°", ("90", "deg", "")),
        ("either", "1,045.3", ("", "", "mark")),
        ("point", "1,045.3 Nm", ("1045.3", "N·m", "")),
        ("comma", "1.045,3 Nm", ("1045.3", "N·m", "")),
        ("comma", "1.04,3", ("", "", "mark")),
        ("either", "OK 45.3 12.1", ("", "", "two")),
        ("either", "battery", ("", "", "none")),
        ("either", "45.3 bar", ("", "", "unit")),
        ("either", "-12.5 in.lb", ("-12.5", "in·lbf", "")),
    ],
)
def test_what_was_typed_is_understood(mark: str, text: str, told: tuple[str, str, str]) -> None:
    found = evaluate("typed-text.js", f"m.understand({json.dumps(text)}, {json.dumps(mark)})")
    assert (found["value"], found["unit"], found["problem"]) == told


def device_types(page: Page, text: str) -> None:
    """Type as a device does: all keys at once, for the page's clock however busy the machine is."""
    page.clock.pause_at(page.evaluate("Date.now() / 1000") + 1)
    page.keyboard.type(text)
    page.clock.resume()


def person_types(page: Page, text: str) -> None:
    """Type as a person does, key by key, and rest longer than an Enter of a device comes late."""
    page.clock.pause_at(page.evaluate("Date.now() / 1000") + 1)
    for key in text:
        page.keyboard.type(key)
        page.clock.run_for(150)
    page.clock.run_for(450)
    page.clock.resume()


def entries(place: Workshop) -> int:
    with Store.open(place.folder, write=False) as store:
        return sum(entry["kind"] == "pull" for entry in store.entries(job=JOB))


def test_a_text_fills_the_value_and_never_confirms(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    page.clock.install()
    begin(page, nearby.address)
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    page.locator("pull-answer .main").focus()  # Space and Enter of a device press no button
    device_types(page, "45.3 Nm\n")
    notice = page.locator("bench-page > .hands > .notice")
    expect(notice).to_have_text("The device typed 45.3 Nm, but no figure is asked just now.")
    page.evaluate("document.activeElement.blur()")
    device_types(page, "\n 45.4\n")
    expect(notice).to_contain_text("The device typed 45.4")
    assert entries(workshop) == 0
    do_first_stage(workshop)
    page.reload()
    page.wait_for_selector("bench-page[data-ready][data-mode=pull]")
    page.evaluate("document.activeElement.blur()")
    device_types(page, "90,4 Nm\n")
    expect(page.locator("#figure")).to_have_value("90.4")
    expect(notice).to_contain_text("Look, then take it")
    device_types(page, "66.4 ft.lb\n")
    expect(notice).to_contain_text("asked is N·m. Nothing was filled in.")
    expect(page.locator("#figure")).to_have_value("90.4")
    page.locator("#figure").focus()
    device_types(page, "90.6\n")
    expect(page.locator("#figure")).to_have_value("90.6")
    assert entries(workshop) == 5, "nothing was confirmed"
    page.locator("#figure").fill("")
    page.locator("#figure").focus()
    person_types(page, "91,2")
    expect(page.locator("#figure")).to_have_value("91,2")
    page.keyboard.press("Enter")
    expect(page.locator("pull-verdict")).to_contain_text(re.compile("within", re.IGNORECASE))
    assert entries(workshop) == 6, "what a person types is taken as ever"


def test_the_page_that_shows_what_comes(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    page.clock.install()
    page.goto(f"{nearby.address}/typed")
    page.wait_for_selector("typed-page ol", state="attached")
    device_types(page, "45.3 Nm\n")
    first = page.locator("typed-page li").first
    expect(first).to_contain_text("read as 45.3, unit N·m")
    expect(first).to_contain_text("ended by Enter")
    page.locator("#typed-mark").select_option("comma")
    device_types(page, "1.045,3")
    expect(first).to_contain_text("read as 1045.3, unit –")
    expect(first).to_contain_text("without Enter")
    page.get_by_label("Hear a device that types").uncheck()
    device_types(page, "77.7\n")
    expect(page.locator("typed-page li")).to_have_count(2)
    assert complaints(page) == []
