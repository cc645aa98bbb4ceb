"""``clampwright drawer choose``: every tool for one torque, with reasons; and its setting card."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.suitability import Fitness


@click.command(
    epilog='Example: clampwright drawer choose "45 N·m" --within 5 --workshop demo-workshop'
)
@click.argument("torque")
@click.option("--within", type=float, metavar="PERCENT", help="Limits either way, percent.")
@click.option("--harm", type=int, default=2, show_default=True, help="Harm level, 1 to 3.")
@click.option(
    "--direction", type=click.Choice(["cw", "ccw"]), default="cw", show_default=True, help="Way."
)
@click.option("--adapter", metavar="ID", help="Adapter the reach needs.")
@click.option("--today", help="Day to look at, as 2026-05-01; today if not given.")
@click.option(
    "--card",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE.svg",
    help="Write the setting card of the best one (or of --tool) as SVG.",
)
@click.option("--tool", "tool_id", metavar="ID", help="Show this one only.")
@workshop_option
@json_option
def command(
    torque: str,
    *,
    within: float | None,
    harm: int,
    direction: Literal["cw", "ccw"],
    adapter: str | None,
    today: str | None,
    card: Path | None,
    tool_id: str | None,
    workshop: Path,
    as_json: bool,
) -> None:
    """Say of every tool whether it can give TORQUE, why or why not, and what to set.

    TORQUE is a value with its unit, such as "45 N·m". Exit status 1 when no tool can.
    """
    from clampwright.bench.days import today as this_day
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop
    from clampwright.cli.days import day
    from clampwright.drawer.choice import choose
    from clampwright.drawer.demand import Demand
    from clampwright.units import parse_quantity

    asked = parse_quantity(torque, "torque")
    value = asked.value
    share = None if within is None else within / 100
    demand = Demand(
        "torque",
        value,
        None if share is None else value * (1 - share),
        None if share is None else value * (1 + share),
        unit=asked.written_unit,
        direction=direction,
        harm_level=harm,
    )
    drawer = drawer_of(Workshop(workshop)).now
    between = drawer.adapter(adapter) if adapter else None
    found = choose(drawer, demand, today=day(today) if today else this_day(), adapter=between)
    if tool_id:
        drawer.tool(tool_id)
        found = tuple(one for one in found if one.tool.id == tool_id)
    best = next((one for one in found if one.usable), None)
    told = _card(card, best, clockwise=direction == "cw") if card is not None else ""
    if as_json:
        print_json({"tools": [_json(one) for one in found]})
    else:
        for one in found:
            _show(one)
        if told:
            click.echo(told)
    if best is None:
        raise SystemExit(FINDING)


def _show(one: Fitness) -> None:
    from clampwright.report.setting_words import spoken_setting
    from clampwright.words import words
    from clampwright.work.describe import tool_name

    click.echo(click.style(f"{'+' if one.usable else '-'} {tool_name(one)}", bold=one.usable))
    if one.setting is not None and one.usable:
        for sentence in spoken_setting(one.tool, one.setting):
            click.echo(f"    > {text_of(sentence)}")
    if one.u_rel is not None:
        known = words("torque known to ±{torque:.1f} % (about 95 %)", torque=200 * one.u_rel)
        click.echo(f"    {text_of(known)}")
    for reason in one.reasons:
        click.echo(f"    {text_of(reason)}")


def _card(path: Path, best: Fitness | None, *, clockwise: bool) -> str:
    from clampwright.cli.drawing import check_target, write_drawing
    from clampwright.errors import Refused
    from clampwright.report.settingcard import setting_card
    from clampwright.report.svg import PAPER
    from clampwright.words import words

    check_target(path)
    if best is None or best.setting is None:
        raise Refused(words("no tool of the drawer can be set to that; there is no card"))
    return write_drawing(
        path, setting_card(best.tool, best.setting, clockwise=clockwise, look=PAPER)
    )


def _json(one: Fitness) -> dict[str, object]:
    from clampwright.report.setting_words import spoken_setting

    setting = one.setting
    return {
        "tool": one.tool.id,
        "adapter": one.adapter.id if one.adapter else None,
        "usable": one.usable,
        "may_be_overruled": one.may_be_overruled,
        "score": one.score,
        "u_rel": one.u_rel,
        "reasons": [str(reason) for reason in one.reasons],
        "setting": None
        if setting is None
        else {
            "value": setting.value,
            "unit": setting.scale_unit,
            "torque_at_fastener_Nm": setting.torque_at_fastener,
            "spoken": [str(sentence) for sentence in spoken_setting(one.tool, setting)],
        },
    }
