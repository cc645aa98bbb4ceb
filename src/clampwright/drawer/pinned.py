"""The state of the tools as it stands in the entry that opened a job, so that it can be rebuilt.

A pull is judged by what was known when the job was planned, not by what happened since.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from clampwright.drawer.as_of import newest_record, tool_as_of
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.happened import Happened
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import Drawer, Tool

State = Mapping[str, Any]


def states_of(drawer: Drawer, histories: Mapping[str, ToolHistory]) -> dict[str, State]:
    """Return what the log adds to the drawer file, as plain data.

    Parameters
    ----------
    drawer : Drawer
        As its file describes it.
    histories : mapping of str to ToolHistory

    Returns
    -------
    dict
        By tool id; tools of which the log knows nothing are absent.
    """
    return {
        tool.id: _state(tool, histories[tool.id]) for tool in drawer.tools if tool.id in histories
    }


def _state(tool: Tool, history: ToolHistory) -> State:
    now, newest = tool_as_of(tool, history), newest_record(tool, history)
    return {
        "calibration": None if newest is None or not tool.is_wrench else newest.as_body(),
        "uses": now.uses,
        "high_uses": now.high_uses,
        "doubts": [
            {"event": one.event, "date": one.date.isoformat(), "note": one.note}
            for one in now.doubts
        ],
    }


def drawer_with(drawer: Drawer, states: Mapping[str, State]) -> Drawer:
    """Return a drawer with the states that were pinned.

    Parameters
    ----------
    drawer : Drawer
        As its file describes it.
    states : mapping
        From `states_of`.

    Returns
    -------
    Drawer
    """
    if not states:
        return drawer
    tools = tuple(
        _with_state(tool, states[tool.id]) if tool.id in states else tool for tool in drawer.tools
    )
    return replace(drawer, tools=tools)


def _with_state(tool: Tool, state: State) -> Tool:
    body = state["calibration"]
    return replace(
        tool,
        calibration=tool.calibration
        if body is None
        else CalibrationRecord.from_body(body).calibration(),
        uses=state["uses"],
        high_uses=state["high_uses"],
        doubts=tuple(
            Happened(one["event"], dt.date.fromisoformat(one["date"]), one["note"])
            for one in state["doubts"]
        ),
    )
