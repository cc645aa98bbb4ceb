"""Scales with a pointer, a sleeve and a display, at a setting."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from clampwright.drawer import Scale, Setting
from clampwright.locale import figure
from clampwright.report.svg import Look, arc, lettering, polar, polygon, tag

WIDTH = 720.0
Point = tuple[float, float]
_CROWDED = 7.0
"""Marks nearer to one another than this are left to the close view."""
_LABEL_ROOM = 1.1
_TIP = 22.0
"""Half the width of a pointer's head."""


@dataclass(frozen=True, slots=True)
class Drawing:
    """SVG elements that hang from a height, and the height they take."""

    svg: str
    height: float


@dataclass(frozen=True, slots=True)
class _Round:
    """A scale bent round a centre."""

    x: float
    y: float
    radius: float
    start: float
    span: float
    scale: Scale
    look: Look

    def direction(self, value: float) -> float:
        """Where a value stands; the scale begins at 0 even where its first mark is higher."""
        return self.start + self.span * value / self.scale.high

    def between(self, step: float) -> float:
        """Distance between marks of a step."""
        return math.radians(abs(self.span)) * self.radius * step / self.scale.high

    def tick(self, value: float, length: float, width: float) -> str:
        x0, y0 = polar(self.radius, self.direction(value), self.x, self.y)
        x1, y1 = polar(self.radius + length, self.direction(value), self.x, self.y)
        return _stroke(self.look, (x0, y0), (x1, y1), width)


def pointer_arc(scale: Scale, value: float, look: Look, *, clockwise: bool) -> Drawing:
    """Draw the scale plate of a beam wrench with its pointer.

    Parameters
    ----------
    scale : Scale
    value : float
        Where the pointer stands, in the scale's unit.
    look : Look
    clockwise : bool
        The way it is pulled; marks rise that way.

    Returns
    -------
    Drawing
    """
    way = 1 if clockwise else -1
    plate = _Round(WIDTH / 2, 620, 500, -34 * way, 68 * way, scale, look)
    return Drawing(_marks(plate) + _needle(plate, value, 330, hub=False), 330)


def dial(scale: Scale, value: float, look: Look, *, clockwise: bool) -> Drawing:
    """Draw the dial of a wrench with its pointer; parameters as in `pointer_arc`."""
    way = 1 if clockwise else -1
    face = _Round(WIDTH / 2, 310, 194, 0, 320 * way, scale, look)
    rim = tag("circle", cx=face.x, cy=face.y, r=300, fill="none", stroke=look.ink, stroke_width=6)
    return Drawing(rim + _marks(face) + _needle(face, value, 0, hub=True), 630)


def _marks(plate: _Round) -> str:
    scale, look = plate.scale, plate.look
    ends = plate.direction(0), plate.direction(scale.high)
    line = tag(
        "path",
        d=arc(plate.radius, *ends, plate.x, plate.y),
        fill="none",
        stroke=look.ink,
        stroke_width=3,
    )
    parts = [line, plate.tick(0, 34, 5)]
    if scale.fine_step and plate.between(scale.fine_step) >= _CROWDED:
        parts += [plate.tick(value, 17, 2.5) for value in _values(scale, scale.fine_step)]
    mains = list(_values(scale, scale.main_step))
    parts += [plate.tick(value, 34, 5) for value in mains]
    size = 32.0
    every = _every(
        plate.between(scale.main_step), size * _LABEL_ROOM * len(figure(scale.high, "g"))
    )
    labels = [0.0, *mains[::-every][::-1]]
    for value in labels:
        direction = plate.direction(value)
        aside = 12 * abs(math.sin(math.radians(direction)))  # figures are wider than high
        x, y = polar(plate.radius + 58 + aside, direction, plate.x, plate.y)
        parts.append(lettering(figure(value, "g"), x, y, size, fill=look.ink))
    return tag("g", *parts, class_="scale")


def _every(apart: float, needed: float) -> int:
    """Return which marks can be labelled: every one, second, fifth, tenth ..."""
    return next(n for n in (1, 2, 5, 10, 20, 50, 100, 1000) if n * apart >= needed or n == 1000)


def _values(scale: Scale, step: float) -> Iterator[float]:
    """Return the marks of a step, in the scale's unit."""
    for index in range(round((scale.high - scale.low) / step) + 1):
        yield round(scale.low + index * step, 9)


