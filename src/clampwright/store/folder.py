"""A workshop's folder: which files it has, and how they come to be.

A new store is built under another name and renamed when it is whole, so that a crash on the way
leaves either no store or a whole one. The key is in place before the log that names it.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from clampwright.errors import BadFile, Refused, StoreFull
from clampwright.proof.checkpoint import origin_for
from clampwright.proof.entry import LOG_OPENED
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import Frontier
from clampwright.store.engine import connect
from clampwright.store.failures import DATABASE_ERRORS, in_words, not_a_store
from clampwright.store.keyfile import read_key, sync_folder, write_key
from clampwright.store.version import version_is_older
from clampwright.store.where import (
    DATABASE_FILE,
    STORE_FILE,
    LogPlace,
    has_log,
    names_log,
    place_of,
)
from clampwright.store.writing import NewEntry, put
from clampwright.words import words

FORMAT = "clampwright-log"
FORMAT_VERSION = 1


@dataclass(frozen=True, slots=True)
class Folder:
    """The paths in a workshop's folder that belong to the store.

    Parameters
    ----------
    path : pathlib.Path
    """

    path: Path

    @property
    def store(self) -> Path:
        """The log, where it lies in the folder."""
        return self.path / STORE_FILE

    @property
    def database(self) -> Path:
        """Says which database holds the log, where it does not lie in the folder."""
        return self.path / DATABASE_FILE

    @property
    def log(self) -> LogPlace:
        """Where the log lies, or would lie."""
        return place_of(self.path)

    @property
    def has_log(self) -> bool:
        """Whether there is a log; a server is asked."""
        return has_log(self.path)

    @property
    def key(self) -> Path:
        """The signing key."""
        return self.path / "workshop.key"

    @property
    def next_key(self) -> Path:
        """The key that is about to take the place of the signing key."""
        return self.path / "workshop.key.next"

    @property
    def lock(self) -> Path:
        """Who writes."""
        return self.path / "workshop.lock"

    @property
    def unfinished(self) -> Path:
        """A store that is still being made."""
        return self.path / "workshop.sqlite.new"


def folder_at(path: Path, *, create: bool) -> Folder:
    """Find a workshop's folder, or make the folder for a new one.

    Parameters
    ----------
    path : pathlib.Path
    create : bool

    Returns
    -------
    Folder

    Raises
    ------
    BadFile
        When there is something else, or nothing.
    """
    folder = Folder(path)
    try:
        is_file, has_store = path.is_file(), folder.store.exists() or names_log(path)
        if create and not is_file:
            path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(
            words(
                "the folder {folder} cannot be used: {problem}",
                folder=str(path),
                problem=str(error.strerror),
            ),
            file=str(path),
            expected="a folder that may be read and written",
        ) from error
    if is_file:
        raise BadFile(
            words("{file} is a file; a workshop is a folder with workshop.sqlite", file=str(path)),
            file=str(path),
            expected="a workshop folder",
        )
    if has_store and not names_log(path):
        raise not_a_store(str(folder.store))
    if not create and not has_store:
        raise BadFile(
            words("{folder} holds no workshop.sqlite; no store was made there", folder=str(path)),
            file=str(path),
            expected="a workshop folder with workshop.sqlite",
        )
    return folder


def make_store(folder: Folder, workshop: str, pass_phrase: str | None, recorded: str) -> None:
    """Make a new store in a folder whose writer lock is held.

    Parameters
    ----------
    folder : Folder
    workshop : str
        Name of the workshop.
    pass_phrase : str or None
        For the key.
    recorded : str
        Time of the first entry.

    Raises
    ------
    Refused
        When a key is there but its store is gone.
    StoreFull
        When there is no room.
    """
    refuse_lone_key(folder)
    try:
        key = begin_making(folder, pass_phrase)
        _fill(folder, opening(workshop, key), recorded)
        folder.unfinished.rename(folder.store)
        sync_folder(folder.path)
    except DATABASE_ERRORS as error:
        raise in_words(error, str(folder.store)) from error
    except OSError as error:
        raise StoreFull(
            words(
                "the store in {folder} could not be made: {problem}",
                folder=str(folder.path),
                problem=str(error.strerror),
            )
        ) from error


def refuse_lone_key(folder: Folder) -> None:
    """Refuse to begin a log where a key tells that there was one.

    Parameters
    ----------
    folder : Folder

    Raises
    ------
    Refused
    """
    if folder.key.exists() and not folder.unfinished.exists():
        raise Refused(
            words(
                "{folder} has a key but no workshop.sqlite: put the store back from a backup, "
                "or move workshop.key away to begin a new one",
                folder=str(folder.path),
            )
        )


def begin_making(folder: Folder, pass_phrase: str | None) -> SigningKey:
    """Have the key in place before the log that names it, and a sign that it is being made.

    Parameters
    ----------
    folder : Folder
    pass_phrase : str or None
        For the key.

    Returns
    -------
    SigningKey
    """
    _clear(folder)
    folder.unfinished.touch(mode=0o600)
    if not folder.key.exists():
        write_key(folder.key, SigningKey.new(), pass_phrase)
    return read_key(folder.key, pass_phrase)


def opening(workshop: str, key: SigningKey) -> NewEntry:
    """Return the first entry of a log.

    Parameters
    ----------
    workshop : str
    key : SigningKey

    Returns
    -------
    NewEntry
    """
    body = {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "origin": origin_for(workshop, key.public),
        "public_key": key.public.text,
        "workshop": workshop,
    }
    return NewEntry(LOG_OPENED, body)


def _clear(folder: Folder) -> None:
    """Remove what an earlier, interrupted attempt left; it never became a store."""
    for ending in ("", "-journal", "-wal", "-shm"):
        (folder.path / (folder.unfinished.name + ending)).unlink(missing_ok=True)


def _fill(folder: Folder, first: NewEntry, recorded: str) -> None:
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    connection = connect(folder.unfinished, write=True, busy_seconds=5.0)
    try:
        with connection.begin():
            upgrade(connection)
            put(connection, first, Frontier(), recorded)
    finally:
        connection.close()


def is_older(folder: Folder) -> bool:
    """Return whether a store is of an older version; nothing is changed.

    Parameters
    ----------
    folder : Folder

    Raises
    ------
    BadFile
        When it is something else, or made by a newer program.
    """
    place = folder.log
    connection = connect(place, write=False, busy_seconds=5.0)
    try:
        return version_is_older(connection, place)
    finally:
        connection.close()


def bring_up_to_date(folder: Folder, *, busy_seconds: float) -> None:
    """Bring an older store to the newest version: a copy is changed, checked, and put in its place.

    Parameters
    ----------
    folder : Folder
        Its writer lock is held.
    busy_seconds : float
        How long to wait for another tool that holds the file, s.

    Raises
    ------
    BadFile
        When it is something else, damaged, or made by a newer program; nothing was changed.
    """
    from clampwright.store.copying import (  # noqa: PLC0415 - it needs the folder from here
        reader_of,
        remove_store_file,
    )

    connection = connect(folder.store, write=False, busy_seconds=busy_seconds)
    copy = folder.path / f"{folder.store.name}.upgraded"
    try:
        if not version_is_older(connection, folder.store):
            return
        remove_store_file(copy)
        _copy_pages(connection, copy)
    finally:
        connection.close()
    try:
        _upgrade(copy)
        with reader_of(copy) as upgraded:
            upgraded.check()
        copy.replace(folder.store)
    finally:
        remove_store_file(copy)  # still there only where something failed
    sync_folder(folder.path)


def _copy_pages(connection: Connection, copy: Path) -> None:
    """Copy a store file by the database's own backup."""
    copy.touch(mode=0o600)
    target = sqlite3.connect(copy)
    try:
        source: Any = connection.connection.dbapi_connection
        source.backup(target)
    finally:
        target.close()


def _upgrade(file: Path) -> None:
    from clampwright.store.upgrade import upgrade  # noqa: PLC0415 - alembic takes long to load

    connection = connect(file, write=True, busy_seconds=5.0)
    try:
        with connection.begin():
            upgrade(connection)
    finally:
        connection.close()
