"""The drawer of a workshop as it is today: its file, and what happened to the tools since."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from clampwright.bench.folder import Workshop, histories_in, read_bytes
from clampwright.drawer.as_of import drawer_as_of
from clampwright.drawer.files import load_drawer
from clampwright.drawer.history import ToolHistory
from clampwright.drawer.tools import Drawer


@dataclass(frozen=True, slots=True)
class DrawerNow:
    """A drawer and what happened to it.

    Parameters
    ----------
    described : Drawer
        As the drawer file describes it.
    now : Drawer
        With newest calibrations, uses counted and open doubts.
    histories : mapping of str to ToolHistory
        By tool id; tools of which the log knows nothing are absent.
    """

    described: Drawer
    now: Drawer
    histories: Mapping[str, ToolHistory] = field(default_factory=dict)

    def history(self, tool_id: str) -> ToolHistory:
        """Return what happened to a tool."""
        return self.histories.get(tool_id, ToolHistory())


def drawer_of(place: Workshop, histories: Mapping[str, ToolHistory] | None = None) -> DrawerNow:
    """Return the drawer of a workshop.

    Parameters
    ----------
    place : Workshop
    histories : mapping of str to ToolHistory, optional
        What the log tells, where the caller keeps it folded.

    Returns
    -------
    DrawerNow

    Raises
    ------
    BadFile
        When the drawer file or the log cannot be taken.
    """
    described = load_drawer(read_bytes(place.drawer), str(place.drawer))
    known = histories_in(place.folder) if histories is None else histories
    return DrawerNow(described, drawer_as_of(described, known), known)
