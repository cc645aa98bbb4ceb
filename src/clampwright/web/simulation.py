"""Simulated wrenches for invented jobs: they send their samples by the same way as a real one."""

from __future__ import annotations

import asyncio
import contextlib
import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from fastapi import Request
from fastapi.responses import JSONResponse

from clampwright.errors import ClampwrightError, Refused
from clampwright.web.api import Job
from clampwright.web.lookup import key_of, opened
from clampwright.web.models import SimulateIn
from clampwright.web.shared import House, house
from clampwright.web.step_view import can_simulate, recording
from clampwright.words import words
from clampwright.work.fold import JobState, PullKey
from clampwright.work.guide import guidance
from clampwright.work.plan import Plan

if TYPE_CHECKING:
    from clampwright.bench.mechanic import SimulatedMechanic
    from clampwright.drawer.fit import Fitness
    from clampwright.trace.model import Trace

BATCH = 0.04
"""Seconds of samples in one message."""
SEED = 11


class _Fasteners:
    """The simulated fasteners of one job, brought to where the log says they are."""

    def __init__(self, plan: Plan) -> None:
        from clampwright.bench.mechanic import SimulatedMechanic  # noqa: PLC0415 - numpy, when used

        self._mechanic: SimulatedMechanic = SimulatedMechanic(plan, seed=SEED)
        self._plan = plan
        self._done: set[tuple[PullKey, str]] = set()
        self._restarts = 0

    def pull(self, state: JobState, key: PullKey, choice: Fitness) -> bytes:
        """Pull once; the fastener first gets what the log says was done to it before."""
        for restart in state.restarts[self._restarts :]:
            self._mechanic.renew(restart["joint"], restart["fastener"])
        self._restarts = len(state.restarts)
        for earlier in state.pulls:
            same = (earlier.key.joint, earlier.key.fastener) == (key.joint, key.fastener)
            mark = (earlier.key, earlier.entry)
            if same and earlier.settled and mark not in self._done:
                self._done.add(mark)
                self._again(earlier.key)
        return self._once(key, choice)

    def taken(self, key: PullKey, entry: str) -> None:
        """Note that a pull of this simulation is on the log: it is not done a second time."""
        self._done.add((key, entry))

    def _again(self, key: PullKey) -> None:
        if (choice := recording(self._plan.stage(key))) is not None:
            self._once(key, choice)
        else:
            self._mechanic.pull(guidance(self._plan, key, [key]))

    def _once(self, key: PullKey, choice: Fitness) -> bytes:
        asked = guidance(self._plan, key, [key])
        planned = replace(asked.planned, choices=(choice,))
        return self._mechanic.pull(replace(asked, planned=planned)).trace or b""


class Simulations:
    """The simulated wrenches of one server.

    Parameters
    ----------
    speed : float
        How much faster than a hand they pull.
    """

    def __init__(self, speed: float = 1.0) -> None:
        self._speed = speed
        self._fasteners: dict[str, tuple[Plan, _Fasteners]] = {}
        self._tasks: set[asyncio.Task[None]] = set()

    async def start(self, place: House, job: str, sent: SimulateIn) -> None:
        """Begin a pull; it goes on by itself.

        Raises
        ------
        Refused
            When the job is not an invented one, or no recording wrench is fit for the stage.
        """
        trace, tool = await asyncio.to_thread(self._recorded, place, job, sent)
        if place.live.pulling(job):
            raise Refused(words("another wrench is pulling on this job just now"))
        task = asyncio.create_task(self._stream(place, job, sent, trace, tool))
        self._tasks.add(task)
        task.add_done_callback(self._tasks.discard)

    def _recorded(self, place: House, job: str, sent: SimulateIn) -> tuple[Trace, str]:
        from clampwright.trace.reading import read_csv  # noqa: PLC0415 - numpy, only where needed

        state, plan = opened(place.desk.look().jobs.get(job), job)
        key = key_of(plan, sent.joint, sent.stage, sent.fastener)
        planned, joint = plan.stage(key), plan.joint(key.joint).joint
        choice = recording(planned)
        if not plan.job.invented or choice is None or not can_simulate(planned, joint):
            raise Refused(
                words("the simulated wrench is only for stages of invented jobs it can record")
            )
        data = self._of(job, plan).pull(state, key, choice)
        mode = choice.tool.angle.mode if choice.tool.angle and choice.tool.angle.mode else "handle"
        return read_csv(data, "simulated", angle_mode=mode), choice.tool.id

    def _of(self, job: str, plan: Plan) -> _Fasteners:
        known = self._fasteners.get(job)
        if known is None or known[0] is not plan:
            known = self._fasteners[job] = (plan, _Fasteners(plan))
        return known[1]

    async def _stream(
        self, place: House, job: str, sent: SimulateIn, trace: Trace, tool: str
    ) -> None:
        """Send it as a wrench would: the start, the samples as time goes by, the end."""
        source = object()
        key = PullKey(sent.joint, sent.stage, sent.fastener)
        start = {"joint": key.joint, "stage": key.stage, "fastener": key.fastener}
        with contextlib.suppress(ClampwrightError):  # the pages were told by the channel
            try:
                await place.live.receive(
                    job, source, {"pull": start, "tool": tool, "entry": sent.entry}
                )
                began = time.monotonic()
                for at, batch in _batches(trace):
                    await asyncio.sleep(max(0.0, began + at / self._speed - time.monotonic()))
                    await place.live.receive(job, source, {"samples": batch})
                await place.live.receive(job, source, {"end": True})
                self._fasteners[job][1].taken(key, sent.entry)
            finally:
                await place.live.silent(job, source)


def _batches(trace: Trace) -> list[tuple[float, list[list[float]]]]:
    """Cut a trace into messages, each with the time at which it is sent."""
    found: list[tuple[float, list[list[float]]]] = []
    for row in zip(trace.time.tolist(), trace.torque.tolist(), trace.angle.tolist(), strict=True):
        at = row[0] - float(trace.time[0])
        if not found or at - found[-1][0] >= BATCH:
            found.append((at, []))
        found[-1][1].append(list(row))
    return found


async def simulate(request: Request, job: Job, sent: SimulateIn) -> JSONResponse:
    """Let the simulated wrench do one pull of an invented job."""
    place = house(request)
    await place.simulations.start(place, job, sent)
    answer: dict[str, Any] = {"entry": sent.entry}
    return JSONResponse(answer, 202)
