"""Short descriptions of a tool for lists: its scales, its calibration."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.tools import Tool
from clampwright.words import Words, words

KIND_WORDS = {
    "beam": words("beam wrench"),
    "dial": words("dial wrench"),
    "click": words("click wrench"),
    "electronic": words("electronic wrench"),
    "bar": words("bar"),
    "ratchet": words("ratchet"),
    "angle_gauge": words("angle gauge"),
}
"""Kinds of tool, as people call them."""


def kind_words(tool: Tool) -> Words:
    """Return what sort of tool it is."""
    return KIND_WORDS.get(tool.kind, Words(tool.kind))


def scale_texts(tool: Tool) -> tuple[str, ...]:
    """Return each scale as lowest and highest mark with the unit.

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> scale_texts(Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),)))
    ('10 – 60 N·m',)
    """
    return tuple(f"{scale.low:g} – {scale.high:g} {scale.unit}" for scale in tool.scales)


def calibration_words(tool: Tool, today: dt.date) -> Words | None:
    """Return how the calibration of a wrench stands on a day; None for tools that need none."""
    if not tool.is_wrench:
        return None
    if tool.calibration is None:
        return words("no calibration is known")
    due = tool.calibration.due_on
    if due < today:
        return words("calibration ran out on {due}", due=due.isoformat())
    return words("calibrated until {due}", due=due.isoformat())
