"""``clampwright device keep``: which device the server of a workshop holds."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog="Example: clampwright device keep --port /dev/ttyUSB0 --lines 'time 1 ms; torque 2 "
    "N·m; angle 3 deg' --tool electronic-200"
)
@click.option("--port", required=True, help="Serial port, such as /dev/ttyUSB0 or COM3.")
@click.option(
    "--speed",
    type=click.IntRange(50, 4_000_000),
    default=9600,
    show_default=True,
    help="Bits a second.",
)
@click.option("--lines", required=True, help="How to read a line, in one line of text.")
@click.option("--tool", default="", help="Id of the wrench in the drawer that sends.")
@click.option(
    "--begins",
    type=click.FloatRange(min=0, min_open=True, max=1000),
    default=3.0,
    show_default=True,
    help="From this torque on a pull has begun, N·m.",
)
@click.option(
    "--rest",
    type=click.FloatRange(0.5, 60),
    default=2.5,
    show_default=True,
    help="So long, s, must the torque stay below it before the pull is over.",
)
@workshop_option
def command(
    *,
    port: str,
    speed: int,
    lines: str,
    tool: str,
    begins: float,
    rest: float,
    workshop: Path,
) -> None:
    """Keep which device the server of a workshop holds, in its file device.toml.

    The server opens the port when it starts and lets it go when it stops.
    """
    from clampwright.bench.device_file import Device, keep_device
    from clampwright.bench.folder import Workshop
    from clampwright.drawer.files import load_drawer
    from clampwright.words import words

    place = Workshop(workshop)
    drawer = load_drawer(place.drawer.read_bytes(), place.drawer.name)
    if tool:
        drawer.tool(tool)
    device = Device(port=port, speed=speed, lines=lines, tool=tool, begins_Nm=begins, rest_s=rest)
    path = keep_device(workshop, device)
    click.echo(text_of(words("Kept in {file}; start the server anew.", file=path.name)))
