"""What the log tells of a tool: a fold of its entries, and of the pulls made with it.

Entries are the plain objects of the log. Unknown kinds are passed over, so that an older program
can read a newer log. Pulls are kept as counts by day and torque only.
"""

from __future__ import annotations

import datetime as dt
import json
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import CALIBRATION, CHECK, Happened
from clampwright.errors import ClampwrightError
from clampwright.units import convert

Entry = Mapping[str, Any]
UseKey = tuple[dt.date, float]
"""Day, and torque set or shown in N·m (0 where it is not known)."""

TOOL_EVENT, TOOL_CALIBRATED, TOOL_CHECKED = "tool_event", "tool_calibrated", "tool_checked"
LOOK_BACK_DECIDED = "look_back_decided"
PULL = "pull"
HAPPENED = (TOOL_EVENT, TOOL_CALIBRATED, TOOL_CHECKED, LOOK_BACK_DECIDED)
"""Kinds of entries that tell what happened to a tool."""

KINDS = (*HAPPENED, PULL)
"""Kinds of entries that say something of a tool."""

PULL_MEMBERS = ("body.reading", "body.setting", "body.received.torque")
"""What is needed of a pull to count it."""

Pulled = tuple[str, str, str]
"""Tool, day (ISO 8601), and JSON text of the members of a pull."""


@dataclass(frozen=True, slots=True)
class Decision:
    """What a person decided of one joint after a tool was found off.

    Parameters
    ----------
    finding : str
        Id of the entry that found the tool off.
    job, joint : str
    decision : str
        ``fine``, ``recheck`` or ``redo``.
    reason : str
    """

    finding: str
    job: str
    joint: str
    decision: str
    reason: str


@dataclass(frozen=True, slots=True)
class ToolHistory:
    """What happened to one tool.

    Parameters
    ----------
    events : tuple of Happened
        In the order of the log.
    calibrations : tuple of CalibrationRecord
        As above; those on the log, not the one in the drawer file.
    checks : tuple of CheckRecord
        As above.
    decisions : tuple of Decision
        What people decided of joints after the tool was found off, in the order of the log.
    pulls : mapping of (date, float) to int
        Pulls by day and torque, N·m.
    ends : tuple of (int, str, datetime.date)
        What may end a doubt, with its place among all that happened.
    begins : tuple of int
        Place of each event among all that happened.
    """

    events: tuple[Happened, ...] = ()
    calibrations: tuple[CalibrationRecord, ...] = ()
    checks: tuple[CheckRecord, ...] = ()
    decisions: tuple[Decision, ...] = ()
    pulls: Mapping[UseKey, int] = field(default_factory=dict)
    ends: tuple[tuple[int, str, dt.date], ...] = ()
    begins: tuple[int, ...] = ()

    @property
    def doubts(self) -> tuple[Happened, ...]:
        """Events that lower trust and that nothing has ended since."""
        return tuple(
            event
            for place, event in zip(self.begins, self.events, strict=True)
            if event.rule.raises_doubt and not self._ended(place, event)
        )

    def _ended(self, place: int, event: Happened) -> bool:
        return any(
            later > place and what in event.rule.ended_by and date >= event.date
            for later, what, date in self.ends
        )

    def uses_since(self, date: dt.date | None, *, above: float = 0.0) -> int:
        """Count uses, those entered by hand included.

        Parameters
        ----------
        date : datetime.date or None
            From the day after it on; all of them if None.
        above : float
            Only uses at this torque or more, N·m.

        Returns
        -------
        int
        """
        by_program = sum(
            count
            for (day, torque), count in self.pulls.items()
            if (date is None or day > date) and torque >= above
        )
        by_hand = sum(
            event.high if above > 0.0 else event.count
            for event in self.events
            if event.event == "used" and (date is None or event.date > date)
        )
        return by_program + by_hand


