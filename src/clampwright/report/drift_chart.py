"""What a joint ended at, job by job, drawn: means with their spread, and the line through them."""

from __future__ import annotations

from clampwright.locale import figure, say
from clampwright.report.svg import PAPER, Look, lettering, number, tag
from clampwright.words import words
from clampwright.work.history import UNITS, YEAR, Drift

WIDTH, HEIGHT = 460, 320
_LEFT, _RIGHT, _TOP, _BOTTOM = 92, 16, 16, 82
_ROOM = 0.12


def drift_chart(drift: Drift, *, look: Look = PAPER) -> str:
    """Draw the drift of a joint.

    Parameters
    ----------
    drift : Drift
    look : Look

    Returns
    -------
    str
        SVG. A ring is the mean of a job, the bar through it one standard deviation of the
        fasteners to each side, the line the trend where one could be fitted.
    """
    plane = _Plane(drift, look)
    said = say(
        words(
            "{count} jobs, from {first:.1f} to {last:.1f} {unit}",
            count=len(drift.means),
            first=drift.means[0],
            last=drift.means[-1],
            unit=UNITS[drift.quantity],
        )
    )
    return tag(
        "svg",
        tag("rect", width=WIDTH, height=HEIGHT, fill=look.ground),
        *plane.frame(),
        *plane.trend(),
        *plane.jobs(),
        *plane.days(),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH} {HEIGHT}",
        width=WIDTH,
        height=HEIGHT,
        role="img",
        aria_label=said,
    )


class _Plane:
    """Where days and figures stand on the drawing."""

    def __init__(self, drift: Drift, look: Look) -> None:
        self.drift, self.look = drift, look
        pairs = list(zip(drift.means, drift.spreads, strict=True))
        low = min(mean - spread for mean, spread in pairs)
        high = max(mean + spread for mean, spread in pairs)
        room = _ROOM * (high - low) or 0.02 * abs(high) or 1.0
        self.low, self.high = low - room, high + room
        self.days_between = max(1, (drift.dates[-1] - drift.dates[0]).days)

    def x(self, days: float) -> float:
        inner = WIDTH - _LEFT - _RIGHT - 40
        return _LEFT + 20 + inner * (days / self.days_between if len(self.drift.dates) > 1 else 0.5)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM)

    def frame(self) -> list[str]:
        unit = UNITS[self.drift.quantity]
        lines = []
        for share in (0.1, 0.5, 0.9):
            value = self.low + share * (self.high - self.low)
            height = self.y(value)
            lines += [
                tag(
                    "line",
                    x1=_LEFT,
                    x2=WIDTH - _RIGHT,
                    y1=height,
                    y2=height,
                    stroke=self.look.ink,
                    stroke_width=0.7,
                    stroke_dasharray="2 5",
                ),
                lettering(
                    f"{figure(value, '.1f')} {unit}",
                    _LEFT - 6,
                    height,
                    15,
                    fill=self.look.ink,
                    anchor="end",
                ),
            ]
        return lines

    def trend(self) -> list[str]:
        line = self.drift.line
        if line is None:
            return []
        ends = (0.0, float(self.days_between))
        steps = " ".join(
            f"{'M' if day == 0 else 'L'}{number(self.x(day))} {number(self.y(line.at(day / YEAR)))}"
            for day in ends
        )
        return [tag("path", d=steps, fill="none", stroke=self.look.ink, stroke_width=3)]

    def jobs(self) -> list[str]:
        drawn = []
        rows = zip(self.drift.dates, self.drift.means, self.drift.spreads, strict=True)
        for day, mean, spread in rows:
            x = self.x((day - self.drift.dates[0]).days)
            ends = {"y1": self.y(mean - spread), "y2": self.y(mean + spread)}
            drawn += [
                tag("line", x1=x, x2=x, **ends, stroke=self.look.ink, stroke_width=2),
                tag(
                    "circle",
                    cx=x,
                    cy=self.y(mean),
                    r=7,
                    fill=self.look.ground,
                    stroke=self.look.ink,
                    stroke_width=2.5,
                ),
            ]
        return drawn

    def days(self) -> list[str]:
        first, last = self.drift.dates[0], self.drift.dates[-1]
        found = [
            lettering(
                day.isoformat(),
                min(max(self.x((day - first).days), _LEFT + 46), WIDTH - _RIGHT - 46),
                HEIGHT - _BOTTOM + 20,
                14,
                fill=self.look.ink,
            )
            for day in dict.fromkeys((first, last))
        ]
        legend = (
            words("ring: mean of a job; bar: spread of its fasteners"),
            words("line: trend"),
        )
        lines = [
            lettering(say(text), WIDTH / 2, HEIGHT - 32 + 20 * row, 14, fill=self.look.ink)
            for row, text in enumerate(legend)
        ]
        return [*found, *lines]
