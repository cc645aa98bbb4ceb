"""A workshop saved while it works: one plain zip, readable without this program, without secrets.

The signing key is never in it, nor what passwords and PINs became: who finds a backup can read the
work, not sign new work nor try passwords on it.
"""

from __future__ import annotations

import datetime as dt
import hashlib
import json
import os
import re
import zipfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from clampwright import __version__
from clampwright.bench.acting import require
from clampwright.bench.logfiles import ENTRIES, HEADS, entry_lines, head_lines
from clampwright.bench.names import NAMES_FILE, Names
from clampwright.bench.saved import (
    CHECKSUMS,
    FORMAT,
    KEPT_FILES,
    KEPT_FOLDERS,
    MANIFEST,
    PIECE,
    README,
    VERSION,
    check_backup,
)
from clampwright.errors import Refused, StoreFull
from clampwright.proof.checkpoint import Head
from clampwright.proof.merkle import Frontier, leaf_hash
from clampwright.store.copying import LogSource, log_source
from clampwright.store.keyfile import private_file, sync_folder
from clampwright.store.log import Store
from clampwright.store.reading import LogReader
from clampwright.store.where import has_log
from clampwright.words import words

NAMED = "workshop-%Y%m%dT%H%M%SZ.zip"
DATED = re.compile(r"workshop-\d{8}T\d{6}Z\.zip")
"""Names that this program gives to backups in a folder; only these are ever removed."""

PATIENCE = 60.0
"""How long a page of the log is waited for while others write, s."""

TEXT = """\
This is a backup of the log and the files of one workshop, made by Clampwright {version}.

log/entries.jsonl  everything that was written down, one JSON object a line, oldest first
log/heads.jsonl    the signed heads of the log
jobs, records ...  the workshop's own files, as they were; practice/ holds results of exercises
checksums.txt      check with: sha256sum --check checksums.txt

To use it again: clampwright store restore THIS-FILE FOLDER
The signing key is not in here. Keep it, or its recovery sheet, in another place.
Nor are passwords, PINs and roles: people keep their names, and are given the rest anew.
"""


@dataclass(frozen=True, slots=True)
class Backup:
    """What was saved.

    Parameters
    ----------
    file : pathlib.Path
    head : Head
        Of the log as it was saved.
    files : int
        Number of files in it.
    """

    file: Path
    head: Head
    files: int


def write_backup(store: LogReader, folder: Path, target: Path, *, now: dt.datetime) -> Backup:
    """Save a workshop; others may go on writing to its log meanwhile.

    Parameters
    ----------
    store : LogReader
        The workshop's log, open.
    folder : pathlib.Path
        The workshop's folder.
    target : pathlib.Path
        The zip to be made; must not exist.
    now : datetime.datetime
        Stands in the backup.

    Returns
    -------
    Backup
        After it was read back and compared.

    Raises
    ------
    Refused
        When the target exists, or lies among the files that are saved.
    StoreFull
        When it cannot be written; nothing is left.
    """
    require(store, "back_up")
    _check_target(folder, target)
    part = target.with_name(f"{target.name}.part")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        size = store.head()[0]
        with private_file(part) as out:
            with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=3) as archive:
                head = _fill(archive, store, folder, size, now)
            out.flush()
            os.fsync(out.fileno())
        files = check_backup(part)
        part.replace(target)
        sync_folder(target.parent)
    except FileExistsError:
        raise Refused(
            words("{file} is there already: another backup is being made", file=str(part))
        ) from None
    except BaseException as error:
        part.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise StoreFull(
                words(
                    "the backup {file} could not be written: {problem}",
                    file=str(target),
                    problem=str(error.strerror),
                )
            ) from error
        raise
    return Backup(target, head, files)


def _check_target(folder: Path, target: Path) -> None:
    if target.exists():
        raise Refused(
            words("{file} is there already; a backup is never replaced", file=str(target))
        )
    for kept in KEPT_FOLDERS:
        if target.resolve().is_relative_to((folder / kept).resolve()):
            raise Refused(
                words(
                    "{file} lies in the folder {kept} that is saved; choose another place",
                    file=str(target),
                    kept=kept,
                )
            )


