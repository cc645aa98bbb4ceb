"""What the tools of a job ask for, at the terminal: before their first pull, and when it ends."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clampwright.cli.output import text_of
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.drawer.care import Care
    from clampwright.work.guide import Guidance

_YES = frozenset({"y", "yes", "d"})


def first_lines(guidance: Guidance, seen: set[str]) -> list[str]:
    """Return what to do before a tool's first pull here; nothing for one that was in hand before.

    Parameters
    ----------
    guidance : Guidance
    seen : set of str
        Ids of the tools told of; this one is added.

    Returns
    -------
    list of str
    """
    from clampwright.drawer.care import care_for

    choice = guidance.choice
    if choice is None or choice.tool.id in seen:
        return []
    seen.add(choice.tool.id)
    return [
        text_of(words("First: {care}", care=one.say)) for one in care_for(choice.tool, "before_use")
    ]


def put_away(session: Session, *, ask: bool) -> None:
    """Remind of what the tools of a job want when it ends; a tick becomes an entry.

    Parameters
    ----------
    session : Session
    ask : bool
        Whether somebody is there to tick it.
    """
    for one in _wanted(session):
        said = words("Put away {tool}: {care}", tool=one.tool.title, care=one.say)
        click.echo(text_of(said))
        if ask and one.event and _done(one):
            _tick(session, one)


def _wanted(session: Session) -> list[Care]:
    from clampwright.drawer.care import care_for

    used = dict.fromkeys(pull.body.get("tool") for pull in session.state.pulls)
    known = {tool.id: tool for tool in session.drawer.tools}
    return [one for name in used if name in known for one in care_for(known[name], "after_job")]


def _done(one: Care) -> bool:
    while True:
        try:
            answer = input(text_of(words("y when done, Enter for later, or ? for help: ")))
        except (EOFError, KeyboardInterrupt):
            click.echo()
            return False
        if answer.strip() != "?":
            return answer.strip().casefold() in _YES
        click.echo(text_of(words("A tick becomes an entry of the log. Why: {source}",
                                 source=one.source)))  # fmt: skip


def _tick(session: Session, one: Care) -> None:
    from clampwright.bench.days import today
    from clampwright.bench.tool_events import note_event
    from clampwright.drawer.happened import Happened

    note_event(session.store, one.tool, Happened(one.event, today()), today=today())
    click.echo(text_of(words("Noted.")))
