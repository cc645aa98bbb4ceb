"""The log in a PostgreSQL schema, guarded by the server: made, read, upgraded, never altered.

What holds on both databases is asked of both in the files beside this folder. All content is
invented.
"""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any, LiteralString

import psycopg
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from postgres import Server
from serverlog import other_hand

from clampwright.errors import BadFile, Refused, StoreBusy
from clampwright.store import Store
from clampwright.store.copying import rebuild
from clampwright.store.folder import Folder
from clampwright.store.schema import METADATA, REVISIONS
from clampwright.store.server_log import alone, holds_log
from clampwright.store.stamp import LogStamp
from clampwright.store.upgrade import upgrade
from clampwright.store.where import has_log, names_log


def test_from_empty_to_the_newest_version(postgres: Server) -> None:
    database = postgres.schema()
    with alone(database) as connection:
        connection.exec_driver_sql(f"CREATE SCHEMA {database.schema}")
        upgrade(connection)
        context = MigrationContext.configure(connection)
        assert context.get_current_revision() == REVISIONS[-1]
        assert compare_metadata(context, METADATA) == []
        upgrade(connection)  # again: nothing to do


LINE = (
    "INSERT INTO log VALUES ({values}, 'note', decode(repeat('00', 32), 'hex'), '\\x7b7d', 'now')"
)


@pytest.mark.parametrize(
    ("statement", "part"),
    [
        ("UPDATE log SET kind = 'pull'", "append-only"),
        ("UPDATE log SET idx = 7 WHERE idx = 1", "append-only"),
        ("DELETE FROM log", "append-only"),
        ("TRUNCATE log", "append-only"),
        ("UPDATE checkpoints SET note = ''", "signed heads are kept"),
        ("DELETE FROM checkpoints", "signed heads are kept"),
        ("TRUNCATE checkpoints", "signed heads are kept"),
        (
            (
                "INSERT INTO checkpoints SELECT * FROM checkpoints"
                " ON CONFLICT (size) DO UPDATE SET note = ''"
            ),
            "signed heads are kept",
        ),
        (LINE.format(values="3, 'x', NULL, NULL"), "grows at its end only"),
        (LINE.format(values="-1, 'x', NULL, NULL"), "grows at its end only"),
        (
            (
                "INSERT INTO log SELECT g, g::text, NULL, NULL, kind, leaf_hash, bytes, recorded"
                " FROM log, (VALUES (2), (4)) AS gap(g) WHERE idx = 1"
            ),
            "grows at its end only",
        ),
        (
            (
                "INSERT INTO log SELECT 2, id, NULL, NULL, kind, leaf_hash, bytes, recorded"
                " FROM log WHERE idx = 1"
            ),
            "log_id_once",
        ),
        (LINE.format(values="2, 'x', 'wheel', 0"), "log_place_in_job_once"),
        (LINE.format(values="2, 'x', 'wheel', NULL"), "log_place_with_job_only"),
        (LINE.format(values="2, 'x', NULL, 0"), "log_place_with_job_only"),
        (LINE.format(values="2, NULL, NULL, NULL"), "not-null constraint"),
        (LINE.format(values="2, 'x', 'wheel', 'two'"), "invalid input syntax for type bigint"),
    ],
)
def test_other_hands_cannot_change_the_log(
    untouched: Path, statement: LiteralString, part: str
) -> None:
    with other_hand(untouched) as raw:
        before = raw.execute("SELECT * FROM log").fetchall()
        with pytest.raises(psycopg.Error, match=part):
            raw.execute(statement)
        assert raw.execute("SELECT * FROM log").fetchall() == before
    with Store.open(untouched) as store:
        assert store.check() == 2


def test_a_log_may_be_longer_than_two_thousand_million(untouched: Path) -> None:
    with other_hand(untouched) as raw:
        kinds = raw.execute(
            "SELECT data_type FROM information_schema.columns WHERE column_name IN"
            " ('idx', 'job_seq', 'size', 'failures') AND table_schema = current_schema()"
        ).fetchall()
    assert kinds == [("bigint",)] * 4


FORGED: list[tuple[LiteralString, str]] = [
    ("UPDATE log SET bytes = '\\x7b7d' WHERE idx = 1", "entry 1: an entry has other members"),
    ("UPDATE log SET kind = 'forged' WHERE idx = 1", "entry 1: its columns"),
    ("UPDATE checkpoints SET note = 'x'", "three lines"),
    ("DELETE FROM log WHERE idx = 1", "entries of the log are missing or changed"),
]


