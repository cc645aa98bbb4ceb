"""Groups after pooling, one above the other: what each says itself, and where it is drawn to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from clampwright.report.axes import LETTERS, Spec, Style
from clampwright.report.clamp_axes import Scales, plain, stretch
from clampwright.words import Words, words

MOST = 8
"""Groups drawn at most: their names must stay legible on a phone."""
_ROOM = 0.06


@dataclass(frozen=True, slots=True)
class Bar:
    """One group.

    Parameters
    ----------
    name : str
    own, drawn : float
        Its own mean, and the pooled one.
    low, high : float
        Interval of the pooled one.
    """

    name: str
    own: float
    drawn: float
    low: float
    high: float


def pooled_chart(
    bars: Sequence[Bar], common: float, axis: Words, *, style: Style | None = None
) -> Spec:
    """Draw groups after pooling.

    Parameters
    ----------
    bars : sequence of Bar
        The first of them are drawn, from the top.
    common : float
        The common mean, a broken line.
    axis : Words
        What stands along the axis.
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification: a filled square is the pooled mean with its interval, a ring the
        group's own mean.
    """
    some = list(bars)[:MOST]
    ends = [common, *(end for one in some for end in (one.low, one.high, one.own))]
    room = _ROOM * (max(ends) - min(ends)) or 0.1 * abs(common) or 1.0
    scales = Scales(
        x=axis,
        x_low=min(ends) - room,
        x_high=max(ends) + room,
        y_high=len(some) + 0.3,
        style=plain(style or Style()),
        figures=False,
    )
    up = [(common, 0.0), (common, scales.y_high)]
    layers: list[Spec] = [stretch(up, scales, width=1.5, dash=[7, 5])]
    for place, one in enumerate(some):
        layers += _bar(one, len(some) - 1 - place + 0.3, scales)
    return scales.chart(None, layers)


def _bar(one: Bar, y: float, scales: Scales) -> list[Spec]:
    name: dict[str, Any] = {"align": "left", "dx": 6, "dy": -17, "fontSize": LETTERS - 3}
    return [
        stretch([(one.low, y), (one.high, y)], scales, width=3),
        scales.point(one.own, y, "circle", filled=False, size=110),
        scales.point(one.drawn, y, "square", filled=True, size=90),
        *scales.text(scales.x_low, y, one.name, **name),
    ]


POOLED_SAYS = words("filled: pooled, with its 95 % interval; ring: its own alone; broken: all")
"""What the marks mean; said beside the chart."""
