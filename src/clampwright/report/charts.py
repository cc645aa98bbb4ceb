"""Charts of a recorded pull, as Vega-Lite specifications: plain data for page and paper alike.

Everything is told by place, line and word; grey only sets the background apart.
"""

from __future__ import annotations

import json
from collections.abc import Sequence

import numpy as np

from clampwright.report import child
from clampwright.report.axes import LETTERS, WIDTH, Axes, Spec, Style, band, line, rounded, rule
from clampwright.report.marked import Marked
from clampwright.report.phrases import verdict_words
from clampwright.report.stroke_marks import ROOM, Bar, stroke_layers, wind_up_layers
from clampwright.report.svg import wrapped
from clampwright.trace.curve import curve_of
from clampwright.trace.model import Trace
from clampwright.trace.strokes import Turned, turned
from clampwright.words import words

_AT_THE_END = 2.0
"""What happened this close to the end, degrees, is told with the end."""
_HARDLY = 0.05
"""Degrees that are no turning yet."""


def torque_angle_chart(
    trace: Trace,
    marked: Marked,
    *,
    stiffness: float | None = None,
    held: float = 0.0,
    style: Style | None = None,
) -> Spec:
    """Draw torque over the fastener's own angle.

    Parameters
    ----------
    trace : Trace
    marked : Marked
        Limits, snug, end and reasons.
    stiffness : float, optional
        Of the tool, N·m/deg, as the judgement was given it.
    held : float
        Torque the fastener held before, N·m.
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    style = style or Style()
    parts = turned(trace, stiffness, held)
    curve = curve_of(trace, parts)
    running = curve.angle <= _end_of(trace, parts, marked) + _AT_THE_END
    end = float(parts.angle[-1])
    top = max(float(trace.torque.max()), marked.high or 0.0 if marked.quantity == "torque" else 0.0)
    reach = max(end, 1.0)
    if marked.quantity == "angle" and marked.high is not None and marked.snug_angle is not None:
        reach = max(reach, marked.snug_angle + marked.high)
    bars = _bars_by_angle(trace, parts)
    axes = Axes(
        x=words("angle the fastener turned, degrees"),
        x_high=(1.0 + 0.34 * WIDTH / style.width) * reach,  # room for the words at the end
        y_high=_room(bars) * top * style.size,
        style=style,
    )
    tool = parts.stiffness.value if trace.angle_mode != "output" else None
    return axes.chart(
        _heading(marked, style),
        [
            *limit_layers(marked, axes),
            *line(parts.angle, trace.torque, axes, width=1.2, opacity=0.45),
            *wind_up_layers(curve.angle[running], curve.torque[running], tool, axes),
            *line(curve.angle[running], curve.torque[running], axes, width=3.2),
            *stroke_layers(bars, axes),
            *_mark_layers(trace, parts, marked, axes),
        ],
    )


def torque_time_chart(trace: Trace, marked: Marked, *, style: Style | None = None) -> Spec:
    """Draw torque over time: strokes, pauses, jerks.

    Parameters
    ----------
    trace : Trace
    marked : Marked
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification.
    """
    style = style or Style()
    limits = marked.high or 0.0 if marked.quantity == "torque" else 0.0
    axes = Axes(
        x=words("time, s"),
        x_high=float(trace.time[-1]),
        y_high=_room(marked.strokes) * max(float(trace.torque.max()), limits) * style.size,
        style=style,
        x_low=float(trace.time[0]),
    )
    slips = [
        axes.event(time, float(np.interp(time, trace.time, trace.torque)), words("socket slipped"))
        for time in marked.slips
    ]
    return axes.chart(
        _heading(marked, style),
        [
            *(limit_layers(marked, axes) if marked.quantity == "torque" else ()),
            *line(trace.time, trace.torque, axes, width=2.2),
            *stroke_layers(marked.strokes, axes),
            *_end_in_time(marked, axes),
            *(layer for layers in slips for layer in layers),
        ],
    )


def _end_in_time(marked: Marked, axes: Axes) -> list[Spec]:
    """Mark when the turning ended, and at what torque; a slip there is told by itself."""
    if marked.end_time is None or marked.final_torque is None or marked.slips:
        return []
    text = axes.style.say(words("end {torque}", torque=axes.style.torque(marked.final_torque)))
    late = marked.end_time - axes.x_low > 0.5 * (axes.x_high - axes.x_low)
    place: Spec = {"align": "right", "dx": 4} if late else {"align": "left", "dx": -4}
    return [
        axes.point(marked.end_time, marked.final_torque, "square", filled=True),
        *axes.text(marked.end_time, marked.final_torque, text, dy=-20, fontWeight="bold", **place),
    ]


def _room(bars: Sequence[Bar]) -> float:
    return ROOM if len(bars) > 1 else 1.12


def _bars_by_angle(trace: Trace, parts: Turned) -> list[Bar]:
    """Return the strokes along the angle of the fastener; one that turned nothing has no place."""
    bars = []
    for stroke in parts.strokes:
        start, end = np.interp((stroke.t0_s, stroke.t1_s), trace.time, parts.angle)
        if end - start > _HARDLY:
            slipped = stroke.end == "slipped"
            bars.append(Bar(float(start), float(end), stroke.turned_deg, slipped))
    return bars


def _heading(marked: Marked, style: Style) -> Spec:
    reasons = [style.say(reason) for reason in marked.reasons[:3]]
    lines = [line for reason in reasons for line in wrapped(reason, LETTERS - 1, style.width)]
    return {
        "text": style.say(verdict_words(marked.verdict)).upper(),
        "subtitle": lines,
        "anchor": "start",
        "color": style.look.ink,
        "subtitleColor": style.look.ink,
        "fontSize": LETTERS + 5,
        "subtitleFontSize": LETTERS - 1,
        "subtitlePadding": 5,
        "offset": 12,
    }


def limit_layers(marked: Marked, axes: Axes, *, snug: float | None = None) -> list[Spec]:
    """Return the limits of a pull as a grey band with broken edges and words.

    Parameters
    ----------
    marked : Marked
    axes : Axes
    snug : float, optional
        Where snug stands on the scale of angles; as marked if not given.

    Returns
    -------
    list of dict
    """
    if marked.quantity == "torque":
        return _torque_limits(marked, axes)
    snug = marked.snug_angle if snug is None else snug
    if marked.quantity == "angle" and snug is not None:
        return _angle_limits(marked, snug, axes)
    return []


def _torque_limits(marked: Marked, axes: Axes) -> list[Spec]:
    size, layers = axes.style.size, []
    if marked.low is not None and marked.high is not None:
        layers.append(band(axes, y=rounded(marked.low * size), y2=rounded(marked.high * size)))
    for value, words_of, dy in (
        (marked.low, words("least {torque}", torque=_torque(marked.low, axes)), 12),
        (marked.high, words("most {torque}", torque=_torque(marked.high, axes)), -12),
    ):
        if value is not None:
            layers.append(rule(axes, y=rounded(value * size)))
            text = axes.style.say(words_of)
            layers += axes.text(axes.x_low, value, text, align="left", dx=8, dy=dy)
    return layers


def _angle_limits(marked: Marked, snug: float, axes: Axes) -> list[Spec]:
    layers = []
    low, high = marked.low, marked.high
    if low is not None and high is not None:
        layers.append(band(axes, x=rounded(snug + low), x2=rounded(snug + high)))
    foot = axes.y_high / axes.style.size * 0.06
    if low is not None:
        layers.append(rule(axes, x=rounded(snug + low)))
        text = axes.style.say(words("least {angle:g}°", angle=low))
        layers += axes.text(snug + low, foot, text, align="right", dx=-8)
    if high is not None:
        layers.append(rule(axes, x=rounded(snug + high)))
        text = axes.style.say(words("most {angle:g}°", angle=high))
        layers += axes.text(snug + high, foot, text, align="left", dx=8)
    return layers


def _torque(value: float | None, axes: Axes) -> str:
    return "" if value is None else axes.style.torque(value)


def _mark_layers(trace: Trace, parts: Turned, marked: Marked, axes: Axes) -> list[Spec]:
    layers: list[Spec] = []
    end = _end_of(trace, parts, marked)
    if marked.snug_angle is not None:
        torque = _torque_at(trace, parts, marked.snug_angle)
        text = axes.style.say(words("snug {torque}", torque=axes.style.torque(torque)))
        layers.append(axes.point(marked.snug_angle, torque, "circle", filled=False))
        crowded = marked.final_torque is not None and axes.close(
            (marked.snug_angle, torque), (end, marked.final_torque)
        )
        down = 58 if crowded else 12  # below the words at the end
        layers += axes.text(marked.snug_angle, torque, text, align="left", dx=14, dy=down)
    if marked.yield_angle is not None:
        torque = _torque_at(trace, parts, marked.yield_angle)
        text = axes.style.say(words("bends: yield begins"))
        layers.append(axes.point(marked.yield_angle, torque, "triangle-down", filled=False))
        crowded = marked.final_torque is not None and axes.close(
            (marked.yield_angle, torque), (end, marked.final_torque)
        )
        down = 64 if crowded else 16
        layers += axes.text(marked.yield_angle, torque, text, align="left", dx=12, dy=down)
    slips = [float(np.interp(time, trace.time, parts.angle)) for time in marked.slips]
    for time, angle in zip(marked.slips, slips, strict=True):
        if angle < end - _AT_THE_END:
            torque = float(np.interp(time, trace.time, trace.torque))
            layers += axes.event(angle, torque, words("socket slipped"))
    if marked.final_torque is not None:
        slipped = any(angle >= end - _AT_THE_END for angle in slips)
        layers += _end_layers(marked, marked.final_torque, end, axes, slipped=slipped)
    return layers


def _end_of(trace: Trace, parts: Turned, marked: Marked) -> float:
    """Angle at which the turning ended: what the handle did after a slip is no turning."""
    if marked.end_time is None:
        return float(parts.angle[-1])
    return float(np.interp(marked.end_time, trace.time, parts.angle))


def _end_layers(
    marked: Marked, torque: float, end: float, axes: Axes, *, slipped: bool
) -> list[Spec]:
    shown = axes.style.torque(torque)
    lines = [axes.style.say(words("end {torque}", torque=shown))]
    if marked.turned_after_snug is not None:
        lines.append(
            axes.style.say(words("{angle:.0f}° after snug", angle=marked.turned_after_snug))
        )
    if slipped:
        lines.append(axes.style.say(words("socket slipped")))
    layers = [axes.point(end, torque, "cross" if slipped else "square", filled=True)]
    for n, text in enumerate(lines):
        layers += axes.text(end, torque, text, align="left", dx=14, dy=20 * n, fontWeight="bold")
    return layers


def _torque_at(trace: Trace, parts: Turned, angle: float) -> float:
    """Torque where the fastener, running, passed an angle, N·m.

    Before it is seen running (the first degrees after a stop) the recording itself is taken.
    """
    curve = curve_of(trace, parts)
    if len(curve) and angle >= curve.angle[0]:
        return float(np.interp(angle, curve.angle, curve.torque))
    last = int(np.searchsorted(parts.angle, angle + _HARDLY, side="right")) - 1
    return float(trace.torque[max(last, 0)])


def chart_svg(spec: Spec) -> str:
    """Draw a chart, in a process of its own.

    Parameters
    ----------
    spec : dict
        Vega-Lite specification.

    Returns
    -------
    str
        SVG.

    Raises
    ------
    Refused
        When it cannot be drawn within the limits.
    """
    return charts_svg([spec])[0]


def charts_svg(specs: Sequence[Spec]) -> list[str]:
    """Draw several charts at once; see `chart_svg`."""
    if not specs:
        return []
    drawn: list[str] = json.loads(child.run("charts", list(specs)))
    return drawn
