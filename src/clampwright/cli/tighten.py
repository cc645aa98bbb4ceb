"""``clampwright tighten``: the guided job, in the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import DONE, FINDING, json_option


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

    Every pull is safely stored before it is answered. Exit status 0 when all pulls are done, 1
    when some are still open.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.holding import standing_at
    from clampwright.cli.talk import Talk

    if faults and not simulate:
        raise click.UsageError("--fault goes with --simulate.")
    place = Workshop(workshop or find_workshop(job))
    with open_session(place, job, today=today()) as session:
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
