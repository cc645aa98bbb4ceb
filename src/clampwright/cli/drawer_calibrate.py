"""``clampwright drawer calibrate``: perform a calibration, step by step."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from clampwright.cli.output import FINDING, json_option, print_json, read_file, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from collections.abc import Callable

    from clampwright.drawer.evaluated import Evaluated, Reference
    from clampwright.drawer.tools import Drawer, Tool


@click.command(
    epilog="Example: clampwright drawer calibrate click-60 --lever '320 mm' --latitude 54.3 "
    "--carrier 0.4"
)
@click.argument("tool")
@click.option("--device", metavar="ID", help="Test device of the drawer.")
@click.option("--uncertainty", type=float, metavar="PERCENT",
              help="Expanded uncertainty of another device, with --k.")  # fmt: skip
@click.option("--k", type=float, default=2.0, show_default=True)
@click.option("--error", type=float, default=0.0, metavar="PERCENT",
              help="Error of the device that is not corrected.")  # fmt: skip
@click.option("--lever", metavar="LENGTH", help="Hang weights from a lever of this length.")
@click.option("--latitude", type=float, metavar="DEG", help="Of the place, for its gravity.")
@click.option("--height", default="0 m", show_default=True, metavar="LENGTH",
              help="Of the place above the sea.")  # fmt: skip
@click.option("--carrier", type=float, default=0.0, metavar="KG",
              help="What hangs besides: hanger, handle's own weight at the grip.")  # fmt: skip
@click.option("--rule", type=click.Choice(["simple", "guarded", "probability"]),
              default="guarded", show_default=True, help="Decision rule.")  # fmt: skip
@click.option("--confidence", type=float, default=0.95, show_default=True,
              help="For the rule probability.")  # fmt: skip
@click.option("--resolution", type=float, help="Step that can be read, instead of the scale's.")
@click.option("--readings", metavar="FILE", help="Readings as found from a table, without asking.")
@click.option("--left", metavar="FILE", help="Readings as left from a table, without asking.")
@click.option("--steps", "only_steps", is_flag=True, help="Show the sequence and stop.")
@click.option("--try", "only_try", is_flag=True, help="Evaluate, and keep nothing.")
@click.option("--months", type=click.IntRange(1, 60), default=12, show_default=True)
@click.option("--by", default="", metavar="NAME", help="Who performs it.")
@click.option("--note", default="", metavar="TEXT")
@click.option("--paper", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE.pdf",
              help="Write a report.")  # fmt: skip
@workshop_option
@json_option
def command(*, tool: str, workshop: Path, as_json: bool, **given: Any) -> None:
    """Calibrate TOOL against a test device, or with a hung weight and a lever.

    Asks for reading after reading in the order of the standard, tells deviations, uncertainty and
    whether every reading conforms, and keeps as found apart from as left. Exit status 1 when it
    does not conform. It is no accredited calibration.
    """
    from clampwright.cli.drawer_common import opened

    drawer = opened(workshop).now
    one = drawer.tool(tool)
    if given["only_steps"]:
        _show_steps(one, as_json=as_json)
        return
    reference, torque_of = reference_of(drawer, one, given)
    found, left = _both(one, reference, torque_of, given)
    kept = None
    if not given["only_try"]:
        kept = _keep(workshop, one, (found, left), {**given, "invented": drawer.invented})
    if as_json:
        print_json(_as_json(found, left, kept))
    elif given["readings"] is not None:
        for done in filter(None, (found, left)):
            show_evaluated(done)
    if kept is not None and not as_json:
        from clampwright.words import words

        click.echo(text_of(words("Kept on the log as {entry}.", entry=kept)))
    if given["paper"] is not None and not as_json:
        click.echo(str(given["paper"]))
    if (left or found).verdict not in {"pass", "conditional pass"}:
        raise SystemExit(FINDING)


def _show_steps(tool: Tool, *, as_json: bool) -> None:
    from clampwright.drawer.guided import sequence_of, steps_for

    steps = steps_for(tool)
    if as_json:
        rows = [
            {"kind": s.kind, "direction": s.direction, "target": s.target, "say": text_of(s.say)}
            for s in steps
        ]
        print_json({"tool": tool.id, "source": sequence_of(tool).source, "steps": rows})
        return
    for number, step in enumerate(steps, 1):
        click.echo(f"{number:>3}  {step.direction:<3}  {text_of(step.say)}")
    click.echo(sequence_of(tool).source)


def reference_of(
    drawer: Drawer, tool: Tool, given: dict[str, Any]
) -> tuple[Reference, Callable[[float], float]]:
    """Return what the tool is compared with, and how a reading becomes a torque on its scale."""
    from clampwright.drawer.evaluated import Reference
    from clampwright.errors import Missing
    from clampwright.words import words

    unit = tool.scales[0].unit if tool.scales else "N·m"
    if given["lever"] is not None:
        return _weight(given, unit)
    if given["device"] is not None:
        return _device(drawer, given["device"], unit)
    if given["uncertainty"] is None:
        raise Missing(
            words("say what to compare with: --device, --uncertainty and --k, or --lever"), "device"
        )
    name = text_of(words("test device, uncertainty {value:g} %", value=given["uncertainty"]))
    return Reference(name, given["uncertainty"], given["k"], given["error"]), float


def _device(drawer: Drawer, wanted: str, unit: str) -> tuple[Reference, Callable[[float], float]]:
    from clampwright.drawer.evaluated import Reference
    from clampwright.errors import Missing
    from clampwright.units import factor
    from clampwright.words import words

    device = drawer.test_device(wanted)
    if device.u_rel is None:
        raise Missing(
            words("the drawer file states no uncertainty of {device}", device=device.title),
            "uncertainty_percent",
        )
    size = factor(device.unit, unit)
    return Reference(device.title, 200 * device.u_rel), lambda value: value * size


def _weight(given: dict[str, Any], unit: str) -> tuple[Reference, Callable[[float], float]]:
    from clampwright.drawer.evaluated import Reference
    from clampwright.drawer.hung_weight import HungWeight, local_gravity
    from clampwright.errors import Missing
    from clampwright.units import factor, parse_quantity
    from clampwright.words import words

    if given["latitude"] is None:
        raise Missing(words("with --lever give --latitude too: gravity goes with it"), "latitude")
    lever = parse_quantity(given["lever"], "length").value
    height = parse_quantity(given["height"], "length").value
    weight = HungWeight(lever, local_gravity(given["latitude"], height), given["carrier"])
    title = text_of(
        words(
            "hung weight, lever {lever:g} mm, gravity {gravity:.4f} m/s²",
            lever=lever,
            gravity=weight.gravity,
        )
    )
    size = factor("N·m", unit)
    return Reference(title, weight.uncertainty_percent), lambda mass: weight.torque(mass) * size


def _both(
    tool: Tool,
    reference: Reference,
    torque_of: Callable[[float], float],
    given: dict[str, Any],
) -> tuple[Evaluated, Evaluated | None]:
    """Return what was found and what was left, from tables or from the person."""
    if given["readings"] is None:
        from clampwright.cli.calibrate_talk import ask_both

        return ask_both(tool, reference, torque_of, given)
    found = from_table(tool, reference, torque_of, given["readings"], given)
    left = given["left"]
    return found, None if left is None else from_table(tool, reference, torque_of, left, given)


def from_table(
    tool: Tool,
    reference: Reference,
    torque_of: Callable[[float], float],
    file: str,
    given: dict[str, Any],
) -> Evaluated:
    """Evaluate the readings of a table."""
    from clampwright.drawer.evaluated import evaluate
    from clampwright.work.readings_table import read_readings

    table = read_readings(read_file(file), file, tool, torque_of=torque_of)
    return evaluate(
        tool,
        table.points,
        reference,
        rule=given["rule"],
        confidence=given["confidence"],
        resolution=given["resolution"],
        series=table.series,
    )


def _keep(
    workshop: Path, tool: Tool, both: tuple[Evaluated, Evaluated | None], given: dict[str, Any]
) -> str:
    from clampwright.bench.calibration_papers import write_report
    from clampwright.bench.days import today
    from clampwright.bench.tool_events import keep_calibration
    from clampwright.cli.drawer_common import log_of
    from clampwright.drawer.evaluated import record_from

    record = record_from(
        *both, date=today(), months=given["months"], by=given["by"], note=given["note"]
    )
    with log_of(workshop) as store:
        receipt = keep_calibration(store, tool, record, today=today())
        if given["paper"] is not None:
            write_report(
                given["paper"],
                tool,
                record,
                store.get(receipt.id),
                store.workshop,
                invented=given["invented"],
            )
    return receipt.id


def show_evaluated(done: Evaluated) -> None:
    """Print deviations, uncertainty and decision of every point."""
    from clampwright.drawer.calibration_words import evaluated_lines

    for line in evaluated_lines(done):
        click.echo(text_of(line))


def _as_json(found: Evaluated, left: Evaluated | None, kept: str | None) -> dict[str, Any]:
    from clampwright.drawer.evaluated import details_of

    return {
        "tool": found.tool.id,
        "entry": kept,
        "verdict": (left or found).verdict,
        "found": details_of(found),
        "left": None if left is None else details_of(left),
    }
