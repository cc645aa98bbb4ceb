"""``clampwright prepare``: what must be true before the first pull, point by point."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of
from clampwright.errors import ClampwrightError, Refused

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.procedure.preparation import Point
    from clampwright.work.preparation import Standing


@click.command(
    epilog="Example: clampwright prepare demo-workshop/jobs/trailer-wheel.toml --list",
    short_help="Go through a job's preparation list.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Workshop folder; without it the nearest one above the job.",
)
@click.option("--list", "only_list", is_flag=True, help="Show the list; ask and store nothing.")
@click.option("--tick", "ticks", multiple=True, help="Tick POINT, or JOINT:POINT: it is so.")
@click.option("--skip", "skips", multiple=True, help="POINT=REASON: skip it, with the reason.")
@click.option("--choose", "chosen", multiple=True, help="POINT=OPTION: choose one of its answers.")
@click.option("--answer", "answers", multiple=True, help="POINT=TEXT: answer in your own words.")
@json_option
def command(
    job: Path,
    workshop: Path | None,
    *,
    ticks: tuple[str, ...],
    skips: tuple[str, ...],
    chosen: tuple[str, ...],
    answers: tuple[str, ...],
    only_list: bool,
    as_json: bool,
) -> None:
    """Settle the preparation list of JOB: tick, skip with a reason, choose or answer.

    Without options each open point is asked. What is settled stands in the log and in the record.
    Exit status 0 when nothing is open, 1 when points are.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session

    if only_list:
        raise SystemExit(_listed(job, workshop, as_json=as_json))
    place = Workshop(workshop or find_workshop(job))
    with open_session(place, job, today=today()) as session:
        given = [
            *((text, "ticked") for text in ticks),
            *((text, "skipped") for text in skips),
            *((text, "chosen") for text in chosen),
            *((text, "answered") for text in answers),
        ]
        for text, how in given:
            _settle(session, text, how)
        if not given and not as_json:
            for planned in session.plan.joints:
                if not go_through(session, planned.joint.id):
                    break
        found = _standing(session)
        _show(found, as_json=as_json)
    raise SystemExit(FINDING if any(one.open for _, one in found) else DONE)


def _listed(job: Path, workshop: Path | None, *, as_json: bool) -> int:
    """Show the list as the log has it, or as it would begin; nothing is opened for writing."""
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, load_plan, open_store
    from clampwright.store.where import has_log
    from clampwright.work.fold import JobState, fold
    from clampwright.work.preparation import standing

    place = Workshop(workshop or find_workshop(job))
    plan = load_plan(job, place.drawer, today=today())
    state = JobState()
    if has_log(place.folder):
        with open_store(place, write=False) as store:
            state = fold(store.entries(job=plan.job.id))
    found = [(one.joint.id, point) for one in plan.joints for point in standing(one, state)]
    _show(found, as_json=as_json)
    return FINDING if any(one.open for _, one in found) else DONE


def _standing(session: Session) -> list[tuple[str, Standing]]:
    from clampwright.work.preparation import standing

    return [
        (planned.joint.id, one)
        for planned in session.plan.joints
        for one in standing(planned, session.state)
    ]


def _settle(session: Session, text: str, how: str) -> None:
    """Do what one option says: ``POINT`` or ``JOINT:POINT``, then ``=`` and what is said."""
    from clampwright.bench.preparing import settle_point
    from clampwright.work.preparation import points_of

    where, _, said = text.partition("=")
    joint, colon, point = where.rpartition(":")
    if colon:
        settle_point(session, joint, point, how, answer=_answer(how, said), reason=_why(how, said))
        return
    having = [
        planned.joint.id
        for planned in session.plan.joints
        if any(one.name == point for one in points_of(planned))
    ]
    for joint in having or [session.plan.joints[0].joint.id]:
        settle_point(session, joint, point, how, answer=_answer(how, said), reason=_why(how, said))


def _answer(how: str, said: str) -> str:
    return said if how in {"chosen", "answered"} else ""


def _why(how: str, said: str) -> str:
    return said if how == "skipped" else ""


def _show(found: list[tuple[str, Standing]], *, as_json: bool) -> None:
    from clampwright.words import words

    if as_json:
        print_json({"open": sum(one.open for _, one in found), "points": _data(found)})
        return
    for joint in dict.fromkeys(joint for joint, _ in found):
        click.echo(click.style(joint, bold=True))
        for _, one in (pair for pair in found if pair[0] == joint):
            for line in point_lines(one):
                click.echo(line)
    count = sum(one.open for _, one in found)
    click.echo(text_of(words("{count} of {all} points are open", count=count, all=len(found))))
    click.echo(text_of(words("The manufacturer's information comes first wherever it differs.")))


