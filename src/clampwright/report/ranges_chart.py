"""The ranges of the wrenches in a drawer against what the work needs, on one log scale.

A need is a line through all ranges: it ends in a filled dot where it is covered, in an open
diamond where it is covered badly or not at all. The best part of each range is drawn thick.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clampwright.drawer.coverage import Coverage
from clampwright.drawer.tools import Drawer, Scale, Tool
from clampwright.drawer.torque_notes import BEST_FROM, BEST_TO
from clampwright.errors import Missing
from clampwright.locale import figure, say
from clampwright.report.svg import PAGE, Look, lettering, picture, polygon, tag, wrapped
from clampwright.units import factor
from clampwright.words import Words, words

WIDTH = 720.0
_LEFT, _RIGHT = 36.0, 36.0
_TOP = 124.0
_ROW = 78.0
_TYPE = 25.0
_STEPS = (1.0, 2.0, 5.0)
_NEAR = 20.0
"""Needs closer than this share one sign."""


@dataclass(frozen=True, slots=True)
class _Plane:
    low: float
    high: float
    unit: str
    look: Look
    language: str | None

    def x(self, torque: float) -> float:
        share = math.log(torque / self.low) / math.log(self.high / self.low)
        return _LEFT + share * (WIDTH - _LEFT - _RIGHT)

    def say(self, sentence: Words) -> str:
        return say(sentence, self.language)


def ranges_chart(
    drawer: Drawer,
    found: Coverage,
    *,
    unit: str = "N·m",
    look: Look = PAGE,
    language: str | None = None,
) -> str:
    """Draw the ranges of a drawer against the needs.

    Parameters
    ----------
    drawer : Drawer
    found : Coverage
        Of this drawer.
    unit : str
        Canonical name of the unit of the axis.
    look : Look
    language : str, optional
        Language tag of the words.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    Missing
        When there is neither a wrench nor a torque needed.
    """
    wrenches = [tool for tool in drawer.tools if tool.is_wrench]
    torques = [one.need.torque for one in found.needs if one.need.torque is not None]
    ends = [end for tool in wrenches for end in _ends(tool)] + torques
    if not ends:
        raise Missing(words("there is no torque wrench and no torque to draw"), needed="tool")
    plane = _Plane(min(ends) / 1.25, max(ends) * 1.25, unit, look, language)
    height = _TOP + _ROW * len(wrenches) + 12
    y_axis = height
    body = [
        *_needs(plane, found, height),
        *(part for row, tool in enumerate(wrenches) for part in _range(plane, tool, row)),
        *_axis(plane, y_axis),
        *_legend(plane, y_axis + 96),
    ]
    return picture(
        *body,
        width=WIDTH,
        height=y_axis + 96 + 3 * 40,
        label=plane.say(_summary(found, len(wrenches))),
        class_="ranges-chart",
    )


def _summary(found: Coverage, wrenches: int) -> Words:
    return words(
        "Ranges of {wrenches} wrenches against {needs} needs, of which {bad} are covered badly or "
        "not at all",
        wrenches=wrenches,
        needs=len(found.needs),
        bad=len(found.badly),
    )


def _ends(tool: Tool) -> tuple[float, float]:
    lows = (scale.claimed_from * scale.size for scale in tool.scales)
    return min(lows), tool.largest_torque


def _range(plane: _Plane, tool: Tool, row: int) -> Iterator[str]:
    ink = plane.look.ink
    y = _TOP + row * _ROW
    low, high = _ends(tool)
    lines = wrapped(tool.title, _TYPE, WIDTH - _LEFT - _RIGHT)
    x = min(plane.x(low), WIDTH - _RIGHT - 0.6 * _TYPE * len(lines[0]))
    yield lettering(
        lines[0] + (" …" if len(lines) > 1 else ""),
        max(x, _LEFT),
        y + 18,
        _TYPE,
        fill=ink,
        anchor="start",
        halo=plane.look.ground,
    )
    middle = y + 50
    yield _line(ink, (plane.x(low), middle), (plane.x(high), middle), 5)
    for end in (low, high):
        yield _line(ink, (plane.x(end), middle - 13), (plane.x(end), middle + 13), 5)
    if tool.stands_at_one:
        yield tag("circle", cx=plane.x(high), cy=middle, r=11, fill=ink)
        return
    best = [_best(scale) for scale in tool.scales]
    start, end = min(one[0] for one in best), max(one[1] for one in best)
    yield _line(ink, (plane.x(max(start, low)), middle), (plane.x(end), middle), 18)


def _best(scale: Scale) -> tuple[float, float]:
    return BEST_FROM * scale.high * scale.size, BEST_TO * scale.high * scale.size


def _needs(plane: _Plane, found: Coverage, bottom: float) -> Iterator[str]:
    ink, ground = plane.look.ink, plane.look.ground
    for torque, count, bad in _grouped(plane, found):
        x = plane.x(torque)
        yield tag(
            "line",
            x1=x,
            y1=78,
            x2=x,
            y2=bottom,
            stroke=ink,
            stroke_width=2,
            stroke_dasharray="3 7",
        )
        if bad:
            sign = [(x, 46), (x + 17, 63), (x, 80), (x - 17, 63)]
            yield tag("path", d=polygon(sign), fill=ground, stroke=ink, stroke_width=5)
        else:
            yield tag("circle", cx=x, cy=63, r=12, fill=ink)
        if count > 1:
            yield lettering(f"{count}", x, 24, _TYPE, fill=ink)


def _grouped(plane: _Plane, found: Coverage) -> list[tuple[float, int, bool]]:
    """Return torque, number and whether any is bad, of needs that stand together."""
    rows: list[tuple[float, int, bool]] = []
    known = [(one.need.torque, one.gap != "none") for one in found.needs if one.need.torque]
    for torque, bad in sorted(known):
        if rows and plane.x(torque) - plane.x(rows[-1][0]) < _NEAR and rows[-1][2] == bad:
            rows[-1] = (rows[-1][0], rows[-1][1] + 1, bad)
        else:
            rows.append((torque, 1, bad))
    return rows


def _axis(plane: _Plane, y: float) -> Iterator[str]:
    ink, size = plane.look.ink, factor("N·m", plane.unit)
    yield _line(ink, (_LEFT, y), (WIDTH - _RIGHT, y), 4)
    last = -1e9
    for value in _ticks(plane.low * size, plane.high * size):
        x = plane.x(value / size)
        yield _line(ink, (x, y), (x, y + 14), 4)
        text = figure(value, "g")
        if x - last >= 0.68 * _TYPE * len(text) + 14 and _LEFT <= x <= WIDTH - _RIGHT:
            yield lettering(text, x, y + 34, _TYPE, fill=ink)
            last = x
    yield lettering(plane.unit, WIDTH - _RIGHT, y + 68, _TYPE, fill=ink, anchor="end")


def _ticks(low: float, high: float) -> Sequence[float]:
    first, last = math.floor(math.log10(low)), math.ceil(math.log10(high))
    values = (step * 10.0**power for power in range(first, last + 1) for step in _STEPS)
    return [value for value in values if low <= value <= high]


def _legend(plane: _Plane, y: float) -> Iterator[str]:
    ink, ground = plane.look.ink, plane.look.ground
    x, size = _LEFT + 14, 24.0

    def text(row: int, sentence: Words) -> str:
        return lettering(
            plane.say(sentence),
            x + 40,
            y + row * 40,
            size,
            fill=ink,
            anchor="start",
            weight="normal",
        )

    yield tag("circle", cx=x, cy=y, r=12, fill=ink)
    yield text(0, words("needed, and covered; a figure above: how many"))
    sign = [(x, y + 23), (x + 17, y + 40), (x, y + 57), (x - 17, y + 40)]
    yield tag("path", d=polygon(sign), fill=ground, stroke=ink, stroke_width=5)
    yield text(1, words("needed, and covered badly or not at all"))
    yield _line(ink, (x - 14, y + 80), (x + 22, y + 80), 18)
    yield text(2, words("best part of a range, 30 to 80 % of its highest mark"))


def _line(ink: str, start: tuple[float, float], end: tuple[float, float], width: float) -> str:
    (x0, y0), (x1, y1) = start, end
    return tag("line", x1=x0, y1=y0, x2=x1, y2=y1, stroke=ink, stroke_width=width)
