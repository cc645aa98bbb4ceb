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