def _data(found: list[tuple[str, Standing]]) -> list[dict[str, object]]:
    return [
        {
            "joint": joint,
            "point": one.point.name,
            "ask": one.point.ask,
            "due": one.point.due,
            "say": text_of(one.point.say),
            "source": one.point.source,
            "options": [
                {"option": o.name, "say": text_of(o.say), "source": o.source}
                for o in one.point.options
            ],
            "how": one.settled.how if one.settled else None,
            "answer": one.settled.answer if one.settled else "",
            "reason": one.settled.reason if one.settled else one.passed_over,
            "open": one.open,
        }
        for joint, one in found
    ]


def point_lines(one: Standing) -> list[str]:
    """Return a point with what became of it, its source, and its options.

    Parameters
    ----------
    one : Standing

    Returns
    -------
    list of str
    """
    from clampwright.words import words

    mark = "[ ]" if one.open else "[x]"
    if one.settled is not None and one.settled.how == "skipped":
        mark = "[-]"
    lines = [f"  {mark} {one.point.name}: {text_of(one.point.say)}"]
    if one.point.due == "angle" and one.open:
        lines.append(f"      {text_of(words('due before the first angle stage'))}")
    lines.append(f"      {text_of(words('Source: {source}', source=one.point.source))}")
    if one.open:
        lines += [
            f"      {number}  {option.name}: {text_of(option.say)}  {option.source}"
            for number, option in enumerate(one.point.options, 1)
        ]
    elif one.settled is not None and (said := one.settled.answer or one.settled.reason):
        lines.append(f"      {one.settled.how}: {said}")
    if one.passed_over and one.open:
        told = words("gone on without it: {reason}", reason=one.passed_over)
        lines.append(f"      {text_of(told)}")
    return lines


def go_through(session: Session, joint: str) -> bool:
    """Ask every open point of a joint, one after the other.

    Parameters
    ----------
    session : Session
    joint : str

    Returns
    -------
    bool
        False when the person left before the end.
    """
    from clampwright.work.preparation import standing

    for one in standing(session.plan.joint(joint), session.state):
        if not one.open:
            continue
        click.echo()
        for line in point_lines(one):
            click.echo(line)
        while True:
            try:
                typed = input(_prompt(one.point))
            except (EOFError, KeyboardInterrupt):
                return False
            if typed.strip().casefold() in {"q", "quit"}:
                return False
            if _taken(session, joint, one.point, typed):
                break
    return True


def _taken(session: Session, joint: str, point: Point, typed: str) -> bool:
    """Settle a point by what was typed; False when it has to be asked again."""
    from clampwright.bench.preparing import settle_point

    letter, _, rest = typed.strip().partition(" ")
    if not letter:
        return True  # left open for now
    try:
        if letter.casefold() == "s":
            settle_point(session, joint, point.name, "skipped", reason=rest)
        else:
            _TAKE[point.ask](session, joint, point, typed.strip())
    except ClampwrightError as error:
        click.echo(text_of(error.message))
        return False
    return True


def _tick(session: Session, joint: str, point: Point, typed: str) -> None:
    from clampwright.bench.preparing import settle_point
    from clampwright.words import words

    if typed.casefold() not in {"t", "y", "yes"}:
        raise Refused(words("type t when it is so, or s and the reason to skip it"))
    settle_point(session, joint, point.name, "ticked")


def _choose(session: Session, joint: str, point: Point, typed: str) -> None:
    from clampwright.bench.preparing import settle_point

    names = [one.name for one in point.options]
    if typed.isdecimal() and 1 <= int(typed) <= len(names):
        typed = names[int(typed) - 1]
    settle_point(session, joint, point.name, "chosen", answer=typed)


def _write(session: Session, joint: str, point: Point, typed: str) -> None:
    from clampwright.bench.preparing import settle_point

    settle_point(session, joint, point.name, "answered", answer=typed)


_TAKE: dict[str, Callable[[Session, str, Point, str], None]] = {
    "tick": _tick,
    "choose": _choose,
    "answer": _write,
}


def _prompt(point: Point) -> str:
    from clampwright.words import words

    asked = {
        "tick": words("t it is so, s REASON skip, Enter later, q leave:"),
        "choose": words("a number, s REASON skip, Enter later, q leave:"),
        "answer": words("your answer, s REASON skip, Enter later, q leave:"),
    }[point.ask]
    return f"{text_of(asked)} "
