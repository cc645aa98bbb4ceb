"""``clampwright drawer compare``: check a tool against a trusted one."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.cross_check import Compared, Pair, Trusted
    from clampwright.drawer.tools import Drawer


@click.command(
    epilog="Example: clampwright drawer compare click-60 electronic-200 "
    '--pair "40 = 40.3" --pair "40 = 40.6" --pair "40 = 40.2"'
)
@click.argument("tool")
@click.argument("trusted")
@click.option("--pair", "pairs", multiple=True, metavar="TOOL=TRUSTED",
              help="What the tool and the trusted one showed for the same pull.")  # fmt: skip
@click.option("--unit", metavar="UNIT", help="Of the pairs; the first scale's if not given.")
@click.option("--direction", type=click.Choice(["cw", "ccw"]), default="cw", show_default=True)
@click.option("--correlation", type=click.FloatRange(-1, 1), default=0.0, show_default=True,
              help="Of the two tools' uncertainties: calibrated on the same device; where nobody "
              "knows it 0.5, our own choice.")  # fmt: skip
@click.option("--date", metavar="DAY", help="When; today if not given.")
@click.option("--note", default="", metavar="TEXT")
@click.option("--try", "only_try", is_flag=True, help="Evaluate, and keep nothing.")
@workshop_option
@json_option
def command(*, tool: str, trusted: str, workshop: Path, as_json: bool, **given: Any) -> None:
    """Check TOOL against TRUSTED (a tool or a test device) by pulls that both saw.

    Says what the pairs show, what they cannot show, and whether it matters. Exit status 1 when the
    tool is off or it cannot be told.
    """
    from clampwright.bench.days import today
    from clampwright.bench.tool_events import keep_check
    from clampwright.cli.drawer_common import day_or_today, log_of, opened
    from clampwright.drawer.cross_check import compare
    from clampwright.drawer.points_text import pairs_from

    drawer = opened(workshop).now
    one = drawer.tool(tool)
    pairs = pairs_from(given["pairs"])
    unit = given["unit"] or (one.scales[0].unit if one.scales else "N·m")
    other = trusted_of(drawer, trusted, pairs, unit, given["direction"])
    found = compare(
        one,
        other,
        pairs,
        unit=unit,
        direction=given["direction"],
        correlation=given["correlation"],
    )
    entry = None
    if not given["only_try"]:
        check = found.record(
            date=day_or_today(given["date"]),
            trusted=other.name,
            unit=unit,
            pairs=pairs,
            direction=given["direction"],
            note=given["note"],
        )
        with log_of(workshop) as store:
            entry = keep_check(store, one, check, today=today()).id
    if as_json:
        print_json({"entry": entry, **_as_json(found)})
    else:
        for line in (*found.shows, *found.cannot_show):
            click.echo(text_of(line))
    if found.verdict != "agrees":
        raise SystemExit(FINDING)


def trusted_of(drawer: Drawer, name: str, pairs: list[Pair], unit: str, direction: Any) -> Trusted:
    """Return the trusted tool or test device of a name."""
    from clampwright.bench.days import today
    from clampwright.drawer.cross_check import trusted_device, trusted_tool

    if any(device.id == name for device in drawer.test_devices):
        return trusted_device(drawer.test_device(name))
    level = sum(other for _one, other in pairs) / len(pairs) if pairs else 1.0
    return trusted_tool(drawer.tool(name), level, unit, direction, today=today())


def _as_json(found: Compared) -> dict[str, Any]:
    return {
        "verdict": found.verdict,
        "deviation_percent": found.deviation,
        "low_percent": found.low,
        "high_percent": found.high,
        "standard_uncertainty_percent": found.u,
        "normalized_error": found.normalized_error,
        "p": None if found.difference is None else found.difference.p,
        "significant": None if found.difference is None else found.difference.significant,
        "shows": [text_of(line) for line in found.shows],
        "cannot_show": [text_of(line) for line in found.cannot_show],
    }
