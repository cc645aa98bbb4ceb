"""Reasons that hold whatever the torque: direction, age of the calibration, uses, events."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.calibration import Calibration, Direction
from clampwright.drawer.suitability import Notes
from clampwright.drawer.tools import Tool
from clampwright.words import words

DOUBT = 15.0
"""What a doubtful calibration takes off the score: more than anything else (our own order)."""


def note_direction(notes: Notes, tool: Tool, direction: Direction) -> None:
    """Note when a tool may not be pulled in the direction of the stage."""
    if direction in tool.directions:
        return
    if direction == "ccw":
        notes.forbid(words("it works clockwise only; this stage turns anticlockwise"))
    else:
        notes.forbid(words("it works anticlockwise only; this stage turns clockwise"))


def note_standing(notes: Notes, tool: Tool, harm_level: int, today: dt.date) -> None:
    """Note what speaks against a wrench's calibration on a day.

    Parameters
    ----------
    notes : Notes
    tool : Tool
        A wrench.
    harm_level : int
        Suspect, out of date or over its uses forbids levels 1 and 2; no calibration at all
        forbids level 1; what happened to it forbids as its rule says.
    today : datetime.date
    """
    if tool.suspect:
        notes.doubt(
            words(
                "not to be trusted until it is calibrated again: {why}",
                why=tool.suspect,
            ),
            DOUBT,
            forbidding=harm_level <= 2,
        )
    for happened in tool.doubts:
        if (reason := happened.doubt) is not None:
            notes.doubt(reason, DOUBT, forbidding=harm_level <= happened.rule.forbids)
    if tool.calibration is None:
        notes.doubt(words("no calibration of it is known"), DOUBT, forbidding=harm_level == 1)
        return
    _note_dates(notes, tool.calibration, today, serious=harm_level <= 2)
    _note_uses(notes, tool, serious=harm_level <= 2)


def _note_dates(notes: Notes, calibration: Calibration, today: dt.date, *, serious: bool) -> None:
    if calibration.date > today:
        notes.doubt(
            words(
                "its calibration is dated {date}, after today ({today}); check both dates",
                date=calibration.date.isoformat(),
                today=today.isoformat(),
            ),
            DOUBT,
            forbidding=True,
        )
    if calibration.due_on < today:
        notes.doubt(
            words("its calibration ran out on {due}", due=calibration.due_on.isoformat()),
            DOUBT,
            forbidding=serious,
        )


def _note_uses(notes: Notes, tool: Tool, *, serious: bool) -> None:
    limits = tool.use_limits
    if tool.uses is not None and tool.uses > limits.uses:
        notes.doubt(
            words(
                "{uses} uses since its calibration; it is due after {limit}",
                uses=tool.uses,
                limit=limits.uses,
            ),
            DOUBT,
            forbidding=serious,
        )
    if limits.high_uses is not None and tool.high_uses > limits.high_uses:
        notes.doubt(
            words(
                "{uses} uses near its largest torque since its calibration; it is due after "
                "{limit}",
                uses=tool.high_uses,
                limit=limits.high_uses,
            ),
            DOUBT,
            forbidding=serious,
        )
