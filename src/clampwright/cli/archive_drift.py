"""``clampwright archive drift``: how the wrenches of the fleet wander."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive drift chain --workers 2",
    short_help="How the wrenches of the fleet wander.",
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
    """Pool how the wrenches of the fleet changed from calibration to calibration, by their kind.

    Exit status 1 when a wrench is unlike the others of its kind, its checks signal, or a part was
    set aside.
    """
    analyse("drift", given, {"share": share})
