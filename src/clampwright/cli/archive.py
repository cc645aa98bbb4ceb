"""``clampwright archive``: many workshops in one place, analysed together."""

from __future__ import annotations

import click

from clampwright.cli import LazyGroup

ARCHIVE_COMMANDS = {
    "put": "Put workshops, exports, records or traces into an archive.",
    "show": "Show what an archive holds, and what is missing.",
    "rejudge": "Judge all recorded pulls by today's rules; list what changes.",
    "drift": "How the wrenches of the fleet wander.",
    "friction": "Friction by condition, workshops pooled.",
    "outlying": "Joints unlike all others of their kind.",
    "procedures": "Procedures that give most trouble.",
    "look-back": "Joints one wrench may have spoilt, wherever it went.",
    "bad-calibration": "Joints that rest on a calibration found bad.",
    "plan": "Storage, hours and core-hours for a fleet, from measured costs.",
}
"""Every command with its line of help; the module ``archive_<name>`` holds its function."""


@click.group(
    cls=LazyGroup,
    lines=ARCHIVE_COMMANDS,
    beginning="archive_",
    short_help="Analyse the logs and traces of many workshops together.",
    epilog="Example: clampwright archive put chain demo-workshop",
)
def command() -> None:
    """Keep the logs and traces of many workshops in one folder, and analyse them together.

    Analyses are done piece by piece. What is done is kept: a run that was stopped goes on where it
    stood. With --workers they are spread over processes by Dask (the extra "archive"), with the
    same numbers.
    """
