"""When a wrench is to be calibrated: by the calendar, by uses, by drift, after what happened."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from clampwright.drawer.calibration import months_after
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.metrology.intervals import interval_for_reliability, staircase
from clampwright.drawer.metrology.straight_line import bound_to_limit
from clampwright.drawer.tools import Drawer, Tool
from clampwright.drawer.trust import permissible_for
from clampwright.errors import ClampwrightError
from clampwright.joint.line_fit import fit_line
from clampwright.words import Words, words

DueKind = Literal["time", "uses", "high uses", "event", "drift", "unknown"]
DAYS_A_MONTH = 365.25 / 12
ENOUGH_DAYS = 28
"""Uses are carried forward only from this many days of counting on (ours)."""
SOON = 30
"""Days before which a due calibration is told (ours)."""


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason why a calibration is due.

    Parameters
    ----------
    kind : str
    on : datetime.date
        From this day on.
    say : Words
    """

    kind: DueKind
    on: dt.date
    say: Words


@dataclass(frozen=True, slots=True)
class Due:
    """When one wrench is due.

    Parameters
    ----------
    tool : Tool
        As it is today.
    reasons : tuple of Reason
        The earliest first; at least one.
    hints : tuple of Words
        What its history says of the interval.
    """

    tool: Tool
    reasons: tuple[Reason, ...]
    hints: tuple[Words, ...] = ()

    @property
    def on(self) -> dt.date:
        """The day on which it is due."""
        return self.reasons[0].on

    def state(self, today: dt.date) -> Literal["overdue", "soon", "later"]:
        """Return how it stands on a day."""
        if self.on <= today:
            return "overdue"
        return "soon" if (self.on - today).days <= SOON else "later"


def due_list(
    described: Drawer, now: Drawer, histories: Mapping[str, ToolHistory], today: dt.date
) -> tuple[Due, ...]:
    """Return every wrench of a drawer with the day on which it is due, the most urgent first.

    Parameters
    ----------
    described : Drawer
        As its file describes it.
    now : Drawer
        As it is today.
    histories : mapping of str to ToolHistory
    today : datetime.date

    Returns
    -------
    tuple of Due
    """
    pairs = zip(described.tools, now.tools, strict=True)
    found = [
        due_of(tool, histories.get(tool.id, ToolHistory()), today, in_file=in_file)
        for in_file, tool in pairs
        if tool.is_wrench
    ]
    return tuple(sorted(found, key=lambda due: (due.on, due.tool.id)))


def due_of(tool: Tool, history: ToolHistory, today: dt.date, *, in_file: Tool | None = None) -> Due:
    """Return when a wrench is due, and why.

    Parameters
    ----------
    tool : Tool
        As it is today.
    history : ToolHistory
    today : datetime.date
    in_file : Tool, optional
        As the drawer file describes it; its calibration is the first of the history.

    Returns
    -------
    Due

    Notes
    -----
    Uses are carried forward at the rate since the calibration. Drift is carried forward by the
    95 % bound of a straight line through at least three deviations as found without an adjustment
    in between, and no further than one interval (NASA RP-1342 and the notes of ILAC-G24, from
    memory): never lengthen without as-found data.

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> print(due_of(wrench, ToolHistory(), dt.date(2026, 10, 5)).reasons[0].say)
    no calibration of it is known
    """
    reasons = [*_events(tool), *_dates(tool, today), *_uses(tool, today)]
    drift = _drift(tool, history)
    if drift is not None:
        reasons.append(drift)
    reasons.sort(key=lambda reason: reason.on)
    return Due(tool, tuple(reasons), tuple(_hints(tool, history, in_file or tool)))


def _events(tool: Tool) -> Iterator[Reason]:
    for happened in tool.doubts:
        if happened.doubt is not None and "calibration" in happened.rule.ended_by:
            yield Reason("event", happened.date, happened.doubt)


def _dates(tool: Tool, today: dt.date) -> Iterator[Reason]:
    calibration = tool.calibration
    if calibration is None:
        yield Reason("unknown", today, words("no calibration of it is known"))
        return
    due = calibration.due_on
    yield Reason("time", due, words("calibrated on {date}, valid until {due}",
                                    date=calibration.date.isoformat(),
                                    due=due.isoformat()))  # fmt: skip


def _uses(tool: Tool, today: dt.date) -> Iterator[Reason]:
    if tool.calibration is None:
        return
    days = (today - tool.calibration.date).days
    limits = tool.use_limits
    if (on := _reached(tool.uses, limits.uses, days, today)) is not None:
        yield Reason("uses", on, words("{uses} of {limit} uses", uses=tool.uses or 0,
                                       limit=limits.uses))  # fmt: skip
    if limits.high_uses is None:
        return
    if (on := _reached(tool.high_uses, limits.high_uses, days, today)) is not None:
        yield Reason(
            "high uses",
            on,
            words("{uses} of {limit} uses near its largest torque", uses=tool.high_uses,
                  limit=limits.high_uses),
        )  # fmt: skip


