"""The workshop's log as the server uses it: taken for a moment to write, given back at once.

The right to write is held only while requests are worked on, so that a terminal can take its
turn. What was folded of the log is kept and extended, so that a look costs only what is new.

Making entries durable takes the disk as long for many as for one. So those who come to a job while
others are at it share one COMMIT: each takes its turn, sees what the others before it did, and the
one behind whom nobody waits ends it for all. Nobody is told anything before that, and nobody waits
for others to come. There is no thread and no clock of its own behind it.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from clampwright.bench.acting import sign_for
from clampwright.bench.anchoring import anchored_by
from clampwright.bench.folder import Workshop
from clampwright.bench.session import Session
from clampwright.drawer.history import KINDS as TOOL_KINDS
from clampwright.drawer.history import ToolHistory, fold_tools
from clampwright.errors import ClampwrightError, Missing, StoreBusy, StoreFailed
from clampwright.store import Store
from clampwright.store.stamp import LogStamp, Stamp
from clampwright.words import words
from clampwright.work.fold import JobState, fold
from clampwright.work.pinned import pinned
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


MOST = 32
"""Who shares one COMMIT at most: the first of them waits for the work of all."""


class _Shared:
    """What several requests do and one COMMIT makes durable.

    Parameters
    ----------
    store : Store
    known : Known
        What the log will say when it is durable.
    end : contextlib.ExitStack
        Makes it durable and gives the right to write back.
    """

    def __init__(self, store: Store, known: Known, end: ExitStack) -> None:
        self.store, self.known = store, known
        self.count = 0
        self._end = end
        self._over = threading.Event()
        self._problem: ClampwrightError | None = StoreFailed(
            words("the program failed while others wrote too; what you entered was not stored")
        )

    def finish(self) -> bool:
        """Make it durable, and let everybody know; return whether it is."""
        try:
            self._end.close()
            self._problem = None
        except ClampwrightError as problem:
            self._problem = problem
        finally:
            self._over.set()
        return self._problem is None

    def wait(self) -> None:
        """Wait until it is durable; raises what kept it from that."""
        self._over.wait()
        if self._problem is not None:
            raise self._problem


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
        self._counting = threading.Lock()
        self._coming = 0
        self._shared: _Shared | None = None
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
        with suppress(ClampwrightError):  # where the log lay cannot be read any more
            Store.let_go(self.place.folder)

    def look(self) -> Known:
        """Return what the log says now, without the right to write.

        Returns
        -------
        Known
        """
        with self._turn:
            if self._held is not None or self._shared is not None:
                return self._known  # what others are just doing is not durable yet
            stamp = self.stamp()
            if not stamp:
                self._known, self._seen = Known(), stamp
            elif stamp != self._seen:
                with Store.open(self.place.folder, write=False, keep=True) as store:
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
        with self._my_turn():
            self._finish_shared()
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
        """Keep the right to write over many writes of this thread, durable when this ends.

        Raises
        ------
        StoreBusy
            As `writing`.
        StoreFull, StoreFailed
            When they could not be made durable: then none of them is stored.
        """
        with self._turn, self.writing() as store:
            before, whole = self._known, False
            self._held = store
            try:
                with store.together():
                    yield
                whole = True
            finally:
                self._held = None
                if not whole:
                    self._known = before

    def now(self) -> datetime:
        """Return what time it is for the entries."""
        return self._clock()

    @contextmanager
    def working(self, job: str) -> Iterator[Session]:
        """Have one's turn at writing, with a job opened; what was done is durable when this ends.

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
        self._plan_ahead(job)
        shared: _Shared | None = None
        try:
            with self._my_turn():
                if self._held is not None:
                    with self.writing() as store:
                        yield self._session(store, self._known, job)
                    return
                shared = self._joined()
                try:
                    sign_for(shared.store)
                    yield self._session(shared.store, shared.known, job)
                finally:
                    self._leave(shared)
        finally:
            if shared is not None:
                shared.wait()

    def _plan_ahead(self, job: str) -> None:
        """Rebuild a job's plan, which is kept then, before one's turn: others need not wait."""
        state = self._known.jobs.get(job)
        if state is not None and state.opened is not None:
            pinned(state.opened, state.overrules, state.suspects)

    def _session(self, store: Store, known: Known, job: str) -> Session:
        state = known.jobs.get(job, JobState())
        others = [one for name, one in known.jobs.items() if name != job]
        return Session(store, job, self.place.papers, state=state, others=others, seen=known.size)

    @contextmanager
    def _my_turn(self) -> Iterator[None]:
        """Wait for one's turn, and let the one before know that somebody does."""
        with self._counting:
            self._coming += 1
        with self._turn:
            with self._counting:
                self._coming -= 1
            yield

    def _joined(self) -> _Shared:
        """Return what is under way, or begin it."""
        if self._shared is None:
            with ExitStack() as unless_begun:
                store = unless_begun.enter_context(self._opened(create=False))
                unless_begun.enter_context(store.together())
                # Only now can no other program add any more: whoever joins knows all there is.
                self._known = self._known.extended(store)
                self._shared = _Shared(store, self._known, unless_begun.pop_all())
        return self._shared

    def _leave(self, shared: _Shared) -> None:
        """Take in what was done, and end it for all if nobody waits to join."""
        shared.count += 1
        try:
            shared.known = shared.known.extended(shared.store)
        finally:
            if not self._coming or shared.count >= MOST:
                self._finish_shared()

    def _finish_shared(self) -> None:
        shared, self._shared = self._shared, None
        if shared is not None:
            if shared.finish():
                self._known = shared.known
            self._seen = ()  # between closing and looking, another may have written

    def _opened(self, *, create: bool) -> Store:
        until = time.monotonic() + self._patience
        while True:
            try:
                return Store.open(
                    self.place.folder,
                    create=create,
                    clock=self._clock,
                    pass_phrase=self._pass_phrase,
                    keep=True,
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
