"""``clampwright archive look-back``: joints one wrench may have spoilt, wherever it went."""

from __future__ import annotations

from typing import Any

import click

from clampwright.cli.archive_common import analyse, analysis_options


@click.command(
    epilog="Example: clampwright archive look-back chain --log yard.56475aa7 --tool click-60",
    short_help="Joints one wrench may have spoilt, wherever it went.",
)
@click.option("--log", required=True, metavar="NAME", help="Log of the workshop that found it off.")
@click.option("--tool", required=True, help="Its id there.")
@click.option("--finding", metavar="ENTRY", help="Entry that found it off; the newest by itself.")
@click.option(
    "--by",
    type=click.Choice(["days", "uses"]),
    default="days",
    show_default=True,
    help="What the drift goes with: the calendar, or how often it was used.",
)
@analysis_options
def command(*, log: str, tool: str, finding: str | None, by: str, **given: Any) -> None:
    """Look back over the pulls with one wrench in every workshop it was handed to.

    The rule is that of `clampwright look-back`. Exit status 1 when a joint wants a second look.
    """
    asked = {"workshop": log, "tool": tool, "finding": finding, "by": by}
    analyse("look-back", given, asked)
