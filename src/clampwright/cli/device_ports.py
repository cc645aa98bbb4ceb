"""``clampwright device ports``: the serial ports of this machine."""

from __future__ import annotations

import click

from clampwright.cli.output import json_option, print_json, text_of


@click.command(epilog="Example: clampwright device ports")
@json_option
def command(*, as_json: bool) -> None:
    """List the serial ports of this machine, USB ones too."""
    from clampwright.bench.serial_line import ports
    from clampwright.words import words

    found = ports()
    if as_json:
        print_json({"ports": [{"port": name, "about": about} for name, about in found]})
        return
    for name, about in found:
        click.echo(f"{name}  {about}")
    if not found:
        click.echo(text_of(words("The system knows no serial port just now.")))
