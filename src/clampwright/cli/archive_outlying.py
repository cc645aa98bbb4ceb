"""``clampwright archive outlying``: joints unlike all others of their kind."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive outlying chain --workers 2",
    short_help="Joints unlike all others of their kind.",
)
@click.option(
    "--share",
    type=click.FloatRange(0.0001, 0.5),
    default=0.05,
    show_default=True,
    help="Share of false alarms among the alarms that is borne.",
)
@analysis_options
def command(*, share: float, **given: Any) -> None:
    """Find joints whose angle (or torque) is unlike that of all others with the same procedure.

    Exit status 1 when there is one, or a part was set aside.
    """
    analyse("outlying", given, {"share": share})
