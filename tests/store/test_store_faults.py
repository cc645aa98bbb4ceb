"""Clocks that jump, readers in the way, a disk that is slow: nothing acknowledged is lost.

What else can fail is tried in the files beside this one; `docs/reference/faults.md` lists it all.
"""

import contextlib
import datetime as dt
import sqlite3
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psycopg
import pytest
from postgres import Server

from clampwright.proof import record
from clampwright.store import Store
from clampwright.store.copying import rebuild
from clampwright.store.folder import Folder
from clampwright.store.where import Database, place_of

START = dt.datetime(2026, 3, 1, 8, tzinfo=dt.UTC)
HOURS = [0, 1, -3, 24, -24, 0, 24 * 400, -24 * 400, 2]
"""Where the clock stands at each entry, from the start: forward, backward, a day and years off."""


def test_a_clock_that_jumps_moves_no_entry(yard: Path) -> None:
    times = [START + dt.timedelta(hours=hours) for hours in HOURS]
    waiting = iter([START, *times])
    with Store.open(yard, create=True, clock=lambda: next(waiting)) as store:
        receipts = [store.append("note", {"n": n}, job="wheel") for n in range(len(times))]
    with Store.open(yard, clock=lambda: START) as store:
        lines = list(store.lines("wheel"))
        assert [line.index for line in lines] == [receipt.index for receipt in receipts]
        assert [line.body["n"] for line in lines] == list(range(len(times)))
        assert [dt.datetime.fromisoformat(line.recorded) for line in lines] == times
        again = store.append(
            "note", {"n": 4}, job="wheel", entry_id=lines[4].id, device_time=lines[4].device_time
        )
        assert (again.index, again.duplicate) == (lines[4].index, True)
        assert record.verify(store.record("wheel")).ok
        assert store.check() == len(times) + 2
    assert rebuild(Folder(yard)) is None


@contextlib.contextmanager
def meanwhile(*others: Callable[[], object]) -> Iterator[list[int]]:
    """Let others be at work, each again and again, until the block ends; yields their rounds."""
    stop, rounds = threading.Event(), [0] * len(others)
    failed: list[BaseException] = []

    def again(number: int, act: Callable[[], object]) -> None:
        try:
            while not stop.is_set():
                act()
                rounds[number] += 1
        except Exception as error:  # noqa: BLE001 - told by the test itself, in its own thread
            failed.append(error)

    threads = [threading.Thread(target=again, args=one) for one in enumerate(others)]
    for thread in threads:
        thread.start()
    try:
        yield rounds
    finally:
        stop.set()
        for thread in threads:
            thread.join()
    assert failed == []


def at_work(store: Store, rounds: list[int], least: int) -> int:
    """Append until everybody else has been round so often; return how many were acknowledged."""
    done = 0
    while done < 20 or min(rounds) < least:
        assert store.append("note", {"n": done}, job="wheel").index == done + 1
        done += 1
    return done


@pytest.mark.no_cover
@pytest.mark.parametrize("least", [2, pytest.param(500, marks=pytest.mark.soak)])
def test_readers_and_forced_checkpoints_lose_nothing(tmp_path: Path, least: int) -> None:
    # With the journal that is safe with the SQLite at hand; see clampwright.store.engine.
    file = tmp_path / "workshop.sqlite"

    def look() -> None:
        with Store.open(tmp_path, write=False) as reader:
            size, root = reader.head()
            assert reader.tree().root(size) == root
            assert reader.check() >= size

    def force() -> None:
        # In the way of a writer it is told so, and that is as it should be.
        with (
            contextlib.closing(sqlite3.connect(file, timeout=0.0)) as other,
            contextlib.suppress(sqlite3.OperationalError),
        ):
            other.execute("PRAGMA wal_checkpoint(TRUNCATE)")

    with Store.open(tmp_path, create=True, busy_seconds=60.0) as store:
        with meanwhile(look, look, force, force) as rounds:
            done = at_work(store, rounds, least)
        assert store.check() == done + 1
    with Store.open(tmp_path) as store:
        assert [line.body["n"] for line in store.lines("wheel")] == list(range(done))
        assert store.check() == done + 1


def test_readers_and_forced_checkpoints_of_a_server_lose_nothing(
    postgres: Server, tmp_path: Path
) -> None:
    postgres.folder_on(tmp_path)

    def look() -> None:
        with Store.open(tmp_path, write=False) as reader:
            size, root = reader.head()
            assert reader.tree().root(size) == root

    def force() -> None:
        place = place_of(tmp_path)
        assert isinstance(place, Database)
        with psycopg.connect(place.url, autocommit=True) as other:
            other.execute("CHECKPOINT")

    with Store.open(tmp_path, create=True) as store:
        with meanwhile(look, force) as rounds:
            done = at_work(store, rounds, 2)
        assert store.check() == done + 1


class Slow(sqlite3.Connection):
    """A connection whose COMMIT takes as long as the test says."""

    begun = threading.Event()
    over = threading.Event()

    def commit(self) -> None:
        if self.in_transaction and not self.over.is_set():
            self.begun.set()
            assert self.over.wait(60)
        super().commit()


def test_on_a_slow_disk_nothing_is_acknowledged_before_it_is_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = sqlite3.connect

    def connect(*arguments: Any, **named: Any) -> sqlite3.Connection:
        return real(*arguments, **named, factory=Slow)

    monkeypatch.setattr(Slow, "begun", threading.Event())
    monkeypatch.setattr(Slow, "over", threading.Event())
    Store.open(tmp_path, create=True).close()
    told = list[int]()
    with Store.open(tmp_path, write=False) as reader:
        monkeypatch.setattr("clampwright.store.engine.sqlite3.connect", connect)
        Slow.over.set()
        with Store.open(tmp_path) as store:
            Slow.over.clear()
            writers = [
                threading.Thread(
                    target=lambda n=n: told.append(store.append("note", {"n": n}).index)
                )
                for n in range(3)
            ]
            for writer in writers:
                writer.start()
            assert Slow.begun.wait(60)
            assert told == [], "no receipt before the disk has it"
            assert reader.head()[0] == 1, "who reads sees nothing unfinished"
            Slow.over.set()
            for writer in writers:
                writer.join()
            assert sorted(told) == [1, 2, 3]
            assert store.check() == 4
