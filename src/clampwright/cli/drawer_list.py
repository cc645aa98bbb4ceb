"""``clampwright drawer list``: the tools at a glance."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(epilog="Example: clampwright drawer list --workshop demo-workshop")
@workshop_option
@json_option
def command(*, workshop: Path, as_json: bool) -> None:
    """List the tools of the drawer: kind, range, calibration."""
    from clampwright.bench.days import today
    from clampwright.bench.drawers import drawer_of
    from clampwright.bench.folder import Workshop
    from clampwright.drawer.range_words import calibration_words, kind_words, scale_texts

    drawer, day = drawer_of(Workshop(workshop)).now, today()
    if as_json:
        rows = [
            {
                "id": tool.id,
                "title": tool.title,
                "kind": tool.kind,
                "scales": list(scale_texts(tool)),
                "due": tool.calibration.due_on.isoformat() if tool.calibration else None,
            }
            for tool in drawer.tools
        ]
        print_json({"tools": rows})
        return
    for tool in drawer.tools:
        click.echo(click.style(f"{tool.id}  {tool.title}", bold=True))
        parts = [text_of(kind_words(tool)), *scale_texts(tool)]
        standing = calibration_words(tool, day)
        if standing:
            parts.append(text_of(standing))
        click.echo(f"    {'; '.join(parts)}")
