"""What happened to a tool, told line by line, the newest first."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import ToolHistory
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a tool's history.

    Parameters
    ----------
    date : datetime.date
    what : Words
    note : str
    entry : str
        Id of the entry that tells it.
    report : bool
        Whether a report can be made of it: a calibration that was performed here.
    """

    date: dt.date
    what: Words
    note: str = ""
    entry: str = ""
    report: bool = False


def lines_of(history: ToolHistory) -> tuple[Line, ...]:
    """Return what happened to a tool, the newest first.

    Parameters
    ----------
    history : ToolHistory

    Returns
    -------
    tuple of Line
    """
    lines = [
        *(_event(event) for event in history.events if event.event != "found_off"),
        *(_calibration(done) for done in history.calibrations),
        *(_check(check) for check in history.checks),
    ]
    return tuple(sorted(lines, key=lambda line: line.date)[::-1])


def _event(event: Happened) -> Line:
    if event.event != "used":
        return Line(event.date, event.rule.title, event.note)
    what = words(
        "used {count} times without the program, {high} of them near its largest torque",
        count=event.count,
        high=event.high,
    )
    return Line(event.date, what, event.note)


def _calibration(done: CalibrationRecord) -> Line:
    worst = done.worst_found()
    if worst is None:
        what = words("calibrated; how it was found is not known")
    elif done.adjusted:
        what = words(
            "calibrated: found {deviation:+.2f} % off at {shown:g} {unit}, adjusted",
            deviation=worst.deviation,
            shown=worst.shown,
            unit=done.unit,
        )
    else:
        what = words(
            "calibrated: at most {deviation:+.2f} % off, at {shown:g} {unit}; not adjusted",
            deviation=worst.deviation,
            shown=worst.shown,
            unit=done.unit,
        )
    return Line(done.date, what, done.note, done.entry, bool(done.details))


CHECKED = {
    "agrees": words("agrees"),
    "off": words("off"),
    "not known": words("cannot be told"),
}
"""Verdicts of a check, in words."""


def _check(check: CheckRecord) -> Line:
    what = words(
        "checked against {trusted} near {level:.3g} {unit}: {deviation:+.2f} % ± {u:.2f} %, "
        "{verdict}",
        trusted=check.trusted,
        level=check.level,
        unit=check.unit,
        deviation=check.deviation,
        u=2 * check.u,
        verdict=CHECKED.get(check.verdict, Words(check.verdict)),
    )
    return Line(check.date, what, check.note)
