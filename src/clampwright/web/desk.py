"""The workshop's log as the server uses it: taken for a moment to write, given back at once.

The right to write is held only while one request is worked on, so that a terminal can take its
turn. What was folded of the log is kept and extended, so that a look costs only what is new.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from clampwright.bench.acting import sign_for
from clampwright.bench.anchoring import anchored_by
from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.drawer.history import KINDS as TOOL_KINDS
from clampwright.drawer.history import ToolHistory, fold_tools
from clampwright.errors import Missing, StoreBusy
from clampwright.store import Store
from clampwright.store.stamp import LogStamp, Stamp
from clampwright.words import words
from clampwright.work.fold import JobState, fold
from clampwright.work.shelf import EMPTY, Shelf, fold_shelf
from clampwright.work.shelf import KINDS as SHELF_KINDS

PATIENCE = 1.5
"""How long a request waits for another program to give the right to write back, s."""
_STEP = 0.05


def _now() -> datetime:
    return datetime.now(UTC)


@dataclass(frozen=True, slots=True)
class Known:
    """What the log says, folded.

    Parameters
    ----------
    origin : str
        Which log it is.
    size : int
        Number of entries taken in.
    jobs : mapping of str to JobState
    tools : mapping of str to ToolHistory
        What happened to each tool.
    shelf : Shelf
        The procedures kept for reuse.
    anchored : int
        Entries under a head that is known to be kept outside the log.
    """

    origin: str = ""
    size: int = 0
    jobs: Mapping[str, JobState] = field(default_factory=dict)
    tools: Mapping[str, ToolHistory] = field(default_factory=dict)
    shelf: Shelf = EMPTY
    anchored: int = 0

    def extended(self, store: Store) -> Known:
        """Return it with what was added to the log since."""
        start = self if self.origin == store.origin else Known(store.origin)
        jobs, size, anchored = dict(start.jobs), start.size, start.anchored
        of_tools, of_shelf = [], []
        for entry in store.entries(since=size):
            anchored = max(anchored, anchored_by(entry["kind"], entry["body"], size))
            size += 1
            if (job := entry["job"]) is not None:
                jobs[job] = fold([entry], jobs.get(job))
            if entry["kind"] in TOOL_KINDS:
                of_tools.append(entry)
            if entry["kind"] in SHELF_KINDS:
                of_shelf.append(entry)
        tools = fold_tools(of_tools, start.tools) if of_tools else start.tools
        shelf = fold_shelf(of_shelf, start.shelf) if of_shelf else start.shelf
        return Known(store.origin, size, jobs, tools, shelf, anchored)


class Desk:
    """The one place where the server touches the log.

    Parameters
    ----------
    place : Workshop
    clock : callable
        Says what time it is, for the entries.
    patience : float
        See `PATIENCE`.
    pass_phrase : str, optional
        Opens the signing key.
    """

    def __init__(
        self,
        place: Workshop,
        *,
        clock: Callable[[], datetime] = _now,
        patience: float = PATIENCE,
        pass_phrase: str | None = None,
    ) -> None:
        self.place = place
        self._clock = clock
        self._patience = patience
        self._pass_phrase = pass_phrase
        self._turn = threading.RLock()
        self._held: Store | None = None
        self._known = Known()
        self._seen: Stamp = ()
        self._stamp = LogStamp(place.folder)

    def stamp(self) -> Stamp:
        """Return what changes whenever the log does; costs a look at the folder or one question."""
        return self._stamp.now()

    def close(self) -> None:
        """Let go of what is kept open between requests."""
        self._stamp.close()

    def look(self) -> Known:
        """Return what the log says now, without the right to write.

        Returns
        -------
        Known
        """
        with self._turn:
            if self._held is not None:
                return self._known
            stamp = self.stamp()
            if not stamp:
                self._known, self._seen = Known(), stamp
            elif stamp != self._seen:
                with Store.open(self.place.folder, write=False) as store:
                    self._known = self._known.extended(store)
                self._seen = stamp
            return self._known

    @contextmanager
    def writing(self, *, create: bool = False) -> Iterator[Store]:
        """Hold the right to write.

        Parameters
        ----------
        create : bool
            Make a log where there is none.

        Yields
        ------
        Store

        Raises
        ------
        StoreBusy
            When another program keeps it for longer than the server is patient.
        """
        with self._turn:
            if self._held is not None:
                sign_for(self._held)  # each entry of many by its own hand
                try:
                    yield self._held
                finally:  # what is on the log counts for the next one, whatever failed after it
                    self._known = self._known.extended(self._held)
                return
            store = self._opened(create=create)
            try:
                sign_for(store)
                self._known = self._known.extended(store)
                yield store
                self._known = self._known.extended(store)
            finally:
                store.close()
                self._seen = ()  # between closing and looking, another may have written

    @contextmanager
    def held(self) -> Iterator[None]:
        """Keep the right to write over many writes of this thread, each durable by itself.

        Raises
        ------
        StoreBusy
            As `writing`.
        """
        with self._turn, self.writing() as store:
            self._held = store
            try:
                yield
            finally:
                self._held = None

    def now(self) -> datetime:
        """Return what time it is for the entries."""
        return self._clock()

    @contextmanager
    def working(self, job: str) -> Iterator[Session]:
        """Hold the right to write, with a job opened.

        Parameters
        ----------
        job : str

        Yields
        ------
        Session

        Raises
        ------
        Missing
            When the job was not opened in this workshop.
        StoreBusy
            As `writing`.
        """
        with self.writing() as store:
            state = self._known.jobs.get(job, JobState())
            others = [one for name, one in self._known.jobs.items() if name != job]
            seen = self._known.size
            yield Session(store, job, self.place.papers, state=state, others=others, seen=seen)

    def _opened(self, *, create: bool) -> Store:
        until = time.monotonic() + self._patience
        while True:
            try:
                return Store.open(
                    self.place.folder,
                    create=create,
                    clock=self._clock,
                    pass_phrase=self._pass_phrase,
                )
            except StoreBusy as busy:
                if time.monotonic() >= until:
                    raise _turned_away(busy) from busy
            time.sleep(_STEP)


def _turned_away(busy: StoreBusy) -> StoreBusy:
    return StoreBusy(
        words(
            "a terminal or another program is working on this workshop just now; what you enter "
            "is kept and sent when it has finished. ({why})",
            why=busy.message,
        )
    )


def entry_of(store: Store, entry_id: str) -> dict[str, Any] | None:
    """Return an entry of the log by its id, or None.

    Parameters
    ----------
    store : Store
    entry_id : str

    Returns
    -------
    dict or None
    """
    try:
        return store.get(entry_id)
    except Missing:
        return None