@pytest.mark.parametrize(("statement", "part"), FORGED)
def test_a_change_under_the_program_is_found(
    raw: psycopg.Connection[Any], place: Path, statement: LiteralString, part: str
) -> None:
    raw.execute("ALTER TABLE log DISABLE TRIGGER USER")
    raw.execute("ALTER TABLE checkpoints DISABLE TRIGGER USER")
    raw.execute(statement)

    def use() -> None:
        with Store.open(place) as store:
            store.check()

    with pytest.raises(BadFile, match=part):
        use()


def test_rebuilding_mends_columns_and_keeps_people(
    raw: psycopg.Connection[Any], place: Path
) -> None:
    raw.execute("INSERT INTO people VALUES ('a', 'Invented', 'invented', 'owner', 'p', NULL, 'x')")
    raw.execute("ALTER TABLE log DISABLE TRIGGER USER")
    raw.execute("UPDATE log SET kind = 'forged' WHERE idx = 1")
    with Store.open(place, write=False) as store:
        head = store.head()
    assert rebuild(Folder(place)) == "log"
    assert rebuild(Folder(place)) is None
    with Store.open(place) as store:
        assert (store.check(), store.head()) == (2, head)
        assert [one.name for one in store.people.all()] == ["Invented"]
        with pytest.raises(StoreBusy, match="other programs are writing"):
            rebuild(Folder(place))


def test_versions(place: Path, raw: psycopg.Connection[Any]) -> None:
    raw.execute("UPDATE alembic_version SET version_num = '0002'")
    raw.execute("DROP TABLE sessions, devices, people, attempts")
    with pytest.raises(Refused, match="open it once for writing"):
        Store.open(place, write=False)
    with Store.open(place, write=True) as store:
        assert store.check() == 2
        assert store.people.all() == []
    raw.execute("UPDATE alembic_version SET version_num = '9999'")
    for write in (True, False):
        with pytest.raises(BadFile, match="made by a newer version of this program"):
            Store.open(place, write=write)


def test_an_older_log_that_is_damaged_stays_as_it_was(
    place: Path, raw: psycopg.Connection[Any]
) -> None:
    raw.execute("UPDATE alembic_version SET version_num = '0002'")
    raw.execute("DROP TABLE sessions, devices, people, attempts")
    raw.execute("ALTER TABLE log DISABLE TRIGGER USER")
    raw.execute("UPDATE log SET kind = 'forged' WHERE idx = 1")
    with pytest.raises(BadFile, match="entry 1: its columns"):
        Store.open(place)
    assert raw.execute("SELECT version_num FROM alembic_version").fetchone() == ("0002",)


def test_an_erased_name_is_gone_from_the_tables_files(
    postgres: Server, place: Path, raw: psycopg.Connection[Any]
) -> None:
    raw.execute(
        "INSERT INTO people VALUES"
        " ('a', 'Erasable Invented', 'erasable invented', 'owner', 'p', NULL, 'x')"
    )

    def files() -> list[bytes]:
        raw.execute("CHECKPOINT")
        return [path.read_bytes() for path in (postgres.data / "base").rglob("*") if path.is_file()]

    assert any(b"Erasable Invented" in data for data in files())
    with Store.open(place) as store:
        store.people.erase("a", "2026-03-01T08:00:00Z")
        assert store.append("note", {"n": 2}).index == 2
    assert not any(b"Erasable Invented" in data for data in files())


def test_opening_a_log_on_a_server_loads_no_migrations(untouched: Path) -> None:
    code = """
import sys
from clampwright.store import Store
with Store.open(sys.argv[1]) as store:
    print(*sys.modules)
"""
    done = subprocess.run(
        [sys.executable, "-c", code, str(untouched)], capture_output=True, text=True, check=True
    )
    assert not set(done.stdout.split()) & {"alembic", "numpy", "sqlalchemy.orm.session"}


def test_no_log_on_the_server(postgres: Server, tmp_path: Path) -> None:
    database = postgres.folder_on(tmp_path)
    stamp = LogStamp(tmp_path)
    assert stamp.now() == ()
    assert not holds_log(database)
    assert names_log(tmp_path)
    assert not has_log(tmp_path)
    with Store.open(tmp_path, create=True):
        assert holds_log(database)
        assert has_log(tmp_path)
        assert stamp.now()
    stamp.close()
