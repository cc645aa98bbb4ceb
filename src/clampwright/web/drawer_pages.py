"""The pages of the drawer: all tools at a glance, and one tool with what happened to it."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Request
from fastapi.responses import Response

from clampwright.bench.drawers import drawer_of
from clampwright.drawer.range_words import (
    belonging_words,
    calibration_words,
    kind_words,
    scale_texts,
)
from clampwright.drawer.tools import Drawer, Tool
from clampwright.errors import Missing, Refused
from clampwright.locale import say
from clampwright.web.shared import house
from clampwright.web.tool_history_view import history_view
from clampwright.words import words

ToolId = Annotated[str, InPath(max_length=40)]


def drawer(request: Request) -> Response:
    """Show the tools of the drawer."""
    place = house(request)
    tools = [
        _listed(tool, place.files.today())
        for tool in drawer_of(place.place, place.desk.look().tools).now.tools
    ]
    return place.pages.answer("drawer.html", {"title": say(words("Drawer")), "tools": tools})


def tool(request: Request, tool: ToolId) -> Response:
    """Show one tool."""
    place = house(request)
    drawer, today = drawer_of(place.place, place.desk.look().tools), place.files.today()
    one = tool_named(drawer.now, tool)
    facts = {
        "title": one.title,
        "tool": _listed(one, today),
        "history": history_view(drawer, tool, today),
    }
    return place.pages.answer("tool.html", facts)


def tool_named(drawer: Drawer, tool_id: str) -> Tool:
    """Return the tool an address names.

    Raises
    ------
    Missing
        When the drawer has none of that name.
    """
    try:
        return drawer.tool(tool_id)
    except Refused as error:
        raise Missing(error.message, needed="entry") from error


def _listed(one: Tool, today: dt.date) -> dict[str, Any]:
    standing = calibration_words(one, today)
    return {
        "id": one.id,
        "title": one.title,
        "kind": say(kind_words(one)),
        "drive": one.drive,
        "scales": scale_texts(one),
        "standing": say(standing) if standing else "",
        "more": [say(line) for line in belonging_words(one)],
        "note": one.note,
        "wrench": one.is_wrench,
    }
