"""The serial device the server owns: its lines go into a pull that a bench page asked for."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import time
from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from contextvars import copy_context
from typing import TYPE_CHECKING, Any

from clampwright.errors import ClampwrightError, Refused
from clampwright.trace.line_stream import LineStream
from clampwright.trace.pull_end import PullEnd
from clampwright.web.live import LiveRoom
from clampwright.web.live_peaks import LivePeaks
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.bench.device_file import Device
    from clampwright.bench.serial_line import SerialLine

LOG = logging.getLogger("clampwright.device")
BATCH = 0.04
"""Seconds of samples in one message."""
GIVEN_UP_AFTER = 120.0
"""Seconds a pull waits for its first torque."""
SILENT_AFTER = 5.0
"""Seconds without a line, in the middle of a pull, after which the device is held to be gone."""
MOST_SHOWN = 500
"""Samples of one read that are looked at between pulls."""
MOST_WAITING = 5000
"""Lines that may wait; a flood beyond it loses the oldest, and breaks off the pull."""


class _Pull:
    """One pull that the device is to record."""

    def __init__(self, job: str, device: Device) -> None:
        self.job = job
        self.stream = LineStream(device.form)
        self.end = PullEnd(device.begins_Nm, device.rest_s)
        self.began = self.heard = time.monotonic()
        self.context = copy_context()  # whose hand asked for it: theirs is the entry


class DeviceRoom:
    """The device of a server.

    Parameters
    ----------
    live : LiveRoom
    device : Device or None
        None where the workshop has none.
    peaks : LivePeaks
        Where the torque goes that it sends between pulls, to practise by.
    """

    def __init__(self, live: LiveRoom, device: Device | None, peaks: LivePeaks) -> None:
        self.device = device
        self._live, self._peaks = live, peaks
        self._line: SerialLine | None = None
        self._pull: _Pull | None = None
        self._queue: asyncio.Queue[str] = asyncio.Queue(MOST_WAITING)
        self._loop: asyncio.AbstractEventLoop | None = None
        self._overrun = self._cut = False
        self._arming = asyncio.Lock()

    @asynccontextmanager
    async def listening(self) -> AsyncIterator[None]:
        """Hold the port while the server runs."""
        if self.device is None:
            yield
            return
        from clampwright.bench.serial_line import SerialLine  # noqa: PLC0415 - only with a device

        self._loop, self._queue = asyncio.get_running_loop(), asyncio.Queue(MOST_WAITING)
        self._arming = asyncio.Lock()
        self._line = SerialLine(self.device.port, self.device.speed, self._heard, self._lost)
        self._line.start()
        pump = asyncio.create_task(self._pump())
        try:
            yield
        finally:
            pump.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await pump
            await asyncio.to_thread(self._line.stop)

    # ---- from the thread of the port

    def _heard(self, lines: list[str]) -> None:
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self._queued, lines)

    def _lost(self) -> None:
        if self._loop is not None:
            self._loop.call_soon_threadsafe(self._mark_cut)

    def _mark_cut(self) -> None:
        self._cut = True

    def _queued(self, lines: list[str]) -> None:
        if self._pull is None:
            self._between_pulls(lines)
            return
        for line in lines:
            if self._queue.full():
                self._overrun = True
                return
            self._queue.put_nowait(line)

    def _between_pulls(self, lines: list[str]) -> None:
        """Show the torque to whoever practises; what comes between pulls is nobody's result."""
        if self.device is None:
            return
        with contextlib.suppress(ClampwrightError):  # a form without an angle tells no torque
            stream = LineStream(self.device.form)  # anew: a device may begin its clock again
            samples = [sample for line in lines if (sample := stream.take(line)) is not None]
            for _time, torque, _angle in samples[-MOST_SHOWN:]:
                name = self.device.tool or self.device.port
                self._peaks.take(name, torque, "N·m", now=time.monotonic())

    # ---- a pull

    async def arm(self, job: str, place: Mapping[str, Any], tool: str, entry: str) -> None:
        """Let the device record the next pull.

        Parameters
        ----------
        job : str
        place : mapping
            Joint, stage and fastener.
        tool : str
            Id of the wrench that sends.
        entry : str

        Raises
        ------
        Refused
            When there is no device, it is not there, or it records another pull.
        """
        if self.device is None or self._line is None:
            raise Refused(words("this server has no device on a serial line"))
        async with self._arming:
            if self._pull is not None:
                raise Refused(words("the device is recording a pull already"))
            state = self._line.state
            if state.problem is not None:
                raise Refused(words("the device is not there: {why}", why=state.problem.message))
            start = {"pull": dict(place), "tool": self.device.tool or tool, "entry": entry}
            await self._live.receive(job, self, start)
            while not self._queue.empty():
                self._queue.get_nowait()
            self._overrun = self._cut = False
            self._pull = _Pull(job, self.device)

    async def break_off(self) -> None:
        """Give up the pull that is going on, if one is: nothing is recorded."""
        pull, self._pull = self._pull, None
        if pull is not None:
            with contextlib.suppress(ClampwrightError):
                await self._live.receive(pull.job, self, {"cancel": True})

    async def _pump(self) -> None:
        while True:
            await asyncio.sleep(BATCH)
            pull = self._pull
            if pull is None:
                continue
            step = asyncio.create_task(self._step(pull), context=pull.context)
            try:
                await asyncio.wait({step})
            finally:
                step.cancel()  # where this loop itself is ended
            problem = step.exception()
            if isinstance(problem, ClampwrightError):
                self._pull = None  # the pages were told by the channel
            elif problem is not None:
                # It is logged whole and told to the pages, and the loop goes on: otherwise the
                # device would seem to be recording for good.
                LOG.error("the pull by the device failed", exc_info=problem)
                await self._gone(pull)

    async def _step(self, pull: _Pull) -> None:
        """Pass on what came, and look whether the pull is over."""
        samples, ended = self._samples(pull)
        if samples:
            await self._live.receive(pull.job, self, {"samples": samples})
        if ended:
            self._pull = None
            await self._live.receive(pull.job, self, {"end": True})
        elif self._cut or self._overrun:
            await self._gone(pull)
        elif pull.end.state == "waiting" and time.monotonic() - pull.began > GIVEN_UP_AFTER:
            await self.break_off()
        elif time.monotonic() - pull.heard > SILENT_AFTER and pull.end.state == "pulling":
            await self._after_silence(pull)

    def _samples(self, pull: _Pull) -> tuple[list[list[float]], bool]:
        samples: list[list[float]] = []
        while not self._queue.empty():
            line = self._queue.get_nowait()
            pull.heard = time.monotonic()
            sample = pull.stream.take(line)
            if sample is None:
                continue
            samples.append(list(sample))
            if pull.end.take(sample[0], sample[1]) == "ended":
                return samples, True
        return samples, False

    async def _after_silence(self, pull: _Pull) -> None:
        """End a pull whose device fell silent after the hand let go; give up any other."""
        if pull.end.resting:
            self._pull = None
            await self._live.receive(pull.job, self, {"end": True})
        else:
            await self._gone(pull)

    async def _gone(self, pull: _Pull) -> None:
        self._pull = None
        await self._live.silent(pull.job, self)

    # ---- how it stands

    @property
    def pulling(self) -> bool:
        """Whether it records a pull just now."""
        return self._pull is not None

    @property
    def line(self) -> SerialLine | None:
        """The port, while the server runs and has one."""
        return self._line
