"""Entries that one COMMIT makes durable: all or none, each answered for itself, on both."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from postgres import Server

from clampwright.errors import ClampwrightError, Refused, StoreBusy, StoreFailed, StoreFull
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.store.engine import connect
from clampwright.store.where import place_of


@pytest.fixture
def store(yard: Path) -> Iterator[Store]:
    with Store.open(yard, create=True, workshop="Invented Yard", busy_seconds=0.3) as found:
        yield found


def inside(store: Store) -> Any:
    return store._transactions  # noqa: SLF001 - what the database itself does is tried through it


def texts(store: Store) -> list[Any]:
    return [entry["body"].get("n") for entry in store.entries(since=1)]


def test_nothing_is_seen_before_the_end_and_all_after_it(store: Store, yard: Path) -> None:
    before = store.head()
    with store.together():
        receipts = [store.append("note", {"n": n}, job="wheel") for n in range(5)]
        assert [one.index for one in receipts] == [1, 2, 3, 4, 5]
        assert [entry["body"]["n"] for entry in store.entries(job="wheel")] == [0, 1, 2, 3, 4]
        with Store.open(yard, write=False) as other:
            assert other.head() == before
    assert store.check() == 6
    with Store.open(yard, write=False) as other:
        assert other.head() == store.head()
        assert [line.id for line in other.lines(since=1)] == [one.id for one in receipts]


def test_the_log_is_the_same_as_one_by_one(store: Store, tmp_path: Path) -> None:
    with store.together():
        for n in range(7):
            store.append("note", {"n": n})
    with Store.open(tmp_path / "alone", create=True, workshop="Invented Yard") as alone:
        for n in range(7):
            alone.append("note", {"n": n})
        assert texts(alone) == texts(store)
    # The root is that of a tree made anew out of the leaves, as any verifier makes it.
    assert store.tree().root() == store.head()[1]
    assert store.verify_log() == 8


def test_what_is_refused_leaves_the_others(store: Store) -> None:
    taken = uuid7()
    with store.together():
        first = store.append("note", {"n": 1}, entry_id=taken)
        with pytest.raises(Refused, match="with other content"):
            store.append("note", {"n": "another"}, entry_id=taken)
        with pytest.raises(Refused):
            store.append("note", {"n": 0.5})
        again = store.append("note", {"n": 1}, entry_id=taken)
        last = store.append("note", {"n": 2})
    assert again.duplicate
    assert (again.index, again.leaf_hash) == (first.index, first.leaf_hash)
    assert last.index == first.index + 1
    assert texts(store) == [1, 2]
    assert store.check() == 3


def test_what_the_server_refuses_leaves_the_others(postgres: Server, tmp_path: Path) -> None:
    """A full server undoes one statement; of a full file see below."""
    postgres.folder_on(tmp_path / "yard")
    with Store.open(tmp_path / "yard", create=True, workshop="Invented Yard") as store:
        with store.together():
            store.append("note", {"n": 1})
            with pytest.raises(StoreFull), inside(store).writing() as connection:
                connection.exec_driver_sql(
                    "DO $$BEGIN RAISE EXCEPTION 'no room' USING ERRCODE = '53100'; END$$"
                )
            store.append("note", {"n": 2})
        assert texts(store) == [1, 2]
        assert store.check() == 3


def test_what_fails_as_a_whole_is_as_if_it_had_never_been(store: Store) -> None:
    store.append("note", {"n": 0})
    before = store.head()

    def fail() -> None:
        with store.together():
            store.append("note", {"n": 1})
            raise ValueError("of the caller")

    with pytest.raises(ValueError, match="of the caller"):
        fail()
    assert store.head() == before
    assert store.append("note", {"n": 2}).index == before[0]
    assert texts(store) == [0, 2]
    assert store.check() == 3


def test_a_look_that_fails_inside_loses_it_all_and_says_so(store: Store) -> None:
    told: list[str] = []

    def fail() -> None:
        with store.together():
            store.append("note", {"n": 1})
            for _ in range(2):
                try:
                    with inside(store).reading() as connection:
                        connection.exec_driver_sql("SELECT * FROM nowhere")
                except ClampwrightError as error:
                    told.append(str(error))
            store.append("note", {"n": 2})

    with pytest.raises(ClampwrightError) as raised:
        fail()
    assert told == [str(raised.value)] * 2
    assert texts(store) == []
    with pytest.raises(StoreFailed, match="failed before and takes nothing more"):
        store.append("note", {"n": 3})


def test_reading_only_and_closed(store: Store, yard: Path) -> None:
    with Store.open(yard, write=False) as other, pytest.raises(Refused, match="reading only"):
        other.together().__enter__()
    store.close()
    with pytest.raises(Refused, match="was closed"):
        store.together().__enter__()


# What only SQLite does


@pytest.fixture
def file(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "file", create=True, workshop="Y", busy_seconds=0.05) as found:
        yield found


def test_no_room_in_the_middle(file: Store) -> None:
    raw = inside(file)._connection  # noqa: SLF001 - the limit is set per connection
    with raw.begin():
        pages = raw.exec_driver_sql("PRAGMA page_count").scalar_one()
        raw.exec_driver_sql(f"PRAGMA max_page_count = {pages + 4}")
    before, stored, refused = file.head()[0], 0, 0
    try:
        with file.together():
            for n in range(6):
                try:
                    file.append("note", {"n": n, "text": "x" * (200 if n % 2 else 9000)})
                    stored += 1
                except StoreFull:
                    refused += 1
    except StoreFull:
        stored = 0
    assert refused > 0
    assert file.head()[0] == before + stored
    assert file.check() == before + stored
    with raw.begin():
        raw.exec_driver_sql("PRAGMA max_page_count = 1000000")
    assert file.append("note", {"n": 9}).index == before + stored
    assert file.check() == before + stored + 1


def test_a_reader_that_does_not_let_go(file: Store) -> None:
    place = place_of(file.folder.path)
    before = file.head()
    with connect(place, write=False, busy_seconds=0.05) as reader:
        with reader.begin():
            reader.exec_driver_sql("SELECT count(*) FROM log").scalar_one()

            def fail() -> None:
                with file.together():
                    file.append("note", {"n": 1})
                    file.append("note", {"n": 2})

            with pytest.raises(StoreBusy, match="nothing was stored"):
                fail()
            assert file.head() == before
        with file.together():
            file.append("note", {"n": 3})
    assert texts(file) == [3]
    assert file.check() == 2


def test_a_disk_that_fails_in_the_middle(file: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """A part's statement fails as a torn cable would: nothing more is taken, none of it is told."""

    class Torn(sqlite3.OperationalError):
        sqlite_errorcode = sqlite3.SQLITE_IOERR

    def fail() -> None:
        with file.together():
            file.append("note", {"n": 1})
            with monkeypatch.context() as patched:
                patched.setattr("clampwright.store.log.put", torn)
                with pytest.raises(StoreFailed):
                    file.append("note", {"n": 2})
            with pytest.raises(StoreFailed):
                file.append("note", {"n": 3})

    def torn(*_: object) -> None:
        raise Torn("disk I/O error")

    with pytest.raises(StoreFailed):
        fail()
    with pytest.raises(StoreFailed, match="failed before and takes nothing more"):
        file.together().__enter__()
    assert texts(file) == []


def test_a_rollback_by_the_database_itself_loses_it_all(
    file: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """SQLite may undo the whole transaction after an error; a savepoint cannot be gone back to."""
    raw = inside(file)._connection.connection  # noqa: SLF001 - the database's own rollback is played

    class Full(sqlite3.OperationalError):
        sqlite_errorcode = sqlite3.SQLITE_FULL

    def fail() -> None:
        with file.together():
            file.append("note", {"n": 1})
            with monkeypatch.context() as patched:
                patched.setattr("clampwright.store.log.put", full)
                with pytest.raises(StoreFull):
                    file.append("note", {"n": 2})
            with pytest.raises(StoreFull):
                file.append("note", {"n": 2})

    def full(*_: object) -> None:
        raw.dbapi_connection.execute("ROLLBACK")
        raise Full("database or disk is full")

    with pytest.raises(StoreFull):
        fail()
    assert file.append("note", {"n": 3}).index == 1
    assert texts(file) == [3]
    assert file.check() == 2
