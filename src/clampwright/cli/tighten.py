"""``clampwright tighten``: the guided job, in the terminal."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option

if TYPE_CHECKING:
    from clampwright.bench.folder import Workshop
    from clampwright.work.job import Joint


@click.command(
    epilog="Example: clampwright tighten demo-workshop/jobs/trailer-wheel.toml",
    short_help="Tighten a job.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Workshop folder; without it the nearest one above the job.",
)
@click.option("--simulate", is_flag=True, help="Let the simulated wrench do the pulls.")
@click.option(
    "--seed", type=click.IntRange(min=0), default=1, show_default=True, help="Of the simulated day."
)
@click.option(
    "--fault",
    "faults",
    multiple=True,
    help="With --simulate: joint:stage:fastener:fault, such as head:2:7:slip.",
)
@json_option
def command(
    job: Path,
    workshop: Path | None,
    seed: int,
    faults: tuple[str, ...],
    *,
    simulate: bool,
    as_json: bool,
) -> None:
    """Tighten JOB fastener by fastener; stop and go on whenever you like.

    Questions that the text of a procedure leaves open are asked before the job is begun; what you
    choose, and your name, stand in the record. Every pull is safely stored before it is answered.
    Exit status 0 when all pulls are done, 1 when some are still open.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_questions, open_session
    from clampwright.bench.holding import standing_at
    from clampwright.cli.talk import Talk

    if faults and not simulate:
        raise click.UsageError("--fault goes with --simulate.")
    place = Workshop(workshop or find_workshop(job))
    joints = () if as_json or simulate else open_questions(place, job)
    choices, by = _settled(place, joints) if joints else ({}, "")
    with open_session(place, job, today=today(), choices=choices, by=by) as session:
        talk = Talk(session, as_json=as_json)
        if simulate:
            talk.rehearse(seed=seed, faults=faults)
        else:
            talk.run()
        open_pulls = (
            session.next() is not None
            or standing_at(session) is not None
            or bool(session.state.dues)
        )
    raise SystemExit(FINDING if open_pulls else DONE)


def _settled(place: Workshop, joints: Sequence[Joint]) -> tuple[dict[str, int], str]:
    """Ask what the procedures leave open, and who answers; return both for the log."""
    from clampwright.bench.names import Names
    from clampwright.cli.output import text_of
    from clampwright.cli.settle import settle
    from clampwright.errors import Ambiguous
    from clampwright.words import words
    from clampwright.work.settling import reckoning_of

    choices: dict[str, int] = {}
    for joint in joints:
        reading = joint.procedure.reading
        if reading is None:
            continue
        click.echo(text_of(words("Settle it before you begin: {title}", title=joint.title)))
        reckoning = reckoning_of(joint.fastening, joint.friction, reading.lubrication)
        choices[joint.id] = settle(reading, reckoning)
    click.echo(text_of(words("Your name, for the record:")) + " ", nl=False)
    name = sys.stdin.readline().strip() if sys.stdin is not None else ""
    if not name:
        raise Ambiguous(words("left without a name: the question is still open"))
    return choices, Names(place.folder).id_of(name)
