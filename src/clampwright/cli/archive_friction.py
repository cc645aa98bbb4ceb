"""``clampwright archive friction``: friction by condition, workshops pooled."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive friction chain --workers 2",
    short_help="Friction by condition, workshops pooled.",
)
@analysis_options
def command(**given: Any) -> None:
    """Pool the friction that traces tell, by the condition their jobs name.

    Exit status 1 when a part was set aside.
    """
    analyse("friction", given)
