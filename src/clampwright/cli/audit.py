"""``clampwright audit``: try the torque of a tightened fastener, and what that can tell."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of


@click.command(
    epilog="Example: clampwright audit demo-workshop/jobs/trailer-wheel.toml wheel --fastener 1 "
    '--by first_movement --read "80 N·m" --tool electronic-200',
    short_help="Try the torque of a tightened fastener.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.argument("joint")
@click.option("--fastener", type=click.IntRange(1), required=True)
@click.option(
    "--by",
    "way",
    type=click.Choice(["first_movement", "to_mark", "breakaway"]),
    required=True,
    help="How it was tried.",
)
@click.option("--read", "reading", required=True, help='With its unit: "80 N·m".')
@click.option(
    "--read-as",
    type=click.Choice(["moving", "peak", "stood", "moved"]),
    help="While it moved, the highest; of a click wrench: it stood still, or had moved.",
)
@click.option("--tool", required=True, help="Id of the wrench.")
@click.option("--note", default="", help="Anything odd.")
@json_option
def command(
    job: Path,
    joint: str,
    *,
    fastener: int,
    way: str,
    reading: str,
    read_as: str | None,
    tool: str,
    note: str,
    as_json: bool,
) -> None:
    """Keep what it took to move a tightened fastener of JOINT in JOB, and say what it tells.

    No way gives back the torque it was tightened to. What comes out is a band, and often that it
    cannot be told. Never by turning on where it was tightened by angle or stretch. Exit status 1
    unless it holds.
    """
    from clampwright.bench.auditing import Tried, told_lines, try_fastener
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.work.audit import VERDICTS

    place = Workshop(find_workshop(job))
    as_read = read_as or ("peak" if way == "breakaway" else "moving")
    tried = Tried(joint, fastener, way, reading, as_read, tool, note)
    with open_session(place, job, today=today()) as session:
        found, _ = try_fastener(session, place, tried, today())
        body = session.state.audits[-1]
    if as_json:
        print_json({**body, "reasons": [str(one) for one in found.reasons]})
    else:
        click.echo(f"{found.verdict.upper()}: {text_of(VERDICTS[found.verdict])}")
        for line in [*told_lines(body), *found.reasons]:
            click.echo(f"  {text_of(line)}")
        click.echo(f"  ({found.way.source})")
    raise SystemExit(DONE if found.verdict in {"holds", "at least"} else FINDING)
