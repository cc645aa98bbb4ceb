"""The clock face of a fastener with the way of its mark: where it starts, where it is to end."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from clampwright.drawer.calibration import Direction
from clampwright.report.svg import PAPER, Look, arc, lettering, picture, polar, polygon, tag
from clampwright.words import Words
from clampwright.work.clock_marks import MarkTurn, goal_of, marks_words
from clampwright.work.readings import from_body
from clampwright.work.ways_in import MarksReading

_RIM, _WAY, _HEX = 86.0, 66.0, 44.0
_ROOM = 112.0


def mark_dial(start: float, angle: float, turning: Direction, *, look: Look = PAPER) -> str:
    """Draw where a mark goes.

    Parameters
    ----------
    start : float
        Degrees from 12, clockwise, as it is seen.
    angle : float
        Degrees turned or to turn.
    turning : str
        ``cw`` or ``ccw`` as it is seen.
    look : Look

    Returns
    -------
    str
        SVG; a bar is the start, a filled wedge the end, the arc between the way; more than a full
        turn is a whole ring and the rest.

    Examples
    --------
    >>> mark_dial(60.0, 90.0, "cw")[:4]
    '<svg'
    """
    goal, whole = goal_of(start, angle, turning)
    ink = look.ink
    parts = [tag("circle", r=_RIM, fill="none", stroke=ink, stroke_width=2)]
    parts += [_tick(hour, ink) for hour in range(12)]
    corners = [polar(_HEX, 60.0 * k + start) for k in range(6)]
    parts.append(tag("path", d=polygon(corners), fill="none", stroke=ink, stroke_width=4))
    if whole:
        parts.append(
            tag(
                "circle",
                r=_WAY - 9,
                fill="none",
                stroke=ink,
                stroke_width=4,
                stroke_dasharray="9 5",
            )
        )
    sign = 1.0 if turning == "cw" else -1.0
    rest = angle - 360.0 * whole
    if rest > 0.5:
        way = arc(_WAY, start, start + sign * rest)
        parts.append(tag("path", d=way, fill="none", stroke=ink, stroke_width=7))
    parts += [_start(start, ink), _end(goal, ink)]
    size = 2 * _ROOM
    return picture(
        *parts,
        width=size,
        height=size,
        left=-_ROOM,
        top=-_ROOM,
        label=str(marks_words(start, angle, turning)),
        class_="mark-dial",
    )


def _tick(hour: int, ink: str) -> str:
    if hour % 3 == 0:
        x, y = polar(_RIM + 13, 30.0 * hour)
        return lettering(str(hour or 12), x, y, 20, fill=ink)
    (x1, y1), (x2, y2) = polar(_RIM - 5, 30.0 * hour), polar(_RIM + 5, 30.0 * hour)
    return tag("path", d=f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}", stroke=ink, stroke_width=2)


def _start(place: float, ink: str) -> str:
    (x1, y1), (x2, y2) = polar(_HEX - 12, place), polar(_RIM, place)
    return tag("path", d=f"M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}", stroke=ink, stroke_width=5)


def _end(place: float, ink: str) -> str:
    wedge = [polar(_HEX - 4, place), polar(_RIM, place - 10), polar(_RIM, place + 10)]
    return tag("path", d=polygon(wedge), fill=ink)


def dial_of(body: Mapping[str, Any]) -> str:
    """Draw a pull of the log that was told by marks; nothing where it was not.

    Parameters
    ----------
    body : mapping
        Of an entry of kind ``pull``.

    Returns
    -------
    str
    """
    turn = turn_of(body)
    return mark_dial(turn.start, turn.angle, turn.turning) if turn else ""


def turn_of(body: Mapping[str, Any]) -> MarkTurn | None:
    """Return the turn of a pull that was told by marks."""
    if body["reading"]["kind"] != "marks":
        return None
    reading = from_body(body["reading"])
    return reading.turn if isinstance(reading, MarksReading) else None


def dial_words(body: Mapping[str, Any]) -> Words | None:
    """Say what the drawing shows."""
    turn = turn_of(body)
    return marks_words(turn.start, turn.angle, turn.turning) if turn else None
