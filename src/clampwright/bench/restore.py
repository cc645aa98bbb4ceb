"""A workshop put back from a backup: what is there is saved first, and nothing goes back unsaid.

The log is made anew from its entries, so a backup of any earlier version fits; it is checked entry
by entry and against its signed heads before anything in the folder is touched.
"""

from __future__ import annotations

import datetime as dt
import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from itertools import chain, count
from pathlib import Path

from clampwright.bench.backup import write_backup
from clampwright.bench.folder import BACKUPS
from clampwright.bench.logfiles import ENTRIES, HEADS, read_lines
from clampwright.bench.names import NAMES_FILE, Names
from clampwright.bench.saved import CHECKSUMS, MANIFEST, README, Saved
from clampwright.errors import BadFile, ClampwrightError, Refused, StoreBusy, StoreFull
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.strictjson import parse_strict
from clampwright.store.copying import ENDINGS, keep_people, reader_of, write_log
from clampwright.store.failures import DATABASE_ERRORS
from clampwright.store.folder import Folder
from clampwright.store.keyfile import private_file, sync_folder
from clampwright.store.lock import WriterLock
from clampwright.store.log import Store
from clampwright.store.server_log import exchange, held, holds_log
from clampwright.store.where import Database
from clampwright.words import Words, words

RESERVE = 50_000_000
"""Room to leave on the disk, bytes."""


@dataclass(frozen=True, slots=True)
class Restored:
    """What a restore did.

    Parameters
    ----------
    head : Head
        Of the log that is there now.
    saved_before : pathlib.Path or None
        Backup, or copy, of what was there.
    lost : int
        Entries that were there and are not in the backup.
    files : int
        Files put back beside the log.
    key_missing : bool
        The folder has no signing key: it can be read, and records cannot be signed until the key
        is put back.
    people_missing : bool
        Nobody here has a password: roles, passwords and PINs are given anew.
    """

    head: Head
    saved_before: Path | None
    lost: int
    files: int
    key_missing: bool
    people_missing: bool


def restore(backup: Path, folder: Path, *, now: dt.datetime, go_back: bool = False) -> Restored:
    """Put a workshop back from a backup.

    Parameters
    ----------
    backup : pathlib.Path
    folder : pathlib.Path
        The workshop's folder; made if it is not there.
    now : datetime.datetime
        Names what is saved before.
    go_back : bool
        Put it back although entries known here are not in the backup.

    Returns
    -------
    Restored

    Raises
    ------
    BadFile
        When the backup is not whole; nothing was changed.
    Refused
        When the folder holds another workshop, or entries that the backup does not have.
    StoreBusy
        When another program writes to the workshop.
    StoreFull
        When there is no room; nothing was changed.
    """
    place = Folder(folder)
    with Saved.open(backup) as saved, ExitStack() as stack:
        _make_folder(folder)
        lock = WriterLock(place.lock)
        stack.callback(lock.release)
        put_in = _way_in(place, stack)
        building = Path(stack.enter_context(_building(folder, saved)))
        head = _unpack(saved, building)
        known = _known_here(place, head, building / place.store.name)
        if known.problem is not None and (known.foreign or not go_back):
            raise Refused(known.problem)
        kept = _keep_what_is_there(place, now)
        _keep_the_people(place, building / place.store.name)
        files = _move_in(building, place)
        put_in(building / place.store.name)
        sync_folder(place.path)
        with reader_of(place.log) as now_here:
            nobody = not now_here.people.any()
    return Restored(
        head,
        kept,
        known.lost,
        files,
        key_missing=not place.key.exists(),
        people_missing=nobody and bool(Names(folder).kept()),
    )


def _way_in(place: Folder, stack: ExitStack) -> Callable[[Path], None]:
    """Return what puts a restored store in the place of the log; on a server, hold that first."""
    log = place.log
    if isinstance(log, Database):
        connection = stack.enter_context(held(log))

        def exchanged(built: Path) -> None:
            with reader_of(built) as source:
                exchange(connection, log, source)

        return exchanged

    def renamed(built: Path) -> None:
        for ending in ENDINGS[1:]:
            # A journal of the old store must not be played back into the new one.
            (place.path / (log.name + ending)).unlink(missing_ok=True)
        built.replace(log)

    return renamed


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadFile(
            words(
                "the folder {folder} cannot be used: {problem}",
                folder=str(folder),
                problem=str(error.strerror),
            ),
            file=str(folder),
        ) from error


@contextmanager
def _building(folder: Path, saved: Saved) -> Iterator[str]:
    """Give a place inside the folder, so that moving in is renaming; it is gone afterwards."""
    need, room = saved.unpacked_size, shutil.disk_usage(folder).free
    # The log is there twice for a while: as lines, and as the store made from them.
    if 2 * need + RESERVE > room:
        raise StoreFull(
            words(
                "there is no room in {folder}: {need} bytes are needed, {room} are free",
                folder=str(folder),
                need=2 * need + RESERVE,
                room=room,
            )
        )
    try:
        with tempfile.TemporaryDirectory(dir=folder, prefix="restoring-") as path:
            yield path
    except OSError as error:
        raise StoreFull(
            words(
                "{folder} could not be written: {problem}",
                folder=str(folder),
                problem=str(error.strerror),
            )
        ) from error


