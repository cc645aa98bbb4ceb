"""Scales for charts of clamp load, and the marks that only they need.

The scales and marks of the charts of a pull (`clampwright.report.axes`) with another quantity on
the upright scale. Values are given as they are shown.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from clampwright.report.axes import LETTERS, WIDTH, Axes, Spec, Style, rounded
from clampwright.report.svg import wrapped
from clampwright.trace.model import Floats
from clampwright.units import format_quantity
from clampwright.words import Words, words

KILO = 1000.0
"""Newtons in a kilonewton, the unit clamp load is shown in."""

CLAMP = words("clamp load, kN")


@dataclass(frozen=True, slots=True)
class Scales(Axes):
    """Scales of two quantities, as they are shown.

    Parameters
    ----------
    y : Words
        Title of the upright scale.
    figures : bool
        Whether the upright scale has figures; without them it only sets lines apart.
    """

    y: Words = CLAMP
    figures: bool = True

    def encoding(self) -> Spec:
        """Return how data stand on the scales."""
        found = Axes.encoding(self)
        found["y"]["title"] = self.style.say(self.y)
        if not self.figures:
            found["y"]["title"] = None
            found["y"]["axis"] = dict.fromkeys(("labels", "ticks", "grid", "domain"), False)
        return found


def plain(style: Style) -> Style:
    """Return a style that shows values as they are given."""
    return replace(style, unit="N·m")


def force_text(force: float) -> str:
    """Return a force in N as text, in kN from 100 N on.

    Examples
    --------
    >>> force_text(22_470.0), force_text(41.3)
    ('22.5 kN', '41 N')
    """
    if abs(force) < 100.0:
        return format_quantity(force, "N", digits=0)
    shown = force / KILO
    return format_quantity(shown, "kN", digits=1 if abs(shown) >= 10 else 2)


def area(x: Floats, low: Floats, high: Floats, axes: Axes, *, opacity: float = 0.14) -> Spec:
    """Return a grey field between two lines over the same places."""
    values = [
        {"x": rounded(at), "y": rounded(bottom), "y2": rounded(top)}
        for at, bottom, top in zip(x.tolist(), low.tolist(), high.tolist(), strict=True)
    ]
    return {
        "data": {"values": values},
        "mark": {"type": "area", "fill": axes.style.look.ink, "opacity": opacity, "clip": True},
        "encoding": axes.encoding() | {"y2": {"field": "y2"}},
    }


def stretch(
    points: Sequence[tuple[float, float]],
    axes: Axes,
    *,
    width: float = 2.0,
    dash: list[int] | None = None,
    opacity: float = 1.0,
) -> Spec:
    """Return a line from point to point, in the order given, back and forth where they go so."""
    mark: Spec = {"type": "line", "strokeWidth": width, "opacity": opacity, "clip": True}
    if dash:
        mark["strokeDash"] = dash
    values = [{"x": rounded(x), "y": rounded(y), "n": n} for n, (x, y) in enumerate(points)]
    encoding = axes.encoding() | {"order": {"field": "n", "type": "quantitative"}}
    return {"data": {"values": values}, "mark": mark, "encoding": encoding}


def bar(y: float, x: float, axes: Axes, *, half: float = 0.17) -> Spec:
    """Return a bar from 0 to x about a height; its rim keeps it apart from the ground in print."""
    look = axes.style.look
    place = {"x": 0.0, "x2": rounded(x), "y": rounded(y - half), "y2": rounded(y + half)}
    return {
        "data": {"values": [{}]},
        "mark": {
            "type": "rect",
            "fill": look.ink,
            "fillOpacity": 0.25,
            "stroke": look.ink,
            "strokeWidth": 2,
        },
        "encoding": {key: {"datum": value} for key, value in place.items()},
    }


def heading(title: str, lines: Sequence[str], style: Style) -> Spec:
    """Return a title with its lines below, broken so that they fit."""
    below = [part for line in lines for part in wrapped(line, LETTERS - 1, WIDTH)]
    return {
        "text": wrapped(title, LETTERS + 3, WIDTH),
        "subtitle": below,
        "anchor": "start",
        "color": style.look.ink,
        "subtitleColor": style.look.ink,
        "fontSize": LETTERS + 3,
        "subtitleFontSize": LETTERS - 1,
        "subtitlePadding": 5,
        "offset": 12,
    }
