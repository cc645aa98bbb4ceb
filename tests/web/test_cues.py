"""What is heard, felt and said at the bench, what is turned off, and touches that do nothing."""

from __future__ import annotations

import asyncio
import json
import time
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from playwright.sync_api import Page, expect
from tests.web.test_bench_page import begin, do_first_stage, kinds, mode, settled, wrench_at
from tests.web.test_live import Device
from tests.web.test_modules import evaluate
from websockets.sync.client import ClientConnection

from clampwright.bench.folder import Workshop
from clampwright.proof.ids import uuid7
from clampwright.web.desk import Desk
from clampwright.web.live import LiveRoom

STUBS = """
  window.felt = []; window.said = []; window.tones = [];
  navigator.vibrate = (pattern) => window.felt.push([].concat(pattern));
  window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text; } };
  Object.defineProperty(window, "speechSynthesis", { value: {
    getVoices: () => [{ lang: "en", localService: true }, { lang: "en", localService: false }],
    cancel() {}, speak(one) { window.said.push([one.text, one.voice.localService]); },
  } });
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (at) {
    window.tones.push(Math.round(this.frequency.value));
    start.call(this, at);
  };
"""
"""What a browser without loudspeaker, motor and voice is given instead."""


def test_the_rhythms_are_told_apart_without_pitch() -> None:
    found = evaluate(
        "rhythms.js", "['reached', 'over', 'slip'].map((one) => [one, m.vibration(one)])"
    )
    shapes = dict(found)
    assert [len(shapes[name]) for name in ("reached", "over", "slip")] == [3, 5, 9]
    assert max(shapes["reached"]) < 150 < min(shapes["over"][::2])
    assert max(shapes["slip"][:-1]) < min(shapes["reached"]) < shapes["slip"][-1]
    for pattern in shapes.values():
        assert sum(pattern) < 2000, "over before the next pull begins"


def test_ticks_come_quicker_and_higher_and_end_at_the_goal() -> None:
    shares = [0.0, 0.49, 0.5, 0.6, 0.7, 0.8, 0.9, 0.99, 1.0, 1.2]
    found = evaluate("rhythms.js", f"{shares}.map((one) => [m.tickGap(one), m.tickPitch(one)])")
    gaps = [gap for gap, _ in found]
    assert gaps[:2] == gaps[-2:] == [None, None]
    inside = gaps[2:-2]
    assert inside == sorted(inside, reverse=True)
    assert inside[0] / inside[-1] > 5, "felt as quicker, not only measured so"
    pitches = [pitch for _, pitch in found]
    assert pitches == sorted(pitches)
    assert pitches[-1] == pytest.approx(2 * pitches[0])


@pytest.mark.parametrize(
    ("before", "now", "said"),
    [
        (None, 14.0, None), (14.0, 9.9, 10), (9.9, 7.0, None), (7.0, 5.0, 5), (None, 4.0, 5),
        (30.0, 3.0, 5), (5.0, 4.0, None), (4.0, 0.0, None), (4.0, None, None),
    ],
)  # fmt: skip
def test_the_rest_is_said_once_at_each_mark(
    before: float | None, now: float | None, said: int | None
) -> None:
    assert evaluate("rhythms.js", f"m.passed({json.dumps(before)}, {json.dumps(now)})") == said


def at_the_second_stage(handset: Any, nearby: Any, workshop: Workshop) -> Page:
    page: Page = handset.page
    page.add_init_script(STUBS)
    begin(page, nearby.address)
    do_first_stage(workshop)
    page.wait_for_selector("bench-page[data-key='wheel/2/1']")
    return page


def start_message(fastener: int = 1) -> str:
    where = {"joint": "wheel", "stage": 2, "fastener": fastener}
    return json.dumps({"pull": where, "tool": "electronic-200", "entry": str(uuid7())})


def ramp(page: Page, socket: ClientConnection, *, most: float, steps: int = 24) -> None:
    """Pull up to a torque, each value shown before the next is sent."""
    socket.send(start_message())
    for n in range(steps):
        t, torque, angle = n / 10, 44.0 + (most - 44.0) * n / (steps - 1), 1.2 * n
        socket.send(json.dumps({"t": t, "torque": torque, "angle": angle}))
        if n % 4 == 3:
            page.wait_for_timeout(60)  # longer than the server waits between two values


