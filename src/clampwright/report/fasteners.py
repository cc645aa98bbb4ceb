"""One fastener of a map in each of its states; every state has an outline of its own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from clampwright.report.svg import Look, lettering, polar, polygon, tag, turning_arrow
from clampwright.words import Words, words

State = Literal["todo", "now", "done", "doubtful"]

STATES: Mapping[State, Words] = {
    "todo": words("to do"),
    "now": words("now"),
    "done": words("done"),
    "doubtful": words("not settled"),
}

SIZE = 50.0
"""Half the width of a fastener in a drawing; everything else is measured by it."""
ARROW = SIZE + 23
"""Radius of the arrow round the present fastener."""


def draw(state: State, n: int, look: Look, *, clockwise: bool = True, resting: bool = False) -> str:
    """Draw a fastener about (0, 0).

    Parameters
    ----------
    state : str
    n : int
        Its number.
    look : Look
    clockwise : bool
        The way it turns as it is seen; shown for the present fastener.
    resting : bool
        This pass leaves it out.

    Returns
    -------
    str
        SVG elements.
    """
    if state == "now":
        return _now(n, look, clockwise=clockwise)
    if state == "done":
        return _done(n, look)
    if state == "doubtful":
        return _doubtful(n, look)
    return _resting(n, look) if resting else _todo(n, look)


def _figure(n: int, size: float, fill: str, *, up: float = 0.0) -> str:
    size *= 1.0 if n < 100 else 0.75
    return lettering(str(n), 0, -up, size, fill=fill, class_="number")


def _line(look: Look, width: float) -> dict[str, str | float]:
    return {"fill": look.ground, "stroke": look.ink, "stroke_width": width}


def _todo(n: int, look: Look) -> str:
    """Draw a ring."""
    return tag("circle", r=SIZE - 2, **_line(look, 4)) + _figure(n, 54, look.ink)


def _resting(n: int, look: Look) -> str:
    """Draw a small dotted ring."""
    ring = tag("circle", r=SIZE - 16, stroke_dasharray="2 7", **_line(look, 3))
    return ring + _figure(n, 36, look.ink)


def _now(n: int, look: Look, *, clockwise: bool) -> str:
    """Draw a filled hexagon with the way it turns on both sides."""
    corners = [polar(SIZE + 8, angle) for angle in range(30, 390, 60)]
    arrows = (
        turning_arrow(ARROW, middle, 46, clockwise=clockwise, ink=look.ink, width=8)
        for middle in (90, 270)
    )
    hexagon = tag("path", d=polygon(corners), fill=look.ink)
    return hexagon + _figure(n, 62, look.ground) + "".join(arrows)


def _done(n: int, look: Look) -> str:
    """Draw a square with a tick under the number."""
    half = SIZE - 5
    square = tag("rect", x=-half, y=-half, width=2 * half, height=2 * half, **_line(look, 4))
    tick = tag(
        "path",
        d="M-18 24L-5 36L21 12",
        fill="none",
        stroke=look.ink,
        stroke_width=8,
        class_="tick",
    )
    return square + _figure(n, 46, look.ink, up=17) + tick


def _doubtful(n: int, look: Look) -> str:
    """Draw a diamond with a broken edge and a question mark under the number."""
    corners = [polar(SIZE + 12, angle) for angle in (0, 90, 180, 270)]
    diamond = tag("path", d=polygon(corners), stroke_dasharray="14 6", **_line(look, 6))
    question = lettering("?", 0, 28, 36, fill=look.ink, class_="question")
    return diamond + _figure(n, 42, look.ink, up=13) + question
