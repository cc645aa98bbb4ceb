"""``clampwright drawer show``: one tool, what it is and what happened to it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option

if TYPE_CHECKING:
    from clampwright.drawer.tools import Tool
    from clampwright.words import Words


@click.command(epilog="Example: clampwright drawer show click-60 --workshop demo-workshop")
@click.argument("tool")
@workshop_option
@json_option
def command(tool: str, *, workshop: Path, as_json: bool) -> None:
    """Show one tool: what it is, and what happened to it."""
    from clampwright.bench.days import today
    from clampwright.cli.drawer_common import opened
    from clampwright.drawer.range_words import (
        belonging_words,
        calibration_words,
        kind_words,
        scale_texts,
    )
    from clampwright.drawer.told import lines_of

    drawer = opened(workshop)
    one, lines = drawer.now.tool(tool), lines_of(drawer.history(tool))
    standing = calibration_words(one, today())
    if as_json:
        print_json(
            {
                "id": one.id,
                "title": one.title,
                "kind": one.kind,
                "scales": list(scale_texts(one)),
                "standing": text_of(standing) or None,
                "serial": one.belongings.serial or None,
                "papers": [paper.file for paper in one.belongings.papers],
                "uses": one.uses,
                "high_uses": one.high_uses,
                "doubts": [text_of(event.doubt) for event in one.doubts],
                "history": [
                    {"date": line.date.isoformat(), "what": text_of(line.what), "note": line.note}
                    for line in lines
                ],
            }
        )
        return
    click.echo(click.style(one.title, bold=True))
    for said in (
        text_of(kind_words(one)),
        *scale_texts(one),
        text_of(standing),
        text_of(uses(one)),
        *(text_of(line) for line in belonging_words(one)),
    ):
        if said:
            click.echo(f"  {said}")
    for event in one.doubts:
        click.echo(click.style(f"  ! {text_of(event.doubt)}", bold=True))
    for line in lines:
        note = f" ({line.note})" if line.note else ""
        click.echo(f"  {line.date.isoformat()}  {text_of(line.what)}{note}")


def uses(tool: Tool) -> Words | None:
    """Say how often a wrench was used since its calibration."""
    from clampwright.words import words

    if not tool.is_wrench or tool.uses is None:
        return None
    return words(
        "{uses} uses since its calibration, of {limit}", uses=tool.uses, limit=tool.use_limits.uses
    )
