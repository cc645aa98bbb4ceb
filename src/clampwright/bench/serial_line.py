"""A serial port: opened for one owner, read as it comes, opened again when it was lost."""

from __future__ import annotations

import errno
import threading
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal

import serial
from serial.tools import list_ports

from clampwright.errors import Refused
from clampwright.trace.line_buffer import LineBuffer
from clampwright.words import Words, words

Problem = Literal["missing", "permission", "busy", "other"]
AGAIN_AFTER = 1.0
"""Seconds between two tries to open a port that is not there."""
PATIENCE = 0.2
"""Seconds for which a read waits."""
KEPT = 16_000
"""Bytes of what came last, kept for the doctor."""
_BUSY = {errno.EBUSY, errno.EAGAIN, errno.EWOULDBLOCK}
_MISSING = {errno.ENOENT, errno.ENODEV, errno.ENXIO}


class PortProblem(Refused):
    """A port that cannot be had.

    Parameters
    ----------
    code : str
        ``missing``, ``permission``, ``busy`` or ``other``.
    message, do : Words
        What it is, and what to do.
    """

    def __init__(self, code: Problem, message: Words, do: Words) -> None:
        super().__init__(message)
        self.code, self.do = code, do


def ports() -> list[tuple[str, str]]:
    """Return the serial ports of this machine: name, and what the system calls it."""
    return sorted((one.device, one.description or "") for one in list_ports.comports())


def opened(port: str, speed: int) -> serial.Serial:
    """Open a port for one owner.

    Parameters
    ----------
    port : str
    speed : int
        Bits per second.

    Returns
    -------
    serial.Serial

    Raises
    ------
    PortProblem
    """
    try:
        return serial.Serial(port, speed, timeout=PATIENCE, exclusive=True)
    except (serial.SerialException, OSError, ValueError) as error:
        raise _problem(port, error) from error


def _problem(port: str, error: Exception) -> PortProblem:
    number = getattr(error, "errno", None)
    cause = error.__cause__ or error.__context__
    number = number if number is not None else getattr(cause, "errno", None)
    if number in _MISSING:
        known = ", ".join(name for name, _about in ports()) or "-"
        return PortProblem(
            "missing",
            words("there is no port {port}; there are: {known}", port=port, known=known),
            words(
                "plug the device in and look which port appears; a cable that only charges "
                "brings none"
            ),
        )
    if number in {errno.EACCES, errno.EPERM}:
        return PortProblem(
            "permission",
            words("port {port} may not be opened by this user", port=port),
            words(
                "let the user into the group that owns the port (often dialout or uucp; ls -l "
                "shows it), then sign in again"
            ),
        )
    if number in _BUSY:
        return PortProblem(
            "busy",
            words("port {port} is in use by another program", port=port),
            words(
                "end the other program: the server holds the port of its device, and so does "
                "clampwright feed while it runs"
            ),
        )
    return PortProblem(
        "other",
        words("port {port} cannot be opened: {why}", port=port, why=str(error)[:200]),
        words("look at the port's name and the device's papers"),
    )


def listen(port: str, speed: int, seconds: float) -> bytes:
    """Listen for a while, and return what came.

    Parameters
    ----------
    port : str
    speed : int
    seconds : float

    Returns
    -------
    bytes
        At most 100,000.

    Raises
    ------
    PortProblem
    """
    until, pieces, size = time.monotonic() + seconds, [], 0
    with opened(port, speed) as line:
        while time.monotonic() < until and size < 100_000:
            piece = line.read(max(1, line.in_waiting))
            pieces.append(piece)
            size += len(piece)
    return b"".join(pieces)


def lines_of(port: str, speed: int) -> Iterator[str]:
    """Yield the lines of a port as they come; an empty text while nothing comes.

    Parameters
    ----------
    port : str
    speed : int

    Yields
    ------
    str

    Raises
    ------
    PortProblem
        When it cannot be opened, or is lost.
    """
    buffer = LineBuffer()
    with opened(port, speed) as line:
        while True:
            try:
                lines = buffer.take(line.read(max(1, line.in_waiting)))
            except (serial.SerialException, OSError) as error:
                raise _problem(port, error) from error
            yield from lines or [""]


@dataclass(frozen=True, slots=True)
class LineState:
    """How a port stands.

    Parameters
    ----------
    open : bool
    problem : PortProblem or None
        Why it is not.
    lines, dropped : int
        Whole lines that came, and those that were too long to be one.
    silent_s : float or None
        Seconds since the last byte; None where none came yet.
    """

    open: bool
    problem: PortProblem | None
    lines: int
    dropped: int
    silent_s: float | None


class SerialLine:
    """A port that is listened to in a thread of its own, and opened again when it was lost.

    Parameters
    ----------
    port : str
    speed : int
    heard : callable
        Told of the whole lines that came, in that thread.
    lost : callable
        Told when the port was lost, in that thread.
    again_after : float
        See `AGAIN_AFTER`.
    """

    def __init__(
        self,
        port: str,
        speed: int,
        heard: Callable[[list[str]], None],
        lost: Callable[[], None],
        *,
        again_after: float = AGAIN_AFTER,
    ) -> None:
        self.port, self.speed = port, speed
        self._heard, self._lost, self._again_after = heard, lost, again_after
        self._end = threading.Event()
        self._thread = threading.Thread(target=self._run, name="serial-line", daemon=True)
        self._problem: PortProblem | None = None
        self._open = False
        self._lines = 0
        self._buffer = LineBuffer()
        self._last: float | None = None
        self._recent: deque[tuple[float, bytes]] = deque(maxlen=2000)

    def start(self) -> None:
        """Begin to listen."""
        self._thread.start()

    def stop(self) -> None:
        """Let the port go, and wait until it is free."""
        self._end.set()
        self._thread.join(5)

    @property
    def state(self) -> LineState:
        """How it stands now."""
        silent = None if self._last is None else time.monotonic() - self._last
        return LineState(self._open, self._problem, self._lines, self._buffer.dropped, silent)

    def recent(self, seconds: float) -> bytes:
        """Return what came in the last seconds, at most `KEPT` bytes."""
        since = time.monotonic() - seconds
        return b"".join(data for at, data in list(self._recent) if at >= since)[-KEPT:]

    def _run(self) -> None:
        while not self._end.is_set():
            try:
                with opened(self.port, self.speed) as line:
                    self._open, self._problem = True, None
                    self._listen(line)
            except PortProblem as problem:
                self._problem = problem
            except (serial.SerialException, OSError) as error:
                self._problem = _problem(self.port, error)
            if self._open:
                self._open = False
                self._buffer.forget()
                with suppress(RuntimeError):  # the server's loop is closing
                    self._lost()
            self._end.wait(self._again_after)

    def _listen(self, line: serial.Serial) -> None:
        while not self._end.is_set():
            data = line.read(max(1, line.in_waiting))
            if not data:
                continue
            self._last = time.monotonic()
            self._recent.append((self._last, data))
            lines = self._buffer.take(data)
            self._lines += len(lines)
            if lines:
                with suppress(RuntimeError):  # the server's loop is closing
                    self._heard(lines)
