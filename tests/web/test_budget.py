"""What the pull page costs a slow phone: bytes on the line, shifts under the finger, waiting."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page
from tests.web.test_bench_page import BENCH, JOB, settled

from clampwright.bench.folder import Workshop
from clampwright.bench.preparing import pass_over
from clampwright.bench.session import Session
from clampwright.store import Store

FIRST_VIEW = 120_000
"""Bytes on the line, compressed, until the page can be used."""
SLOWED = 4
INTERACTION = 100
"""ms of the processor, slowed, from a touch to the answer on the page."""

WATCH = """
  window.shifts = []; window.touches = []; window.shown = 0;
  new MutationObserver((_all, watch) => {
    if (!document.querySelector("bench-page[data-mode]")) return;
    window.shown = performance.now();
    watch.disconnect();
  }).observe(document, { subtree: true, childList: true, attributeFilter: ["data-mode"] });
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) {
      if (one.hadRecentInput) continue;
      const parts = one.sources.map(({ node, previousRect: was, currentRect: now }) =>
        [`${node?.className || node?.nodeName}`, was.y, now.y, was.height, now.height]);
      window.shifts.push([one.value, parts]);
    }
  }).observe({ type: "layout-shift", buffered: true });
  new PerformanceObserver((list) => {
    for (const one of list.getEntries()) {
      window.touches.push([one.name, one.processingEnd - one.processingStart]);
    }
  }).observe({ type: "event", buffered: true, durationThreshold: 16 });
"""


def test_the_first_view_is_small_and_stands_still(handset: Any, nearby: Any) -> None:
    page: Page = handset.page
    client = handset.context.new_cdp_session(page)
    client.send("Network.enable")
    client.send("Network.setCacheDisabled", {"cacheDisabled": True})
    line = {"offline": False, "latency": 60, "downloadThroughput": 400_000}
    client.send("Network.emulateNetworkConditions", {**line, "uploadThroughput": 100_000})
    sizes: dict[str, float] = {}
    addresses: dict[str, str] = {}
    client.on(
        "Network.responseReceived",
        lambda e: addresses.update({e["requestId"]: e["response"]["url"]}),
    )
    client.on(
        "Network.loadingFinished", lambda e: sizes.update({e["requestId"]: e["encodedDataLength"]})
    )
    page.request.post(
        f"{nearby.address}/api/jobs/{JOB}/opening", headers={"origin": nearby.address}
    )
    page.add_init_script(WATCH)
    page.goto(f"{nearby.address}{BENCH}")
    page.wait_for_selector("bench-page[data-mode][data-ready]")
    page.wait_for_load_state("networkidle")
    by_address = {addresses[number]: size for number, size in sizes.items()}
    early = page.evaluate(
        """performance.getEntries().filter((one) => one.startTime < window.shown &&
        ["resource", "navigation"].includes(one.entryType)).map((one) => one.name)"""
    )
    first = sum(by_address[address] for address in set(early))
    whole = sum(sizes.values())
    print(f"first view: {first / 1000:.1f} kB in {len(set(early))} files; then ", end="")
    print(f"{whole / 1000:.1f} kB in {len(sizes)}")
    assert len(set(early)) > 20, "every module was fetched and counted"
    assert first < FIRST_VIEW, sorted(((by_address[a], a) for a in set(early)), reverse=True)
    shifts = page.evaluate("window.shifts")
    shifted = sum(value for value, _ in shifts)
    print(f"layout shift: {shifted:.4f} {shifts}")
    assert shifted < 0.01, shifts


def test_a_touch_is_answered_quickly_on_a_slow_phone(
    handset: Any, nearby: Any, workshop: Workshop
) -> None:
    """Processor time of the page's own handlers, so that a busy machine is not held against it."""
    page: Page = handset.page
    page.add_init_script(WATCH)
    page.request.post(
        f"{nearby.address}/api/jobs/{JOB}/opening", headers={"origin": nearby.address}
    )
    with Store.open(workshop.folder) as store:
        session = Session(store, JOB, workshop.papers)
        due = session.next()
        assert due is not None
        pass_over(session, due.key, "gone through on paper")
    page.goto(f"{nearby.address}{BENCH}")
    settled(page)
    client = handset.context.new_cdp_session(page)
    client.send("Emulation.setCPUThrottlingRate", {"rate": SLOWED})
    page.get_by_role("button", name="Something happened").tap()
    page.get_by_role("button", name="Close").last.tap()
    for _ in range(6):
        settled(page)
        page.locator("bench-page .hands > :not([hidden]) .main:not(dialog *)").tap()
    settled(page)
    page.wait_for_function("() => window.touches.length > 0")
    touches = page.evaluate("window.touches")
    times = sorted(took for name, took in touches if name == "click")
    print(
        f"{len(times)} touches; median {times[len(times) // 2]:.0f} ms, "
        f"longest {times[-1]:.0f} ms, slowed {SLOWED} times"
    )
    assert times[len(times) // 2] < INTERACTION