def _unpack(saved: Saved, building: Path) -> Head:
    """Unpack and check everything, and make the store from the log's entries."""
    for name in saved.names:
        path = building / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with private_file(path) as out:
            saved.unpack(name, out)
        if name == NAMES_FILE:
            path.chmod(0o600)
    log = building / "log"
    with (log / ENTRIES).open("rb") as entries, (log / HEADS).open("rb") as heads:
        source = read_lines(entries, heads, saved.file)
        head = write_log(source, building / Folder(building).store.name)
    wanted = (saved.manifest["origin"], saved.manifest["size"], saved.manifest["root"])
    if (head.origin, head.size, head.root.hex()) != wanted:
        raise BadFile(
            words("{file}: its log is not the one it says it holds", file=saved.file),
            file=saved.file,
        )
    shutil.rmtree(log)
    for name in (MANIFEST, CHECKSUMS, README):
        (building / name).unlink(missing_ok=True)
    return head


@dataclass(frozen=True, slots=True)
class _Known:
    """What the folder knows that the backup does not."""

    problem: Words | None = None
    lost: int = 0
    foreign: bool = False


def _known_here(place: Folder, head: Head, restored: Path) -> _Known:
    """Compare the backup with the store that is there, and with the heads in its records."""
    newest = _newest_head_in_records(place, head.origin)
    if place.has_log:
        try:
            with Store.open(place.path, write=False) as store:
                return _compared(store, head, restored)
        except (Refused, StoreBusy):
            raise
        except ClampwrightError:
            pass  # a damaged store is what a restore is for; it is kept beside
    if newest > head.size:
        return _Known(
            words(
                "a record in {folder} was signed when the log had {known} entries; the backup has "
                "{size}. What came after it would be missing; to put it back all the same, say so "
                "(--go-back)",
                folder=str(place.path),
                known=newest,
                size=head.size,
            ),
            lost=newest - head.size,
        )
    return _Known()


def _compared(store: Store, head: Head, restored: Path) -> _Known:
    if store.origin != head.origin:
        return _Known(
            words(
                "{folder} holds the log {own}, the backup is of {other}; restore it into an empty "
                "folder",
                folder=str(store.folder.path),
                own=store.origin,
                other=head.origin,
            ),
            foreign=True,
        )
    size, root = store.head()
    if size <= head.size:
        same = _root_at(restored, size) == root
    else:
        same = store.tree().root(head.size) == head.root
    lost = max(size - head.size, 0)
    if same and not lost:
        return _Known()
    if same:
        problem = words(
            "{count} entries here are newer than the backup and would be taken away; to put it "
            "back all the same, say so (--go-back)",
            count=lost,
        )
    else:
        problem = words(
            "the log here and the one in the backup went different ways; one of them was changed, "
            "or two machines wrote to it. To put it back all the same, say so (--go-back)"
        )
    return _Known(problem, lost=lost)


def _root_at(file: Path, size: int) -> bytes:
    with reader_of(file) as reader:
        return reader.tree().root(size)


def _newest_head_in_records(place: Folder, origin: str) -> int:
    """Return the largest log that a record kept in the folder was signed over."""
    newest = 0
    for path in sorted((place.path / "records").glob("*.json")):
        try:
            content = parse_strict(path.read_bytes(), path.name, max_bytes=100_000_000, exact=False)
            head = read_checkpoint(str(content["checkpoint"])).head
        except (ClampwrightError, OSError, KeyError, TypeError):
            continue
        if head.origin == origin:
            newest = max(newest, head.size)
    return newest


def _keep_what_is_there(place: Folder, now: dt.datetime) -> Path | None:
    """Save the workshop as it is: as a backup, or, where the store is damaged, file by file."""
    log = place.log
    if not (_holds_log(log) if isinstance(log, Database) else log.exists()):
        return None
    stamp = now.astimezone(dt.UTC).strftime("%Y%m%dT%H%M%SZ")
    folder = place.path / BACKUPS
    stamp = next(
        name
        for name in chain([stamp], (f"{stamp}-{n}" for n in count(2)))
        if not any(folder.glob(f"*-{name}*"))
    )
    try:
        with Store.open(place.path, write=False) as store:
            store.check()
            return write_backup(
                store, place.path, folder / f"before-restore-{stamp}.zip", now=now
            ).file
    except BadFile as bad:
        if isinstance(log, Database):
            raise Refused(
                words(
                    "{problem}. What is there cannot be saved: name another schema in {file}, and "
                    "put the backup back into that",
                    problem=bad.message,
                    file=str(place.database),
                )
            ) from bad
        aside = folder / f"damaged-{stamp}"
        aside.mkdir(parents=True, exist_ok=True)
        for ending in ENDINGS:
            path = place.path / (place.store.name + ending)
            if path.exists():
                shutil.copy2(path, aside / path.name)
        return aside


def _holds_log(database: Database) -> bool:
    return holds_log(database)


def _keep_the_people(place: Folder, restored: Path) -> None:
    """Who could sign in here before can still: a backup has names only."""
    try:
        with reader_of(place.log) as here:
            keep_people(here, restored)
    except (ClampwrightError, *DATABASE_ERRORS):
        return  # no store was here, or it is damaged: people are set up anew


def _move_in(building: Path, place: Folder) -> int:
    """Put everything but the store in its place; that comes last, until then the old log stands."""
    files = 0
    for path in sorted(building.rglob("*")):
        if path.is_file() and path != building / place.store.name:
            target = place.path / path.relative_to(building)
            target.parent.mkdir(parents=True, exist_ok=True)
            with path.open("rb") as file:
                os.fsync(file.fileno())
            path.replace(target)
            files += 1
    return files
