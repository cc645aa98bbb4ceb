"""Where a workshop's log lies: in a file of its folder, or in a database that the folder names.

The one question "is there a log here?" is answered here; of a file with nothing heavy loaded.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

STORE_FILE = "workshop.sqlite"
"""The log, where it lies in the folder."""

DATABASE_FILE = "workshop.database"
"""Says which database holds the log, where it does not lie in the folder."""


@dataclass(frozen=True, slots=True)
class Database:
    """A workshop's place in a PostgreSQL database.

    Made by `clampwright.store.databasefile`, which refuses what is no such place.

    Parameters
    ----------
    url : str
        ``postgresql://role@host:port/database``; never with a password.
    schema : str
        The schema that holds this workshop's tables, and nothing else.
    """

    url: str
    schema: str

    def __str__(self) -> str:
        parts = urlsplit(self.url)
        return f"{parts.scheme}://{parts.netloc}{parts.path}, schema {self.schema}"


LogPlace = Path | Database
"""A SQLite file, or a schema of a PostgreSQL database."""


_known: set[Database] = set()
"""Places where a log was found: it only grows, so that need not be asked again."""


def names_log(folder: Path) -> bool:
    """Say whether a folder holds a log, or says where one lies or will lie; no server is asked.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    bool
    """
    return (folder / DATABASE_FILE).is_file() or (folder / STORE_FILE).is_file()


def has_log(folder: Path) -> bool:
    """Say whether a workshop has a log, wherever it lies.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    bool

    Raises
    ------
    BadFile
        When the file that names the database cannot be taken.
    StoreBusy
        When the server cannot be reached.
    """
    place = place_of(folder)
    if isinstance(place, Path):
        return place.is_file()
    if place not in _known:
        # An extra: loaded only where a log lies on a server.
        from clampwright.store.server_log import holds_something  # noqa: PLC0415 - as above

        if not holds_something(place):
            return False
        _known.add(place)
    return True


def place_of(folder: Path) -> LogPlace:
    """Return where the log of a workshop lies, or would lie.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    pathlib.Path or Database

    Raises
    ------
    BadFile
        When the file that names the database cannot be taken.
    """
    file = folder / DATABASE_FILE
    if not file.is_file():
        return folder / STORE_FILE
    # pydantic takes long to load, and most workshops have no such file.
    from clampwright.store.databasefile import read_database_file  # noqa: PLC0415 - as above

    return read_database_file(file)
