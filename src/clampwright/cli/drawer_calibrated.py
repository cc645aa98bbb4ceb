"""``clampwright drawer calibrated``: enter or import a certificate."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import json_option, print_json, read_file, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.calibration_record import CalibrationRecord
    from clampwright.drawer.tools import Tool


@click.command(
    epilog='Example: clampwright drawer calibrated click-60 --found "60 = 62.1" '
    "--uncertainty 1.2 --k 2 --certificate 2026-118"
)
@click.argument("tool")
@click.option("--date", metavar="DAY", help="When it was done; today if not given.")
@click.option("--found", multiple=True, metavar="POINT",
              help='As found: "SET = MEASURED" or "SET = DEVIATION %".')  # fmt: skip
@click.option("--left", multiple=True, metavar="POINT", help="As left, after an adjustment.")
@click.option("--from", "file", metavar="FILE", help="Take the points from a text table.")
@click.option("--column", "columns", multiple=True, metavar="WHAT=TITLE",
              help="What a column of the table is, such as set='Nominal torque'.")  # fmt: skip
@click.option("--unit", metavar="UNIT", help="Of the points; the first scale's if not given.")
@click.option("--uncertainty", type=float, metavar="PERCENT",
              help="Expanded uncertainty from the certificate.")  # fmt: skip
@click.option("--k", type=float, metavar="K", help="Coverage factor beside it, often 2.")
@click.option("--direction", type=click.Choice(["cw", "ccw"]), help="Of all points.")
@click.option("--due", metavar="DAY", help="Until when it holds.")
@click.option("--months", type=click.IntRange(1, 60), help="For how long it holds.")
@click.option("--includes-resolution", is_flag=True,
              help="The uncertainty contains the reading of the tool's own scale.")  # fmt: skip
@click.option("--certificate", default="", metavar="TEXT", help="Its number.")
@click.option("--by", default="", metavar="NAME", help="Who calibrated.")
@click.option("--device", default="", metavar="TEXT", help="With what.")
@click.option("--note", default="", metavar="TEXT")
@workshop_option
@json_option
def command(*, tool: str, workshop: Path, as_json: bool, **given: Any) -> None:
    """Enter a calibration of TOOL, or import it from a text table.

    As found is kept apart from as left; the look-back needs the one, settings use the other.
    Where nothing was adjusted give --found alone.
    """
    from clampwright.bench.days import today
    from clampwright.bench.tool_events import keep_calibration
    from clampwright.cli.drawer_common import log_of, opened
    from clampwright.drawer.calibration_words import record_lines

    one = opened(workshop).described.tool(tool)
    record = _record(one, given)
    with log_of(workshop) as store:
        receipt = keep_calibration(store, one, record, today=today())
    lines = record_lines(one, record)
    if as_json:
        print_json({"entry": receipt.id, "tool": one.id, **record.as_body()})
        return
    click.echo(text_of(lines[0]))
    for line in lines[1:]:
        click.echo(f"  {text_of(line)}")


def _record(one: Tool, given: dict[str, Any]) -> CalibrationRecord:
    from clampwright.bench.days import today
    from clampwright.cli.days import day
    from clampwright.cli.drawer_common import day_or_today
    from clampwright.drawer.calibration_entry import record_of
    from clampwright.drawer.points_text import points_from
    from clampwright.units import unit_named

    found, left, unit = points_from(given["found"]), points_from(given["left"]), given["unit"]
    if given["file"] is not None:
        from clampwright.work.certificate_table import read_certificate

        table = read_certificate(
            read_file(given["file"]), given["file"], columns=_columns(given["columns"])
        )
        found, left = [*found, *table.found], [*left, *table.left]
        unit = unit or table.unit
    return record_of(
        one,
        date=day_or_today(given["date"]),
        today=today(),
        found=found,
        left=left,
        unit=unit_named(unit, "torque").name if unit else None,
        due=day(given["due"]) if given["due"] else None,
        months=given["months"],
        uncertainty_percent=given["uncertainty"],
        k=given["k"],
        direction=given["direction"],
        includes_resolution=given["includes_resolution"],
        origin="entered" if given["file"] is None else "imported",
        **{name: given[name].strip() for name in ("by", "device", "certificate", "note")},
    )


def _columns(texts: tuple[str, ...]) -> dict[str, str]:
    from clampwright.errors import ClampwrightError
    from clampwright.words import words

    found = {}
    for text in texts:
        what, sign, title = text.partition("=")
        if not sign:
            raise ClampwrightError(
                words("--column {text!r}: write it WHAT=TITLE, such as set=Nominal", text=text[:40])
            )
        found[what.strip()] = title.strip()
    return found