def _needle(plate: _Round, value: float, base: float, *, hub: bool) -> str:
    look, direction = plate.look, plate.direction(value)
    x0, y0 = polar(base, direction, plate.x, plate.y)
    x1, y1 = polar(plate.radius - 50, direction, plate.x, plate.y)
    aside = math.degrees(_TIP / plate.radius)
    tip = [
        polar(plate.radius - 4, direction, plate.x, plate.y),
        polar(plate.radius - 64, direction + aside, plate.x, plate.y),
        polar(plate.radius - 64, direction - aside, plate.x, plate.y),
    ]
    centre = tag("circle", cx=plate.x, cy=plate.y, r=20, fill=look.ink) if hub else ""
    return tag(
        "g",
        _stroke(look, (x0, y0), (x1, y1), 12),
        tag("path", d=polygon(tip), fill=look.ink),
        centre,
        class_="pointer",
    )


def strip(scale: Scale, setting: Setting, look: Look, *, clockwise: bool) -> Drawing:
    """Draw the marks next to the setting, larger, with the pointer among them.

    Parameters
    ----------
    scale : Scale
    setting : Setting
    look : Look
    clockwise : bool
        Marks rise to the right, else to the left.

    Returns
    -------
    Drawing
    """
    on_main = setting.minor_marks == 0
    low = max(setting.main_mark - scale.main_step * on_main, scale.low)
    high = min(setting.main_mark + scale.main_step, scale.high)
    left, right, y = 80.0, WIDTH - 80, 84.0

    def place(value: float) -> float:
        share = (value - low) / (high - low)
        return left + (right - left) * (share if clockwise else 1 - share)

    inside = [v for v in _values(scale, scale.step) if low <= v <= high]
    mains = {v for v in _values(scale, scale.main_step) if low <= v <= high}
    every = _every((right - left) / max(len(inside) - 1, 1), 34 * len(figure(high, "g")))
    parts = [_stroke(look, (left - 30, y), (right + 30, y), 3)]
    for index, value in enumerate(inside):
        main = value in mains
        parts.append(
            _stroke(
                look, (place(value), y), (place(value), y - (34 if main else 20)), 5 if main else 3
            )
        )
        if main or (every == 1 and index):
            size = 44.0 if main else 30.0
            parts.append(lettering(figure(value, "g"), place(value), y - 56, size, fill=look.ink))
    x = place(setting.value)
    parts += [
        tag("path", d=polygon([(x, y + 4), (x - 22, y + 56), (x + 22, y + 56)]), fill=look.ink),
        _stroke(look, (x, y + 50), (x, y + 84), 14),
    ]
    frame = tag(
        "rect",
        x=16,
        y=0,
        width=WIDTH - 32,
        height=y + 86,
        rx=14,
        fill="none",
        stroke=look.ink,
        stroke_width=2.5,
        stroke_dasharray="10 7",
    )
    return Drawing(tag("g", frame, *parts, class_="close-view"), y + 108)


def sleeve(scale: Scale, setting: Setting, look: Look) -> list[Drawing]:
    """Draw the main marks with the edge of the sleeve, and then the sleeve's own marks.

    Parameters
    ----------
    scale : Scale
    setting : Setting
    look : Look

    Returns
    -------
    list of Drawing
        One where the sleeve stands on its zero or has no marks, else two steps.
    """
    if scale.fine_step is None:
        return [_main_marks(scale, setting, look, zero=False, step="")]
    if setting.minor_marks == 0:
        return [_main_marks(scale, setting, look, zero=True, step="")]
    return [
        _main_marks(scale, setting, look, zero=True, step="1"),
        _sleeve_marks(scale, setting, look),
    ]


EDGE = 470.0
"""Where the edge of the sleeve stands in the drawing."""
_MAIN_APART = 106.0
_LEFT = 96.0


def _main_marks(scale: Scale, setting: Setting, look: Look, *, zero: bool, step: str) -> Drawing:
    """Draw the long line with the main marks, and the sleeve's edge on the wanted one.

    The socket end is on the left, so marks rise to the left, away from the sleeve.
    """
    middle = 128.0
    covered = _half_flag(figure(setting.main_mark, "g"))  # by the flag over the wanted mark
    parts = [_shaft(look, middle), _stroke(look, (_LEFT, middle), (EDGE, middle), 5)]
    for index in range(4):
        value = round(setting.main_mark + index * scale.main_step, 9)
        x = EDGE - index * _MAIN_APART
        if value <= scale.high + 1e-9 and x > _LEFT:
            wanted = index == 0
            parts.append(_stroke(look, (x, middle - 30), (x, middle + 30), 8 if wanted else 4))
            if not wanted and index * _MAIN_APART > covered + 0.36 * 38 * len(figure(value, "g")):
                parts.append(lettering(figure(value, "g"), x, middle - 54, 38, fill=look.ink))
    parts.append(_grip(look, middle))
    if zero:
        parts.append(_stroke(look, (EDGE, middle), (EDGE + 46, middle), 5))
        parts.append(lettering("0", EDGE + 66, middle, 40, fill=look.ink))
    parts.append(_flag(figure(setting.main_mark, "g"), EDGE, 44, look))
    return Drawing(tag("g", *parts, _badge(step, middle, look), class_="main-marks"), 250)


