"""One pull while it goes on: its samples, how far it has come, what is made of it at the end."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping
from functools import lru_cache
from itertools import pairwise
from typing import Any

from pydantic import ValidationError

from clampwright.errors import ClampwrightError, Refused
from clampwright.trace.given import Given
from clampwright.trace.live_follow import Following, Progress
from clampwright.trace.live_store import LiveStore
from clampwright.trace.model import Trace
from clampwright.trace.reading import read_csv
from clampwright.trace.verdict import judge
from clampwright.trace.writing import write_csv
from clampwright.web.desk import Desk
from clampwright.web.live_view import Signs, Wanted, answer_view, live_view, wanted_of
from clampwright.web.lookup import key_of, opened
from clampwright.web.models import LiveStart
from clampwright.words import words
from clampwright.work.fold import Pull, PullKey

MOST_SAMPLES = 200_000
"""Over three minutes of a wrench that sends a thousand a second."""
_FIRST = 8
"""Samples from which the rate is taken before they are followed."""
_USUAL_RATE = 100.0
_MOST_EVENTS = 20
"""Kept untold at most: constant memory, whatever a wrench sends."""


class LivePull:
    """A pull that a wrench is recording, in constant memory.

    Parameters
    ----------
    source : object
        Who sends.
    key : PullKey
    start : LiveStart
        What the wrench said of it.
    wanted : Wanted
        What the pull is to reach, and how the wrench is read.
    """

    def __init__(self, source: object, key: PullKey, start: LiveStart, wanted: Wanted) -> None:
        self.source, self.key = source, key
        self.answers = start.answers
        self._start, self._wanted = start, wanted
        self._store = LiveStore(MOST_SAMPLES)
        self._first: list[tuple[float, float, float]] = []
        self._following: Following | None = None
        self._signs = Signs(wanted.direction)
        self._torque = 0.0
        self._samples = 0
        self._happened: list[str] = []
        self._unanswered: list[str] = []
        self._said = ""
        # A wrench may be waited for, and a whole pull may wait to be written: no silence either.
        self.heard = math.inf

    def add(self, message: Mapping[str, Any]) -> bool:
        """Take in one sample, or several.

        Returns
        -------
        bool
            Whether the pages should hear of it at once: something happened, or the hand is to do
            something else.

        Raises
        ------
        Refused
            When they are no numbers, time does not rise, or there are too many.
        """
        self.heard = time.monotonic()
        rows = message.get("samples")
        if rows is None:
            rows = [[message.get(name) for name in ("t", "torque", "angle")]]
        if not isinstance(rows, list):
            raise Refused(_NUMBERS)
        for row in rows:
            self._one(row)
        said = self._now.say if self._now else ""
        news = bool(self._happened) or said != self._said
        self._said = said
        return news

    def _one(self, row: object) -> None:
        if not isinstance(row, list) or len(row) != 3:
            raise Refused(_NUMBERS)
        t, torque, angle = (_finite(value) for value in row)
        before = self._store.last_time
        if before is not None and t <= before:
            raise Refused(
                words(
                    "the time of the samples must rise: {now:g} s came after {before:g} s",
                    now=t,
                    before=before,
                )
            )
        loaded = self._following is not None and self._following.loaded
        if not self._store.keep(t, torque, angle, loaded=loaded):
            raise Refused(words("a pull has at most {count} samples", count=MOST_SAMPLES))
        self._torque = torque
        self._samples += 1
        self._follow(t, *self._signs.forward(torque, angle))

    def _follow(self, t: float, torque: float, angle: float) -> None:
        """Follow it; the first samples wait until the rate of the wrench is known."""
        sample = (t, torque * self._wanted.factor, angle)
        if self._following is None:
            self._first.append(sample)
            if len(self._first) < _FIRST:
                return
            self._following = self._begun()
            waiting, self._first = self._first, []
        else:
            waiting = [sample]
        for one in waiting:
            event = self._following.add(*one).event
            if event is not None:
                self._happened = [*self._happened, event][-_MOST_EVENTS:]
                self._unanswered = [*self._unanswered, event][-_MOST_EVENTS:]

    def _begun(self) -> Following:
        gaps = sorted(b[0] - a[0] for a, b in pairwise(self._first))
        rate = 1.0 / gaps[len(gaps) // 2] if gaps else _USUAL_RATE
        return Following(self._wanted.given, self._wanted.mode, rate)

    @property
    def _now(self) -> Progress | None:
        return self._following.last if self._following else None

    def live(self) -> dict[str, Any]:
        """Return what pages show of it now; what happened is told once.

        Returns
        -------
        dict
        """
        happened, self._happened = self._happened, []
        return live_view(
            self.key,
            self._start.entry,
            self._wanted,
            self._following,
            torque=self._torque,
            happened=happened,
        ) | {"samples": self._samples}

    def answer(self) -> dict[str, Any]:
        """Return where it stands, for the program that sends: figures only.

        Returns
        -------
        dict
        """
        happened, self._unanswered = self._unanswered, []
        return answer_view(self._now, happened)

    def trace(self) -> Trace:
        """Return the samples as the wrench sent them.

        Returns
        -------
        Trace

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        return self._store.trace(self._wanted.mode)

    def take(self, desk: Desk, job: str) -> Pull:
        """Judge the recorded pull and put it on the log.

        Parameters
        ----------
        desk : Desk
        job : str

        Returns
        -------
        Pull
            With its verdict.
        """
        self.heard = math.inf
        data = write_csv(self.trace())
        tool = self._start.tool
        with desk.working(job) as session:
            reading = session.trace_reading(self.key, data, "live", tool)
            session.take(self.key, reading, tool_id=tool, entry_id=self._start.entry)
            return next(p for p in session.state.pulls if p.entry == self._start.entry)


def begin(desk: Desk, job: str, source: object, message: Mapping[str, Any]) -> LivePull:
    """Check what a wrench says before its first sample.

    Parameters
    ----------
    desk : Desk
    job : str
    source : object
    message : mapping

    Returns
    -------
    LivePull

    Raises
    ------
    ClampwrightError
        When there is no such pull, it is done, or the tool does not record or is not fit for it.
    """
    try:
        start = LiveStart.model_validate(message)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise ClampwrightError(
            words("{where}: {what}", where=where or "-", what=str(first["msg"]))
        ) from error
    state, plan = opened(desk.look().jobs.get(job), job)
    key = key_of(plan, start.pull.joint, start.pull.stage, start.pull.fastener)
    if state.settled(key) or state.closed:
        raise Refused(words("this pull is done already"))
    for choice in plan.stage(key).choices:
        if choice.tool.id == start.tool and choice.usable and choice.tool.trace:
            return LivePull(source, key, start, wanted_of(plan, state, key, choice))
    raise Refused(
        words(
            "{tool} does not record, or is not fit for this stage",
            tool=plan.drawer.tool(start.tool).title,
        )
    )


@lru_cache(maxsize=1)
def warm() -> None:
    """Judge a small made-up pull, once: what the first real end would wait for is read by then."""
    store = LiveStore(_WARM)
    for n in range(_WARM):
        store.keep(n / _USUAL_RATE, 0.4 * n, 0.2 * n, loaded=True)
    trace = read_csv(write_csv(store.trace("handle")), "made up", angle_mode="handle")
    judge(trace, Given(target_torque_Nm=0.4 * _WARM, snug_torque_Nm=0.1 * _WARM))


_WARM = 200
"""Samples of the made-up pull."""
_NUMBERS = words("a sample holds numbers: t in s, torque in N·m, angle in degrees")


def _finite(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise Refused(_NUMBERS)
    return float(value)
