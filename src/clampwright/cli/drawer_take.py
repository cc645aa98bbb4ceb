"""``clampwright drawer take``: another tool than the plan says, with the reason on the log."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of


@click.command(
    epilog="Example: clampwright drawer take click-150ft demo-workshop/jobs/trailer-wheel.toml "
    '--joint wheel-left --stage 2 --reason "the electronic one is away"'
)
@click.argument("tool")
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--joint", required=True, metavar="ID", help="Joint of the job.")
@click.option("--stage", required=True, type=int, help="Stage, counted from 1.")
@click.option("--reason", required=True, help="Why; it stands in the record.")
@json_option
def command(tool: str, job: Path, *, joint: str, stage: int, reason: str, as_json: bool) -> None:
    """Take TOOL for a stage of JOB, whatever the plan says; the reason stands in the record.

    A tool that cannot do the stage at all is refused: no reason changes that.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.second_look import overrule, planned_stage
    from clampwright.cli.plan import setting_text
    from clampwright.words import words

    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        receipt = overrule(session, joint, stage, tool, reason)
        choice = planned_stage(session, joint, stage).choice
    blockers = choice.blockers if choice else ()
    if as_json:
        against = [str(one) for one in blockers]
        print_json({"entry": receipt.id, "tool": tool, "against": against})
        return
    click.echo(
        text_of(
            words(
                "{tool} is taken for stage {stage}",
                tool=choice.tool.title if choice else tool,
                stage=stage,
            )
        )
    )
    for one in blockers:
        click.echo(text_of(words("  in spite of: {why}", why=one)))
    if choice and (shown := setting_text(choice)):
        click.echo(text_of(words("  set: {setting}", setting=shown)))