def fold_tools(
    entries: Iterable[Entry], start: Mapping[str, ToolHistory] | None = None
) -> dict[str, ToolHistory]:
    """Fold entries into what happened to each tool.

    Parameters
    ----------
    entries : iterable of mapping
        In the order of the log.
    start : mapping of str to ToolHistory, optional
        To go on from; it is not changed.

    Returns
    -------
    dict of str to ToolHistory
        By the tool's id.
    """
    found = dict(start or {})
    pulled: Counter[Pulled] = Counter()
    for entry in entries:
        tool = entry["body"].get("tool") if entry["kind"] in KINDS else None
        if not isinstance(tool, str):
            continue
        if entry["kind"] == PULL:
            body = [entry["body"].get(name) for name in ("reading", "setting", "received")]
            body[-1] = (body[-1] or {}).get("torque")
            pulled[tool, entry["device"]["time"][:10], json.dumps(body)] += 1
        else:
            found[tool] = _told(found.get(tool, ToolHistory()), entry)
    return with_pulls(found, pulled)


def with_pulls(
    histories: Mapping[str, ToolHistory], pulled: Mapping[Pulled, int]
) -> dict[str, ToolHistory]:
    """Add counts of pulls to what happened to each tool.

    Parameters
    ----------
    histories : mapping of str to ToolHistory
        By the tool's id; it is not changed.
    pulled : mapping of (str, str, str) to int
        How many pulls there were by tool, day (ISO 8601), and JSON text of what `PULL_MEMBERS`
        names.

    Returns
    -------
    dict of str to ToolHistory
    """
    found = dict(histories)
    added: dict[str, dict[UseKey, int]] = {}
    for (tool, day, told), count in pulled.items():
        torque = _torque_used(told)
        if torque is not None:
            counts = added.setdefault(tool, dict(found.get(tool, ToolHistory()).pulls))
            key = (dt.date.fromisoformat(day), torque)
            counts[key] = counts.get(key, 0) + count
    for tool in dict.fromkeys(tool for tool, _, _ in pulled):
        known = found.get(tool, ToolHistory())
        found[tool] = replace(known, pulls=added.get(tool, known.pulls))
    return found


def _told(history: ToolHistory, entry: Entry) -> ToolHistory:
    place = len(history.begins) + len(history.ends)
    try:
        if entry["kind"] == TOOL_EVENT:
            return _happened(history, event_of(entry), place)
        if entry["kind"] == TOOL_CALIBRATED:
            done = CalibrationRecord.from_body(entry["body"], entry["id"])
            return replace(
                history,
                calibrations=(*history.calibrations, done),
                ends=(*history.ends, (place, CALIBRATION, done.date)),
            )
        if entry["kind"] == LOOK_BACK_DECIDED:
            return replace(history, decisions=(*history.decisions, _decision(entry["body"])))
        check = CheckRecord.from_body(entry["body"], entry["id"])
    except (ClampwrightError, KeyError, TypeError, ValueError):
        return history  # a newer program wrote it
    history = replace(history, checks=(*history.checks, check))
    if check.verdict == "agrees":
        return replace(history, ends=(*history.ends, (place, CHECK, check.date)))
    if check.verdict == "off":
        return _happened(history, Happened("found_off", check.date, entry=entry["id"]), place)
    return history


def _happened(history: ToolHistory, event: Happened, place: int) -> ToolHistory:
    """Note an event; one that ends another stands among the ends too."""
    return replace(
        history,
        events=(*history.events, event),
        begins=(*history.begins, place),
        ends=(*history.ends, (place, event.event, event.date)),
    )


def _decision(body: Mapping[str, Any]) -> Decision:
    names = ("finding", "job", "joint", "decision", "reason")
    return Decision(*(str(body[name]) for name in names))


def event_of(entry: Entry) -> Happened:
    """Return the event an entry tells of."""
    body = entry["body"]
    return Happened(
        str(body["event"]),
        dt.date.fromisoformat(body["date"]),
        str(body.get("note", "")),
        int(body.get("count", 0)),
        int(body.get("high", 0)),
        str(entry["id"]),
    )


@lru_cache(maxsize=4096)
def _torque_used(told: str) -> float | None:
    """Return what a tool was set to or showed, N·m; 0 where no torque was told.

    None where nothing signalled and nothing was shown: nothing was used.
    """
    reading, setting, received = json.loads(told)[:3]
    reading = reading or {}
    if reading.get("kind") == "done" or reading.get("clicked") is False:
        return None
    shown = reading if reading.get("kind") == "value" else reading.get("setting")
    for measured in (shown, setting, received):
        if measured:
            try:
                return round(convert(float(measured["value"]), measured["unit"], "N·m"), 3)
            except (ClampwrightError, KeyError, ValueError):
                continue  # a stretch, not a torque
    return 0.0
