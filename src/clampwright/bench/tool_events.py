"""What happens to a tool, put on the log: events, calibrations, checks.

Everything is checked before it is put there; what is refused changes nothing.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from typing import Any, Unpack

from clampwright.bench.session import Origin
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import (
    LOOK_BACK_DECIDED,
    TOOL_CALIBRATED,
    TOOL_CHECKED,
    TOOL_EVENT,
    Decision,
)
from clampwright.drawer.tools import Tool
from clampwright.errors import Refused
from clampwright.proof.ids import uuid7
from clampwright.store.log import Store
from clampwright.store.writing import Receipt
from clampwright.words import words
from clampwright.work.look_back import ADVICE

LONGEST_NOTE = 1000
"""Characters of a note; a longer story is a paper of its own."""


def note_event(
    store: Store, tool: Tool, event: Happened, *, today: dt.date, **made: Unpack[Origin]
) -> Receipt:
    """Put what happened to a tool on the log.

    Parameters
    ----------
    store : Store
        Open for writing.
    tool : Tool
    event : Happened
    today : datetime.date
    **made
        See `Origin`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        The day lies ahead, or the event is not one of this sort of tool.
    """
    check_day(event.date, today)
    _check_fits(tool, event.event)
    body: dict[str, Any] = {
        "tool": tool.id,
        "event": event.event,
        "date": event.date.isoformat(),
        "note": event.note.strip()[:LONGEST_NOTE],
    }
    if event.rule.needs_count:
        body |= {"count": event.count, "high": event.high}
    return _append(store, TOOL_EVENT, body, made)


def keep_calibration(
    store: Store, tool: Tool, record: CalibrationRecord, *, today: dt.date, **made: Unpack[Origin]
) -> Receipt:
    """Put a calibration on the log, as found apart from as left.

    Parameters
    ----------
    store, tool, record, today, **made
        As for `note_event`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        The day lies ahead.
    """
    check_day(record.date, today)
    return _append(store, TOOL_CALIBRATED, {"tool": tool.id, **record.as_body()}, made)


def keep_check(
    store: Store, tool: Tool, check: CheckRecord, *, today: dt.date, **made: Unpack[Origin]
) -> Receipt:
    """Put a check against a trusted tool on the log.

    Parameters
    ----------
    store, tool, check, today, **made
        As for `note_event`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        The day lies ahead.
    """
    check_day(check.date, today)
    return _append(store, TOOL_CHECKED, {"tool": tool.id, **check.as_body()}, made)


def decide_joint(store: Store, tool: Tool, decision: Decision, **made: Unpack[Origin]) -> Receipt:
    """Put on the log what is to be done about one joint after a tool was found off.

    Parameters
    ----------
    store, tool, **made
        As for `note_event`.
    decision : Decision
        With a reason: it is what others will ask for.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        It is no decision, or has no reason.
    """
    if decision.decision not in ADVICE:
        raise Refused(
            words(
                "{decision!r} is no decision; it must be one of: {known}",
                decision=decision.decision,
                known=", ".join(ADVICE),
            )
        )
    if not decision.reason.strip():
        raise Refused(words("give the reason: it stands on the log, and others will ask for it"))
    body = {
        "tool": tool.id,
        "finding": decision.finding,
        "job": decision.job,
        "joint": decision.joint,
        "decision": decision.decision,
        "reason": decision.reason.strip()[:LONGEST_NOTE],
    }
    return _append(store, LOOK_BACK_DECIDED, body, made)


def check_day(date: dt.date, today: dt.date) -> None:
    """Refuse a day that lies ahead.

    Raises
    ------
    Refused
    """
    if date > today:
        raise Refused(
            words(
                "{date} is after today ({today}); write the day on which it happened",
                date=date.isoformat(),
                today=today.isoformat(),
            )
        )


def _check_fits(tool: Tool, event: str) -> None:
    if event in {"left_wound_up", "wound_down"} and not (tool.kind == "click" and tool.scales):
        raise Refused(words("{tool} has no spring to wind", tool=tool.title))
    if event == "battery_out" and tool.kind != "electronic":
        raise Refused(words("{tool} has no battery", tool=tool.title))


def _append(store: Store, kind: str, body: Mapping[str, Any], made: Origin) -> Receipt:
    made["entry_id"] = made.get("entry_id") or str(uuid7())
    return store.append(kind, dict(body), **made)
