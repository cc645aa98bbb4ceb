"""``clampwright drawer add``: one wrench into the drawer file, with seven fields."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog='Example: clampwright drawer add --title "Small click wrench" --kind click '
    '--drive "1/4 in" --unit "N·m" --low 5 --high 25 --main-step 5 --fine-step 0.25'
)
@click.option("--title", required=True, help="What you call it.")
@click.option(
    "--kind",
    required=True,
    help="beam, dial, click, electronic; or bar, ratchet, angle_gauge.",
)
@click.option("--drive", required=True, help='Its square, such as "1/2 in".')
@click.option("--unit", default="", help="Unit engraved on its scale.")
@click.option("--low", help="Lowest main mark.")
@click.option("--high", help="Highest main mark; of a fixed wrench its one torque.")
@click.option("--main-step", help="From main mark to main mark; of a display its smallest step.")
@click.option("--fine-step", help="One mark of the sleeve, or one fine mark.")
@click.option("--id", "tool_id", default="", help="Its name at the bench; made up if not given.")
@click.option(
    "--direction",
    "directions",
    multiple=True,
    type=click.Choice(["cw", "ccw"]),
    help="Which way it works; twice for both.",
)
@click.option("--step-deg", help="Smallest step of angle it shows.")
@click.option("--length-mm", help="From the square to the grip mark.")
@click.option("--serial", default="", help="Serial number.")
@click.option("--note", default="", help="Remark.")
@click.option(
    "--mechanism",
    type=click.Choice(["screw", "fixed", "no_scale"]),
    default="screw",
    show_default=True,
    help="Of a click wrench: set by its screw, fixed, or only on a test device.",
)
@click.option("--calibrated", help="Date of its certificate, as 2026-05-01.")
@workshop_option
@json_option
def command(
    *,
    workshop: Path,
    as_json: bool,
    tool_id: str,
    calibrated: str | None,
    **fields: object,
) -> None:
    """Write a tool into the drawer file of a workshop; what stands there stays as it is.

    Needed for a wrench: title, kind, drive, unit, low, high, main step. When something is wrong
    nothing is written.
    """
    from clampwright.bench.days import today
    from clampwright.bench.drawer_writing import add_tool
    from clampwright.bench.folder import Workshop
    from clampwright.cli.days import day
    from clampwright.drawer.new_tool import NewTool
    from clampwright.units import parse_number
    from clampwright.words import words

    for name in _NUMBERS:
        text = fields[name]
        fields[name] = None if text is None else float(parse_number(str(text)))
    new = NewTool(
        id=tool_id,
        calibrated=day(calibrated) if calibrated else None,
        **fields,  # type: ignore[arg-type]  # click's options, named as the members
    )
    made = add_tool(Workshop(workshop), new, today=today())
    if as_json:
        print_json({"tool": made})
        return
    click.echo(text_of(words("{tool} is in the drawer", tool=made)))
    click.echo(text_of(words("Scratch or paint this name on it.")))


_NUMBERS = ("low", "high", "main_step", "fine_step", "step_deg", "length_mm")
