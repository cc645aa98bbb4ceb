"""``clampwright drawer``: what lies in the drawer, and how far to trust it."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

LINES = {
    "list": "List the tools of the drawer.",
    "calibrated": "Enter or import a calibration.",
    "note": "Note what happened to a tool.",
    "show": "Show one tool: what it is, and what happened to it.",
}
"""Every command with its line of help; ``drawer_NAME.py`` beside this file holds its function."""


@click.group(
    cls=LazyGroup,
    lines=LINES,
    beginning="drawer_",
    short_help="Look after the wrenches.",
    epilog="Example: clampwright drawer list --workshop demo-workshop",
)
def command() -> None:
    """Look after the wrenches: what lies in the drawer, and how far to trust it.

    The drawer file describes the tools; what happens to them stands in the workshop's log. Both
    together say what a tool is worth today.
    """
