"""What axe complains of on a page that stands in a browser.

The rules are loaded once into each page and only complaints are told in full: most of the time of a
look by the library's own call goes into loading them anew and into listing what is in order.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from axe_playwright_python.base import (  # type: ignore[import-untyped]  # it ships none
    AXE_SCRIPT,
)

if TYPE_CHECKING:
    from playwright.sync_api import Page

LOOK = """(rules) => axe.run({ resultTypes: ["violations"], ...rules }).then((found) => ({
  complaints: found.violations.map((one) => [one.id, one.nodes.map((node) => node.html)]),
  passes: found.passes.length,
}))"""
LOOKS = ("light", "dark", "strong")
"""The looks there are; the device's own wish, which can be chosen too, is one of them."""
CONTRAST = {"runOnly": ["color-contrast"]}
"""What can change with the look; the rest of a page is the same in all of them."""


def complaints(page: Page, *, contrast_only: bool = False) -> list[Any]:
    """Return what axe finds wrong: the rule, and the elements that break it."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate(LOOK, CONTRAST if contrast_only else {})
    assert found["passes"] > (0 if contrast_only else 5), "axe has looked"
    told: list[Any] = found["complaints"]
    return told


def clean(page: Page, where: str) -> None:
    """Look at all there is by day, and at the contrast by night and at its strongest.

    Night comes as the device's own wish, the strongest look as one chosen on the page.
    """
    for look in LOOKS:
        page.emulate_media(color_scheme="dark" if look == "dark" else "light")
        if look == "strong":
            page.evaluate("document.documentElement.dataset.look = 'strong'")
        found = complaints(page, contrast_only=look != "light")
        assert found == [], (where, look)
    page.evaluate("delete document.documentElement.dataset.look")


def in_frames(page: Page) -> None:
    """Let the page draw itself anew, its own scripts at the drawing included."""
    page.evaluate("new Promise((on) => requestAnimationFrame(() => requestAnimationFrame(on)))")
