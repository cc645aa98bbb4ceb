"""``clampwright second-look``: another pair of eyes on a joint that life or limb depends on."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import FINDING, json_option, print_json, text_of

FILE = click.Path(dir_okay=False, path_type=Path)


@click.command(
    epilog="Example: clampwright second-look demo-workshop/jobs/trailer-wheel.toml "
    "--joint wheel --in-order",
    short_help="Look again at a joint life or limb depends on.",
)
@click.argument("job", type=FILE)
@click.option("--joint", metavar="ID", help="Joint of the job; shows what is wanted if not given.")
@click.option(
    "--in-order/--not-in-order", "in_order", default=None, help="Whether all was found in order."
)
@click.option("--note", default="", help="What was seen, in a few words.")
@click.option("--photograph", type=FILE, help="Picture of what was looked at.")
@click.option("--alone", is_flag=True, help="The same person looks who did the work.")
@json_option
def command(
    job: Path,
    *,
    joint: str | None,
    in_order: bool | None,
    note: str,
    photograph: Path | None,
    alone: bool,
    as_json: bool,
) -> None:
    """Take a second look at a joint of JOB, or list those whose second look is wanted.

    Another person may look at once. Who works alone looks again after a pause, with a photograph;
    the record says so. With --as before the command the log itself knows whether it is another
    person. Exit status 1 when something was not in order, or a look is still wanted.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session, read_bytes
    from clampwright.bench.second_look import look_again
    from clampwright.bench.shelf import keep_file
    from clampwright.words import words
    from clampwright.work.four_eyes import Look, look_words, looks_wanted

    if (joint is None) != (in_order is None):
        raise click.UsageError("give --joint with --in-order or --not-in-order, or neither")
    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        entry = None
        if joint is not None and in_order is not None:
            kept = ""
            if photograph is not None:
                data = read_bytes(photograph)
                kept = keep_file(place.papers, data, photograph.name).sha256
            entry = look_again(session, Look(joint, in_order, note, kept, alone)).id
        wanted = looks_wanted(session.plan, session.state)
        told = [
            (one.joint, tuple(look_words(one.joint.id, session.state)))
            for one in session.plan.joints
            if one.joint.harm_level == 1
        ]
    if as_json:
        print_json({"entry": entry, "wanted": list(wanted)})
    else:
        for one, lines in told:
            click.echo(one.title)
            for line in lines:
                click.echo(f"  {text_of(line)}")
            if one.id in wanted:
                click.echo(f"  {text_of(words('The second look is still to be taken.'))}")
        if not told:
            click.echo(text_of(words("Life or limb depends on no joint of this job.")))
    if wanted:
        raise SystemExit(FINDING)