def test_a_pull_is_heard_felt_and_said_and_each_can_be_turned_off(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page = at_the_second_stage(handset, nearby, workshop)
    page.get_by_role("button", name="Sounds and lights").tap()
    switches = page.locator("dialog[open] .cue")
    assert switches.count() == 9
    for name in ("Say the pull", "Ticks that climb"):
        page.get_by_role("checkbox", name=name).tap()
    page.get_by_role("button", name="Close").last.tap()
    with wrench_at(nearby.address) as socket:
        ramp(page, socket, most=90.4)
        page.wait_for_selector("live-gauge[data-say=stop]")
        said = page.evaluate("window.said")
        assert ["stop", True] in said, "and only by a voice of the device"
        assert {text for text, _ in said} & {"10 left", "5 left"}
        felt = page.evaluate("window.felt")
        assert [90, 80, 90] in felt, "reached: short, short"
        assert [45] in felt, "ticks on the way"
        tones = page.evaluate("window.tones")
        assert tones.count(880) >= 2
        assert any(440 < tone < 880 for tone in tones), "ticks that climb"
        socket.send(json.dumps({"cancel": True}))
        page.wait_for_selector("bench-page[data-mode=pull][data-ready]")
        page.get_by_role("button", name="Sounds and lights").tap()
        on = page.locator("dialog[open] .cue input:checked:not(:disabled)")
        while on.count():
            on.first.tap()
        page.get_by_role("button", name="Close").last.tap()
        page.reload()
        page.wait_for_selector("bench-page[data-mode=pull][data-ready]")
        page.touchscreen.tap(5, 300)
        ramp(page, socket, most=90.4)
        page.wait_for_selector("live-gauge[data-say=stop]")
        assert page.evaluate("[window.said, window.felt, window.tones]") == [[], [], []]
        plain = "getComputedStyle(document.querySelector('.live-say')).backgroundColor"
        assert page.evaluate(plain) in {"rgba(0, 0, 0, 0)", "transparent"}, "no bright panel"
        expect(page.locator(".live-say")).to_contain_text("stop", ignore_case=True)


def test_a_line_that_is_only_half_open_is_found_out_and_opened_by_a_touch(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    """The server's messages stop and nobody closes: as when a phone leaves the network's reach."""
    page: Page = handset.page
    page.add_init_script(
        """window.deaf = false; window.sockets = 0;
        window.WebSocket = class extends WebSocket {
          constructor(address) { super(address); this.number = ++window.sockets; }
          addEventListener(name, act) {
            super.addEventListener(name, (event) => {
              if (window.deaf && this.number === 1) return;
              act(event);
            });
          }
        };"""
    )
    begin(page, nearby.address)
    do_first_stage(workshop)
    page.wait_for_selector("bench-page[data-key='wheel/2/1']")
    with wrench_at(nearby.address) as socket:
        socket.send(start_message())
        socket.send(json.dumps({"t": 0.0, "torque": 60.0, "angle": 0.0}))
        page.wait_for_selector("bench-page[data-mode=live]")
        before = page.evaluate("window.sockets")
        page.evaluate("window.deaf = true; window.sockets")
        page.wait_for_selector("live-gauge.stale")
        buttons = page.locator("live-gauge button:visible")
        assert buttons.count() == 0, "there is nothing to take it by"
        page.keyboard.press("Space")  # ends the broken line, and does nothing else
        page.wait_for_function(f"() => window.sockets > {before}")
        expect(page.locator(".glass-layer")).not_to_be_visible()
        socket.send(json.dumps({"t": 0.1, "torque": 63.0, "angle": 3.0}))
        expect(page.locator(".live-value")).to_have_text("63 N·m")
        expect(page.locator("live-gauge")).not_to_have_class("stale")
        socket.send(json.dumps({"cancel": True}))
    page.wait_for_selector("bench-page[data-mode=pull]")
    assert kinds(workshop)[-1] == "pull"


def test_the_touch_that_wakes_the_screen_does_nothing_else(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    asleep = "Object.defineProperty(document, 'hidden', { configurable: true, value: %s });"
    asleep += "document.dispatchEvent(new Event('visibilitychange'))"
    for wake in ("touch", "Space", "Escape"):
        before = kinds(workshop)
        page.evaluate(asleep % "true")
        page.evaluate(asleep % "false")
        expect(page.get_by_text("Touch once to go on.")).to_be_visible()
        box = page.locator("pull-answer .main:not(dialog *)").bounding_box()
        assert box is not None
        if wake == "touch":
            page.touchscreen.tap(box["x"] + 20, box["y"] + 20)
        else:
            page.keyboard.press(wake)
        expect(page.get_by_text("Touch once to go on.")).not_to_be_visible()
        assert (mode(page), kinds(workshop)) == ("pull", before)
    page.locator("pull-answer .main:not(dialog *)").tap()
    page.wait_for_selector("bench-page[data-mode=result]")
    page.locator(".verdict-word").wait_for()
    assert len(kinds(workshop)) == len(before) + 1, "the second touch counts"


def test_a_pedal_goes_from_button_to_button(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    begin(page, nearby.address)
    settled(page)
    focused = "document.activeElement.textContent"
    page.evaluate("document.activeElement.blur()")
    seen = []
    for key in ("ArrowRight", "ArrowDown", "PageDown", "ArrowUp", "ArrowLeft"):
        page.keyboard.press(key)
        seen.append(page.evaluate(focused))
    assert seen == [
        "Clicked, it moved", "Clicked, stood still", "No click", "Clicked, stood still",
        "Clicked, it moved",
    ]  # fmt: skip
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Space")
    expect(page.locator(".verdict-word")).to_have_text("doubtful")


def test_pages_hear_a_beat_and_a_wrench_that_is_gone_is_given_up(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("clampwright.web.live.BEAT_EVERY", 0.0)
    monkeypatch.setattr("clampwright.web.live.SILENT_AFTER", 0.0)

    class Gone:
        source, heard = object(), time.monotonic() - 1.0

    async def told() -> list[str]:
        room = LiveRoom(Desk(workshop))
        device = Device(asleep=False)
        task = asyncio.create_task(room.attend(device, "job"))  # type: ignore[arg-type]  # stands in
        room._pulls["job"] = Gone()  # type: ignore[assignment]  # noqa: SLF001 - stands in
        async with room.watching():
            async with asyncio.timeout(20):
                while not any("stopped" in one for one in device.heard):
                    room.poke()
                    await asyncio.sleep(0.01)
        assert not room.pulling("job")
        task.cancel()
        await asyncio.gather(task, return_exceptions=True)
        return device.heard

    with ThreadPoolExecutor(1) as apart:
        heard = apart.submit(lambda: asyncio.run(told())).result()
    assert {"beat": 1} in [json.loads(one) for one in heard]
    assert "fell silent" in heard[-1]
