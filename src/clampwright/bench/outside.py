"""Whom this workshop may ask outside of it, and the one place where a request leaves the program.

``outside.toml`` in the workshop folder names them. Nothing is asked because it stands there: a
request goes out only when a person gives the command for it, or has turned a receiver of messages
on (``bench/telling.py``).
"""

from __future__ import annotations

import http.client
import socket
import ssl
import threading
import urllib.parse
from collections.abc import Mapping
from contextlib import closing, suppress
from pathlib import Path
from typing import Annotated, NamedTuple

from pydantic import Field, StringConstraints

from clampwright.bench.reach import Target
from clampwright.errors import BadFile, Missing, Refused
from clampwright.tomlfile import FileModel, read_toml
from clampwright.words import words

OUTSIDE_FILE = "outside.toml"
PATIENCE = 20.0
"""How long an answer is waited for, s."""
PORTS = {"http": http.client.HTTPConnection, "https": http.client.HTTPSConnection}

Address = Annotated[str, StringConstraints(pattern=r"^https?://[^\s/@]+(/\S*)?$", max_length=500)]


class TimeStampTable(FileModel):
    """A time-stamp authority (RFC 3161)."""

    url: Address
    chain: Annotated[str, StringConstraints(min_length=1, max_length=500)]


class WitnessTable(FileModel):
    """A witness for this workshop's log."""

    url: Address
    key: Annotated[str, StringConstraints(min_length=1, max_length=500)]


class CountersigningTable(FileModel):
    """The folder of the witness by which this workshop signs heads of others."""

    folder: Annotated[str, StringConstraints(min_length=1, max_length=500)]


class Outside(FileModel):
    """What ``outside.toml`` holds."""

    time_stamp: TimeStampTable | None = None
    witness: Annotated[tuple[WitnessTable, ...], Field(max_length=12)] = ()
    countersigning: CountersigningTable | None = None


class Answer(NamedTuple):
    """What came back.

    Parameters
    ----------
    status : int
    kind : str
        Content-Type without parameters.
    body : bytes
    """

    status: int
    kind: str
    body: bytes


def outside_of(folder: Path) -> Outside:
    """Return whom a workshop may ask; nobody where it has no such file.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    Outside

    Raises
    ------
    BadFile
        When the file cannot be taken.
    """
    path = folder / OUTSIDE_FILE
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Outside()
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(path), problem=str(error.strerror)),
            file=str(path),
        ) from error
    return read_toml(data, str(path), Outside)


def needed(folder: Path, table: str) -> Missing:
    """Return the error for a table of ``outside.toml`` that is not there.

    Parameters
    ----------
    folder : pathlib.Path
    table : str

    Returns
    -------
    Missing
    """
    return Missing(
        words(
            "{file} names none: nobody outside is asked before [{table}] stands in it",
            file=str(folder / OUTSIDE_FILE),
            table=table,
        ),
        needed=table,
    )


def post(url: str, body: bytes, kind: str, *, largest: int) -> Answer:
    """Send one request to one address and return the answer; redirects are not followed.

    Parameters
    ----------
    url : str
        ``http`` or ``https``.
    body : bytes
    kind : str
        Content-Type.
    largest : int
        Bytes of an answer that are taken.

    Returns
    -------
    Answer

    Raises
    ------
    Refused
        When nobody answers there, or too much.
    """
    parts = urllib.parse.urlsplit(url)
    made = PORTS[parts.scheme]
    path = urllib.parse.urlunsplit(("", "", parts.path or "/", parts.query, ""))
    headers = {"Content-Type": kind, "User-Agent": "clampwright"}
    try:
        with closing(made(parts.hostname or "", parts.port, timeout=PATIENCE)) as asked:
            asked.request("POST", path, body, headers)
            with closing(asked.getresponse()) as got:
                told = (got.getheader("content-type") or "").partition(";")[0].strip()
                answer = Answer(got.status, told, got.read(largest + 1))
    except (OSError, ValueError, http.client.HTTPException) as error:
        raise Refused(
            words("{url} did not answer: {problem}", url=url, problem=str(error))
        ) from error
    if len(answer.body) > largest:
        raise Refused(words("{url} answered with more than {limit} bytes", url=url, limit=largest))
    return answer


class _To(http.client.HTTPConnection):
    """A connection to the very address that was asked about, whatever the name says by now."""

    def __init__(self, target: Target, seconds: float) -> None:
        super().__init__(target.host, target.port, timeout=seconds)
        self._target = target
        self.over = False

    def connect(self) -> None:
        """Connect, and let the other end show its certificate where it is https."""
        to = self._target
        self.sock = socket.create_connection((to.address, to.port), self.timeout)
        if to.secure:
            context = ssl.create_default_context()
            # What is to be cut has to stand here before the other end is waited for.
            self.sock = secured = context.wrap_socket(
                self.sock, server_hostname=to.host, do_handshake_on_connect=False
            )
            if not self.over:
                secured.do_handshake()
        if self.over:  # the time was over before there was anything to cut
            raise TimeoutError(f"no connection within {self.timeout:g} s")

    def cut(self) -> None:
        """End it from outside, when the time is over."""
        self.over = True
        if self.sock is not None:
            with suppress(OSError):
                # The plain one: that of TLS takes away what the other thread is just using.
                socket.socket.shutdown(self.sock, socket.SHUT_RDWR)


def deliver(target: Target, fields: Mapping[str, str], body: bytes, *, seconds: float) -> int:
    """Send one message to a receiver, and return the status of its answer.

    Redirects are not followed, no proxy is asked, and what the answer says is not read.

    Parameters
    ----------
    target : Target
        Checked just now.
    fields : mapping of str to str
        Header fields.
    body : bytes
    seconds : float
        For all of it.

    Returns
    -------
    int

    Raises
    ------
    Refused
        When nobody answers in time, or the certificate is not good. Names the place, not the path.
    """
    asked = _To(target, seconds)
    late = threading.Timer(seconds, asked.cut)
    late.daemon = True
    late.start()
    try:
        with closing(asked):
            asked.request("POST", target.path, body, {**fields, "User-Agent": "clampwright"})
            with closing(asked.getresponse()) as got:
                if asked.over:  # an answer that was cut off can look like a whole one
                    raise TimeoutError(f"no answer within {seconds:g} s")
                return got.status
    except (OSError, ValueError, http.client.HTTPException) as error:
        problem = getattr(error, "strerror", None) or str(error) or type(error).__name__
        raise Refused(
            words("{place} did not answer: {problem}", place=target.place, problem=problem[:200])
        ) from error
    finally:
        late.cancel()
