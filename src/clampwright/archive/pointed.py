"""The archive a workshop points at: which folder it is, and the newest results in it.

``archive.toml`` in the workshop's folder::

    folder = "../chain"
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import StringConstraints

from clampwright.archive.layout import archive_at
from clampwright.archive.running import Result, last_result
from clampwright.archive.telling import TITLES
from clampwright.errors import BadFile
from clampwright.tomlfile import FileModel, read_toml
from clampwright.words import words

ARCHIVE_FILE = "archive.toml"


class Pointer(FileModel):
    """The file that names an archive.

    Parameters
    ----------
    folder : str
        The archive, from the workshop's folder on.
    """

    folder: Annotated[str, StringConstraints(min_length=1, max_length=1000)]


def archive_named(workshop: Path) -> Path | None:
    """Return the archive a workshop points at; None where it points at none.

    Parameters
    ----------
    workshop : pathlib.Path
        Its folder.

    Returns
    -------
    pathlib.Path or None

    Raises
    ------
    BadFile
        The file cannot be read.
    """
    file = workshop / ARCHIVE_FILE
    try:
        data = file.read_bytes()
    except FileNotFoundError:
        return None
    except OSError as error:
        raise BadFile(
            words("{file} cannot be read: {problem}", file=str(file), problem=str(error.strerror)),
            file=str(file),
        ) from error
    return workshop / read_toml(data, str(file), Pointer).folder


def newest_results(workshop: Path) -> list[Result]:
    """Return the newest result of each analysis of the archive a workshop points at.

    Parameters
    ----------
    workshop : pathlib.Path
        Its folder.

    Returns
    -------
    list of Result
        None where it points at no archive, or none was done.

    Raises
    ------
    BadFile, Missing, Refused
        The file, the archive or a result cannot be read.
    """
    folder = archive_named(workshop)
    if folder is None:
        return []
    archive = archive_at(folder)
    found = (last_result(archive, name) for name in TITLES)
    return [one for one in found if one is not None]
