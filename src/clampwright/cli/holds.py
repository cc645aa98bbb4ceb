"""Hold points in the terminal: the work stands until the question is answered."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from clampwright.cli.output import print_json, text_of
from clampwright.errors import ClampwrightError
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.bench.session import Session
    from clampwright.work.hold import OpenHold

HELP = (
    words("yes, no   or the figure that was measured, or your words, as it is asked"),
    words("g REASON  go on although it does not fit; the reason stands in the record"),
    words("x REASON  start the setting again: fastener 1 was loosened fully"),
    words("r REASON  the same, with a new part fitted"),
    words("q         leave; nothing is lost"),
)


def answer_holds(session: Session, *, as_json: bool) -> bool:
    """Ask every hold point at which the work stands.

    Parameters
    ----------
    session : Session
    as_json : bool

    Returns
    -------
    bool
        False when the person leaves.
    """
    from clampwright.bench.holding import standing_at

    while (stands := standing_at(session)) is not None:
        _show(stands, as_json=as_json)
        try:
            line = input("" if as_json else f"{text_of(_question(stands))} ").strip()
        except (EOFError, KeyboardInterrupt):
            return False
        if line.casefold() in {"q", "quit"}:
            return False
        try:
            _handle(session, stands, line, as_json=as_json)
        except ClampwrightError as error:
            _say(error.message, as_json=as_json)
    return True


def _show(stands: OpenHold, *, as_json: bool) -> None:
    from clampwright.work.hold import limits_text

    hold, limits = stands.hold, limits_text(stands.hold)
    if as_json:
        key = {"joint": stands.key.joint, "number": stands.key.number, "after": hold.after}
        print_json({"hold": {**key, "ask": hold.ask, "answer": hold.answer, "limits": limits}})
        return
    click.echo()
    click.echo("─" * 60)
    head = words("{joint} · HOLD after stage {after}", joint=stands.joint.title, after=hold.after)
    if hold.after == 0:
        head = words("{joint} · HOLD before the first stage", joint=stands.joint.title)
    click.echo(text_of(head))
    click.echo(click.style(f"      {hold.ask}", bold=True))
    if limits:
        click.echo(text_of(words("      wanted: {limits}", limits=limits)))
    if stands.last is not None:
        told = words("Last answer, does not fit: {answer}", answer=stands.last["answer"])
        click.echo(text_of(told))


def _question(stands: OpenHold) -> Words:
    if stands.hold.answer == "yes":
        return words("yes or no, or ? for help:")
    if stands.hold.answer == "figure":
        return words("What was measured, in {unit}, or ? for help:", unit=stands.hold.unit)
    return words("Your answer, or ? for help:")


def _handle(session: Session, stands: OpenHold, line: str, *, as_json: bool) -> None:
    from clampwright.bench.holding import answer_hold

    letter, _, rest = line.partition(" ")
    if letter in {"", "?"}:
        for sentence in HELP:
            _say(sentence, as_json=as_json)
    elif letter.casefold() == "g" and stands.last is not None:
        if not rest.strip():
            raise ClampwrightError(words("give the reason for going on: it stands in the record"))
        answer_hold(session, stands.key, stands.last["answer"], reason=rest)
    elif letter.casefold() in {"x", "r"} and rest:
        session.restart(stands.key.joint, 1, rest, renewed=letter.casefold() == "r")
        _say(words("Fastener {number} starts its stages again.", number=1), as_json=as_json)
    else:
        answer_hold(session, stands.key, line)
        answered = session.state.holds[stands.key.joint, stands.key.number]
        if answered["outcome"] == "does not fit":
            _say(
                words("Does not fit: put it right and answer again, or g, x or r and the reason."),
                as_json=as_json,
            )


def _say(sentence: Words, *, as_json: bool) -> None:
    if as_json:
        print_json({"say": text_of(sentence)})
    else:
        click.echo(text_of(sentence))
