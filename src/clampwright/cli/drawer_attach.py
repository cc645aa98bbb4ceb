"""``clampwright drawer attach``: a photograph or certificate, kept beside the drawer."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from clampwright.cli.output import json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog="Example: clampwright drawer attach click-60 certificate.pdf --as certificate "
    "--workshop demo-workshop"
)
@click.argument("tool")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--as",
    "kind",
    type=click.Choice(["photograph", "certificate"]),
    required=True,
    help="What it is.",
)
@workshop_option
@json_option
def command(
    tool: str,
    file: Path,
    *,
    kind: Literal["photograph", "certificate"],
    workshop: Path,
    as_json: bool,
) -> None:
    """Keep FILE with TOOL: known by its content, named by its hash, noted in the drawer file."""
    from clampwright.bench.drawer_writing import attach_paper
    from clampwright.bench.folder import Workshop, read_bytes
    from clampwright.words import words

    kept = attach_paper(Workshop(workshop), tool, read_bytes(file), kind, str(file))
    if as_json:
        print_json({"tool": tool, "file": str(kept)})
        return
    click.echo(text_of(words("kept as {file}", file=str(kept))))
