"""``clampwright examine``: whether a workshop is in good order."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of
from clampwright.cli.workshop_option import workshop_option


@click.command(
    epilog="Example: clampwright examine --workshop demo-workshop",
    short_help="See whether a workshop is in good order.",
)
@workshop_option
@click.option("--quick", is_flag=True, help="Do not read the whole log again.")
@click.option(
    "--backups",
    type=click.Path(file_okay=False, path_type=Path),
    help="Where backups lie; in the workshop's own folder if not given.",
)
@json_option
def command(*, workshop: Path, quick: bool, backups: Path | None, as_json: bool) -> None:
    """Look over the log, the files' rights, the clock, the disk, backups and what is due.

    Nothing is changed. Exit status 1 when something is wrong.
    """
    import datetime as dt

    from clampwright.bench.examine import examine
    from clampwright.bench.folder import bring_up_to_date
    from clampwright.words import words

    bring_up_to_date(workshop)
    points = examine(workshop, now=dt.datetime.now(dt.UTC), whole=not quick, backups=backups)
    if as_json:
        rows = [{"name": one.name, "state": one.state, "says": str(one.says)} for one in points]
        print_json({"points": rows})
    else:
        states = {"fine": words("fine"), "look": words("look"), "wrong": words("WRONG")}
        for one in points:
            click.echo(f"{text_of(states[one.state]):<6} {text_of(one.says)}")
    if any(one.state == "wrong" for one in points):
        raise SystemExit(FINDING)
