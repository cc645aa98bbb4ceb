"""``clampwright drawer read-back``: what a second person reads off the scale, compared."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of


@click.command(
    epilog="Example: clampwright drawer read-back 44.5 N·m "
    "demo-workshop/jobs/trailer-wheel.toml --joint wheel-left --stage 1"
)
@click.argument("value")
@click.argument("unit")
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--joint", required=True, metavar="ID", help="Joint of the job.")
@click.option("--stage", required=True, type=int, help="Stage, counted from 1.")
@click.option("--tool", metavar="ID", help="Tool in hand; the planned one if not given.")
@json_option
def command(
    value: str,
    unit: str,
    job: Path,
    *,
    joint: str,
    stage: int,
    tool: str | None,
    as_json: bool,
) -> None:
    """Compare what a second person reads on the set wrench with what was to be set.

    Don't tell them the value: they read VALUE and UNIT off the scale by themselves. The comparison
    goes to the log. Exit status 1 when the two differ.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.second_look import read_back

    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        found, receipt = read_back(session, joint, stage, value, unit, tool_id=tool)
    if as_json:
        print_json({"entry": receipt.id, "agrees": found.agrees, "text": str(found.words)})
    else:
        click.echo(text_of(found.words))
    if not found.agrees:
        raise SystemExit(FINDING)
