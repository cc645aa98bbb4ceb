"""The three looks: whatever is written in them can be read by eyes that see a seventh as much."""

from __future__ import annotations

import re
from itertools import product
from pathlib import Path

import pytest

import clampwright.web
from clampwright.web.trace_view import LOOKS

STATIC = Path(clampwright.web.__file__).parent / "static"
CSS = (STATIC / "looks.css").read_text("utf-8")
WANTED = 7.0
"""Contrast ratio, WCAG 2.2, success criterion 1.4.6 (level AAA)."""


def looks() -> dict[str, dict[str, str]]:
    """The colours of every look, by the selector under which they stand."""
    blocks = re.findall(r"(:root[^{]*?)\s*\{(.*?)\}", CSS, re.DOTALL)
    return {
        f"{number} {selector}": dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", body))
        for number, (selector, body) in enumerate(blocks)
        if "--ground" in body
    }


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_measure_is_that_of_the_standard() -> None:
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("look", looks())
def test_every_text_of_a_look_stands_out(look: str) -> None:
    colours = looks()[look]
    assert set(colours) == {"ground", "raised", "ink", "quiet", "line", "mark"}
    for text, ground in product(("ink", "quiet", "mark"), ("ground", "raised")):
        assert contrast(colours[text], colours[ground]) >= WANTED, (text, ground)
    assert contrast(colours["line"], colours["ground"]) >= WANTED, "shapes too"


def test_the_looks_are_three_and_the_device_may_choose() -> None:
    assert len({tuple(sorted(colours.items())) for colours in looks().values()}) == 3
    assert "prefers-color-scheme: dark" in CSS
    assert "prefers-contrast: more" in CSS
    chosen = {
        name for look in looks() for name in re.findall(r'^\d+ :root\[data-look="(\w+)"\]$', look)
    }
    assert chosen == {"dark", "strong"}, "and without any it is day"


def test_drawings_have_the_colours_of_the_page() -> None:
    held = {(c["ink"], c["ground"]) for c in looks().values()}
    assert {(one.ink, one.ground) for one in LOOKS.values()} == held


def test_only_the_looks_know_colours() -> None:
    strange = {
        f"{file.name}: {found}"
        for file in STATIC.glob("*.css")
        if file.name != "looks.css"
        for found in re.findall(
            r"#[0-9a-fA-F]{3,8}\b(?=[;\s])|\brgb\([^)]*\)", file.read_text("utf-8")
        )
    }
    shade, under_a_code = "bench.css: rgb(0 0 0 / 60%)", "page.css: #fff"
    assert strange <= {shade, under_a_code}, "a code is read by cameras: black on white in any look"
