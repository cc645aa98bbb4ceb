"""What a PostgreSQL server says when something fails, in words for a person.

Error codes are those of https://www.postgresql.org/docs/15/errcodes-appendix.html, sorted by whose
move it is next. A connection that ends says nothing of itself; where it ended tells what is known.
"""

from __future__ import annotations

import sys
from typing import Any

from clampwright.errors import (
    BadFile,
    ClampwrightError,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)
from clampwright.words import Words, words

_BUSY = {
    "55P03",  # lock_not_available: waited too long
    "40P01",  # deadlock_detected
    "40001",  # serialization_failure
    "57014",  # query_canceled
    "53300",  # too_many_connections
    "53200",  # out_of_memory
}
_FULL = {"53100"}  # disk_full
_READ_ONLY = {"25006"}  # read_only_sql_transaction
_NO_RIGHT = {"42501"}  # insufficient_privilege
_DAMAGED = {
    "XX001",  # data_corrupted
    "XX002",  # index_corrupted
    "42P01",  # undefined_table
    "42703",  # undefined_column
    "3F000",  # invalid_schema_name
}
_UNREACHABLE = {"57P03"}  # cannot_connect_now: starting, or going down
_SIGN_IN = {"28P01", "28000"}
_NO_DATABASE = {"3D000"}

HARMLESS = _BUSY | _FULL | _READ_ONLY | _NO_RIGHT
"""After these the transaction was undone, and the connection goes on."""


def from_server(error: BaseException) -> bool:
    """Say whether an error came out of the driver for PostgreSQL.

    Parameters
    ----------
    error : BaseException
        Of the driver, or of SQLAlchemy around one.

    Returns
    -------
    bool
    """
    driver: Any = sys.modules.get("psycopg")
    return driver is not None and isinstance(_original(error), driver.Error)


def is_fatal(error: BaseException) -> bool:
    """Say whether the connection cannot go on after an error.

    Parameters
    ----------
    error : BaseException

    Returns
    -------
    bool
    """
    return _code(error) not in HARMLESS and not _is_of_the_data(error)


def in_words(error: BaseException, place: str, *, committing: bool = False) -> ClampwrightError:
    """Turn an error of the server into one clear message.

    Parameters
    ----------
    error : BaseException
    place : str
        Name of the store.
    committing : bool
        It came while a transaction was being ended: what is stored is not known then, unless the
        server itself said that it is undone.

    Returns
    -------
    ClampwrightError
    """
    code = _code(error)
    if code in _BUSY:
        return StoreBusy(
            words(
                "{place} is busy ({problem}); nothing was stored. Try again",
                place=place,
                problem=_problem(error),
            )
        )
    if code in _FULL:
        return StoreFull(
            words(
                "no room left on the server of {place}; nothing was stored. Make room and try "
                "again",
                place=place,
            )
        )
    if _is_of_the_data(error):
        return Refused(
            words(
                "{place} does not know such a text ({problem}); nothing was stored",
                place=place,
                problem=_problem(error),
            )
        )
    refused = _of_the_place(code, error, place)
    if refused is not None:
        return refused
    if _is_lost(error):
        return _lost(error, place, committing=committing)
    return StoreFailed(
        words(
            "{place} failed ({problem}). What was not yet acknowledged may or may not be stored; "
            "open the store again",
            place=place,
            problem=_problem(error),
        )
    )


def _of_the_place(code: str, error: BaseException, place: str) -> BadFile | None:
    if code in _READ_ONLY:
        said = words("{place} can only be read: is it a standby? Nothing was stored", place=place)
    elif code in _NO_RIGHT:
        said = words(
            "{place}: the role has no right to do this ({problem}); nothing was stored",
            place=place,
            problem=_problem(error),
        )
    elif code in _DAMAGED:
        said = words(
            "{place} is not a log of this program, or is damaged ({problem}); nothing was "
            "changed. Keep it, and restore a backup into another schema",
            place=place,
            problem=_problem(error),
        )
    else:
        known = _of_signing_in(code, error, place)
        if known is None:
            return None
        said = known
    return BadFile(said, file=place, expected="a schema that this role may use")


def _of_signing_in(code: str, error: BaseException, place: str) -> Words | None:
    """Tell a refused sign-in: before a connection stands, only the driver's marks tell it."""
    session: Any = getattr(_original(error), "pgconn", None)
    asked = bool(session and (session.needs_password or session.used_password))
    if code in _SIGN_IN or (not code and asked and session.status == 1):
        return words(
            "{place}: the server does not let this role in ({problem}). A password stands in "
            "PostgreSQL's password file (~/.pgpass)",
            place=place,
            problem=_problem(error),
        )
    if code in _NO_DATABASE or (not code and _says_no(error)):
        return words(
            "{place}: the server refused the connection ({problem})",
            place=place,
            problem=_problem(error),
        )
    return None


def _says_no(error: BaseException) -> bool:
    """Whether a server answered at all: it marks its refusal so, in every language but its own."""
    text = str(_original(error))
    return "FATAL:" in text and "starting up" not in text and "shutting down" not in text


def _is_of_the_data(error: BaseException) -> bool:
    """Whether a value was turned away that no text of the server can hold, such as a byte 0."""
    driver: Any = sys.modules["psycopg"]
    return isinstance(_original(error), driver.DataError)


def _is_lost(error: BaseException) -> bool:
    driver: Any = sys.modules["psycopg"]
    code = _code(error)
    return (
        isinstance(_original(error), driver.OperationalError)
        and (not code or code[:2] in {"08", "57"})
    ) or bool(getattr(error, "connection_invalidated", False))


def _lost(error: BaseException, place: str, *, committing: bool) -> ClampwrightError:
    if committing:
        return StoreFailed(
            words(
                "the connection to {place} was lost while something was being stored ({problem}): "
                "it may or may not be there. Open the store again and look; sending it once more "
                "does no harm",
                place=place,
                problem=_problem(error),
            )
        )
    return StoreBusy(
        words(
            "{place} cannot be reached ({problem}); nothing was stored. Try again",
            place=place,
            problem=_problem(error),
        )
    )


def _original(error: BaseException) -> BaseException:
    return getattr(error, "orig", None) or error


def _code(error: BaseException) -> str:
    return str(getattr(_original(error), "sqlstate", None) or "")


def _problem(error: BaseException) -> str:
    """Return what the server said, on one line and without its advice."""
    original: Any = _original(error)
    said = getattr(getattr(original, "diag", None), "message_primary", None) or str(original)
    return " ".join(said.split())
