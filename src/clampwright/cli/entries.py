"""``clampwright entries``: what devices made without network, and what could not be taken."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

LINES = {
    "take-in": "Take in entries that were carried here from a device by hand.",
    "unsigned": "List what waits to be signed or named; sign, refuse or name it.",
    "aside": "List what could not be taken, or settle it in words.",
}
"""Every command with its line of help; ``entries_NAME.py`` beside this file holds its function."""


@click.group(
    cls=LazyGroup,
    lines=LINES,
    beginning="entries_",
    short_help="Entries of devices without network.",
    epilog="Example: clampwright entries aside trailer-wheel --workshop demo-workshop",
)
def command() -> None:
    """Take in what devices made without network, and settle what could not be taken."""
