"""Tables, triggers, journal: what holds below the program."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect

from clampwright.errors import BadFile, Refused
from clampwright.store import NewEntry, Store
from clampwright.store.engine import ROLLBACK, WAL, connect, journal_for
from clampwright.store.schema import METADATA, REVISIONS
from clampwright.store.upgrade import configuration, upgrade


@pytest.fixture
def file(tmp_path: Path) -> Path:
    with Store.open(tmp_path, create=True) as store:
        store.append("note", {"n": 1}, job="wheel")
        store.sign_checkpoint()
    return tmp_path / "workshop.sqlite"


@pytest.fixture
def foreign(file: Path) -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(file)
    yield connection
    connection.close()


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Connection]:
    (tmp_path / "new.sqlite").touch()
    connection = connect(tmp_path / "new.sqlite", write=True, busy_seconds=1)
    yield connection
    connection.close()


def test_from_empty_to_the_newest_version(empty: Connection) -> None:
    with empty.begin():
        upgrade(empty)
    with empty.begin():
        context = MigrationContext.configure(empty)
        assert context.get_current_revision() == REVISIONS[-1]
        assert compare_metadata(context, METADATA) == []
        assert inspect(empty).get_table_options("log")["sqlite_strict"] is True
    with empty.begin():
        upgrade(empty)  # again: nothing to do


def test_the_known_versions_are_the_migrations() -> None:
    scripts = ScriptDirectory.from_config(configuration())
    found = [script.revision for script in scripts.walk_revisions()]
    assert tuple(reversed(found)) == REVISIONS


def test_a_failed_migration_leaves_nothing(empty: Connection) -> None:
    def failing() -> None:
        with empty.begin():
            upgrade(empty)
            empty.exec_driver_sql("no such statement")

    with pytest.raises(Exception, match="syntax error"):
        failing()
    with empty.begin():
        assert inspect(empty).get_table_names() == []
        assert empty.exec_driver_sql("PRAGMA application_id").scalar() == 0


COPY = (
    "INSERT OR REPLACE INTO log SELECT 2, id, NULL, NULL, kind, leaf_hash, bytes, recorded "
    "FROM log WHERE idx = 1"
)
LINE = "INSERT {how} INTO log VALUES ({values}, 'note', zeroblob(32), x'7b7d', 'now')"


@pytest.mark.parametrize(
    ("statement", "part"),
    [
        ("UPDATE log SET kind = 'pull'", "append-only"),
        ("UPDATE log SET bytes = x'7b7d' WHERE idx = 1", "append-only"),
        ("UPDATE OR REPLACE log SET idx = 0 WHERE idx = 1", "append-only"),
        ("DELETE FROM log", "append-only"),
        ("DELETE FROM log WHERE idx = 1", "append-only"),
        ("UPDATE checkpoints SET note = ''", "signed heads are kept"),
        ("DELETE FROM checkpoints", "signed heads are kept"),
        ("REPLACE INTO checkpoints SELECT * FROM checkpoints", "signed heads are kept"),
        (LINE.format(how="", values="3, 'x', NULL, NULL"), "grows at its end only"),
        (LINE.format(how="", values="-1, 'x', NULL, NULL"), "grows at its end only"),
        (LINE.format(how="OR REPLACE", values="1, 'x', NULL, NULL"), "grows at its end only"),
        (LINE.format(how="OR REPLACE", values="2, 'x', 'wheel', 0"), "grows at its end only"),
        (LINE.format(how="", values="2, 'x', 'wheel', NULL"), "CHECK constraint failed"),
        (LINE.format(how="", values="2, 'x', NULL, 0"), "CHECK constraint failed"),
        (LINE.format(how="", values="2, NULL, NULL, NULL"), "NOT NULL constraint failed"),
        (LINE.format(how="", values="2, 'x', 'wheel', 'two'"), "cannot store TEXT"),
        (
            COPY,
            "grows at its end only",
        ),
    ],
)
def test_other_hands_cannot_change_the_log(
    foreign: sqlite3.Connection, file: Path, statement: str, part: str
) -> None:
    before = foreign.execute("SELECT * FROM log").fetchall()
    with pytest.raises(sqlite3.IntegrityError, match=part):
        foreign.execute(statement)
    foreign.commit()
    assert foreign.execute("SELECT * FROM log").fetchall() == before
    foreign.close()
    with Store.open(file.parent) as store:
        assert store.check() == 2


@pytest.mark.parametrize(
    ("version", "journal"),
    [
        ((3, 52, 0), WAL),
        ((3, 51, 3), WAL),
        ((3, 51, 2), ROLLBACK),
        ((3, 51, 0), ROLLBACK),
        ((3, 50, 8), WAL),
        ((3, 50, 7), WAL),
        ((3, 50, 6), ROLLBACK),
        ((3, 49, 9), ROLLBACK),
        ((3, 45, 0), ROLLBACK),
        ((3, 44, 7), WAL),
        ((3, 44, 6), WAL),
        ((3, 44, 5), ROLLBACK),
        ((3, 40, 1), ROLLBACK),
        ((4, 0, 0), WAL),
    ],
)
def test_journal_by_version(version: tuple[int, ...], journal: object) -> None:
    assert journal_for(version) is journal


def test_the_connection_is_set_as_it_must_be(file: Path) -> None:
    wanted = journal_for(sqlite3.sqlite_version_info)
    connection = connect(file, write=True, busy_seconds=1.5)
    with connection.begin():

        def pragma(name: str) -> object:
            return connection.exec_driver_sql(f"PRAGMA {name}").scalar()

        assert pragma("journal_mode") == wanted.mode
        assert pragma("synchronous") == wanted.synchronous_number
        assert pragma("foreign_keys") == 1
        assert pragma("recursive_triggers") == 1
        assert pragma("busy_timeout") == 1500
    connection.close()


@pytest.mark.parametrize("journal", [WAL, ROLLBACK])
def test_both_journals_hold_a_log(
    tmp_path: Path, journal: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("clampwright.store.engine.journal_for", lambda _: journal)
    with Store.open(tmp_path, create=True) as store:
        store.append("note", {"n": 1})
        with Store.open(tmp_path, write=False) as reader:
            assert reader.head()[0] == 2
    # Another engine may want the other journal: the store changes over when it is opened.
    other = ROLLBACK if journal is WAL else WAL
    monkeypatch.setattr("clampwright.store.engine.journal_for", lambda _: other)
    with Store.open(tmp_path) as store:
        store.append("note", {"n": 2})
        assert store.check() == 3


KEPT = Path(__file__).parent / "kept"
"""A store of each earlier version, made by the program of that time (an invented workshop)."""


def test_a_store_of_every_earlier_version_is_kept() -> None:
    assert sorted(path.stem for path in KEPT.glob("*.sqlite")) == list(REVISIONS[:-1])


@pytest.mark.parametrize("version", REVISIONS[:-1])
def test_an_older_store_comes_up_to_date_in_one_step(tmp_path: Path, version: str) -> None:
    (tmp_path / "workshop.sqlite").write_bytes((KEPT / f"{version}.sqlite").read_bytes())
    old = sqlite3.connect(tmp_path / "workshop.sqlite")
    wanted = [data for (data,) in old.execute("SELECT bytes FROM log ORDER BY idx")]
    heads = old.execute("SELECT size, root, note, made FROM checkpoints ORDER BY size").fetchall()
    old.close()
    before = (tmp_path / "workshop.sqlite").read_bytes()
    with pytest.raises(Refused, match="open it once for writing"):
        Store.open(tmp_path, write=False)
    assert (tmp_path / "workshop.sqlite").read_bytes() == before
    with Store.open(tmp_path) as store:
        assert store.check() == len(wanted) == 11
        assert list(store.raw_entries()) == wanted
        store.append("note", {"n": 2})
    new = sqlite3.connect(tmp_path / "workshop.sqlite")
    assert new.execute("SELECT version_num FROM alembic_version").fetchall() == [(REVISIONS[-1],)]
    assert (
        new.execute("SELECT size, root, note, made FROM checkpoints ORDER BY size").fetchall()
        == heads
    )
    new.close()
    assert not list(tmp_path.glob("*.upgraded*"))


def test_an_older_store_that_is_damaged_stays_as_it_was(tmp_path: Path) -> None:
    data = bytearray((KEPT / "0001.sqlite").read_bytes())
    at = data.find(b'"fastener":5')
    data[at + 11] ^= 1
    (tmp_path / "workshop.sqlite").write_bytes(data)
    with pytest.raises(BadFile, match="its content is not what was hashed"):
        Store.open(tmp_path)
    assert (tmp_path / "workshop.sqlite").read_bytes() == bytes(data)
    assert not list(tmp_path.glob("*.upgraded*"))


def test_a_long_log_opens_from_the_edge_kept_with_its_head(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("clampwright.store.reading.HASHED_AT_OPENING", 10)
    with Store.open(tmp_path, create=True) as store:
        store.append_many(NewEntry("note", {"n": n}) for n in range(36))
        store.sign_checkpoint()
        store.append_many(NewEntry("note", {"n": n}) for n in range(5))
        head = store.head()
    with Store.open(tmp_path) as store:
        assert store.head() == head
        assert store.check() == 42
        store.append("note", {"n": 0})
        head = store.head()
        assert store.tree().root() == head[1]
    file = sqlite3.connect(tmp_path / "workshop.sqlite")
    file.execute("DROP TRIGGER checkpoints_are_not_updated")
    for spoiled in (b"", b"x" * 32, b"x" * 64, b"x" * 96):
        file.execute("UPDATE checkpoints SET peaks = ?", (spoiled,))
        file.commit()
        with pytest.raises(BadFile, match="are missing or changed"):
            Store.open(tmp_path)
    file.execute("UPDATE checkpoints SET peaks = NULL")
    file.commit()
    file.close()
    with Store.open(tmp_path) as store:
        assert store.head() == head
