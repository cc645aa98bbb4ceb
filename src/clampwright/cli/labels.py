"""``clampwright labels``: sheets of labels whose square codes open the right page."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog="Example: clampwright labels labels.pdf --workshop demo-workshop",
    short_help="Make labels for tools, machines and joints.",
)
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--for",
    "kinds",
    multiple=True,
    type=click.Choice(["tools", "machines", "joints"]),
    default=("tools",),
    show_default=True,
    help="What to make labels for; may be given several times.",
)
@click.option(
    "--address",
    default="http://127.0.0.1:8123",
    show_default=True,
    help="Where the pages are served for those who scan.",
)
@workshop_option
def command(*, file: Path, kinds: tuple[str, ...], address: str, workshop: Path) -> None:
    """Write labels into FILE (PDF, 24 on a page of A4, 70 by 37 mm each)."""
    import datetime as dt

    from clampwright.bench.folder import Workshop
    from clampwright.bench.labels import job_labels, joint_labels, tool_labels, written
    from clampwright.bench.sheets import write_private
    from clampwright.report.label_sheet import labels_pdf
    from clampwright.words import words

    place, base = Workshop(workshop), written(address)
    makers = {"tools": tool_labels, "machines": job_labels, "joints": joint_labels}
    made = [one for kind in dict.fromkeys(kinds) for one in makers[kind](place, base)]
    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    write_private(file, labels_pdf(made, time=now))
    click.echo(text_of(words("{file}: {count} labels", file=str(file), count=len(made))))
