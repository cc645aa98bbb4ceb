"""The curve of a find-the-fault exercise: bare first, with what was read from it after.

Drawn here, not by the chart engine: a class opens thirty of them at once, and each must come in
the colours of the page around it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from clampwright.locale import figure, say
from clampwright.practice.fault_question import FaultQuestion
from clampwright.report.axes import thinned
from clampwright.report.svg import PAGE, Look, lettering, number, picture, tag
from clampwright.trace.curve import curve_of
from clampwright.trace.model import Floats
from clampwright.trace.strokes import Turned, turned
from clampwright.trace.verdict import TraceVerdict
from clampwright.words import Words, words

WIDTH, HEIGHT = 480.0, 400.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 54.0, 12.0, 18.0, 58.0
_LETTERS = 17.0
_MOST_POINTS = 500
_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0)
_LATE = 0.55
"""From this share of the width on, words stand to the left of their mark."""


def fault_drawing(
    question: FaultQuestion,
    verdict: TraceVerdict | None = None,
    *,
    look: Look = PAGE,
    language: str | None = None,
) -> str:
    """Draw torque over the angle the fastener turned.

    Parameters
    ----------
    question : FaultQuestion
    verdict : TraceVerdict, optional
        What the program read from the curve; without it nothing is marked that would tell.
    look : Look
        `PAGE` takes the colours of the page around it.
    language : str, optional

    Returns
    -------
    str
        SVG.
    """
    given, trace = question.given, question.trace
    parts = turned(trace, given.tool_stiffness_Nm_per_deg, given.previous_torque_Nm or 0.0)
    curve = curve_of(trace, parts)
    top = max(float(trace.torque.max()), given.torque_high or 0.0)
    plot = _Plot(1.06 * max(float(parts.angle[-1]), 1.0), 1.08 * top, look, language)
    return picture(
        *plot.limits(given.torque_low, given.torque_high),
        *plot.axes(),
        plot.line(parts.angle, trace.torque, 1.6, 0.55),
        plot.line(curve.angle, curve.torque, 3.4, 1.0),
        *(plot.read(question, parts, verdict) if verdict is not None else ()),
        width=WIDTH,
        height=HEIGHT,
        label=say(words("Torque over the angle the fastener turned"), language),
        class_="fault",
    )


@dataclass(frozen=True, slots=True)
class _Plot:
    """Scales from 0, and what stands on them; degrees and N·m."""

    x_high: float
    y_high: float
    look: Look
    language: str | None

    def x(self, angle: float) -> float:
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * angle / self.x_high

    def y(self, torque: float) -> float:
        return HEIGHT - _BOTTOM - (HEIGHT - _TOP - _BOTTOM) * max(torque, 0.0) / self.y_high

    def axes(self) -> Iterator[str]:
        ink = self.look.ink
        way = f"M{_LEFT} {_TOP}V{HEIGHT - _BOTTOM}H{WIDTH - _RIGHT}"
        for tick in _ticks(self.x_high):
            x = self.x(tick)
            way += f"M{x:.1f} {HEIGHT - _BOTTOM}v7"
            yield lettering(
                figure(tick, "g"), x, HEIGHT - _BOTTOM + 20, 15, fill=ink, weight="normal"
            )
        for tick in _ticks(self.y_high):
            y = self.y(tick)
            way += f"M{_LEFT} {y:.1f}h-7"
            yield lettering(
                figure(tick, "g"), _LEFT - 11, y, 15, fill=ink, weight="normal", anchor="end"
            )
        yield tag("path", d=way, stroke=ink, stroke_width=2, fill="none")
        yield self.words(words("turned, degrees"), WIDTH - _RIGHT, HEIGHT - 14, "end", "normal")
        yield self.words(words("N·m"), 4, _TOP - 6, "start", "normal")

    def limits(self, low: float | None, high: float | None) -> Iterator[str]:
        if low is None or high is None:
            return
        top, bottom = self.y(high), self.y(low)
        yield tag("rect", x=_LEFT, y=top, width=WIDTH - _LEFT - _RIGHT, height=bottom - top,
                  fill=self.look.ink, fill_opacity=0.12)  # fmt: skip
        for y in (top, bottom):
            yield tag("path", d=f"M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}", stroke=self.look.ink,
                      stroke_width=2, stroke_dasharray="9 5")  # fmt: skip
        said = words("{low:g} – {high:g} N·m", low=low, high=high)
        yield self.words(said, _LEFT + 8, bottom + 14, "start", "normal")

    def line(self, angle: Floats, torque: Floats, width: float, opacity: float) -> str:
        if len(angle) < 2:
            return ""
        kept = thinned(torque, _MOST_POINTS)
        points = "L".join(
            f"{number(self.x(float(a)))} {number(self.y(float(t)))}"
            for a, t in zip(angle[kept], torque[kept], strict=True)
        )
        return tag("path", d=f"M{points}", fill="none", stroke=self.look.ink, stroke_width=width,
                   stroke_opacity=opacity, stroke_linejoin="round")  # fmt: skip

    def words(self, sentence: Words, x: float, y: float, anchor: str, weight: str = "bold") -> str:
        return lettering(say(sentence, self.language), x, y, _LETTERS, fill=self.look.ink,
                         anchor=anchor, weight=weight, halo=self.look.ground)  # fmt: skip

    def read(self, question: FaultQuestion, parts: Turned, verdict: TraceVerdict) -> Iterator[str]:
        """Mark snug, yield, slips and the end, each with its word."""
        angle, torque = parts.angle, question.trace.torque
        if verdict.snug_angle is not None:
            at = float(np.interp(verdict.snug_angle, angle, torque))
            yield self.mark(verdict.snug_angle, at, words("snug"), down=20.0)
        if verdict.yield_angle is not None:
            at = float(np.interp(verdict.yield_angle, angle, torque))
            yield self.mark(verdict.yield_angle, at, words("bends: yield begins"), down=24.0)
        slips = [one for one in verdict.strokes if one.end == "slipped"]
        for one in slips:
            at = float(np.interp(one.t1_s, question.trace.time, angle))
            yield self.mark(at, one.torque_end, words("socket slipped"), down=-16.0)
        if verdict.final_torque is not None and not slips:
            said = words("end {torque:.1f} N·m", torque=verdict.final_torque)
            end = max((one.t1_s for one in verdict.strokes), default=float(question.trace.time[-1]))
            at = float(np.interp(end, question.trace.time, angle))
            yield self.mark(at, verdict.final_torque, said, down=-16.0)

    def mark(self, angle: float, torque: float, sentence: Words, *, down: float) -> str:
        x, y = self.x(angle), self.y(torque)
        late = angle / self.x_high > _LATE
        ring = tag("circle", cx=x, cy=y, r=7, fill=self.look.ground, stroke=self.look.ink,
                   stroke_width=3)  # fmt: skip
        beside = x - 12 if late else x + 12
        said = self.words(sentence, beside, max(y + down, 12), "end" if late else "start")
        return tag("g", ring, said)


def _ticks(high: float) -> list[float]:
    step = next((one for one in _STEPS if high / one <= 6), _STEPS[-1])
    return [step * n for n in range(int(high / step) + 1)]
