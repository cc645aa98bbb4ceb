"""Whether a workshop is in good order: its log, its files, its clock, its disk, what is due.

Each point says what was found and what to do. ``wrong`` needs doing something now; ``look`` is to
be known.
"""

from __future__ import annotations

import datetime as dt
import shutil
import stat
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from clampwright.bench.anchoring import anchored_size
from clampwright.bench.backup import NAMED, dated
from clampwright.bench.device_file import device_of
from clampwright.bench.drawers import drawer_of
from clampwright.bench.extending import extensions
from clampwright.bench.folder import BACKUPS, Workshop, read_bytes
from clampwright.bench.friction import own_conditions
from clampwright.bench.names import NAMES_FILE
from clampwright.bench.outbox import OUTBOX_FILE, read_outbox
from clampwright.bench.shelf import shelf_for
from clampwright.bench.trust import Trust
from clampwright.drawer.due import due_list
from clampwright.errors import ClampwrightError, StoreBusy
from clampwright.proof.certificates import RENEWED_BEFORE
from clampwright.store.folder import Folder
from clampwright.store.lock import WriterLock
from clampwright.store.log import Store
from clampwright.store.where import DATABASE_FILE, has_log
from clampwright.words import Words, words
from clampwright.work.jobfile import load_job

State = Literal["fine", "look", "wrong"]
LEAST_ROOM = 200e6
"""Room on the disk under which work should not go on, bytes; our own choice."""
CLOCK_BACK = dt.timedelta(minutes=2)
"""How far the clock may be behind the newest entry; our own choice."""
BACKUP_OLD = dt.timedelta(days=7)
"""Age of the newest backup after which it is told; our own choice."""


@dataclass(frozen=True, slots=True)
class Point:
    """One thing that was looked at.

    Parameters
    ----------
    name : str
        For programs.
    state : {"fine", "look", "wrong"}
    says : Words
    """

    name: str
    state: State
    says: Words


def examine(
    folder: Path, *, now: dt.datetime, whole: bool = True, backups: Path | None = None
) -> tuple[Point, ...]:
    """Look a workshop over; nothing is changed.

    Parameters
    ----------
    folder : pathlib.Path
    now : datetime.datetime
        With its zone.
    whole : bool
        Read and hash every entry of the log again; else only its newest part.
    backups : pathlib.Path, optional
        Where they lie; in the workshop's own folder if not given.

    Returns
    -------
    tuple of Point
    """
    looks: tuple[Callable[[], Iterator[Point]], ...] = (
        lambda: _log(folder, now, whole=whole),
        lambda: _left_behind(folder),
        lambda: _writer(folder),
        lambda: _rights(folder),
        lambda: _disk(folder),
        lambda: _certificate(folder, now),
        lambda: _backups(backups or folder / BACKUPS, now),
        lambda: _tools(folder, now.astimezone().date()),
        lambda: _jobs(folder),
        _extensions,
        lambda: _device(folder),
        lambda: _telling(folder),
    )
    return tuple(point for look in looks for point in look())


def _log(folder: Path, now: dt.datetime, *, whole: bool) -> Iterator[Point]:
    if not has_log(folder):
        yield Point("log", "look", words("there is no log yet: it begins with the first job"))
        return
    try:
        with Store.open(folder, write=False) as store:
            count = store.check() if whole else store.head()[0]
            loose = count - anchored_size(store)
            newest = max(entry["recorded"] for entry in store.entries(since=count - 1))
    except ClampwrightError as error:
        yield Point("log", "wrong", error.message)
        return
    done = words("read and hashed again") if whole else words("counted, not read again")
    yield Point("log", "fine", words("the log: {count} entries, {done}", count=count, done=done))
    yield _anchored(loose)
    yield _clock(dt.datetime.fromisoformat(newest), now)


def _anchored(loose: int) -> Point:
    if not loose:
        return Point("anchored", "fine", words("every entry lies under a head kept outside"))
    return Point(
        "anchored",
        "look",
        words(
            "{count} entries lie under no head that is known to be kept outside: give somebody the "
            "present one (clampwright head)",
            count=loose,
        ),
    )


def _clock(newest: dt.datetime, now: dt.datetime) -> Point:
    if newest - now > CLOCK_BACK:
        return Point(
            "clock",
            "wrong",
            words(
                "the clock says {now}, but the newest entry was made at {newest}: set it right",
                now=f"{now.astimezone(dt.UTC):%Y-%m-%d %H:%M} UTC",
                newest=f"{newest.astimezone(dt.UTC):%Y-%m-%d %H:%M} UTC",
            ),
        )
    return Point("clock", "fine", words("the clock is not behind the newest entry"))


def _left_behind(folder: Path) -> Iterator[Point]:
    own = Folder(folder)
    if own.database.is_file() and own.store.exists():
        yield Point(
            "left_behind",
            "look",
            words(
                "the log lies in the database that {database} names; {store} beside it is no "
                "longer added to: put it away",
                database=own.database.name,
                store=own.store.name,
            ),
        )


def _writer(folder: Path) -> Iterator[Point]:
    if (folder / DATABASE_FILE).is_file():
        yield Point("writer", "fine", words("on a server several programs may write"))
        return
    lock = Folder(folder).lock
    if not lock.is_file():
        return
    try:
        WriterLock(lock).release()
    except StoreBusy as busy:
        yield Point("writer", "look", busy.message)
    except ClampwrightError as error:
        yield Point("writer", "wrong", error.message)
    else:
        yield Point("writer", "fine", words("no other program is writing"))


