"""``clampwright drawer show``: one tool, what it is and what happened to it."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright drawer show click-60 --workshop demo-workshop")
@click.argument("tool")
@workshop_option
@json_option
def command(tool: str, *, workshop: Path, as_json: bool) -> None:
    """Show one tool: what it is, and what happened to it."""
    from clampwright.bench.days import today
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop
    from clampwright.drawer.range_words import calibration_words, kind_words, scale_texts

    one = drawer_of(Workshop(workshop)).tool(tool)
    standing = calibration_words(one, today())
    if as_json:
        print_json(
            {
                "id": one.id,
                "title": one.title,
                "kind": one.kind,
                "scales": list(scale_texts(one)),
                "standing": text_of(standing) or None,
            }
        )
        return
    click.echo(click.style(one.title, bold=True))
    for line in (text_of(kind_words(one)), *scale_texts(one), text_of(standing)):
        if line:
            click.echo(f"  {line}")
