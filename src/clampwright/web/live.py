"""The live channel of a job: samples come in from a wrench and go out to every page of the job.

One way in for all wrenches, simulated or real. What a wrench sends::

    {"pull": {"joint": "wheel", "stage": 2, "fastener": 3}, "tool": "electronic-200", "entry": "…"}
    {"t": 0.01, "torque": 1.2, "angle": 0.5}       (s, N·m, degrees)
    {"samples": [[0.02, 1.4, 0.6], [0.03, 1.7, 0.8]]}
    {"end": true}                                  (or {"cancel": true})

With ``"answers": true`` in the first message the wrench hears ``{"now": {…}}`` after each message
of samples: where the pull stands, what the hand should do, what happened.

What pages hear: ``{"live": …}`` while it goes on, ``{"taken": …}`` when it is on the log,
``{"stopped": "why"}`` when nothing was recorded, ``{"changed": size}`` when the log has grown,
``{"beat": 1}`` every few seconds, so that a line that is only half open is known by its silence.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Coroutine, Mapping
from contextlib import asynccontextmanager
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect, WebSocketState

from clampwright.errors import BadFile, ClampwrightError, Refused, StoreBusy
from clampwright.intake import json_of, most
from clampwright.locale import language, say, speaking
from clampwright.store.stamp import Stamp
from clampwright.web.bench_view import verdict_view
from clampwright.web.desk import Desk
from clampwright.web.live_pull import LivePull, begin, warm
from clampwright.web.shared import house
from clampwright.words import Words, words
from clampwright.work.fold import Pull

LONGEST_MESSAGE = most("wrench message")
"""Characters of one message: half a second of a fast wrench."""
ASLEEP_AFTER = 0.5
"""Seconds for which a device may take nothing of what it is told."""
TOLD_EVERY = 0.05
"""Seconds between two live values for the pages."""
KEPT_FOR = 120.0
"""Seconds for which a whole pull is kept while another program writes."""
LOOKED_EVERY = 1.0
"""Seconds between two looks whether another program has written."""
BEAT_EVERY = 5.0
"""Seconds between two beats: a page that hears none knows that the line is only half open."""
SILENT_AFTER = 30.0
"""Seconds after which a pull of a wrench that sends nothing any more is given up."""


Message = Mapping[str, Any] | Callable[[], Mapping[str, Any]]
"""What pages are told: sentences in it are still `Words`, or it is made once for each language."""


class LiveRoom:
    """All sockets of a server, by job.

    Parameters
    ----------
    desk : Desk
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._sockets: dict[str, dict[WebSocket, str]] = {}
        self._pulls: dict[str, LivePull] = {}
        self._told: dict[str, float] = {}
        self._closings: set[asyncio.Task[None]] = set()
        self._grown = asyncio.Event()
        self._loop: asyncio.AbstractEventLoop | None = None

    @asynccontextmanager
    async def watching(self) -> AsyncIterator[None]:
        """Watch the log while the server runs, so that pages hear of what others wrote."""
        self._loop, self._grown = asyncio.get_running_loop(), asyncio.Event()
        watcher = asyncio.create_task(self._watch())
        try:
            yield
        finally:
            watcher.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await watcher

    def poke(self) -> None:
        """Say, from any thread, that the log has grown."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._grown.set)

    async def _watch(self) -> None:
        seen, beaten = await self._stamp(), time.monotonic()
        while True:
            with contextlib.suppress(TimeoutError):
                await asyncio.wait_for(self._grown.wait(), LOOKED_EVERY)
            self._grown.clear()
            if time.monotonic() - beaten >= BEAT_EVERY:
                beaten = time.monotonic()
                await self._beat()
            stamp = await self._stamp()
            if stamp is not None and stamp != seen and any(self._sockets.values()):
                seen = stamp
                await self._tell_size()

    async def _stamp(self) -> Stamp | None:
        """Ask whether the log has grown; a server that is away is asked again, not given up."""
        try:
            return await asyncio.to_thread(self._desk.stamp)
        except ClampwrightError:
            return None  # as in _tell_size: here nobody asked

    async def _beat(self) -> None:
        """Let every page know that somebody is here, and give up wrenches that are not."""
        for job in list(self._sockets):
            await self.tell(job, {"beat": 1})
        for job, pull in list(self._pulls.items()):
            if time.monotonic() - pull.heard >= SILENT_AFTER:
                await self.silent(job, pull.source)

    async def _tell_size(self) -> None:
        try:
            known = await asyncio.to_thread(self._desk.look)
        except ClampwrightError:
            return  # a page that asks is told why; here nobody asked
        for job in list(self._sockets):
            await self.tell(job, {"changed": known.size})

    async def tell(self, job: str, message: Message) -> None:
        """Send a message to every page of a job, each in its own language."""
        texts: dict[str, str] = {}
        for socket, tag in list(self._sockets.get(job, {}).items()):
            if tag not in texts:
                texts[tag] = _said(message, tag)
            with contextlib.suppress(WebSocketDisconnect, RuntimeError):
                try:
                    async with asyncio.timeout(ASLEEP_AFTER):
                        await socket.send_text(texts[tag])
                except TimeoutError:
                    self._let_go(job, socket)

    def _let_go(self, job: str, socket: WebSocket) -> None:
        """Wait no longer for a device that takes nothing: the wrench and the others go on.

        It is told by the closing, and listens anew when it is awake.
        """
        self._sockets.get(job, {}).pop(socket, None)
        self._in_passing(_closed(socket))

    def _in_passing(self, work: Coroutine[Any, Any, None]) -> None:
        """Let something be done that nobody waits for."""
        task = asyncio.create_task(work)
        self._closings.add(task)
        task.add_done_callback(self._closings.discard)

    async def attend(self, socket: WebSocket, job: str) -> None:
        """Serve one socket until it closes; a pull it had begun and not ended is given up."""
        self._sockets.setdefault(job, {})[socket] = language()
        try:
            # Telling it something may have found it gone, or asleep and let go.
            while socket.application_state is WebSocketState.CONNECTED:
                text = await socket.receive_text()
                await self._heard(socket, job, text)
        except WebSocketDisconnect:
            pass
        finally:
            others = self._sockets.get(job, {})
            others.pop(socket, None)
            if not others:
                self._sockets.pop(job, None)
            await self.silent(job, socket)

    async def _heard(self, socket: WebSocket, job: str, text: str) -> None:
        try:
            for line in messages_in(text):
                await self.receive(job, socket, line, reply=socket.send_text)
        except ClampwrightError as error:
            with contextlib.suppress(WebSocketDisconnect, RuntimeError):
                await socket.send_text(json.dumps({"error": say(error.message)}))

    async def receive(
        self,
        job: str,
        source: object,
        message: Mapping[str, Any],
        *,
        reply: Callable[[str], Awaitable[None]] | None = None,
    ) -> None:
        """Take one message of a wrench; the only way in.

        Parameters
        ----------
        job : str
        source : object
            Who sends: only the one that began a pull may go on with it.
        message : mapping
        reply : callable, optional
            Sends a text back to the wrench, if it asked to be answered.

        Raises
        ------
        ClampwrightError
            When it cannot be taken; the pull, if one is going on, is given up.
        """
        if "pull" in message:
            await self._begin(job, source, message)
            return
        pull = self._pulls.get(job)
        if pull is None or pull.source is not source:
            raise Refused(words("no pull was begun on this connection"))
        if message.get("cancel") is True:
            await self._give_up(job, words("The pull was broken off: nothing was recorded."))
        elif message.get("end") is True:
            await self._end(job, pull)
        else:
            await self._sampled(job, pull, message, reply)

    async def _begin(self, job: str, source: object, message: Mapping[str, Any]) -> None:
        if job in self._pulls:
            raise Refused(words("another wrench is pulling on this job just now"))
        pull = await asyncio.to_thread(begin, self._desk, job, source, message)
        if job in self._pulls:
            raise Refused(words("another wrench is pulling on this job just now"))
        self._pulls[job] = pull
        await self.tell(job, {"live": pull.live()})
        self._in_passing(asyncio.to_thread(warm))

    async def _sampled(
        self,
        job: str,
        pull: LivePull,
        message: Mapping[str, Any],
        reply: Callable[[str], Awaitable[None]] | None,
    ) -> None:
        try:
            news = pull.add(message)
        except ClampwrightError as error:
            await self._give_up(job, error.message)
            raise
        now = time.monotonic()
        if pull.answers and reply is not None:  # the wrench first: a hand waits for it
            await reply(json.dumps({"now": pull.answer()}))
        if news or now - self._told.get(job, 0.0) >= TOLD_EVERY:
            self._told[job] = now
            await self.tell(job, {"live": pull.live()})

    async def _end(self, job: str, pull: LivePull) -> None:
        await self.tell(job, {"live": pull.live()})
        try:
            taken = await self._taken(job, pull)
        except ClampwrightError as error:
            await self._give_up(job, error.message)
            return
        self._pulls.pop(job, None)
        await self.tell(job, lambda: {"taken": verdict_view(taken)})
        self._grown.set()

    async def _taken(self, job: str, pull: LivePull) -> Pull:
        """Put a whole pull on the log; while another program writes, keep it and try again."""
        until = time.monotonic() + KEPT_FOR
        while True:
            try:
                return await asyncio.to_thread(pull.take, self._desk, job)
            except StoreBusy as busy:
                if time.monotonic() >= until:
                    raise
                await self.tell(job, {"waiting": busy.message})

    async def _give_up(self, job: str, why: Words) -> None:
        self._pulls.pop(job, None)
        await self.tell(job, {"stopped": why})

    async def silent(self, job: str, source: object) -> None:
        """Give up the pull of a wrench that is gone."""
        pull = self._pulls.get(job)
        if pull is not None and pull.source is source:
            why = words(
                "The wrench fell silent in the middle of a pull: nothing was recorded. Treat this "
                "pull as not done: look for a mark, else loosen the fastener and start it again."
            )
            await self._give_up(job, why)

    def pulling(self, job: str) -> bool:
        """Whether a wrench is pulling on a job just now."""
        return job in self._pulls


def _said(message: Message, tag: str) -> str:
    """Return a message as text, its sentences in a language."""
    with speaking(tag):
        made = message() if callable(message) else message
        return json.dumps(made, ensure_ascii=False, default=_sentence)


def _sentence(value: object) -> str:
    if isinstance(value, Words):
        return say(value)
    raise TypeError(f"{type(value).__name__} cannot be sent")


async def _closed(socket: WebSocket) -> None:
    """Close the channel of a device that takes nothing, however long that takes."""
    with contextlib.suppress(WebSocketDisconnect, RuntimeError):
        await socket.close(code=1013)


def messages_in(text: str) -> list[Mapping[str, Any]]:
    """Return the messages of a text: one JSON object a line.

    Parameters
    ----------
    text : str
        What a wrench sent at once.

    Returns
    -------
    list of mapping

    Raises
    ------
    Refused
        When it is too much, or no such messages.
    """
    if len(text) > LONGEST_MESSAGE:
        raise Refused(words("a message of a wrench has at most {n} signs", n=LONGEST_MESSAGE))
    found: list[Mapping[str, Any]] = []
    for line in text.splitlines():
        if not line.strip():
            continue
        try:
            message = json_of(line, "wrench message", "message")
        except BadFile as error:
            raise Refused(words("a message of a wrench is one JSON object a line")) from error
        if not isinstance(message, dict):
            raise Refused(words("a message of a wrench is one JSON object a line"))
        found.append(message)
    return found


async def live(socket: WebSocket, job: str) -> None:
    """Take samples from wrenches and tell pages what comes of them."""
    await socket.accept()
    await house(socket).live.attend(socket, job)
