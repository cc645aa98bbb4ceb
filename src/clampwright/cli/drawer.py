"""``clampwright drawer``: what lies in the drawer, and how far to trust it."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

LINES = {
    "list": "List the tools of the drawer.",
    "due": "List which wrench is to be calibrated when.",
    "calibrate": "Perform a calibration, step by step.",
    "calibrated": "Enter or import a calibration.",
    "compare": "Check a tool against a trusted one.",
    "checks": "Chart the checks of a tool over time.",
    "study": "Tell the spread of the tool from that of the people.",
    "note": "Note what happened to a tool.",
    "show": "Show one tool: what it is, and what happened to it.",
    "choose": "Say of every tool whether it can give a torque, and what to set.",
    "take": "Take another tool for a stage than the plan says, with a reason.",
    "read-back": "Compare what a second person reads off the scale.",
    "add": "Write a tool into the drawer file.",
    "attach": "Keep a photograph or certificate with a tool.",
    "coverage": "Show which work is badly covered, and what would help most.",
    "by-feel": "Say which fasteners need a wrench, and which do not.",
    "look-over": "List what to look at before buying, borrowing or pulling.",
    "keep-or-replace": "Compare what keeping a wrench costs with a new one.",
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
