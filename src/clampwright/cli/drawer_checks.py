"""``clampwright drawer checks``: the checks of a tool over time."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright drawer checks click-60 --chart checks.svg")
@click.argument("tool")
@click.option("--direction", type=click.Choice(["cw", "ccw"]), default="cw", show_default=True)
@click.option(
    "--near", metavar="TORQUE", help="Checks near this torque; the newest's if not given."
)
@click.option("--chart", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.svg",
              help="Draw them.")  # fmt: skip
@workshop_option
@json_option
def command(
    *,
    tool: str,
    direction: str,
    near: str | None,
    chart: Path | None,
    workshop: Path,
    as_json: bool,
) -> None:
    """Chart the checks of TOOL: moving average and cumulative sum, with their limits.

    They tell that a tool wanders before a single check does. Exit status 1 where one of them leaves
    its limits.
    """
    from clampwright.cli.drawer_common import opened
    from clampwright.cli.drawing import check_target, write_drawing
    from clampwright.drawer.check_series import series_for
    from clampwright.drawer.trust import permissible_for
    from clampwright.report.check_chart import check_chart
    from clampwright.units import parse_quantity
    from clampwright.words import words

    if chart is not None:
        check_target(chart)
    drawer = opened(workshop)
    one = drawer.now.tool(tool)
    series = series_for(
        one,
        drawer.history(tool).checks,
        direction="ccw" if direction == "ccw" else "cw",
        level=parse_quantity(near, "torque").value if near else None,
    )
    if as_json:
        rows = [
            {
                "date": band.check.date.isoformat(),
                "deviation_percent": band.check.deviation,
                "average_percent": band.average,
                "low_percent": band.low,
                "high_percent": band.high,
                "sum_high_percent": band.sum_high,
                "sum_low_percent": band.sum_low,
                "signals": list(band.signals),
            }
            for band in series.bands
        ]
        print_json({"tool": one.id, "target_percent": series.target, "checks": rows})
    else:
        for band in series.bands:
            said = words(
                "{date}  {deviation:+.2f} %  average {average:+.2f} % ({low:+.2f} to {high:+.2f})  "
                "{signals}",
                date=band.check.date.isoformat(),
                deviation=band.check.deviation,
                average=band.average,
                low=band.low,
                high=band.high,
                signals="!" * len(band.signals),
            )
            click.echo(text_of(said))
        if series.signals:
            click.echo(text_of(words("It wanders: have it calibrated.")))
        else:
            click.echo(text_of(words("Nothing leaves its limits.")))
    if chart is not None:
        line = write_drawing(chart, check_chart(series, permissible_for(one)))
        if not as_json:
            click.echo(line)
    if series.signals:
        raise SystemExit(FINDING)
