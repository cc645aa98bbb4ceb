"""Where things lie in an archive's folder, and how a file comes to its place whole.

::

    archive.json                                     what this folder is
    workshops/NAME.json                              a workshop: its name, and its drawer file
    entries/workshop=NAME/month=2026-11/entries.parquet
    traces/workshop=NAME/month=2026-11/traces-KEY.parquet
    results/put/NAME.json                            what putting a workshop in took
    results/ANALYSIS/last.json                       the newest result
    results/ANALYSIS/parts/KEY.json                  what came of one piece of the work

NAME is the log's own name, with ``%`` and two figures for what no folder can be called. The form is
told in ``docs/reference/archive-folder.md``.
"""

from __future__ import annotations

import errno
import json
import os
import re
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any
from urllib.parse import quote, unquote

from clampwright.errors import BadFile, Missing, Refused, StoreFailed, StoreFull
from clampwright.words import words

FORMAT = "clampwright-archive"
VERSION = 1
MANIFEST = "archive.json"
ENTRIES_FILE = "entries.parquet"
_MONTH = re.compile(r"month=(\d{4}-(?:0[1-9]|1[0-2]))")
_FULL = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EFBIG})


@dataclass(frozen=True, slots=True)
class Part:
    """One Parquet file of an archive.

    Parameters
    ----------
    path : pathlib.Path
    workshop : str
        Name of the log it comes from.
    month : str
        Such as ``2026-11``.
    """

    path: Path
    workshop: str
    month: str


@dataclass(frozen=True, slots=True)
class Archive:
    """The paths of an archive.

    Parameters
    ----------
    folder : pathlib.Path
    """

    folder: Path

    @property
    def manifest(self) -> Path:
        """Says what the folder is."""
        return self.folder / MANIFEST

    @property
    def results(self) -> Path:
        """Results of analyses."""
        return self.folder / "results"

    def about(self, workshop: str) -> Path:
        """Return the file that tells of a workshop."""
        return self.folder / "workshops" / f"{quote(workshop, safe='')}.json"

    def cost_of(self, workshop: str) -> Path:
        """Return the file that tells what putting a workshop in took."""
        return self.results / "put" / f"{quote(workshop, safe='')}.json"

    def entries_of(self, workshop: str, month: str) -> Path:
        """Return the file of the entries of a month."""
        return self._place("entries", workshop, month) / ENTRIES_FILE

    def traces_of(self, workshop: str, month: str, key: str) -> Path:
        """Return a file of traces of a month."""
        return self._place("traces", workshop, month) / f"traces-{key}.parquet"

    def _place(self, table: str, workshop: str, month: str) -> Path:
        return self.folder / table / f"workshop={quote(workshop, safe='')}" / f"month={month}"

    def workshops(self) -> list[str]:
        """Return the names of all workshops of which anything is held, sorted."""
        found = {path.stem for path in (self.folder / "workshops").glob("*.json")}
        for table in ("entries", "traces"):
            at = self.folder / table
            found |= {path.name.partition("=")[2] for path in at.glob("workshop=*")}
        return sorted(unquote(name) for name in found)

    def parts(self, table: str, workshop: str | None = None) -> Iterator[Part]:
        """Go through the files of a table, by workshop and month.

        Parameters
        ----------
        table : {"entries", "traces"}
        workshop : str, optional
            Those of this one only.

        Yields
        ------
        Part
        """
        for name in self.workshops() if workshop is None else [workshop]:
            folder = self.folder / table / f"workshop={quote(name, safe='')}"
            for month in sorted(folder.glob("month=*")):
                told = _MONTH.fullmatch(month.name)
                if told:
                    for path in sorted(month.glob("*.parquet")):
                        yield Part(path, name, told[1])

    def told(self, path: Path) -> str:
        """Return how a file is called in messages: by its place in the archive."""
        return path.relative_to(self.folder).as_posix()


def archive_at(folder: Path, *, create: bool = False) -> Archive:
    """Open an archive, or make an empty one.

    Parameters
    ----------
    folder : pathlib.Path
    create : bool
        Make one where there is nothing.

    Returns
    -------
    Archive

    Raises
    ------
    Missing
        There is none.
    Refused
        The folder holds something else, or a newer program wrote it.
    """
    found = Archive(folder)
    if not found.manifest.is_file():
        if not create:
            raise Missing(
                words(
                    "{folder} holds no archive; clampwright archive put makes one",
                    folder=str(folder),
                ),
                needed=MANIFEST,
            )
        if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
            raise Refused(
                words(
                    "{folder} is not empty and is no archive; name another folder",
                    folder=str(folder),
                )
            )
        write_json(found.manifest, {"format": FORMAT, "version": VERSION})
        return found
    content = read_json(found.manifest)
    if content.get("format") != FORMAT:
        raise Refused(words("{folder} is no archive", folder=str(folder)))
    if content.get("version") != VERSION:
        raise Refused(words("{folder}: a newer program made this archive", folder=str(folder)))
    return found


def month_of(time: str) -> str:
    """Return the month of a time.

    Examples
    --------
    >>> month_of("2026-11-30T22:32:32.575687Z")
    '2026-11'
    """
    return time[:7]


def is_month(text: str) -> bool:
    """Return whether a text is a month.

    Examples
    --------
    >>> is_month("2026-11"), is_month("2026-13")
    (True, False)
    """
    return _MONTH.fullmatch(f"month={text}") is not None


def months_between(first: str, last: str) -> list[str]:
    """Return every month from the first to the last, both included.

    Examples
    --------
    >>> months_between("2025-11", "2026-02")
    ['2025-11', '2025-12', '2026-01', '2026-02']
    """
    at, end = (12 * int(one[:4]) + int(one[5:]) - 1 for one in (first, last))
    return [f"{month // 12:04d}-{month % 12 + 1:02d}" for month in range(at, end + 1)]


def write_file(path: Path, fill: Callable[[IO[bytes]], object]) -> None:
    """Write a file beside its place, and put it there when it is whole and on the disk.

    Parameters
    ----------
    path : pathlib.Path
    fill : callable
        Writes the content.

    Raises
    ------
    StoreFull
        There is no room; what was there before is as it was.
    StoreFailed
        It cannot be written for another reason.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as file:
                fill(file)
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(path)
        finally:
            Path(name).unlink(missing_ok=True)  # still there only where something failed
    except OSError as error:
        raise _unwritten(path, error) from error


def _unwritten(path: Path, error: OSError) -> StoreFull | StoreFailed:
    if error.errno in _FULL:
        return StoreFull(
            words(
                "{file}: the disk is full. What was written before is whole: make room, and give "
                "the same command again",
                file=str(path),
            )
        )
    return StoreFailed(
        words("{file} cannot be written: {problem}", file=str(path), problem=str(error.strerror))
    )


def write_json(path: Path, content: Any) -> None:
    """Write a JSON file whole; see `write_file`."""
    text = json.dumps(content, ensure_ascii=False, sort_keys=True, allow_nan=False)
    write_file(path, lambda file: file.write(text.encode() + b"\n"))


def read_json(path: Path) -> dict[str, Any]:
    """Read a JSON file of the archive.

    Raises
    ------
    BadFile
        It is not there, or no JSON object.
    """
    try:
        content = json.loads(path.read_bytes())
    except (OSError, ValueError, RecursionError) as error:
        raise BadFile(
            words("{file} is missing or damaged", file=str(path)), file=str(path)
        ) from error
    if not isinstance(content, dict):
        raise BadFile(words("{file} is missing or damaged", file=str(path)), file=str(path))
    return content
