"""A tool as it is today: the drawer file's description, and what the log tells since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import Drawer, Tool


def tool_as_of(tool: Tool, history: ToolHistory) -> Tool:
    """Return a tool with its newest calibration, its uses counted and its open doubts.

    Parameters
    ----------
    tool : Tool
        As the drawer file describes it.
    history : ToolHistory

    Returns
    -------
    Tool

    Notes
    -----
    The newest calibration holds, whether it stands in the file or on the log; on the same day the
    one on the log. ``uses`` of the file are those the program has not seen: they count as long as
    the file's own calibration is the newest.
    """
    if not tool.is_wrench:
        return replace(tool, doubts=history.doubts)
    newest = newest_record(tool, history)
    in_file, from_log = tool.calibration, newest is not None
    calibration = in_file if newest is None else newest.calibration()
    since = None if calibration is None else calibration.date
    counted = history.uses_since(since)
    unseen = 0 if from_log else tool.uses or 0
    known = from_log or tool.uses is not None or counted > 0
    settled = None if from_log or in_file is None else in_file.date
    return replace(
        tool,
        calibration=calibration,
        uses=counted + unseen if known else None,
        high_uses=history.uses_since(since, above=tool.high_torque),
        doubts=tuple(
            event
            for event in history.doubts
            if settled is None or event.date >= settled or "calibration" not in event.rule.ended_by
        ),
    )


def newest_record(tool: Tool, history: ToolHistory) -> CalibrationRecord | None:
    """Return the calibration on the log that holds; None where the file's own is newer.

    Parameters
    ----------
    tool : Tool
        As the drawer file describes it.
    history : ToolHistory

    Returns
    -------
    CalibrationRecord or None
    """
    reversed_ = reversed(history.calibrations)  # of two on one day the later entry holds
    newest = max(reversed_, key=lambda done: done.date, default=None)
    if newest is None or (tool.calibration and tool.calibration.date > newest.date):
        return None
    return newest


def drawer_as_of(drawer: Drawer, histories: Mapping[str, ToolHistory]) -> Drawer:
    """Return a drawer with every tool as it is today.

    Parameters
    ----------
    drawer : Drawer
    histories : mapping of str to ToolHistory
        By tool id.

    Returns
    -------
    Drawer
    """
    tools = tuple(
        tool_as_of(tool, histories[tool.id]) if tool.id in histories else tool
        for tool in drawer.tools
    )
    return replace(drawer, tools=tools)
