"""``clampwright papers``: photographs and PDFs of a job."""

from __future__ import annotations

from pathlib import Path

import click

from clampwright.cli.output import json_option, print_json, text_of

JOB = click.Path(dir_okay=False, path_type=Path)


@click.group(
    epilog="Example: clampwright papers add demo-workshop/jobs/trailer-wheel.toml wheel photo.jpg",
    short_help="Attach photographs and PDFs to a job.",
)
def command() -> None:
    """Attach photographs and PDFs to a job; their hashes become part of its record.

    What a file is, its content tells, not its name. Nothing in it is ever run.
    """


@command.command(short_help="Attach a file.")
@click.argument("job", type=JOB)
@click.argument("joint")
@click.argument("file", type=JOB)
@click.option("--fastener", type=click.IntRange(0), default=0, help="Which one it shows.")
@click.option("--note", default="", help="What is to be seen.")
@json_option
def add(*, job: Path, joint: str, file: Path, fastener: int, note: str, as_json: bool) -> None:
    """Attach FILE (JPEG, PNG, WebP or PDF) to JOINT (its id) of JOB."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session, read_bytes
    from clampwright.bench.job_papers import Attaching, attach, keep_paper
    from clampwright.work.job_papers import attached_words

    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        session.plan.joint(joint)
        kept = keep_paper(place.papers, read_bytes(file), file.name)
        attach(session, Attaching(joint, kept["sha256"], kept["name"], fastener, note))
        body = session.state.papers[-1]
    if as_json:
        return print_json(body)
    click.echo(text_of(attached_words(body)))
    return None


@command.command("list", short_help="List what is attached.")
@click.argument("job", type=JOB)
@json_option
def listed(*, job: Path, as_json: bool) -> None:
    """List what is attached to JOB."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.work.job_papers import attached_words

    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        found = session.state.papers
    if as_json:
        return print_json({"papers": list(found)})
    for body in found:
        click.echo(text_of(attached_words(body)))
    return None


@command.command(short_help="Write an attached file out again.")
@click.argument("job", type=JOB)
@click.argument("sha256")
@click.argument("out", type=JOB)
def out(*, job: Path, sha256: str, out: Path) -> None:
    """Write the file with SHA256 (or the beginning of it), attached to JOB, to OUT."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.errors import Missing, Refused
    from clampwright.words import words

    place = Workshop(find_workshop(job))
    with open_session(place, job, today=today()) as session:
        found = {one["file"] for one in session.state.papers}
    fitting = sorted(one for one in found if one.startswith(sha256))
    if len(fitting) != 1:
        raise Missing(words("{sha256} names no file of this job", sha256=sha256), needed="file")
    data = place.papers.read(fitting[0])
    try:
        with out.open("xb") as file:
            file.write(data)
    except OSError as error:
        raise Refused(
            words("{file} cannot be written: {problem}", file=str(out), problem=str(error.strerror))
        ) from error
    click.echo(str(out))
