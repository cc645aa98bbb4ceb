"""What changes whenever a log does, so that a look costs next to nothing while nothing happens."""

from __future__ import annotations

import threading
from pathlib import Path

from sqlalchemy import Connection

from clampwright.store.engine import connect
from clampwright.store.failures import DATABASE_ERRORS, in_words
from clampwright.store.where import STORE_FILE, Database, place_of

Stamp = tuple[object, ...]
"""Empty while there is no log."""

PATIENCE = 2.0
"""How long the server is waited for, s."""


class LogStamp:
    """Looks whether a workshop's log, or its people, changed.

    Of a file its size and time are looked at. A server is asked which transactions have ended
    (https://www.postgresql.org/docs/15/functions-info.html, "pg_current_snapshot"): that changes
    with every one that wrote, of whichever workshop, so no change is ever missed.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._turn = threading.Lock()
        self._asked: Database | None = None
        self._connection: Connection | None = None

    def now(self) -> Stamp:
        """Return the present stamp.

        Raises
        ------
        StoreBusy
            When the server cannot be reached.
        BadFile
            When it does not let this role in.
        """
        place = place_of(self._folder)
        if not isinstance(place, Database):
            return self._of_files()
        with self._turn:
            if self._asked != place:  # the log was moved
                self._drop()
            try:
                return self._of_server(place)
            except DATABASE_ERRORS:
                self._drop()  # the server may have been started again in between
            try:
                return self._of_server(place)
            except DATABASE_ERRORS as error:
                self._drop()
                raise in_words(error, str(place)) from error

    def close(self) -> None:
        """End the connection that is kept, if there is one."""
        with self._turn:
            self._drop()

    def _of_files(self) -> Stamp:
        found = []
        for name in (STORE_FILE, f"{STORE_FILE}-wal"):
            try:
                stat = (self._folder / name).stat()
            except OSError:
                continue
            found.append((stat.st_ino, stat.st_size, stat.st_mtime_ns))
        return tuple(found)

    def _of_server(self, place: Database) -> Stamp:
        if self._connection is None:
            self._connection = connect(place, write=False, busy_seconds=PATIENCE)
            self._asked = place
        with self._connection.begin():
            snapshot, there = self._connection.exec_driver_sql(
                "SELECT pg_current_snapshot()::text, to_regclass('log') IS NOT NULL"
            ).one()
        return (str(place), snapshot) if there else ()

    def _drop(self) -> None:
        connection, self._connection, self._asked = self._connection, None, None
        if connection is not None:
            connection.close()
