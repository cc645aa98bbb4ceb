"""Something happened, in the terminal: a few questions, what is offered, then what is open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from clampwright.cli.output import print_json, text_of
from clampwright.errors import ClampwrightError
from clampwright.words import Words, words

if TYPE_CHECKING:
    from clampwright.bench.names import Names
    from clampwright.bench.session import Session
    from clampwright.work.fold import PullKey
    from clampwright.work.happening import Told
    from clampwright.work.happening_tables import Question
    from clampwright.work.state import Due

ASKS = {
    "fastener": words("the number of a fastener"),
    "fasteners": words("numbers of fasteners, with blanks between"),
    "last_sure": words("the number of a fastener, or 0 for none of this stage"),
    "stage": words("the number of a stage"),
    "person": words("a name"),
}
"""What is typed where nothing is chosen."""


def tell_happening(
    session: Session, key: PullKey, tool: str, rest: str, names: Names
) -> tuple[Words, ...]:
    """Ask what happened, and note it.

    Parameters
    ----------
    session : Session
    key : PullKey
        Where the work stands.
    tool : str
        Id of the tool in hand, or empty.
    rest : str
        What was typed behind the sign: empty, or ``slip mark=no yield=yes``; then only what is
        missing is asked.
    names : Names

    Returns
    -------
    tuple of Words
        What is to be shown.

    Raises
    ------
    ClampwrightError
        When it cannot be noted.
    """
    from clampwright.bench.happenings import note_happening
    from clampwright.work.happened_words import happened_lines
    from clampwright.work.happening import offered

    told = _asked(session, told_of(key, tool, rest))
    if told is None:
        return (words("Nothing was noted."),)
    if not rest:
        rule = offered(session.plan, told)
        _show(words("Trade practice: {offer}", offer=rule.say))
        _show(words("Source: {source}", source=rule.source))
        if input(text_of(words("Enter notes it; anything else does not: "))).strip():
            return (words("Nothing was noted."),)
    note_happening(session, told, names)
    noted = session.state.happenings[-1]
    return tuple(happened_lines(noted, names.all()))


def told_of(key: PullKey, tool: str, rest: str) -> Told:
    """Return what was typed as what is told: a name, and answers as ``name=answer``.

    Examples
    --------
    >>> from clampwright.work.fold import PullKey
    >>> told_of(PullKey("head", 2, 3), "", "missed which=4 gasket=no").answers
    {'which': '4', 'gasket': 'no'}
    >>> told_of(PullKey("head", 2, 3), "", 'wrong_wrench pulled="1 4" amount=less').answers
    {'pulled': '1 4', 'amount': 'less'}
    >>> told_of(PullKey("head", 2, 3), "", "slip fastener=9 mark=yes").key.fastener
    9
    """
    from dataclasses import replace

    from clampwright.work.happening import Told

    what, _, more = rest.partition(" ")
    answers = {}
    for part in re.findall(r'\w+="[^"]*"|\S+', more):
        name, sign, answer = part.partition("=")
        if not sign:
            raise ClampwrightError(
                words("{part!r} is no answer; write it as name=answer", part=part)
            )
        answers[name] = answer.strip('"')
    if (other := answers.pop("fastener", None)) is not None:
        key = replace(key, fastener=_number(other))
    return Told(what, key, answers, tool)


def _number(text: str) -> int:
    if not (text.isascii() and text.isdigit()):
        raise ClampwrightError(words("{text!r} is no number of a fastener", text=text))
    return int(text)


def _asked(session: Session, told: Told) -> Told | None:
    """Ask what is missing; None when the person thinks better of it."""
    from dataclasses import replace

    from clampwright.work.happening import ask_next
    from clampwright.work.happening_tables import happenings

    if not told.what:
        listed = list(happenings().values())
        lines = [words("{title}: {say}", title=one.title, say=one.say) for one in listed]
        chosen = _chosen(words("What happened?"), lines, [one.name for one in listed])
        if chosen is None:
            return None
        told = replace(told, what=chosen, key=_where(told.key))
    while (question := ask_next(session.plan, told)) is not None:
        answer = _answer(question)
        if answer is None:
            return None
        told = replace(told, answers={**told.answers, question.name: answer})
    return told


def _where(key: PullKey) -> PullKey:
    """Ask which fastener it was: often the one before is meant."""
    from dataclasses import replace

    if not key.fastener:
        return key
    asked = words("At fastener {number}? Enter, or the number of another: ", number=key.fastener)
    typed = input(text_of(asked)).strip()
    return replace(key, fastener=_number(typed)) if typed else key


def _answer(question: Question) -> str | None:
    if question.kind == "choice":
        lines = [one.say for one in question.answers]
        return _chosen(question.question, lines, [one.name for one in question.answers])
    _show(question.question)
    typed = input(f"{text_of(ASKS[question.kind])}: ").strip()
    return typed.replace(",", " ") if question.kind != "person" and typed else typed or None


def _chosen(question: Words, lines: Sequence[Words], names: Sequence[str]) -> str | None:
    _show(question)
    for number, line in enumerate(lines, 1):
        click.echo(f"  {number:>2}  {text_of(line)}")
    while True:
        typed = input(text_of(words("Its number, or Enter for none of it: "))).strip()
        if not typed:
            return None
        if typed.isascii() and typed.isdigit() and 1 <= int(typed) <= len(names):
            return names[int(typed) - 1]
        if typed in names:
            return typed
        _show(words("type a number from 1 to {count}", count=len(names)))


def answer_dues(session: Session, joint: str | None, *, as_json: bool) -> bool:
    """Ask what is to be settled before anything is pulled on a joint.

    Parameters
    ----------
    session : Session
    joint : str or None
        None when nothing is left to pull.
    as_json : bool

    Returns
    -------
    bool
        False when the person leaves.
    """
    from clampwright.bench.happenings import settle
    from clampwright.work.happening import open_due

    while (due := open_due(session.state, joint)) is not None:
        _show_due(session, due, as_json=as_json)
        try:
            line = input("" if as_json else text_of(_due_question(due)) + " ").strip()
        except (EOFError, KeyboardInterrupt):
            return False
        if line.casefold() in {"q", "quit"}:
            return False
        try:
            answer, told = _due_answer(due, line)
            settle(session, due, answer, told)
            _show(words("Noted."), as_json=as_json)
        except ClampwrightError as error:
            _show(error.message, as_json=as_json)
    return True


def _show_due(session: Session, due: Due, *, as_json: bool) -> None:
    from clampwright.work.happening import due_words
    from clampwright.work.happening_tables import due_kinds

    kind, ask = due_kinds()[due.name], due_words(session.plan, due)
    if as_json:
        print_json({"due": due_json(due, ask)})
        return
    click.echo()
    click.echo("─" * 60)
    click.echo(click.style(text_of(ask), bold=True))
    _show(kind.say)
    for number, answer in enumerate(kind.answers, 1):
        click.echo(f"  {number}  {text_of(answer.say)}")


def due_json(due: Due, ask: Words) -> dict[str, object]:
    """Return what stands open as plain data."""
    from clampwright.work.happening_tables import due_kinds

    return {
        "happening": due.entry,
        "joint": due.joint,
        "due": due.name,
        "ask": text_of(ask),
        "answers": [one.name for one in due_kinds()[due.name].answers],
        "fasteners": list(due.fasteners),
        "renew": due.renew,
        "from_stage": due.from_stage,
    }


def _due_question(due: Due) -> Words:
    from clampwright.work.happening import NEEDS_PLACE, READ_BACK
    from clampwright.work.happening_tables import due_kinds

    if due.name in NEEDS_PLACE:
        return words("The number, and where the maker says so (1 handbook 4-12), or q:")
    if due_kinds()[due.name].answers:
        return words("The number, and what else is to be said, or q:")
    if due.name in READ_BACK:
        return words("Its number (0 for none), or q:")
    if due.name == "look":
        return words("In your words, or q:")
    return words("d when done, or q:")


def _due_answer(due: Due, line: str) -> tuple[str, str]:
    from clampwright.work.happening import READ_BACK, TOLD_IN_WORDS
    from clampwright.work.happening_tables import due_kinds

    answers = due_kinds()[due.name].answers
    if not answers:
        if due.name in TOLD_IN_WORDS | READ_BACK:
            return "", line
        head, _, rest = line.partition(" ")
        if head.casefold() not in {"d", "done"}:
            raise ClampwrightError(words("type d when it is done"))
        return "", rest
    head, _, rest = line.partition(" ")
    if head.isascii() and head.isdigit() and 1 <= int(head) <= len(answers):
        return answers[int(head) - 1].name, rest
    return head, rest


def take_last_back(session: Session, reason: str) -> tuple[Words, ...]:
    """Take back the last thing that was entered, with a reason."""
    from clampwright.bench.happenings import last_words, take_back
    from clampwright.work.aftermath import last_of, why_not

    last = last_of(session.state)
    if last is None:
        raise ClampwrightError(words("there is nothing to take back"))
    if (why := why_not(session.state, last["id"])) is not None:
        raise ClampwrightError(words("it cannot be taken back: {why}", why=why))
    found = last_words(session)
    take_back(session, last["id"], reason)
    what = found[1] if found else words("-")
    return (words("Taken back: {what}. It stays on the log.", what=what),)


def _show(sentence: Words, *, as_json: bool = False) -> None:
    if as_json:
        print_json({"say": text_of(sentence)})
    else:
        click.echo(text_of(sentence))
