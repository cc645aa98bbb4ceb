"""The window of a tool found off: since when it may have been so, and by how much where."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from clampwright.drawer.calibration import Calibration, Direction, Point
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.permissible import CLASS_OF_KIND
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import permissible_for
from clampwright.errors import Missing
from clampwright.units import factor
from clampwright.words import Words, words

Floats = NDArray[np.float64]
SUDDEN = frozenset({"dropped", "overloaded"})
"""Events at which a tool may have shifted all at once."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a calibration or a check found.

    Parameters
    ----------
    date : datetime.date
    points : tuple of Point
        Deviations as found.
    entry : str
        Id of the entry that tells it.
    """

    date: dt.date
    points: tuple[Point, ...]
    entry: str = ""


@dataclass(frozen=True, slots=True)
class Window:
    """Between the last time a tool was known to be right and the finding.

    Parameters
    ----------
    tool : Tool
        As the drawer file describes it.
    start : datetime.date
        Day of the last good calibration or check.
    since : Words
        What that was.
    before : tuple of Point
        Deviations as left then.
    found : Found
    sudden : datetime.date or None
        A drop or overload that is known to lie in the window.
    """

    tool: Tool
    start: dt.date
    since: Words
    before: tuple[Point, ...]
    found: Found
    sudden: dt.date | None = None

    @property
    def days(self) -> int:
        """Length of the window, days; at least 1."""
        return max((self.found.date - self.start).days, 1)

    def share_of(self, date: dt.date) -> float:
        """Return where in the window a day lies, 0 to 1."""
        return min(max((date - self.start).days / self.days, 0.0), 1.0)

    def before_at(self, torque: Floats, direction: Direction) -> tuple[Floats, Floats]:
        """Return deviation and standard uncertainty as left, percent, for settings in N·m."""
        return _between(self.before, torque, direction, self.tool)

    def found_at(self, torque: Floats, direction: Direction) -> tuple[Floats, Floats]:
        """Return deviation and standard uncertainty as found, percent, for settings in N·m."""
        return _between(self.found.points, torque, direction, self.tool)


def _between(
    points: tuple[Point, ...], torque: Floats, direction: Direction, tool: Tool
) -> tuple[Floats, Floats]:
    """Interpolate between the points; beyond the ends the end point counts.

    Where a direction was not looked at, the other one stands in with the permissible deviation on
    top of its uncertainty.
    """
    same = sorted((p for p in points if p.direction == direction), key=lambda p: p.torque)
    extra = 0.0 if same else permissible_for(tool) / 3**0.5
    used = same or sorted(points, key=lambda p: p.torque)
    if not used:
        return np.zeros_like(torque), np.full_like(torque, permissible_for(tool) / 3**0.5)
    at = [point.torque for point in used]
    deviation = np.interp(torque, at, [point.deviation for point in used])
    u = np.interp(torque, at, [100 * point.u_rel for point in used])
    return deviation, np.hypot(u, extra)


def window_of(tool: Tool, history: ToolHistory, *, entry: str | None = None) -> Window:
    """Return the window of the newest finding, or of the one an entry tells of.

    Parameters
    ----------
    tool : Tool
        As the drawer file describes it.
    history : ToolHistory
    entry : str, optional
        Id of the calibration or check that found the tool off; the newest one if not given.

    Returns
    -------
    Window

    Raises
    ------
    Missing
        The tool shows no torque, nothing was found as yet, or nothing good is known before it.

    Notes
    -----
    A good check between two calibrations shortens the window; that is what quick checks pay for.
    The deviations as left are still those of the calibration before.
    """
    if tool.iso_class is None and tool.kind not in CLASS_OF_KIND:
        raise Missing(
            words("{tool} shows no torque: no pull rests on what it reads", tool=tool.title),
            "finding",
        )
    limit = permissible_for(tool)
    candidates = [one for one in _findings(history) if entry in {None, one.entry}]
    off = [one for one in candidates if any(abs(p.deviation) > limit for p in one.points)]
    chosen = max(off or candidates, key=lambda one: one.date, default=None)
    if chosen is None:
        raise Missing(
            words(
                "nothing is on the log that found {tool} off: enter the calibration with its "
                "values as found, or a check",
                tool=tool.title,
            ),
            "finding",
        )
    good = max(_good(tool, history, chosen), key=lambda one: (one[0].date, one[2]), default=None)
    if good is None:
        raise Missing(
            words(
                "no calibration of {tool} before {date} is known: every pull with it is in "
                "question",
                tool=tool.title,
                date=chosen.date.isoformat(),
            ),
            "calibration",
        )
    calibration, start, _place, since = good
    sudden = [
        e.date for e in history.events if e.event in SUDDEN and start <= e.date <= chosen.date
    ]
    return Window(
        tool, start, since, calibration.points, chosen, sudden[0] if len(sudden) == 1 else None
    )


def _findings(history: ToolHistory) -> Iterator[Found]:
    for done in history.calibrations:
        as_found = done.as_found()
        if as_found is not None:
            yield Found(done.date, as_found.points, done.entry)
    for check in history.checks:
        if check.verdict == "off":
            torque = check.level * factor(check.unit, "N·m")
            point = Point(torque, check.deviation, check.u / 100, check.direction)
            yield Found(check.date, (point,), check.entry)


def _good(
    tool: Tool, history: ToolHistory, chosen: Found
) -> Iterator[tuple[Calibration, dt.date, int, Words]]:
    """Yield calibrations before a finding, each with the day until which the tool was right."""
    known = [done.calibration() for done in _before(history, chosen)]
    in_file = tool.calibration
    if in_file is not None and in_file.date < chosen.date:
        known.insert(0, in_file)
    for place, calibration in enumerate(known):
        start = calibration.date
        since = words("calibrated on {date}", date=str(start))
        for check in history.checks:
            if check.verdict == "agrees" and start < check.date <= chosen.date:
                start, since = (
                    check.date,
                    words("checked and right on {date}", date=str(check.date)),
                )
        yield calibration, start, place, since


def _before(history: ToolHistory, chosen: Found) -> tuple[CalibrationRecord, ...]:
    """Return the calibrations before a finding; of the same day those before it on the log."""
    entries = [done.entry for done in history.calibrations]
    if chosen.entry in entries:
        earlier = history.calibrations[: entries.index(chosen.entry)]
        return tuple(done for done in earlier if done.date <= chosen.date)
    return tuple(done for done in history.calibrations if done.date < chosen.date)
