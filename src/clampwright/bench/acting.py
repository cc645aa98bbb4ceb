"""Whose hand is at work, and whether it may do what it is about to do.

Where nobody is named everything is allowed: on the command line the operating-system's user is
trusted, and so is who sits at the machine that serves its own pages to itself alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING

from clampwright.bench.names import Names, plain
from clampwright.errors import Missing
from clampwright.store.writing import Actor
from clampwright.words import words
from clampwright.work.roles import refuse_unless

if TYPE_CHECKING:
    from clampwright.store.reading import LogReader

_ACTOR: ContextVar[Actor | str | None] = ContextVar("actor", default=None)


@contextmanager
def acting(who: Actor | str | None) -> Iterator[None]:
    """Let everything inside be done by a person.

    Parameters
    ----------
    who : Actor, str or None
        A name (or id) is looked up in the store that is opened; None for nobody in particular.
    """
    before = _ACTOR.set(who)
    try:
        yield
    finally:
        _ACTOR.reset(before)


def present() -> Actor | None:
    """Return who is at work, where it is known without a store."""
    found = _ACTOR.get()
    return found if isinstance(found, Actor) else None


def sign_for(store: LogReader) -> None:
    """Let the entries of an open store say whose hand makes them.

    Parameters
    ----------
    store : LogReader

    Raises
    ------
    Missing
        When the name given on the command line is nobody's here.
    """
    found = _ACTOR.get()
    store.actor = _named(store, found) if isinstance(found, str) else found


def _named(store: LogReader, name: str) -> Actor:
    person = store.people.get(name) or store.people.named(plain(name))
    if person is None or person.erased:
        raise Missing(
            words(
                "there is no person of the name {name} in this workshop; clampwright people list "
                "shows who there is",
                name=name,
            ),
            needed="person",
        )
    return Actor(person.id, person.role, "terminal")


def id_for(store: LogReader, names: Names, typed: str) -> str:
    """Return whose id stands in an entry: of who is at work, else of the name that was typed.

    Parameters
    ----------
    store : LogReader
    names : Names
    typed : str
        A name that was typed proves nothing where people sign in.

    Returns
    -------
    str
    """
    return store.actor.person if store.actor is not None else names.id_of(typed)


def require(store: LogReader, act: str) -> None:
    """Refuse what the person at work may not do.

    Parameters
    ----------
    store : LogReader
    act : str
        As in ``work/roles.csv``.

    Raises
    ------
    Refused
        Says who may.
    """
    if store.actor is not None:
        refuse_unless(store.actor.role, act)
