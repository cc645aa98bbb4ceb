"""``clampwright archive bad-calibration``: joints that rest on a calibration found bad."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive bad-calibration chain --device bench-7 --error 2.5",
    short_help="Joints that rest on a calibration found bad.",
)
@click.option("--certificate", metavar="NUMBER", help="The one with this number.")
@click.option("--device", metavar="NAME", help="All that were made with this device.")
@click.option("--laboratory", metavar="NAME", help="All that were made by these.")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="Made on this day or later.")
@click.option("--until", type=click.DateTime(["%Y-%m-%d"]), help="Made on this day or before.")
@click.option(
    "--error", type=float, help="Percent that belongs on the deviations it states, where known."
)
@click.option(
    "--u",
    type=click.FloatRange(min=0.0),
    default=0.0,
    show_default=True,
    help="Standard uncertainty of that error, percent.",
)
@analysis_options
def command(**given: Any) -> None:
    """Find the joints that rest on a bad calibration, in every workshop.

    Name it by --certificate, --device or --laboratory. Each wrench is taken to have been off from
    that calibration to its next one; without --error, by anything that is permissible. Exit status
    1 when a joint wants a second look.
    """
    from clampwright.errors import Missing
    from clampwright.words import words

    names = {"certificate": "certificate", "device": "device", "by": "laboratory"}
    named = [(member, given[option]) for member, option in names.items() if given[option]]
    if len(named) != 1:
        raise Missing(
            words("name the calibration by one of --certificate, --device or --laboratory"),
            needed="certificate",
        )
    (member, text) = named[0]
    days = {name: given[name].date().isoformat() if given[name] else None
            for name in ("since", "until")}  # fmt: skip
    asked = {"named_by": member, "named": text, "error": given["error"], "u": given["u"], **days}
    analyse("bad-calibration", given, asked)
