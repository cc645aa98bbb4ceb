"""``clampwright device``: the wrench or logger on a serial line of this machine."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

LINES = {
    "ports": "List the serial ports of this machine.",
    "doctor": "Listen to a port, and say what is wrong and what to do.",
    "keep": "Keep which device the server holds.",
}
"""Every command with its line of help; ``device_NAME.py`` beside this file holds its function."""


@click.group(
    cls=LazyGroup,
    lines=LINES,
    beginning="device_",
    short_help="Look after the device on a serial line.",
    epilog="Example: clampwright device ports",
)
def command() -> None:
    """Look after the device on a serial line: its port, its speed, how its lines are read."""
