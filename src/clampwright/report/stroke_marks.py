"""Strokes of a pull along the top of its chart, and the wind-up that was taken out of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.report.axes import LETTERS, Axes, Spec, line, rounded
from clampwright.trace.model import Floats
from clampwright.words import words

ROOM = 1.24
"""Height of a chart with strokes over its highest torque: the bars stand above the curve."""
_PLACE = 0.965
_NAMED, _NUMBERED = 62.0, 16.0  # least width of a bar for its words, pixels
_LONG, _SHORT = 310.0, 140.0  # width of the words of the wind-up, pixels
_SEEN = 0.6
"""Least wind-up that is drawn, degrees."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One stroke along an axis.

    Parameters
    ----------
    start, end : float
        In the unit of the axis across.
    turned : float
        What the fastener turned in it, degrees.
    slipped : bool
        Whether the socket slipped off.
    """

    start: float
    end: float
    turned: float
    slipped: bool = False


def stroke_layers(bars: Sequence[Bar], axes: Axes) -> list[Spec]:
    """Return the strokes as bars with their number and what they turned.

    Parameters
    ----------
    bars : sequence of Bar
    axes : Axes

    Returns
    -------
    list of dict
        Empty for a single stroke: there is nothing to tell apart.
    """
    if len(bars) < 2:
        return []
    layers: list[Spec] = []
    height = _PLACE * axes.y_high / axes.style.size
    for number, bar in enumerate(bars, 1):
        layers.append(_bar(bar, axes))
        wide = (bar.end - bar.start) / (axes.x_high - axes.x_low) * axes.style.width
        text = ""
        if wide >= _NAMED:
            text = axes.style.say(words("{number}: {angle:.0f}°", number=number, angle=bar.turned))
        elif wide >= _NUMBERED:
            text = str(number)
        if text:
            middle = 0.5 * (bar.start + bar.end)
            layers += axes.text(middle, height, text, align="center", dy=15, fontSize=LETTERS - 3)
    return layers


def _bar(bar: Bar, axes: Axes) -> Spec:
    gap = 0.003 * (axes.x_high - axes.x_low)
    inset = min(gap, 0.25 * (bar.end - bar.start))
    y = rounded(_PLACE * axes.y_high)
    ends = (rounded(bar.start + inset), rounded(bar.end - inset))
    mark: Spec = {
        "type": "line",
        "strokeWidth": 5,
        "stroke": axes.style.look.ink,
        "strokeCap": "butt",
    }
    if bar.slipped:
        mark["strokeDash"] = [5, 3]
    return {
        "data": {"values": [{"x": x, "y": y} for x in ends]},
        "mark": mark,
        "encoding": axes.encoding(),
    }


def wind_up_layers(
    angle: Floats, torque: Floats, stiffness: float | None, axes: Axes
) -> list[Spec]:
    """Return where the handle stood, broken, beside the fastener's own curve.

    Parameters
    ----------
    angle, torque : ndarray, shape (n,)
        The running fastener, degrees and N·m.
    stiffness : float or None
        Of the tool, N·m/deg; None where none was taken out.
    axes : Axes

    Returns
    -------
    list of dict
        Empty where hardly anything was taken out.
    """
    if not stiffness or len(torque) < 2:
        return []
    most = float(torque.max()) / stiffness
    if most < _SEEN:
        return []
    layers = line(angle + torque / stiffness, torque, axes, width=1.6, dash=[4, 4])
    high = int((torque >= 0.55 * float(torque.max())).argmax())
    left, right = float(angle[high]), float(angle[high] + torque[high] / stiffness)
    scale = axes.style.width / (axes.x_high - axes.x_low)
    rooms = ((left - axes.x_low) * scale, (axes.x_high - right) * scale)
    long = words("handle: {angle:.1f}° of wind-up taken out", angle=most)
    text = axes.style.say(
        long if max(rooms) >= _LONG else words("{angle:.1f}° wind-up", angle=most)
    )
    wide = _LONG if max(rooms) >= _LONG else _SHORT
    if rooms[0] >= wide:
        return [*layers, *axes.text(left, float(torque[high]), text, align="right", dx=-12)]
    return [*layers, *axes.text(right, float(torque[high]), text, align="left", dx=10)]
