"""``clampwright device doctor``: what is wrong with a serial line, and what to do about it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.line_option import line_form
from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.bench.device_doctor import Diagnosis


@click.command(epilog="Example: clampwright device doctor --port /dev/ttyUSB0 --speed 9600")
@click.option("--port", help="Serial port; that of the workshop's device if left out.")
@click.option("--speed", type=click.IntRange(50, 4_000_000), help="Bits a second.")
@click.option("--lines", help="How to read a line: a TOML file, or in one line.")
@click.option(
    "--seconds",
    type=click.FloatRange(0.5, 60),
    default=3.0,
    show_default=True,
    help="How long to listen.",
)
@workshop_option
@json_option
def command(
    *,
    port: str | None,
    speed: int | None,
    lines: str | None,
    seconds: float,
    workshop: Path,
    as_json: bool,
) -> None:
    """Open a port, listen for a while, and say what is wrong and what to do.

    It tells a port that is missing, forbidden or in use; a silent device; a wrong speed; lines
    that do not fit what was said of them. Exit status 1 when something is to be done.
    """
    from clampwright.bench.device_doctor import examine
    from clampwright.bench.device_file import SPEED, device_of
    from clampwright.errors import Missing
    from clampwright.words import words

    own = None if port else device_of(workshop)
    if own is None and port is None:
        raise Missing(
            words("name a --port; the workshop has no device.toml to take it from"), needed="port"
        )
    form = line_form(lines) if lines else (own.form if own else None)
    rate = speed or (own.speed if own else SPEED)
    found = examine(port or (own.port if own else ""), rate, form, seconds=seconds)
    _show(found, as_json=as_json)
    if not found.well:
        raise SystemExit(FINDING)


def _show(found: Diagnosis, *, as_json: bool) -> None:
    looked = found.looked
    if as_json:
        came = None
        if looked is not None:
            came = {
                "bytes": looked.size,
                "lines": looked.lines,
                "matched": looked.matched,
                "sample": list(looked.sample),
            }
        print_json({"code": found.code, "text": str(found.say), "do": str(found.do), "came": came})
        return
    click.echo(text_of(found.say))
    if not found.well:
        click.echo(f"=> {text_of(found.do)}")
    for line in looked.sample if looked else ():
        click.echo(f"   {line}")
