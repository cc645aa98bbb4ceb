"""The checks of a tool over time, drawn: single checks, their moving average, its limits."""

from __future__ import annotations

from clampwright.drawer.check_series import Band, CheckSeries
from clampwright.locale import figure, say
from clampwright.report.svg import PAPER, Look, lettering, number, tag
from clampwright.words import words

WIDTH, HEIGHT = 460, 340
_LEFT, _RIGHT, _TOP, _BOTTOM = 64, 12, 16, 84


def check_chart(series: CheckSeries, limit: float, *, look: Look = PAPER) -> str:
    """Draw a series of checks.

    Parameters
    ----------
    series : CheckSeries
    limit : float
        Permissible deviation, percent.
    look : Look

    Returns
    -------
    str
        SVG. A ring is a check, a line the moving average, dashes its limits, a filled square a
        check at which the average or the sum leaves its limits.
    """
    plane = _Plane(series, limit, look)
    parts = [
        tag("rect", width=WIDTH, height=HEIGHT, fill=look.ground),
        *plane.frame(),
        *plane.limits(),
        *plane.average(),
        *(plane.mark(place, band) for place, band in enumerate(series.bands)),
        *plane.days(),
    ]
    said = say(
        words(
            "{count} checks; {signals} of them leave the limits",
            count=len(series.bands),
            signals=len(series.signals),
        )
    )
    return tag(
        "svg",
        *parts,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {WIDTH} {HEIGHT}",
        width=WIDTH,
        height=HEIGHT,
        role="img",
        aria_label=said,
    )


class _Plane:
    """Where values stand on the drawing."""

    def __init__(self, series: CheckSeries, limit: float, look: Look) -> None:
        self.series, self.limit, self.look = series, limit, look
        bands = series.bands
        values = [value for b in bands for value in (b.check.deviation, b.low, b.high)]
        reach = 1.15 * max(limit, *(abs(value) for value in values))
        self.low, self.high = -reach, reach

    def x(self, place: int) -> float:
        return _LEFT + (place + 0.5) * (WIDTH - _LEFT - _RIGHT) / len(self.series.bands)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return HEIGHT - _BOTTOM - share * (HEIGHT - _TOP - _BOTTOM)

    def across(self, value: float, text: str, **line: str | float) -> list[str]:
        height = self.y(value)
        drawn = tag(
            "line",
            x1=_LEFT,
            x2=WIDTH - _RIGHT,
            y1=height,
            y2=height,
            stroke=self.look.ink,
            **line,
        )
        label = lettering(text, _LEFT - 8, height, 15, fill=self.look.ink, anchor="end")
        return [drawn, label]

    def frame(self) -> list[str]:
        return [
            *self.across(0.0, "0 %", stroke_width=1),
            *self.across(self.limit, f"+{figure(self.limit, 'g')} %", stroke_width=3),
            *self.across(-self.limit, f"−{figure(self.limit, 'g')} %", stroke_width=3),
        ]

    def limits(self) -> list[str]:
        bands = self.series.bands
        return [
            self._path(values, stroke_dasharray="7 6")
            for values in ([band.low for band in bands], [band.high for band in bands])
        ]

    def average(self) -> list[str]:
        return [self._path([band.average for band in self.series.bands], stroke_width=3)]

    def _path(self, values: list[float], **line: str | float) -> str:
        steps = " ".join(
            f"{'M' if place == 0 else 'L'}{number(self.x(place))} {number(self.y(value))}"
            for place, value in enumerate(values)
        )
        given = {"stroke_width": 2.0, **line}
        return tag("path", d=steps, fill="none", stroke=self.look.ink, **given)

    def mark(self, place: int, band: Band) -> str:
        x, y = self.x(place), self.y(band.check.deviation)
        if band.signals:
            return tag("rect", x=x - 8, y=y - 8, width=16, height=16, fill=self.look.ink)
        return tag(
            "circle",
            cx=x,
            cy=y,
            r=7,
            fill=self.look.ground,
            stroke=self.look.ink,
            stroke_width=2.5,
        )

    def days(self) -> list[str]:
        bands = self.series.bands
        every = max(1, -(-len(bands) // 3))
        found = [
            lettering(
                band.check.date.isoformat(),
                min(max(self.x(place), _LEFT + 46), WIDTH - _RIGHT - 46),
                HEIGHT - _BOTTOM + 22,
                14,
                fill=self.look.ink,
            )
            for place, band in enumerate(bands)
            if place % every == 0
        ]
        legend = (
            words("ring: a check; filled square: a signal"),
            words("line: moving average; dashes: its limits"),
        )
        lines = [
            lettering(say(text), WIDTH / 2, HEIGHT - 36 + 22 * n, 14, fill=self.look.ink)
            for n, text in enumerate(legend)
        ]
        return [*found, *lines]