def _reached(uses: int | None, limit: int, days: int, today: dt.date) -> dt.date | None:
    """Return the day on which a count reaches its limit at the rate so far."""
    if not uses:
        return None
    if uses >= limit:
        return today
    if days < ENOUGH_DAYS:
        return None
    ahead = (limit - uses) / (uses / days)
    return today + dt.timedelta(days=int(ahead)) if ahead < 36_500 else None


def _drift(tool: Tool, history: ToolHistory) -> Reason | None:
    row = _unadjusted(history)
    if len(row) < 3:
        return None
    first, last = row[0].date, row[-1]
    limit = permissible_for(tool)
    months = [(one.date - first).days / DAYS_A_MONTH for one in row]
    deviations = [_worst(one) for one in row]
    try:
        line = fit_line(months, deviations)
    except ClampwrightError:
        return None  # all on one day, or all the same
    bound = line.bound(months[-1], side="low" if line.slope < 0.0 else "high")
    reached = months[-1]
    if abs(bound) < limit:
        try:
            reached = bound_to_limit(line, math.copysign(limit, line.slope))
        except ClampwrightError:
            return None  # it does not drift towards a limit
    end = months_after(last.date, last.months)
    on = first + dt.timedelta(days=int(min(reached, 1200.0) * DAYS_A_MONTH))
    if on >= end:
        return None
    say = words(
        "it drifts by {slope:+.2f} % a month over {count} calibrations; the 95 % bound reaches "
        "±{limit:g} % on {on}",
        slope=line.slope,
        count=len(row),
        limit=limit,
        on=on.isoformat(),
    )
    return Reason("drift", on, say)


def _unadjusted(history: ToolHistory) -> list[CalibrationRecord]:
    """Return the newest calibrations with values as found, back to the last adjustment."""
    row: list[CalibrationRecord] = []
    for done in sorted(history.calibrations, key=lambda one: one.date):
        if not done.found:
            continue
        row = [*row, done] if not done.adjusted else []
    return row


def _worst(record: CalibrationRecord) -> float:
    worst = record.worst_found()
    return 0.0 if worst is None else worst.deviation


def _hints(tool: Tool, history: ToolHistory, in_file: Tool) -> Iterator[Words]:
    """Say what the newest calibration as found makes of the interval."""
    known = sorted((one for one in history.calibrations if one.found), key=lambda one: one.date)
    if not known:
        return
    newest = known[-1]
    before = [one.date for one in known[:-1]]
    if in_file.calibration is not None and in_file.calibration.date < newest.date:
        before.append(in_file.calibration.date)
    if not before:
        return
    months = (newest.date - max(before)).days / DAYS_A_MONTH
    if months < 1:
        return
    share = newest.worst_share(permissible_for(tool))
    found = staircase(months, worst_share=share, longest=max(24.0, months))
    yield words(
        "staircase (ILAC-G24, from memory): {note}; {length:.0f} months after {before:.0f}",
        note=found.note or "",
        length=found.length,
        before=months,
    )


def reliability_words(
    drawer: Drawer, histories: Mapping[str, ToolHistory], *, target: float = 0.95
) -> Words | None:
    """Say what all calibrations together make of the interval.

    Parameters
    ----------
    drawer : Drawer
        As it is today.
    histories : mapping of str to ToolHistory
    target : float
        Wanted share of tools found good.

    Returns
    -------
    Words or None
        None with fewer than three calibrations as found.
    """
    shares = []
    months = []
    for tool in drawer.tools:
        history = histories.get(tool.id)
        if history is None or not tool.is_wrench:
            continue
        limit = permissible_for(tool)
        for done in history.calibrations:
            if done.found:
                shares.append(done.worst_share(limit))
                months.append(done.months)
    if len(shares) < 3 or not any(share <= 1 for share in shares):
        return None
    good = sum(share <= 1 for share in shares)
    mean = sum(months) / len(months)
    found = interval_for_reliability(mean, good=good, total=len(shares), target=target)
    return words(
        "{good} of {total} calibrations found the tool right; for {target:.0%} the interval would "
        "be {length:.0f} months (with so few tools anything from {low:.0f} to {high:.0f})",
        good=good,
        total=len(shares),
        target=target,
        length=found.length,
        low=found.low,
        high=min(found.high, 999.0),
    )
