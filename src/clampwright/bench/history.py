"""The history of a workshop's machines, read from its log."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from clampwright.bench.names import Names
from clampwright.errors import Missing
from clampwright.store.log import Store
from clampwright.words import words
from clampwright.work.bygone import visits_of
from clampwright.work.finding import KINDS, SINGLE, TOGETHER, FoundPull, Wanted, find
from clampwright.work.history import JointHistory, histories, same_name


@dataclass(frozen=True, slots=True)
class Machine:
    """A machine there were jobs on.

    Parameters
    ----------
    name : str
        As the newest job writes it.
    jobs : tuple of str
        Oldest first.
    last : datetime.date
        Day on which the newest was begun.
    """

    name: str
    jobs: tuple[str, ...]
    last: dt.date


def machines(store: Store) -> tuple[Machine, ...]:
    """Return every machine of the log, the one worked on last first.

    Parameters
    ----------
    store : Store

    Returns
    -------
    tuple of Machine
    """
    found: dict[str, Machine] = {}
    rows = store.glimpses(("job_opened",), ("body.plan.machine",), ("body.plan.title",))
    for _entry, _kind, job, time, name, _told in rows:
        key = same_name(str(name))
        before = found[key].jobs if key in found else ()
        day = dt.datetime.fromisoformat(time).date()
        found[key] = Machine(str(name), (*(one for one in before if one != job), job), day)
    return tuple(sorted(found.values(), key=lambda one: (one.last, one.name), reverse=True))


def history_of(store: Store, name: str) -> tuple[Machine, tuple[JointHistory, ...]]:
    """Return what the log tells of one machine.

    Parameters
    ----------
    store : Store
    name : str
        Small and capital letters and blanks do not matter; a piece that only one machine's name
        holds is enough.

    Returns
    -------
    Machine, tuple of JointHistory

    Raises
    ------
    Missing
        When there is none of that name, or several.
    """
    machine = _named(machines(store), name)
    visits = [one for job in machine.jobs for one in visits_of(store.entries(job=job))]
    return machine, histories(visits)


def _named(known: tuple[Machine, ...], name: str) -> Machine:
    wanted = same_name(name)
    exact = [one for one in known if same_name(one.name) == wanted]
    found = exact or [one for one in known if wanted and wanted in same_name(one.name)]
    if len(found) == 1:
        return found[0]
    shown = "; ".join(one.name for one in (found or known)[:10]) or "-"
    if found:
        raise Missing(
            words("several machines are called {name!r}: {known}", name=name, known=shown),
            needed="entry",
        )
    raise Missing(
        words("no job was begun on a machine {name!r}; there are: {known}", name=name, known=shown),
        needed="entry",
    )


def search(store: Store, wanted: Wanted) -> Iterator[FoundPull]:
    """Find pulls, the newest first.

    Parameters
    ----------
    store : Store
    wanted : Wanted

    Yields
    ------
    FoundPull
    """
    yield from find(store.glimpses(KINDS, SINGLE, TOGETHER), wanted)


def person_named(folder: Path, name: str) -> str:
    """Return the id of a person.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.
    name : str

    Raises
    ------
    Missing
        When nobody of that name is known.
    """
    found = Names(folder).known(name)
    if found is None:
        raise Missing(words("nobody called {name!r} is known here", name=name), needed="entry")
    return found
