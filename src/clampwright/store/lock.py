"""One writing program for each workshop, held by a lock of the operating system.

The lock goes with the process, however it ends. The file stays; what it says is only read by the
one who is turned away.
"""

from __future__ import annotations

import contextlib
import json
import os
import sys
from datetime import UTC, datetime
from pathlib import Path

from clampwright.errors import BadFile, StoreBusy
from clampwright.intake import json_of
from clampwright.words import words

if sys.platform == "win32":
    import msvcrt

    _PLACE = 1 << 30  # past the text, which stays readable

    def _take(handle: int) -> None:
        os.lseek(handle, _PLACE, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

    def _give(handle: int) -> None:
        os.lseek(handle, _PLACE, os.SEEK_SET)
        msvcrt.locking(handle, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def _take(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _give(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_UN)


class WriterLock:
    """The right to write, taken at once or not at all.

    Parameters
    ----------
    file : pathlib.Path
        The lock file; made if it is not there.

    Raises
    ------
    StoreBusy
        When another program holds it; names that program.
    BadFile
        When the file cannot be made.
    """

    def __init__(self, file: Path) -> None:
        flags = os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0)
        try:
            self._handle = os.open(file, flags, 0o600)
        except OSError as error:
            raise BadFile(
                words(
                    "{file} cannot be written: {problem}",
                    file=str(file),
                    problem=str(error.strerror),
                ),
                file=str(file),
                expected="a folder that may be written",
            ) from error
        try:
            _take(self._handle)
        except OSError:
            os.close(self._handle)
            raise _busy(file) from None
        note = {"pid": os.getpid(), "since": datetime.now(UTC).isoformat(timespec="seconds")}
        # On a full disk the lock holds all the same; only who holds it cannot be told then.
        with contextlib.suppress(OSError):
            os.ftruncate(self._handle, 0)
            os.lseek(self._handle, 0, os.SEEK_SET)
            os.write(self._handle, json.dumps(note).encode("ascii"))

    def release(self) -> None:
        """Give the right back; a second call does nothing."""
        if self._handle >= 0:
            _give(self._handle)
            os.close(self._handle)
            self._handle = -1


def _busy(file: Path) -> StoreBusy:
    try:
        note = json_of(file.read_bytes(), "lock note", file.name)
        holder, since = int(note["pid"]), str(note["since"])
    except (OSError, BadFile, ValueError, KeyError, TypeError):
        return StoreBusy(
            words(
                "another program is writing to the workshop {folder}; close it first",
                folder=str(file.parent),
            )
        )
    return StoreBusy(
        words(
            "another program (process {pid}, since {since}) is writing to the workshop {folder}; "
            "close it first",
            pid=str(holder),
            since=since,
            folder=str(file.parent),
        )
    )
