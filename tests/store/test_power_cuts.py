"""Power cuts: whatever moment the light goes out, nothing acknowledged is lost.

The real store on its real SQLite is taped while it works; cuts are then played from the tape, with
writes dropped and torn and removed files come back. See ``power/power.py`` for what a disk may do.
"""

import errno
import hashlib
import os
import random
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from tests.store.power.power import WRITTEN, Call, Disk, calls_on, compiled

from clampwright.errors import ClampwrightError
from clampwright.store import Store
from clampwright.store.schema import LOG

WORK = Path(__file__).parent / "power" / "work.py"


@dataclass(frozen=True)
class Tape:
    """What a program asked of its files, and where its promises stand on the tape."""

    folder: Path
    told: Path
    calls: list[Call]


def taped(tmp_path: Path, entries: int, *more: str) -> Tape:
    folder, told, tape = tmp_path / "yard", tmp_path / "told" / "told", tmp_path / "tape"
    folder.mkdir()
    told.parent.mkdir()
    environment = {
        **os.environ,
        "LD_PRELOAD": str(compiled(tmp_path)),
        "POWER_FOLDER": str(tmp_path),
        "POWER_TAPE": str(tape),
        "PYTHONDONTWRITEBYTECODE": "1",
    }
    subprocess.run(
        [sys.executable, WORK, folder, told, str(entries), *more], env=environment, check=True
    )
    return Tape(folder, told, list(calls_on(tape)))


@contextmanager
def in_memory(otherwise: Path) -> Iterator[Path]:
    """A folder whose syncs cost nothing, where the system has one: they are not what is tried."""
    memory = Path("/dev/shm")  # noqa: S108 - a folder with a random name is made in it
    with tempfile.TemporaryDirectory(dir=memory if memory.is_dir() else otherwise) as folder:
        yield Path(folder) / "cuts"


def cuts(tape: Tape, count: int, seed: int, at: Path) -> tuple[int, int]:
    """Play cuts; return how often something promised was lost, and how often nothing was there.

    What a cut leaves is tried once for the same promises: the same files give the same answer.
    """
    chance = random.Random(seed)
    moments = sorted(chance.randrange(len(tape.calls) + 1) for _ in range(count))
    disk, done, promised = Disk(), 0, dict[int, str]()
    told_inode: int | None = None
    lost = unmade = 0
    known: dict[tuple[int, bytes], tuple[bool, bool]] = {}
    for number, moment in enumerate(moments):
        for call in tape.calls[done:moment]:
            if call.kind == 1 and call.data.decode() == str(tape.told):
                told_inode = call.inode
            elif call.kind == WRITTEN and call.inode == told_inode:
                index, entry_id = call.data.decode().split()
                promised[int(index)] = entry_id
            disk.take(call)
        done = moment
        left = of_the_workshop(disk.after_a_cut(chance), tape)
        state = (len(promised), digest(left))
        if state not in known:
            known[state] = tried(left, promised, at / str(number), thorough=number % 20 == 0)
        missing, gone = known[state]
        unmade += missing
        lost += gone
    print(f"{count} cuts left {len(known)} different states", file=sys.stderr)
    return lost, unmade


def of_the_workshop(left: dict[str, bytes], tape: Tape) -> dict[str, bytes]:
    """The files of the workshop's folder, by their names."""
    found = {Path(name): data for name, data in left.items()}
    return {path.name: data for path, data in found.items() if path.parent == tape.folder}


def digest(left: dict[str, bytes]) -> bytes:
    whole = hashlib.sha256()
    for name, data in sorted(left.items()):
        whole.update(f"{name}\0{len(data)}\0".encode())
        whole.update(data)
    return whole.digest()


def tried(
    left: dict[str, bytes], promised: dict[int, str], place: Path, *, thorough: bool
) -> tuple[bool, bool]:
    """Whether nothing was there yet, and whether something promised was lost."""
    place.mkdir(parents=True)
    try:
        for name, data in left.items():
            (place / name).write_bytes(data)
            (place / name).chmod(0o600)
        if "workshop.sqlite" in left:
            return False, not holds(place, promised, thorough=thorough)
        assert not promised, "entries were promised before the store had its name"
        assert_can_be_made(place)
        return True, False
    finally:
        for path in place.iterdir():
            path.unlink()
        place.rmdir()


def holds(place: Path, promised: dict[int, str], *, thorough: bool) -> bool:
    """Whether the store opens, is whole, and has everything that was promised."""
    try:
        with Store.open(place) as store:
            size = store.check() if thorough else store.verify_log()
            assert size == store.head()[0]
            there = {row.idx: row.id for row in store.table_rows(LOG, LOG.c.idx, LOG.c.id)}
    except ClampwrightError:
        return False
    return all(there.get(index) == entry_id for index, entry_id in promised.items())


def assert_can_be_made(place: Path) -> None:
    """After a cut in the making, the store is made as if nothing had been."""
    with Store.open(place, create=True, workshop="Invented Yard") as store:
        assert store.check() == 1


@pytest.mark.parametrize(
    ("entries", "count"),
    [
        pytest.param(40, 200, id="200"),
        pytest.param(150, 100_000, marks=pytest.mark.soak, id="100000"),
    ],
)
def test_nothing_promised_is_lost(tmp_path: Path, entries: int, count: int) -> None:
    tape = taped(tmp_path, entries)
    with in_memory(tmp_path) as place:
        lost, unmade = cuts(tape, count, 20260301, place)
    assert lost == 0
    assert 0 < unmade < count / 2


def test_the_trial_would_notice(tmp_path: Path) -> None:
    tape = taped(tmp_path, 40, "--careless")
    with in_memory(tmp_path) as place:
        lost, _ = cuts(tape, 60, 20260302, place)
    assert lost > 0


@pytest.mark.parametrize(
    ("entries", "errors"),
    [
        pytest.param(1, (errno.EIO, errno.ENOSPC), id="1-in-turn"),
        pytest.param(10, (errno.EIO,), id="10-EIO", marks=pytest.mark.soak),
        pytest.param(10, (errno.ENOSPC,), id="10-ENOSPC", marks=pytest.mark.soak),
    ],
)
def test_every_call_to_the_disk_may_fail_once(
    tmp_path: Path, entries: int, errors: tuple[int, ...]
) -> None:
    """Each call meets one of the errors; in the long trial each meets both."""
    with in_memory(tmp_path) as place:
        place.mkdir(parents=True)
        done = subprocess.run(
            [sys.executable, WORK.with_name("fail.py"), place, *map(str, (entries, *errors))],
            env={
                **os.environ,
                "LD_PRELOAD": str(compiled(tmp_path)),
                "POWER_FOLDER": str(place),
                "POWER_TAPE": str(tmp_path / "tape"),
            },
            check=True,
            capture_output=True,
            encoding="utf-8",
        )
    runs = [line.split(maxsplit=2) for line in done.stdout.splitlines()]
    assert [run for run in runs if run[2] != "-"] == []
    # Every call of a whole job was met: its making, its entries, its signed head.
    assert len(runs) > 60
    assert min(int(run[1]) for run in runs) > 0
