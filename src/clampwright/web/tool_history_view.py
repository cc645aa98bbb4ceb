"""What happened to a tool, and when it is due, as its page shows it."""

from __future__ import annotations

import datetime as dt
from typing import Any

from clampwright.bench.drawers import DrawerNow
from clampwright.drawer.check_series import series_for
from clampwright.drawer.due import Due, due_of
from clampwright.drawer.happened import event_rules
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.told import lines_of
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import permissible_for
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.report.check_chart import check_chart
from clampwright.report.svg import PAGE
from clampwright.words import words

STATES = {
    "overdue": words("overdue"),
    "soon": words("due soon"),
    "later": words("not yet due"),
}
"""How a calibration stands, in words."""


def history_view(drawer: DrawerNow, tool_id: str, today: dt.date) -> dict[str, Any]:
    """Return what the page of a tool shows of its history.

    Parameters
    ----------
    drawer : DrawerNow
    tool_id : str
    today : datetime.date

    Returns
    -------
    dict
    """
    tool, history = drawer.now.tool(tool_id), drawer.history(tool_id)
    return {
        "today": today.isoformat(),
        "uses": _uses(tool),
        "due": _due(drawer, tool, history, today),
        "doubts": [say(one.doubt) for one in tool.doubts if one.doubt is not None],
        "lines": [
            {
                "date": line.date.isoformat(),
                "what": say(line.what),
                "note": line.note,
                "report": f"/drawer/{tool.id}/reports/{line.entry}.pdf" if line.report else "",
            }
            for line in lines_of(history)
        ],
        "chart": _chart(tool, history),
        "events": [
            (rule.name, say(rule.title))
            for rule in event_rules().values()
            if rule.name != "found_off"
        ],
        "trusted": [
            *((one.id, one.title) for one in drawer.now.test_devices),
            *((one.id, one.title) for one in drawer.now.tools if _vouches(one, tool, today)),
        ],
        "units": [scale.unit for scale in tool.scales],
        "directions": list(tool.directions),
    }


def _vouches(one: Tool, tool: Tool, today: dt.date) -> bool:
    """Whether a wrench can be trusted to check another one."""
    held = one.calibration is not None and one.calibration.due_on >= today
    return one.is_wrench and one.id != tool.id and held and not one.doubts


def _uses(tool: Tool) -> str:
    if not tool.is_wrench or tool.uses is None:
        return ""
    return say(
        words("{uses} since its calibration, of {limit}", uses=tool.uses,
              limit=tool.use_limits.uses)
    )  # fmt: skip


def _due(drawer: DrawerNow, tool: Tool, history: ToolHistory, today: dt.date) -> str:
    if not tool.is_wrench:
        return ""
    found = due_of(tool, history, today, in_file=drawer.described.tool(tool.id))
    return say(words("{on}: {why}", on=found.on.isoformat(), why=found.reasons[0].say))


def _chart(tool: Tool, history: ToolHistory) -> str:
    """Return the chart of its checks; empty while there are too few."""
    if not tool.is_wrench or not history.checks:
        return ""
    try:
        series = series_for(tool, history.checks, direction=history.checks[-1].direction)
    except Missing:
        return ""
    return check_chart(series, permissible_for(tool), look=PAGE)


def due_view(one: Due, today: dt.date) -> dict[str, Any]:
    """Return one line of the due list."""
    state = one.state(today)
    return {
        "id": one.tool.id,
        "title": one.tool.title,
        "state": state,
        "state_words": say(STATES[state]),
        "on": one.on.isoformat(),
        "reasons": [{"on": r.on.isoformat(), "say": say(r.say)} for r in one.reasons],
        "hints": [say(hint) for hint in one.hints],
    }
