"""``clampwright happened``: what went wrong at a job, noted, settled, taken back, listed."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import DONE, FINDING, json_option, print_json, text_of
from clampwright.errors import ClampwrightError
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.bench.names import Names
    from clampwright.bench.session import Session
    from clampwright.words import Words
    from clampwright.work.fold import PullKey


@click.command(
    epilog="Example: clampwright happened demo-workshop/jobs/trailer-wheel.toml slip reached=no",
    short_help="Note what went wrong at a job, and see what is open.",
)
@click.argument("job", type=click.Path(dir_okay=False, path_type=Path))
@click.argument("what", nargs=-1)
@click.option(
    "--workshop",
    type=click.Path(file_okay=False, path_type=Path),
    help="Workshop folder; without it the nearest one above the job.",
)
@click.option("--joint", help="Id of the joint; without it where the work stands.")
@click.option("--stage", type=click.IntRange(min=1), help="Its stage.")
@click.option("--fastener", type=click.IntRange(min=0), help="Its number; 0 for the whole joint.")
@click.option("--tool", help="Id of the wrench in hand; without it the planned one.")
@click.option("--take-back", metavar="REASON", help="Take back the last thing that was entered.")
@json_option
def command(
    job: Path,
    what: tuple[str, ...],
    *,
    workshop: Path | None,
    joint: str | None,
    stage: int | None,
    fastener: int | None,
    tool: str | None,
    take_back: str | None,
    as_json: bool,
) -> None:
    """Note WHAT happened at JOB, such as: slip mark=no yield=yes.

    Without WHAT it lists what happened and what is open. Questions that are not answered on the
    line are asked. Exit status 1 while something is to be settled.
    """
    from clampwright.bench.days import today
    from clampwright.bench.folder import Workshop, find_workshop, open_session
    from clampwright.bench.names import Names
    from clampwright.cli.happened_talk import take_last_back, tell_happening

    place = Workshop(workshop or find_workshop(job))
    names = Names(place.folder)
    with open_session(place, job, today=today()) as session:
        told: tuple[Words, ...] = ()
        if take_back is not None:
            told = take_last_back(session, take_back)
        elif what:
            key = _key(session, joint, stage, fastener)
            rest = " ".join(_quoted(part) for part in what)
            told = tell_happening(session, key, tool or _planned(session, key), rest, names)
        if as_json:
            print_json(_listed(session, names))
        else:
            for line in told or _lines(session, names):
                click.echo(line if isinstance(line, str) else text_of(line))
        open_here = bool(session.state.dues)
    raise SystemExit(FINDING if open_here else DONE)


def _quoted(part: str) -> str:
    name, sign, answer = part.partition("=")
    return f'{name}="{answer}"' if sign and " " in answer else part


def _key(session: Session, joint: str | None, stage: int | None, fastener: int | None) -> PullKey:
    from clampwright.work.fold import PullKey

    now = session.next()
    if now is None and (joint is None or stage is None):
        raise ClampwrightError(words("all pulls are done: say --joint, --stage and --fastener"))
    here = now.key if now is not None else PullKey("", 1, 0)
    return PullKey(
        joint if joint is not None else here.joint,
        stage if stage is not None else here.stage,
        fastener if fastener is not None else here.fastener,
    )


def _planned(session: Session, key: PullKey) -> str:
    stages = session.plan.joint(key.joint).stages
    choice = stages[key.stage - 1].choice if key.stage <= len(stages) else None
    return choice.tool.id if choice else ""


def _lines(session: Session, names: Names) -> list[str]:
    from clampwright.work.happened_words import happened_lines
    from clampwright.work.happening import due_words

    found = []
    for noted in session.state.happenings:
        first, *more = happened_lines(noted, names.all())
        found += [text_of(first), *(f"   {text_of(line)}" for line in more)]
    if not found:
        found.append(text_of(words("Nothing was noted at this job.")))
    for due in session.state.dues:
        found.append(text_of(words("Open: {due}", due=due_words(session.plan, due))))
    return found


def _listed(session: Session, names: Names) -> dict[str, object]:
    from clampwright.bench.happenings import last_words
    from clampwright.cli.happened_talk import due_json
    from clampwright.work.happened_words import happened_lines
    from clampwright.work.happening import due_words

    last = last_words(session)
    return {
        "happenings": [
            {
                "entry": noted.entry,
                "told": [text_of(line) for line in happened_lines(noted, names.all())],
                "taken_back": noted.taken_back,
            }
            for noted in session.state.happenings
        ],
        "open": [due_json(due, due_words(session.plan, due)) for due in session.state.dues],
        "laid_aside": sorted(session.state.suspects),
        "last": {"entry": last[0], "what": text_of(last[1])} if last else None,
    }
