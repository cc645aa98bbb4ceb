"""What the database says when something fails, in words for a person.

PostgreSQL's errors are told by `clampwright.store.server_failures`.
SQLite's result codes (https://www.sqlite.org/rescode.html) are sorted by whose move it is next.
"""

from __future__ import annotations

import sqlite3
import sys
from typing import Any

from sqlalchemy.exc import DBAPIError

from clampwright.errors import BadFile, ClampwrightError, StoreBusy, StoreFailed, StoreFull
from clampwright.store import server_failures
from clampwright.words import words

_BUSY = {sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED}
_CLOSED = {sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM, sqlite3.SQLITE_AUTH}
_DAMAGED = {sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_FORMAT, sqlite3.SQLITE_ERROR, 0}
"""The last two are what a damaged table of contents gives: a column that is not there, a name that
is not text. The program's own statements are fixed and tested, so it is not they."""

DATABASE_ERRORS = (DBAPIError, sqlite3.Error, UnicodeDecodeError)
"""What reading or writing a database can raise; the last one when even its message is damaged."""


def driver_errors() -> tuple[type[BaseException], ...]:
    """Return what the drivers raise themselves, of those that are loaded."""
    server: Any = sys.modules.get("psycopg")
    return (sqlite3.Error,) if server is None else (sqlite3.Error, server.Error)


_HARMLESS = {*_BUSY, *_CLOSED, sqlite3.SQLITE_FULL, sqlite3.SQLITE_READONLY}


def code_of(error: BaseException) -> int:
    """Return SQLite's extended result code of an error, or 0.

    Parameters
    ----------
    error : BaseException
        Of sqlite3, or of SQLAlchemy around one.

    Returns
    -------
    int
    """
    original = getattr(error, "orig", None) or error
    code = getattr(original, "sqlite_errorcode", 0)
    return code if isinstance(code, int) else 0


def is_fatal(error: BaseException) -> bool:
    """Say whether it is unknown, after an error, what is on the disk.

    After a failed write or fsync the operating system may have dropped what it could not write
    and report success the next time, so going on would be a guess.

    Parameters
    ----------
    error : BaseException

    Returns
    -------
    bool
    """
    if server_failures.from_server(error):
        return server_failures.is_fatal(error)
    return code_of(error) & 0xFF not in _HARMLESS


def in_words(error: BaseException, file: str, *, committing: bool = False) -> ClampwrightError:
    """Turn a database error into one clear message.

    Parameters
    ----------
    error : BaseException
    file : str
        Name of the store.
    committing : bool
        It came while a transaction was being ended.

    Returns
    -------
    ClampwrightError
    """
    if server_failures.from_server(error):
        return server_failures.in_words(error, file, committing=committing)
    code = code_of(error)
    kind = code & 0xFF
    if kind in _BUSY:
        return StoreBusy(
            words(
                "{file} is locked by another program; nothing was stored. Close it and try again",
                file=file,
            )
        )
    if kind == sqlite3.SQLITE_FULL:
        return StoreFull(
            words("no room left for {file}; nothing was stored. Make room and try again", file=file)
        )
    if code == sqlite3.SQLITE_IOERR_WRITE:
        return StoreFull(
            words(
                "{file} could not be written: the disk is full, over its quota, or failing. "
                "Nothing was stored; make room or check the disk, then open the store again",
                file=file,
            )
        )
    return _of_the_file(kind, file) or StoreFailed(
        words(
            "{file} failed ({problem}). What was not yet acknowledged may or may not be stored; "
            "check the disk, then open the store again",
            file=file,
            problem=str(getattr(error, "orig", None) or error),
        )
    )


def _of_the_file(kind: int, file: str) -> BadFile | None:
    if kind == sqlite3.SQLITE_READONLY:
        return BadFile(
            words("{file} is write-protected; nothing was stored", file=file),
            file=file,
            expected="a file that may be written",
        )
    if kind in _CLOSED:
        return BadFile(
            words("{file} cannot be opened; look at its permissions", file=file),
            file=file,
            expected="a file that may be read",
        )
    if kind == sqlite3.SQLITE_NOTADB:
        return not_a_store(file)
    if kind in _DAMAGED:
        return BadFile(
            words(
                "{file} is damaged; nothing was changed. Keep it, and restore a backup beside it",
                file=file,
            ),
            file=file,
            expected="a whole SQLite file",
        )
    return None


def not_a_store(file: str) -> BadFile:
    """Return the error for a file that is something else.

    Parameters
    ----------
    file : str

    Returns
    -------
    BadFile
    """
    return BadFile(
        words("{file} is not a store of this program", file=file),
        file=file,
        expected="the workshop.sqlite of a workshop folder",
    )
