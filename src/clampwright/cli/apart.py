"""``clampwright apart``: take a job apart, in reverse order and in steps, breakaway noted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of
from clampwright.errors import ClampwrightError
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.work.apart import ApartStep

HELP = (
    words("a figure   what it took to break loose, with its unit: 41 N·m; words after it are kept"),
    words("d          done, not read; words after it are kept: d rust on the thread"),
    words("w TOOL     the tool in hand from here on"),
    words("q          leave; nothing is lost"),
)


@click.command(
    epilog="Example: clampwright apart demo-workshop/jobs/launch-engine-head.toml",
    short_help="Take a job apart.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Workshop folder; without it the nearest one above the job.",
)
@json_option
def command(job: Path, workshop: Path | None, *, as_json: bool) -> None:
    """Take JOB apart fastener by fastener: eased a little all round, then out, ends first.

    What each took to break loose is noted and compared within the joint. Loosen with a bar, not
    with a torque wrench, unless it is rated and calibrated that way round. Exit status 0 when all
    are out, 1 when some are left.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.holding import to_loosen

    place = Workshop(workshop or find_workshop(job))
    with open_session(place, job, today=today()) as session:
        _guide(session, as_json=as_json)
        _remarks(session, as_json=as_json)
        left = to_loosen(session) is not None
    raise SystemExit(FINDING if left else DONE)


def _guide(session: Session, *, as_json: bool) -> None:
    from clampwright.bench.holding import to_loosen

    tool = ""
    _opening(session, as_json=as_json)
    while (step := to_loosen(session)) is not None:
        _show(step, as_json=as_json)
        try:
            line = input("" if as_json else f"{text_of(_ASK)} ").strip()
        except (EOFError, KeyboardInterrupt):
            return
        letter, _, rest = line.partition(" ")
        if letter.casefold() in {"q", "quit"}:
            return
        if letter in {"", "?"}:
            for sentence in HELP:
                _say(sentence, as_json=as_json)
        elif letter.casefold() == "w":
            tool = rest
        else:
            try:
                _take(session, step, line, tool)
            except ClampwrightError as error:
                _say(error.message, as_json=as_json)


_ASK = words("Broke loose at, or d when done, or ? for help:")


def _opening(session: Session, *, as_json: bool) -> None:
    from clampwright.work.apart import SOURCE

    if as_json:
        return
    click.echo(click.style(session.job.title, bold=True))
    click.echo(session.job.machine)
    _say(
        words(
            "Let it cool; release springs, pressure and weight first; hold what can drop. The "
            "maker's own order of removal comes first where it differs."
        ),
        as_json=False,
    )
    _say(words("Order: {source}", source=SOURCE), as_json=False)


def _show(step: ApartStep, *, as_json: bool) -> None:
    if as_json:
        print_json(
            {
                "loosen": {
                    "joint": step.joint.id,
                    "round": step.turn,
                    "fastener": step.fastener,
                    "angle_deg": step.angle,
                },
                "left": step.left,
            }
        )
        return
    place = step.joint.layout.place(step.fastener)
    way = words("clockwise") if step.joint.left_hand else words("counter-clockwise")
    click.echo()
    click.echo(
        text_of(
            words(
                "{joint} · round {turn} of {turns}: fastener {number} ({place}), {way}",
                joint=step.joint.title,
                turn=step.turn,
                turns=step.turns,
                number=step.fastener,
                place=place,
                way=way,
            )
        )
    )
    click.echo(click.style(f"      {text_of(step.words())}", bold=True))
    click.echo(text_of(words("{count} steps left", count=step.left)))


def _take(session: Session, step: ApartStep, line: str, tool: str) -> None:
    from clampwright.bench.holding import note_loosened

    where = (step.joint.id, step.turn, step.fastener)
    letter, _, rest = line.partition(" ")
    if letter.casefold() == "d":
        note_loosened(session, *where, tool=tool, note=rest)
        return
    figure, note = _figure_and_note(line)
    note_loosened(session, *where, breakaway=figure, tool=tool, note=note)


def _figure_and_note(line: str) -> tuple[str, str]:
    """Cut a line into the figure with its unit and the words after it."""
    parts = line.split()
    taken = 1 if any(sign.isalpha() for sign in parts[0]) else 2
    return " ".join(parts[:taken]), " ".join(parts[taken:])


def _remarks(session: Session, *, as_json: bool) -> None:
    from clampwright.work.apart import apart_remarks

    for joint in session.job.joints:
        for remark in apart_remarks(joint, session.state):
            _say(remark, as_json=as_json)


def _say(sentence: Words, *, as_json: bool) -> None:
    if as_json:
        print_json({"say": text_of(sentence)})
    else:
        click.echo(text_of(sentence))
