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


def belonging_words(tool: Tool) -> tuple[Words, ...]:
    """Return what belongs to a tool besides its scales: class, number, purchase, papers.

    Examples
    --------
    >>> one = Tool("c", "Click", "click", "3/8 in", iso_class=("II", "A"), sample_rate=None)
    >>> [str(line) for line in belonging_words(one)]
    ['ISO 6789 type II class A']
    """
    kept = tool.belongings
    found = []
    if tool.iso_class is not None:
        kind, letter = tool.iso_class
        found.append(words("ISO 6789 type {type} class {letter}", type=kind, letter=letter))
    if kept.serial:
        found.append(words("number {serial}", serial=kept.serial))
    if kept.bought is not None:
        found.append(words("in the drawer since {date}", date=kept.bought.isoformat()))
    if kept.origin is not None:
        found.append(_ORIGINS[kept.origin])
    if kept.weight is not None:
        found.append(words("{weight:g} kg", weight=kept.weight))
    if tool.stiffness is not None:
        found.append(words("{stiffness:g} N·m twist it by one degree", stiffness=tool.stiffness))
    if tool.sample_rate is not None:
        found.append(words("{rate:g} readings a second", rate=tool.sample_rate))
    found += [words("{kind}: {file}", kind=paper.kind, file=paper.file) for paper in kept.papers]
    return tuple(found)


_ORIGINS = {
    "new": words("it was new"),
    "used": words("it was used before"),
    "borrowed": words("it is borrowed"),
}


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
