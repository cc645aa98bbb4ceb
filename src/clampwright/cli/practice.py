"""``clampwright practice``: exercises for feel and judgement, kept apart from the log."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

PRACTICE_COMMANDS = {
    "lessons": "List the lessons, and check a file of your own.",
    "ask": "Ask an exercise, or answer it.",
    "feel": "Note a try by hand, or show what the tries say.",
    "what-if": "What would happen if: two cases of a joint side by side.",
    "sheet": "Set a lesson as a sheet to hand out.",
    "class": "Show what a class has done.",
    "export": "Write the results of a class as a table or JSON.",
    "forget": "Erase the results of a class, or of one learner.",
    "send": "Send the torque of a device, live, to the page of a try.",
}
"""Every command with its line of help; the module ``practice_<name>`` holds its function."""


@click.group(
    cls=LazyGroup,
    lines=PRACTICE_COMMANDS,
    beginning="practice_",
    short_help="Train feel and judgement.",
    epilog="Example: clampwright practice ask first/2",
)
def command() -> None:
    """Train the feel, estimate clamp loads, find faults, see what would happen if.

    Results are kept in the workshop folder by class and learner, apart from the log: nothing of
    practice is proof of anything, and no record of a job knows of it.
    """
