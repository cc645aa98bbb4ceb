"""What a store says it is: whose, and of which version."""

from __future__ import annotations

from sqlalchemy import Connection

from clampwright.errors import BadFile, Refused
from clampwright.store.failures import not_a_store
from clampwright.store.schema import APPLICATION_ID, MARK, REVISIONS
from clampwright.store.where import Database, LogPlace
from clampwright.words import words


def check_version(connection: Connection, place: LogPlace) -> None:
    """Make sure that a file, or a schema, is a store of the version this program works with.

    Parameters
    ----------
    connection : Connection
        No transaction open.
    place : pathlib.Path or Database

    Raises
    ------
    BadFile
        When it is something else, or made by a newer program.
    Refused
        When it is older.
    """
    if version_is_older(connection, place):
        raise Refused(
            words(
                "{file} was made by an older version of this program; open it once for writing",
                file=str(place),
            )
        )


def version_is_older(connection: Connection, place: LogPlace) -> bool:
    """Return whether a store is of an older version.

    Parameters
    ----------
    connection : Connection
        No transaction open.
    place : pathlib.Path or Database

    Returns
    -------
    bool

    Raises
    ------
    BadFile
        When it is something else, or made by a newer program.
    """
    with connection.begin():
        if isinstance(place, Database):
            _look_at_mark(connection, place)
        elif connection.exec_driver_sql("PRAGMA application_id").scalar() != APPLICATION_ID:
            raise not_a_store(str(place))
        found = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if found not in REVISIONS:
        raise BadFile(
            words(
                "{file} was made by a newer version of this program (store version {found}; "
                "known are up to {newest})",
                file=str(place),
                found=str(found),
                newest=REVISIONS[-1],
            ),
            file=str(place),
            expected=f"store version {REVISIONS[-1]} or older",
        )
    return bool(found != REVISIONS[-1])


def _look_at_mark(connection: Connection, database: Database) -> None:
    """Look at what the schema says it is, as SQLite's application number does for a file."""
    from clampwright.store.server import MARK_MOVED, mark_of  # noqa: PLC0415 - an extra

    mark = mark_of(connection)
    if mark == MARK:
        return
    if mark == MARK_MOVED:
        said = words(
            "the log in {place} was moved away and is no longer added to; look in the folder it "
            "was moved with",
            place=str(database),
        )
    elif mark is None:
        said = words(
            "{place} holds no log yet: the first job begins it, or a backup that is put back",
            place=str(database),
        )
    else:
        said = words("{place} holds something else than a log", place=str(database))
    raise BadFile(said, file=str(database), expected="a schema with a log of this program")
