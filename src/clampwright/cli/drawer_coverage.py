"""``clampwright drawer coverage``: what the drawer cannot do well, and what would help most."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.closing_gaps import Suggestion
    from clampwright.drawer.coverage import Coverage


@click.command(epilog="Example: clampwright drawer coverage --workshop demo-workshop")
@workshop_option
@click.option("--today", help="Day to look at, as 2026-05-01; today if not given.")
@click.option(
    "--chart",
    type=click.Path(dir_okay=False, path_type=Path),
    metavar="FILE.svg",
    help="Write the ranges against the needs as SVG.",
)
@json_option
def command(*, workshop: Path, today: str | None, chart: Path | None, as_json: bool) -> None:
    """Show which stages of the jobs are badly covered, which wrenches overlap, what would help.

    Exit status 1 when a stage is covered badly or not at all.
    """
    from clampwright.bench.days import today as this_day
    from clampwright.bench.drawer_needs import asked_of
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop
    from clampwright.cli.days import day
    from clampwright.drawer.closing_gaps import suggest
    from clampwright.drawer.coverage import coverage, most_common_unit
    from clampwright.words import words

    date = day(today) if today else this_day()
    drawer = drawer_of(Workshop(workshop)).now
    asked = asked_of(Workshop(workshop), drawer)
    found = coverage(drawer, asked.needs, today=date)
    made = suggest(drawer, found, today=date)
    if chart is not None:
        from clampwright.cli.drawing import check_target, write_drawing
        from clampwright.report.ranges_chart import ranges_chart
        from clampwright.report.svg import PAPER

        check_target(chart)
        svg = ranges_chart(drawer, found, unit=most_common_unit(asked.needs), look=PAPER)
        told = write_drawing(chart, svg)
    if as_json:
        print_json(_json(found, made, [name for name, _why in asked.skipped]))
    else:
        _show(found, made)
        for name, why in asked.skipped:
            click.echo(text_of(words("{file} left out: {why}", file=name, why=why)))
        if chart is not None:
            click.echo(told)
    if found.badly:
        raise SystemExit(FINDING)


def _show(found: Coverage, made: Suggestion | None) -> None:
    from clampwright.words import words

    head = words(
        "{needs} stages need a tool; {bad} are covered badly or not at all",
        needs=len(found.needs),
        bad=len(found.badly),
    )
    click.echo(click.style(text_of(head), bold=True))
    for one in found.badly:
        mark = "!" if one.best is None else "~"
        click.echo(f"  {mark} {text_of(one.need.name)}")
        click.echo(f"      {text_of(one.words)}")
    if made is not None:
        click.echo(text_of(words("The best single addition: {what}.", what=made.words)))
    for pair in found.overlaps:
        click.echo(
            text_of(
                words(
                    "{one} and {other} do nearly the same ({share:.0f} % of the range); only the "
                    "first can do {mine} stages, only the second {theirs}",
                    one=pair.one.title,
                    other=pair.other.title,
                    share=100 * pair.share,
                    mine=pair.only_one,
                    theirs=pair.only_other,
                )
            )
        )


def _json(found: Coverage, made: Suggestion | None, skipped: list[str]) -> dict[str, object]:
    return {
        "needs": [
            {
                "what": str(one.need.name),
                "torque_Nm": one.need.torque,
                "unit": one.need.demand.unit,
                "gap": one.gap,
                "why": str(one.words),
                "best": one.best.tool.id if one.best else None,
            }
            for one in found.needs
        ],
        "overlaps": [
            {"one": pair.one.id, "other": pair.other.id, "share": round(pair.share, 3)}
            for pair in found.overlaps
        ],
        "suggestion": None
        if made is None
        else {
            "kind": made.tool.kind,
            "drive": made.tool.drive,
            "scales": [{"unit": s.unit, "low": s.low, "high": s.high} for s in made.tool.scales],
            "directions": list(made.tool.directions),
            "closes": len(made.closes),
            "left": made.left,
            "text": str(made.words),
        },
        "left_out": skipped,
    }
