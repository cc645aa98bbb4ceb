"""Asking for a figure that is not there, and entering it when somebody has found it."""

from __future__ import annotations

from collections.abc import Mapping

from clampwright.errors import Missing, Refused
from clampwright.procedure.no_figure import place_named
from clampwright.proof.ids import uuid7
from clampwright.store.log import Store
from clampwright.store.writing import Receipt
from clampwright.units import parse_quantity
from clampwright.words import words
from clampwright.work.figures import ASKED, FOUND, FigureQuestion, questions


def ask_figure(
    store: Store,
    what: str,
    *,
    machine: str = "",
    thread: str = "",
    strength: str = "",
    job: str | None = None,
    looked: Mapping[str, str] | None = None,
    general_shown: bool = False,
    entry_id: str | None = None,
) -> Receipt:
    """Record that a figure is missing, and where it was looked for.

    Parameters
    ----------
    store : Store
        Open for writing.
    what : str
        The fastener or step without a figure.
    machine, thread, strength : str
        As far as known.
    job : str or None
        A job of this log, whose record then shows the question; others are only named.
    looked : mapping of str to str
        Places where it was looked for, each with what was found there.
    general_shown : bool
        Whether the general table was looked at.
    entry_id : str or None

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When nobody said what for.
    Missing
        When a place is not one of the list.
    """
    if not what.strip():
        raise Refused(words("say which fastener or step has no figure"))
    seen = {place_named(name).name: said.strip() for name, said in (looked or {}).items()}
    body = {
        "what": what.strip(),
        "machine": machine.strip(),
        "thread": thread.strip(),
        "strength": strength.strip(),
        "job": job or "",
        "looked": seen,
        "general_shown": general_shown,
    }
    return store.append(ASKED, body, entry_id=entry_id or str(uuid7()), job=_opened(store, job))


def answer_figure(
    store: Store, asked: str, figure: str, source: str, *, entry_id: str | None = None
) -> Receipt:
    """Enter a figure that was found, with the source it stands in.

    Parameters
    ----------
    store : Store
        Open for writing.
    asked : str
        Id of the question's entry.
    figure : str
        With its unit, as it stands there; or in words, where it is no torque or angle.
    source : str
        Title, edition and page, or who said it.
    entry_id : str or None

    Returns
    -------
    Receipt

    Raises
    ------
    Refused
        When there is no such open question, or figure or source is missing.
    """
    question = question_named(store, asked)
    if question.found is not None:
        raise Refused(words("that question is answered already"))
    if not figure.strip():
        raise Refused(words("write the figure with its unit"))
    if not source.strip():
        raise Refused(
            words(
                "name the source: title, edition and page, or who said it; a figure without is "
                "a guess"
            )
        )
    if figure.strip()[:1].isdigit():
        parse_quantity(figure)  # a slip of the keyboard is told before it is on the log
    body = {"asked": question.entry, "figure": figure.strip(), "source": source.strip()}
    return store.append(FOUND, body, entry_id=entry_id or str(uuid7()), job=question.job)


def question_named(store: Store, asked: str) -> FigureQuestion:
    """Return a question by the id of its entry, or by its last signs where they are enough.

    Raises
    ------
    Missing
        When there is no such question.
    """
    known = [one for one in questions(store.entries()) if one.entry.endswith(asked)]
    if len(known) == 1 and asked:
        return known[0]
    raise Missing(words("there is no question {asked!r} in this log", asked=asked), needed="asked")


def _opened(store: Store, job: str | None) -> str | None:
    if job is None:
        return None
    return job if any(True for _ in store.entries(job=job)) else None