def _fill(
    archive: zipfile.ZipFile, store: LogReader, folder: Path, size: int, now: dt.datetime
) -> Head:
    """Write all parts into the archive; the sums of what was read come last."""
    sums: dict[str, str] = {}
    source = log_source(store, size)
    leaves = _Counted(source)
    _put(archive, sums, f"log/{ENTRIES}", entry_lines(leaves.source))
    _put(archive, sums, f"log/{HEADS}", head_lines(source))
    head = Head(store.origin, leaves.frontier.size, leaves.frontier.root)
    for name, path in kept_files(folder):
        if name != NAMES_FILE:
            _put(archive, sums, name, _pieces(path))
    if names := Names(folder).kept():  # the names alone: what passwords became is a secret
        listed = json.dumps(dict(names), ensure_ascii=False, indent=1)
        _put(archive, sums, NAMES_FILE, [listed.encode()])
    manifest = {
        "format": FORMAT,
        "version": VERSION,
        "made": now.astimezone(dt.UTC).isoformat(timespec="seconds"),
        "made_by": __version__,
        "origin": head.origin,
        "workshop": store.workshop,
        "public_key": store.public_key.text,
        "size": head.size,
        "root": head.root.hex(),
    }
    _put(archive, sums, MANIFEST, [json.dumps(manifest, indent=1, ensure_ascii=False).encode()])
    _put(archive, sums, README, [TEXT.format(version=__version__).encode()])
    listing = "".join(f"{digest}  {name}\n" for name, digest in sums.items())
    archive.writestr(CHECKSUMS, listing.encode())
    return head


class _Counted:
    """Entries on their way into a file, hashed as they pass."""

    def __init__(self, source: LogSource) -> None:
        self.frontier = Frontier()
        self.source = LogSource(source.name, self._passing(source), source.heads)

    def _passing(self, source: LogSource) -> Iterator[bytes]:
        for data in source.entries:
            self.frontier = self.frontier.append(leaf_hash(data))
            yield data


def kept_files(folder: Path) -> Iterator[tuple[str, Path]]:
    """Go through the files beside the log that belong to a workshop.

    Parameters
    ----------
    folder : pathlib.Path

    Yields
    ------
    str, pathlib.Path
        The name in the backup (with ``/``), and where the file lies.
    """
    for name in KEPT_FILES:
        if (folder / name).is_file():
            yield name, folder / name
    for kept in KEPT_FOLDERS:
        for path in sorted((folder / kept).rglob("*")):
            if path.is_file() and not path.is_symlink():
                yield path.relative_to(folder).as_posix(), path


def _pieces(path: Path) -> Iterator[bytes]:
    with path.open("rb") as file:
        while piece := file.read(PIECE):
            yield piece


def _put(
    archive: zipfile.ZipFile, sums: dict[str, str], name: str, pieces: Iterable[bytes]
) -> None:
    digest = hashlib.sha256()
    with archive.open(name, "w", force_zip64=True) as out:
        for piece in pieces:
            digest.update(piece)
            out.write(piece)
    sums[name] = digest.hexdigest()


def zip_in(folder: Path, now: dt.datetime) -> Path:
    """Return the path of a dated backup in a folder.

    Parameters
    ----------
    folder : pathlib.Path
    now : datetime.datetime

    Returns
    -------
    pathlib.Path
    """
    return folder / now.astimezone(dt.UTC).strftime(NAMED)


def dated(folder: Path) -> list[Path]:
    """Return the dated backups in a folder, the oldest first.

    Parameters
    ----------
    folder : pathlib.Path

    Returns
    -------
    list of pathlib.Path
    """
    return sorted(path for path in folder.glob("*.zip") if DATED.fullmatch(path.name))


def thin_out(folder: Path, keep: int) -> list[Path]:
    """Remove the oldest dated backups beyond a number.

    Parameters
    ----------
    folder : pathlib.Path
    keep : int
        At least 1.

    Returns
    -------
    list of pathlib.Path
        Those removed.
    """
    old = dated(folder)[:-keep]
    for path in old:
        path.unlink()
    return old


@dataclass(frozen=True, slots=True)
class Schedule:
    """Backups made by themselves while the pages are served.

    Parameters
    ----------
    folder : pathlib.Path
        Where they go; another disk than the workshop's is better.
    every : datetime.timedelta
    keep : int
        How many of the newest are kept.
    """

    folder: Path
    every: dt.timedelta
    keep: int

    def due(self, now: dt.datetime) -> bool:
        """Say whether the newest backup is older than it should be.

        Parameters
        ----------
        now : datetime.datetime

        Returns
        -------
        bool
        """
        newest = dated(self.folder)[-1:]
        if not newest:
            return True
        made = dt.datetime.strptime(newest[0].name, NAMED).replace(tzinfo=dt.UTC)
        # A clock that was set back would otherwise stop backups until it has caught up.
        return not dt.timedelta() <= now - made < self.every

    def run(self, place: Path, now: dt.datetime) -> Path | None:
        """Save the workshop if it is time, and remove what is too many.

        Parameters
        ----------
        place : pathlib.Path
            The workshop's folder.
        now : datetime.datetime

        Returns
        -------
        pathlib.Path or None
            The new backup; None when none was due, or there is nothing to save yet.
        """
        if not self.due(now) or not has_log(place):
            return None
        with Store.open(place, write=False, busy_seconds=PATIENCE) as store:
            made = write_backup(store, place, zip_in(self.folder, now), now=now)
        thin_out(self.folder, self.keep)
        return made.file
