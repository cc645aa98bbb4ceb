"""``clampwright shelf``: the procedures kept for reuse, each with its source and versions."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

LINES = {
    "list": "List the procedures, or those that hold some words.",
    "show": "Show one version: what was understood, its source, who has read it.",
    "add": "Put a procedure on the shelf, or a new version of one.",
    "compare": "Show what changed between two versions.",
    "confirm": "Say as a second reader that a version is as its source has it.",
    "job": "Make a job file that is worked by a version.",
}
"""Every command with its line of help; ``shelf_NAME.py`` beside this file holds its function."""


@click.group(
    cls=LazyGroup,
    lines=LINES,
    beginning="shelf_",
    short_help="Keep procedures for reuse.",
    epilog="Example: clampwright shelf list --workshop demo-workshop",
)
def command() -> None:
    """Keep procedures for reuse, each with its source and versions.

    A version never changes; a change is a new version. A job names the exact version it is worked
    by.
    """