def _rights(folder: Path) -> Iterator[Point]:
    own = Folder(folder)
    trust = Trust(folder)
    private = (
        own.key,
        own.store,
        own.database,
        trust.authority,
        trust.server,
        folder / NAMES_FILE,
        folder / OUTBOX_FILE,
    )
    open_ = [
        path.name
        for path in private
        if path.is_file() and stat.S_IMODE(path.stat().st_mode) & PRIVATE[path.suffix]
    ]
    if open_:
        yield Point(
            "rights",
            "wrong",
            words(
                "others can read or change {files}: chmod 600 in {folder}",
                files=", ".join(open_),
                folder=str(folder),
            ),
        )
    elif own.key.is_file():
        yield Point("rights", "fine", words("keys and names are readable by their owner only"))


PRIVATE = {".key": 0o077, ".pem": 0o077, ".json": 0o077, ".sqlite": 0o022, ".database": 0o022}
"""Rights that others must not have, by ending: keys and names not at all, the log not to write."""


def _disk(folder: Path) -> Iterator[Point]:
    try:
        room = shutil.disk_usage(folder).free
    except OSError as error:
        yield Point("disk", "wrong", words("the disk does not answer: {why}", why=str(error)))
        return
    state: State = "fine" if room >= LEAST_ROOM else "wrong"
    yield Point("disk", state, words("{room:.1f} GB are free on the disk", room=room / 1e9))


def _certificate(folder: Path, now: dt.datetime) -> Iterator[Point]:
    trust = Trust(folder)
    if not trust.authority.is_file():
        return
    try:
        ends = trust.read_authority().certificate.not_valid_after_utc
    except ClampwrightError as error:
        yield Point("certificate", "wrong", error.message)
        return
    if ends - now <= RENEWED_BEFORE:
        yield Point(
            "certificate",
            "wrong",
            words(
                "the workshop's own authority ends on {day}: clampwright trust --anew, and let "
                "every phone take it in",
                day=ends.date().isoformat(),
            ),
        )
    else:
        yield Point(
            "certificate",
            "fine",
            words("the workshop's own authority is good until {day}", day=ends.date().isoformat()),
        )


def _backups(folder: Path, now: dt.datetime) -> Iterator[Point]:
    newest = dated(folder)[-1:]
    if not newest:
        yield Point(
            "backup",
            "look",
            words("there is no backup in {folder}", folder=str(folder)),
        )
        return
    made = dt.datetime.strptime(newest[0].name, NAMED).replace(tzinfo=dt.UTC)
    age = now - made
    yield Point(
        "backup",
        "fine" if age < BACKUP_OLD else "look",
        words("the newest backup is {days} days old", days=max(0, age.days)),
    )


def _tools(folder: Path, today: dt.date) -> Iterator[Point]:
    try:
        drawer = drawer_of(Workshop(folder))
        found = due_list(drawer.described, drawer.now, drawer.histories, today)
    except ClampwrightError as error:
        yield Point("tools", "wrong", error.message)
        return
    overdue = [one.tool.id for one in found if one.state(today) == "overdue"]
    soon = [one.tool.id for one in found if one.state(today) == "soon"]
    if overdue:
        told = words("calibration is overdue: {tools}", tools=", ".join(overdue))
        yield Point("tools", "wrong", told)
    if soon:
        yield Point(
            "tools", "look", words("calibration is due soon: {tools}", tools=", ".join(soon))
        )
    if not overdue and not soon:
        yield Point("tools", "fine", words("no calibration is due"))


def _jobs(folder: Path) -> Iterator[Point]:
    paths = sorted(Workshop(folder).jobs.glob("*.toml"))
    bad = [point for path in paths for point in _job(folder, path)]
    yield from bad
    if not bad:
        told = words("job files that can be read: {count}", count=len(paths))
        yield Point("jobs", "fine", told)


def _job(folder: Path, path: Path) -> Iterator[Point]:
    try:
        data = read_bytes(path)
        load_job(data, path.name, friction=own_conditions(folder), shelf=shelf_for(folder, data))
    except ClampwrightError as error:
        told = words("{file} cannot be used: {why}", file=path.name, why=error.message)
        yield Point("jobs", "look", told)


def _extensions() -> Iterator[Point]:
    found = extensions()
    for one in found.left_out:
        yield Point("extensions", "look", one.says)
    if found.brought:
        packages = sorted({f"{one.package} {one.version}" for one in found.brought})
        told = words("packages that bring something: {packages}", packages=", ".join(packages))
        yield Point("extensions", "fine", told)


def _device(folder: Path) -> Iterator[Point]:
    try:
        device_of(folder)
    except ClampwrightError as error:
        yield Point("device", "wrong", error.message)


def _telling(folder: Path) -> Iterator[Point]:
    try:
        receivers = read_outbox(folder).receivers
    except ClampwrightError as error:
        yield Point("telling", "wrong", error.message)
        return
    for one in receivers:
        if one.dead:
            told = words(
                "{name} did not take {count} messages, and they were given up: clampwright tell "
                "list",
                name=one.name,
                count=len(one.dead),
            )
            yield Point("telling", "look", told)
