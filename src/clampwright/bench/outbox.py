"""Messages that wait to be sent: one file in the workshop's folder, readable by its owner only.

``telling.json`` holds the receivers with their addresses and secrets, and for each of them how much
of the log was looked through, what waits, and what could not be delivered. It is written beside and
renamed with each change, so that a power cut leaves the state before or after. The log itself is
the long end of the queue: what was not looked through yet still stands there.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from clampwright.errors import BadFile, Missing, StoreBusy, StoreFull
from clampwright.store.lock import WriterLock
from clampwright.words import words

OUTBOX_FILE = "telling.json"
PATIENCE = 5.0
"""How long a change waits for another one, s."""
MOST_WAITING = 200
"""Messages of one receiver that wait beside the log, and letters that could not be delivered."""


class Letter(BaseModel):
    """A message on its way.

    Parameters
    ----------
    id : str
        Its name, the same each time it is sent.
    about : str
    body : str
        What is sent, as it is.
    tries : int
    next : float
        When it is tried again, seconds since 1970.
    problem : str
        Why the last try failed.
    """

    model_config = ConfigDict(extra="forbid")

    id: str
    about: str
    body: str
    tries: int = 0
    next: float = 0.0
    problem: str = ""


class Receiver(BaseModel):
    """Who is told, and how far.

    Parameters
    ----------
    id, name, url, secret : str
        The secret in hexadecimal.
    inside : bool
        Whether a person said that it is inside the house.
    about : tuple of str
    cursor : int
        Entries of the log that were looked through.
    due_told : list of str
        Follow-ups that were told as due.
    waiting, dead : list of Letter
        Letters that wait, in order; letters that were given up.
    delivered : int
    last : str
        When one was delivered last, RFC 3339.
    """

    model_config = ConfigDict(extra="forbid")

    id: str
    name: str
    url: str
    secret: Annotated[str, Field(repr=False)]
    inside: bool = False
    about: tuple[str, ...]
    cursor: int = 0
    due_told: list[str] = []
    waiting: list[Letter] = []
    dead: list[Letter] = []
    delivered: int = 0
    last: str = ""


class Outbox(BaseModel):
    """Everything that is told outside."""

    model_config = ConfigDict(extra="forbid")

    version: int = 1
    receivers: list[Receiver] = []

    def receiver(self, name: str) -> Receiver:
        """Return a receiver by its id or name.

        Raises
        ------
        Missing
            When there is none.
        """
        for one in self.receivers:
            if name in {one.id, one.name}:
                return one
        raise Missing(
            words(
                "there is no receiver {name}; there are {known}",
                name=name,
                known=", ".join(one.name for one in self.receivers) or "-",
            ),
            needed="receiver",
        )


def read_outbox(folder: Path) -> Outbox:
    """Return what is told outside; nothing where nobody turned anything on.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.

    Returns
    -------
    Outbox

    Raises
    ------
    BadFile
        When the file cannot be taken.
    """
    path = folder / OUTBOX_FILE
    try:
        return Outbox.model_validate_json(path.read_bytes())
    except FileNotFoundError:
        return Outbox()
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(path), problem=str(error.strerror)),
            file=str(path),
        ) from error
    except ValidationError:  # what it says could show a secret
        raise BadFile(
            words("{file} is damaged: nothing is sent before it is put right", file=str(path)),
            file=str(path),
        ) from None


def write_outbox(folder: Path, outbox: Outbox) -> None:
    """Write it beside and rename.

    Parameters
    ----------
    folder : pathlib.Path
    outbox : Outbox

    Raises
    ------
    StoreFull
        When it cannot be written; what was there stays.
    """
    path = folder / OUTBOX_FILE
    part = path.with_name(f".{OUTBOX_FILE}.new")
    try:
        part.unlink(missing_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as out:
            out.write(outbox.model_dump_json().encode())
            out.flush()
            os.fsync(out.fileno())
        part.replace(path)
    except OSError as error:
        raise StoreFull(
            words("{file} cannot be written: {problem}", file=str(path),
                  problem=str(error.strerror))
        ) from error  # fmt: skip


@contextmanager
def changing(folder: Path) -> Iterator[Outbox]:
    """Change what is told outside, alone; it is written when the block ends well.

    Parameters
    ----------
    folder : pathlib.Path

    Yields
    ------
    Outbox

    Raises
    ------
    StoreBusy
        When another program keeps changing it.
    """
    lock = _patiently(folder / "telling.lock")
    try:
        outbox = read_outbox(folder)
        before = outbox.model_dump_json()
        yield outbox
        if outbox.model_dump_json() != before:
            write_outbox(folder, outbox)
    finally:
        lock.release()


def _patiently(file: Path) -> WriterLock:
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return WriterLock(file)
        except StoreBusy:
            if time.monotonic() >= until:
                raise
        time.sleep(0.01)
