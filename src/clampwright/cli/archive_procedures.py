"""``clampwright archive procedures``: procedures that give most trouble."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive procedures chain --workers 2",
    short_help="Procedures that give most trouble.",
)
@analysis_options
def command(**given: Any) -> None:
    """Rank procedures by the share of pulls that did not come out within.

    Exit status 1 when a part was set aside.
    """
    analyse("procedures", given)
