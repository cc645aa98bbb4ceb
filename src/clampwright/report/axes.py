"""Scales of a chart and the marks on them, as parts of a Vega-Lite specification."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from clampwright.locale import chart_locale, say, told
from clampwright.report.svg import FONT, PAPER, Look
from clampwright.trace.model import Floats
from clampwright.units import factor, format_quantity
from clampwright.words import Words, words

SCHEMA = "https://vega.github.io/schema/vega-lite/v6.json"
"""Names the version of the language; nothing is fetched from it."""
MOST_POINTS = 600
_LATE = 0.7
"""From this share of the width on, words stand to the left of their mark."""
WIDTH, HEIGHT = 640, 380
LETTERS = 17

Spec = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Style:
    """How a chart is shown.

    Parameters
    ----------
    unit : str
        Unit of torque.
    look : Look
    language : str or None
    width : int
        Of the chart, pixels; a narrow one on a phone keeps its letters large.
    """

    unit: str = "N·m"
    look: Look = PAPER
    language: str | None = None
    width: int = WIDTH

    def say(self, sentence: Words) -> str:
        """Turn a sentence into text."""
        return say(sentence, self.language)

    @property
    def size(self) -> float:
        """The torque unit in one N·m."""
        return factor("N·m", self.unit)

    def torque(self, value: float) -> str:
        """Return a torque given in N·m as text."""
        shown = value * self.size
        text = format_quantity(shown, self.unit, digits=1 if abs(shown) >= 10 else 2)
        return told(text, self.language)


@dataclass(frozen=True, slots=True)
class Axes:
    """Scales, and marks on them.

    Parameters
    ----------
    x : Words
        Title across.
    x_high, y_high : float
        Ends of the scales; torque in the unit shown.
    style : Style
    x_low : float
    """

    x: Words
    x_high: float
    y_high: float
    style: Style
    x_low: float = 0.0

    def at(self, x: float, torque: float) -> Spec:
        """Return one point as data; torque in N·m."""
        return {"values": [{"x": rounded(x), "y": rounded(torque * self.style.size)}]}

    def encoding(self) -> Spec:
        """Return how data stand on the scales."""
        return {
            "x": {
                "field": "x",
                "type": "quantitative",
                "title": self.style.say(self.x),
                "scale": {"domain": [rounded(self.x_low), rounded(self.x_high)], "nice": False},
            },
            "y": {
                "field": "y",
                "type": "quantitative",
                "title": self.style.say(words("torque, {unit}", unit=self.style.unit)),
                "scale": {"domain": [0, rounded(max(self.y_high, 1e-3))], "nice": False},
            },
        }

    def text(self, x: float, torque: float, text: str, **mark: Any) -> list[Spec]:
        """Return words beside a point, with a rim that keeps lines out of the letters."""
        words_ = {"type": "text", "text": text, "fontSize": LETTERS, **mark}
        rim = {"stroke": self.style.look.ground, "strokeWidth": 5, "strokeJoin": "round"}
        place = {"data": self.at(x, torque), "encoding": self.encoding()}
        return [place | {"mark": words_ | rim}, place | {"mark": words_}]

    def point(
        self, x: float, torque: float, shape: str, *, filled: bool, size: float = 190
    ) -> Spec:
        """Return a mark of a shape; torque in N·m."""
        look = self.style.look
        return {
            "data": self.at(x, torque),
            "mark": {
                "type": "point",
                "shape": shape,
                "size": size,
                "fill": look.ink if filled else look.ground,
                "stroke": look.ink,
                "strokeWidth": 2.5,
                "opacity": 1,
            },
            "encoding": self.encoding(),
        }

    def close(self, one: tuple[float, float], other: tuple[float, float]) -> bool:
        """Return whether words beside two points would run into each other."""
        across = (other[0] - one[0]) / (self.x_high - self.x_low)
        up = (other[1] - one[1]) * self.style.size / self.y_high
        return abs(across) < 0.25 and abs(up) < 0.2

    def event(self, x: float, torque: float, what: Words) -> list[Spec]:
        """Return a cross with words: something went wrong here."""
        text = self.style.say(what)
        late = (x - self.x_low) / (self.x_high - self.x_low) > _LATE
        place: Spec = {"align": "right", "dx": -14} if late else {"align": "left", "dx": 14}
        return [
            self.point(x, torque, "cross", filled=True),
            *self.text(x, torque, text, dy=-14, fontWeight="bold", **place),
        ]

    def chart(self, heading: Spec | None, layers: Sequence[Spec]) -> Spec:
        """Return the finished specification."""
        look = self.style.look
        font = {"labelFontSize": LETTERS, "titleFontSize": LETTERS}
        lines = {"domainColor": look.ink, "tickColor": look.ink, "gridColor": look.ink}
        letters = {"labelColor": look.ink, "titleColor": look.ink, "titleFontWeight": "normal"}
        title = {} if heading is None else {"title": heading}
        return {
            "$schema": SCHEMA,
            "width": self.style.width,
            "height": HEIGHT,
            "background": look.ground,
            "padding": 8,
            **title,
            "layer": list(layers),
            "config": {
                **chart_locale(self.style.language),
                "font": FONT,
                "axis": {
                    **font,
                    **lines,
                    **letters,
                    "gridOpacity": 0.12,
                    "tickCount": 7 if self.style.width >= WIDTH else 5,
                    "titlePadding": 10,
                },
                "text": {"color": look.ink},
                "line": {"color": look.ink},
                "view": {"stroke": look.ink, "strokeOpacity": 0.4},
            },
        }


def line(
    x: Floats,
    torque: Floats,
    axes: Axes,
    *,
    width: float,
    opacity: float = 1.0,
    dash: list[int] | None = None,
    most: int = MOST_POINTS,
) -> list[Spec]:
    """Return a line through samples, at most so many of them; torque in N·m."""
    if len(x) < 2:
        return []
    kept = thinned(torque, most)
    values = [
        {"x": rounded(a), "y": rounded(b * axes.style.size), "n": n}
        for n, (a, b) in enumerate(zip(x[kept].tolist(), torque[kept].tolist(), strict=True))
    ]
    encoding = axes.encoding() | {"order": {"field": "n", "type": "quantitative"}}
    mark: Spec = {"type": "line", "strokeWidth": width, "opacity": opacity, "clip": True}
    if dash:
        mark["strokeDash"] = dash
    return [{"data": {"values": values}, "mark": mark, "encoding": encoding}]


def band(axes: Axes, **place: float) -> Spec:
    """Return a grey band across the chart, in the units shown."""
    return {
        "data": {"values": [{}]},
        "mark": {"type": "rect", "fill": axes.style.look.ink, "opacity": 0.1},
        "encoding": {key: {"datum": value} for key, value in place.items()},
    }


def rule(axes: Axes, **place: float) -> Spec:
    """Return a broken line across the chart, in the unit shown."""
    return {
        "data": {"values": [{}]},
        "mark": {
            "type": "rule",
            "stroke": axes.style.look.ink,
            "strokeWidth": 1.8,
            "strokeDash": [9, 5],
        },
        "encoding": {key: {"datum": value} for key, value in place.items()},
    }


def thinned(values: Floats, most: int) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Return which samples to draw: of each short run the lowest and the highest one.

    Parameters
    ----------
    values : ndarray, shape (n,)
    most : int
        How many may be kept, at least 4.

    Returns
    -------
    ndarray of int, shape (m,)
        Rising, with the first and the last; no peak and no drop is lost.

    Examples
    --------
    >>> thinned(np.array([0.0, 1.0, 9.0, 1.0, 0.0, 1.0, 2.0, 3.0, 4.0, 5.0]), 6).tolist()
    [0, 2, 5, 9]
    """
    count = len(values)
    if count <= most:
        return np.arange(count)
    edges = np.linspace(0, count, (most - 2) // 2 + 1).astype(np.intp)
    kept = {0, count - 1}
    for start, stop in pairwise(edges.tolist()):
        part = values[start:stop]
        kept |= {start + int(part.argmin()), start + int(part.argmax())}
    return np.array(sorted(kept), dtype=np.intp)


def rounded(value: float) -> float:
    """Return a number short enough to be read, without a negative zero."""
    return round(float(value), 4) + 0.0