def _sleeve_marks(scale: Scale, setting: Setting, look: Look) -> Drawing:
    """Draw the sleeve large, its wanted mark on the long line, the next ones coming from below."""
    fine = scale.fine_step or scale.main_step
    per_turn = round(scale.main_step / fine)
    middle, apart = 150.0, 78.0
    parts = [
        tag(
            "path",
            d=f"M{WIDTH - 16} 8H{EDGE - 150}V292H{WIDTH - 16}",
            fill="none",
            stroke=look.ink,
            stroke_width=5,
        ),
        _stroke(look, (_LEFT, middle), (EDGE - 150, middle), 9),
    ]
    for offset in (-1, 0, 1):
        index = (setting.minor_marks + offset) % per_turn
        text = f"{index * fine:.{scale.digits}f}"
        y = middle + offset * apart
        wanted = offset == 0
        x1 = EDGE - 150 + (90 if wanted else 60)
        parts.append(_stroke(look, (EDGE - 150, y), (x1, y), 9 if wanted else 4))
        size = 84.0 if wanted else 42.0
        parts.append(lettering(text, x1 + 16, y, size, fill=look.ink, anchor="start"))
    x = WIDTH - 70
    parts += [
        _stroke(look, (x, 250), (x, 90), 10),
        tag("path", d=polygon([(x, 52), (x - 26, 98), (x + 26, 98)]), fill=look.ink),
    ]
    return Drawing(tag("g", *parts, _badge("2", middle, look), class_="sleeve-marks"), 312)


def _shaft(look: Look, middle: float) -> str:
    outline = f"M{EDGE} {middle - 76}H{_LEFT}V{middle + 76}H{EDGE}"
    return tag("path", d=outline, fill="none", stroke=look.ink, stroke_width=5)


def _grip(look: Look, middle: float) -> str:
    """Draw the sleeve: taller than the shaft, roughened where the hand turns it."""
    x, top, bottom = EDGE, middle - 96, middle + 96
    body = tag(
        "path",
        d=f"M{x} {top}H{WIDTH - 16}V{bottom}H{x}Z",
        fill=look.ground,
        stroke=look.ink,
        stroke_width=7,
    )
    rough = (
        _stroke(look, (at, top + 14), (at, bottom - 14), 3) for at in range(int(x) + 110, 700, 16)
    )
    return body + "".join(rough)


def _flag(text: str, x: float, y: float, look: Look) -> str:
    """Draw a filled label whose point shows the mark below it."""
    half = _half_flag(text)
    box = [
        (x - half, y - 40),
        (x + half, y - 40),
        (x + half, y + 28),
        (x + 14, y + 28),
        (x, y + 48),
        (x - 14, y + 28),
        (x - half, y + 28),
    ]
    return tag("path", d=polygon(box), fill=look.ink) + lettering(
        text, x, y - 6, 58, fill=look.ground, class_="wanted"
    )


def _half_flag(text: str) -> float:
    return 0.36 * 58 * len(text) + 16


def _badge(step: str, y: float, look: Look) -> str:
    """Draw the number of a step in a ring."""
    if not step:
        return ""
    ring = tag("circle", cx=46, cy=y, r=28, fill="none", stroke=look.ink, stroke_width=4)
    return ring + lettering(step, 46, y, 38, fill=look.ink)


def display(figure: str, unit: str, caption: str, look: Look) -> Drawing:
    """Draw a display with the target entered.

    Parameters
    ----------
    figure, unit : str
    caption : str
        What the figure is.
    look : Look

    Returns
    -------
    Drawing
    """
    room = WIDTH - 40
    size = min(230.0, room / (0.68 * len(figure)))
    half = max(0.5 * size, 60)
    height = 0.9 * size + half + 60
    frame = tag(
        "rect",
        x=8,
        y=4,
        width=WIDTH - 16,
        height=height,
        rx=34,
        fill="none",
        stroke=look.ink,
        stroke_width=9,
    )
    parts = [
        lettering(figure, WIDTH / 2, 24 + 0.45 * size, size, fill=look.ink, class_="target"),
        lettering(caption, 54, height - 0.5 * half, 34, fill=look.ink, anchor="start"),
        lettering(
            unit, WIDTH - 54, height - 0.5 * half, half, fill=look.ink, anchor="end", class_="unit"
        ),
    ]
    return Drawing(tag("g", frame, *parts, class_="display"), height + 26)


def _stroke(look: Look, start: Point, end: Point, width: float) -> str:
    (x0, y0), (x1, y1) = start, end
    return tag("line", x1=x0, y1=y0, x2=x1, y2=y1, stroke=look.ink, stroke_width=width)
