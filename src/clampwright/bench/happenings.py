"""Something happened: noted, settled and taken back, on the log."""

from __future__ import annotations

from dataclasses import replace
from typing import Unpack

from clampwright.bench.asides import aside_id
from clampwright.bench.names import Names
from clampwright.bench.session import Made, Session
from clampwright.drawer.happened import event_rules
from clampwright.drawer.history import TOOL_EVENT
from clampwright.errors import Refused
from clampwright.proof.ids import uuid7
from clampwright.store.writing import NewEntry, Receipt
from clampwright.words import Words, as_data, words
from clampwright.work.aftermath import HAPPENED, SETTLED, TAKEN_BACK, last_of, why_not
from clampwright.work.happened_words import entry_words
from clampwright.work.happening import Told, asked, body_of, offered, settled_body
from clampwright.work.shift_change import handed_over
from clampwright.work.state import Due

MOST_WORDS = 500
"""Characters of a note or a reason."""


def note_happening(session: Session, told: Told, names: Names, **made: Unpack[Made]) -> Receipt:
    """Note that something happened; what follows from it stands in the entry.

    Parameters
    ----------
    session : Session
    told : Told
        With every question answered.
    names : Names
        Where the names of people are kept; entries hold their ids.
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When the job is closed, nothing of that name can happen, or an answer is missing or none.
    """
    if session.state.closed:
        raise Refused(words("the job is closed"))
    offered(session.plan, told)  # whatever is wrong is told before a name is kept
    people = [one.name for one in asked(session.plan, told) if one.kind == "person"]
    ids = {name: names.id_of(told.answers[name]) for name in people}
    told = replace(told, answers={**told.answers, **ids})
    body = body_of(session.plan, session.state, told)
    if people:
        body["summary"] = [as_data(line) for line in handed_over(session.plan, session.state)]
    made["entry_id"] = made.get("entry_id") or str(uuid7())
    return session.put(HAPPENED, body, also=_of_the_wrench(session, told, made), **made)


def _of_the_wrench(session: Session, told: Told, made: Made) -> list[NewEntry]:
    """Return what goes into the wrench's own history: it is due for a check from then on."""
    event = told.answers.get("how", "")
    if told.what != "wrench_in_doubt" or event not in event_rules():
        return []
    body = {
        "tool": told.tool,
        "event": event,
        "date": session.store.now().date().isoformat(),
        "note": told.note.strip()[:MOST_WORDS],
        "happening": made["entry_id"],
    }
    return [NewEntry(TOOL_EVENT, body, entry_id=aside_id(str(made["entry_id"]), TOOL_EVENT))]


def settle(
    session: Session, due: Due, answer: str = "", told: str = "", **made: Unpack[Made]
) -> Receipt:
    """Settle what something that happened has left open.

    Parameters
    ----------
    session : Session
    due : Due
    answer : str
        Name of an answer; empty where it is only done, or told in words.
    told : str
        Where the maker's information says so, or what was found.
    **made
        See `Made`.

    Returns
    -------
    Receipt
    """
    body = settled_body(session.plan, session.state, due, answer, told[:MOST_WORDS])
    return session.put(SETTLED, body, **made)


def take_back(session: Session, entry: str, reason: str, **made: Unpack[Made]) -> Receipt:
    """Take back the last thing that was entered in a job, by another entry.

    Parameters
    ----------
    session : Session
    entry : str
        Its id.
    reason : str
    **made
        See `Made`.

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        Without a reason, or when it cannot be taken back.
    """
    if not reason.strip():
        raise Refused(words("give the reason: it stands in the record"))
    if (why := why_not(session.state, entry)) is not None:
        raise Refused(words("it cannot be taken back: {why}", why=why))
    body = {"entry": entry, "reason": reason.strip()[:MOST_WORDS]}
    return session.put(TAKEN_BACK, body, **made)


def due_of(session: Session, happening: str, name: str, joint: str) -> Due:
    """Return what is open, by the entry that left it open, its name and its joint.

    Raises
    ------
    Refused
        When there is none, or it is settled already.
    """
    for due in session.state.dues:
        if (due.entry, due.name, due.joint) == (happening, name, joint):
            return due
    raise Refused(words("nothing of that is open here; it may be settled already"))


def last_words(session: Session) -> tuple[str, Words] | None:
    """Return the id of what can be taken back now, and what it was; None where nothing can.

    Parameters
    ----------
    session : Session

    Returns
    -------
    (str, Words) or None
    """
    last = last_of(session.state)
    if last is None or why_not(session.state, last["id"]) is not None:
        return None
    return last["id"], entry_words(last)
