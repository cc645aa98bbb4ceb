"""What is wrong with the place, the server or the way to it is told in words."""

from __future__ import annotations

from pathlib import Path
from typing import Any, LiteralString

import psycopg
import pytest
from postgres import Server, running
from psycopg import sql
from serverlog import elsewhere, on_server

from clampwright.errors import (
    BadFile,
    ClampwrightError,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)
from clampwright.store import Store
from clampwright.store.databasefile import database_at, read_database_file, write_database_file
from clampwright.store.stamp import LogStamp
from clampwright.store.where import names_log, place_of


@pytest.mark.parametrize(
    ("content", "part"),
    [
        ('url = "postgresql://a@h/b"\n', "line 1: schema is missing"),
        ('url = "postgresql://a@h/b"\nshema = "c"\n', "line 2: the key 'shema' is not known"),
        ("url = 1\n", "url"),
        ('url = "postgresql://a:sesame@h/b"\nschema = "c"\n', "may hold no password"),
        ('url = "postgresql://a@h/b?password=sesame"\nschema = "c"\n', "may hold no password"),
        ('url = "postgresql://a@h/b?options=-cfsync"\nschema = "c"\n', "none of client_encoding"),
        ('url = "mysql://a@h/b"\nschema = "c"\n', "is no address of a database"),
        ('url = "postgresql://h"\nschema = "c"\n', "is no address of a database"),
        ('url = "postgresql://[h/b"\nschema = "c"\n', "is no address of a database"),
        ('url = "postgresql://a@h/b"\nschema = "a; DROP"\n', "is no name for a schema"),
        ('url = "postgresql://a@h/b"\nschema = "pg_own"\n', "is no name for a schema"),
        ("\0", "this is not TOML"),
    ],
)
def test_a_file_that_names_no_database_is_refused(tmp_path: Path, content: str, part: str) -> None:
    (tmp_path / "workshop.database").write_text(content)
    with pytest.raises(BadFile) as caught:
        Store.open(tmp_path)
    assert part in str(caught.value)
    assert "workshop.database" in str(caught.value)
    assert "sesame" not in str(caught.value)
    assert names_log(tmp_path)


def test_the_file_that_names_the_database(tmp_path: Path) -> None:
    database = database_at('postgresql://a@h:5432/b?application_name="x\\y"', "yard_1")
    write_database_file(tmp_path / "workshop.database", database)
    assert read_database_file(tmp_path / "workshop.database") == database == place_of(tmp_path)
    assert (tmp_path / "workshop.database").stat().st_mode & 0o777 == 0o600
    assert str(database) == "postgresql://a@h:5432/b, schema yard_1"


def test_what_stands_in_the_way_of_opening_is_told(
    postgres: Server, place: Path, raw: psycopg.Connection[Any], tmp_path: Path
) -> None:
    def told(
        kind: type[ClampwrightError],
        part: str,
        url: str,
        schema: str = "yard",
        *,
        create: bool = False,
        write: bool = True,
    ) -> None:
        with pytest.raises(kind) as caught:
            Store.open(
                elsewhere(tmp_path / "other", url, schema),
                create=create,
                write=write,
                busy_seconds=1,
            )
        assert part in str(caught.value)
        assert "secret" not in str(caught.value)

    raw.execute("DROP ROLE IF EXISTS guarded")
    raw.execute("CREATE ROLE guarded LOGIN PASSWORD 'secret'")
    here = on_server(place).schema
    told(StoreBusy, "cannot be reached", "postgresql://a@127.0.0.1:1/b")
    told(StoreBusy, "cannot be reached", "postgresql://a@/b?host=/nowhere")
    told(Refused, "cannot be used: invalid URI query", "postgresql://a@/b?nonsense=1")
    told(BadFile, "does not let this role in", postgres.url(role="guarded"))
    told(BadFile, 'database "nowhere" does not exist', postgres.url(database="nowhere"))
    told(BadFile, 'role "nobody" does not exist', postgres.url(role="nobody"))
    told(BadFile, "holds no log yet", postgres.url(), "nothing_here")
    told(BadFile, "holds no log yet", postgres.url(), "nothing_here", write=False)
    raw.execute("CREATE ROLE weak LOGIN")
    told(BadFile, "the role has no right", postgres.url(role="weak"), "weak_one", create=True)
    told(BadFile, "holds no log yet", postgres.url(role="weak"), here)
    raw.execute("DROP ROLE weak")
    raw.execute("DROP ROLE guarded")
    raw.execute("COMMENT ON TABLE log IS NULL")
    told(BadFile, "holds something else than a log", postgres.url(), here)


def test_a_wrong_password_is_told(
    postgres: Server, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with psycopg.connect(postgres.url(), autocommit=True) as connection:
        connection.execute("DROP ROLE IF EXISTS guarded")
        connection.execute("CREATE ROLE guarded LOGIN SUPERUSER PASSWORD 'secret'")
    own = tmp_path / "passwords"
    own.touch(mode=0o600)
    monkeypatch.setenv("PGPASSFILE", str(own))
    folder = elsewhere(tmp_path / "yard", postgres.url(role="guarded"), "guarded_yard")
    own.write_text("*:*:*:guarded:wrong\n")
    with pytest.raises(BadFile, match=r"does not let this role in .*password authentication"):
        Store.open(folder, create=True)
    own.write_text("*:*:*:guarded:secret\n")
    with Store.open(folder, create=True) as store:
        assert store.check() == 1


FAILURES = [
    ("53100", StoreFull, "no room left on the server", False),
    ("55P03", StoreBusy, "is busy", False),
    ("40P01", StoreBusy, "is busy", False),
    ("25006", BadFile, "can only be read", False),
    ("42501", BadFile, "the role has no right", False),
    ("XX001", BadFile, "or is damaged", True),
    ("58030", StoreFailed, "failed (invented)", True),
]
"""Codes, what is told, and whether the store takes nothing more until it is opened again."""


@pytest.mark.parametrize("when", ["NOT DEFERRABLE", "DEFERRABLE INITIALLY DEFERRED"])
def test_what_the_server_says_is_told(
    place: Path, raw: psycopg.Connection[Any], when: LiteralString
) -> None:
    """At the entry itself, and at the commit."""
    for size, (code, kind, part, stops) in enumerate(FAILURES, 2):
        raw.execute(
            sql.SQL(
                "CREATE FUNCTION fail() RETURNS trigger LANGUAGE plpgsql AS"
                " $$ BEGIN RAISE EXCEPTION 'invented' USING ERRCODE = {}; END $$"
            ).format(code)
        )
        raw.execute(
            sql.SQL(
                "CREATE CONSTRAINT TRIGGER fails AFTER INSERT ON log {} FOR EACH ROW"
                " EXECUTE FUNCTION fail()"
            ).format(sql.SQL(when))
        )
        with Store.open(place) as store:
            with pytest.raises(kind) as caught:
                store.append("note", {"code": code})
            assert part in str(caught.value)
            raw.execute("DROP FUNCTION fail CASCADE")
            assert store.head()[0] == size
            if stops:
                with pytest.raises(StoreFailed, match="close it and open it again"):
                    store.append("note", {"code": code})
            else:
                assert store.append("note", {"code": code}).index == size
        if stops:
            with Store.open(place) as store:
                assert store.append("note", {"code": code}).index == size
    with Store.open(place) as store:
        assert store.check() == 2 + len(FAILURES)


def test_a_lock_that_is_not_given_back_is_told(place: Path, raw: psycopg.Connection[Any]) -> None:
    with Store.open(place, busy_seconds=0.1) as store:
        with raw.transaction():
            raw.execute("LOCK TABLE log")
            with pytest.raises(StoreBusy, match=r"is busy .*lock timeout.*; nothing was stored"):
                store.append("note", {"n": 2})
        assert store.append("note", {"n": 2}).index == 2


def test_a_connection_lost_in_a_commit_leaves_it_open_whether_it_is_stored(
    place: Path, raw: psycopg.Connection[Any]
) -> None:
    raw.execute(
        "CREATE FUNCTION fail() RETURNS trigger LANGUAGE plpgsql AS"
        " $$ BEGIN PERFORM pg_terminate_backend(pg_backend_pid()); RETURN NULL; END $$"
    )
    raw.execute(
        "CREATE CONSTRAINT TRIGGER fails AFTER INSERT ON log DEFERRABLE INITIALLY DEFERRED"
        " FOR EACH ROW EXECUTE FUNCTION fail()"
    )
    entry = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
    with Store.open(place) as store:
        with pytest.raises(StoreFailed, match="it may or may not be there"):
            store.append("note", {"n": 2}, entry_id=entry)
        with pytest.raises(StoreFailed, match="close it and open it again"):
            store.append("note", {"n": 2}, entry_id=entry)
    raw.execute("DROP FUNCTION fail CASCADE")
    with Store.open(place) as store:
        assert store.append("note", {"n": 2}, entry_id=entry).index == 2


def test_the_server_ends_and_begins_again(postgres: Server, place: Path) -> None:
    stamp = LogStamp(place)
    with Store.open(place) as store, Store.open(place, write=False) as reader:
        assert reader.head()[0] == 2
        before = stamp.now()
        assert stamp.now() == before
        store.append("note", {"n": 2})
        assert stamp.now() != before
        postgres.stop()  # as if it had crashed
        with pytest.raises(StoreBusy, match="nothing was stored"):
            store.append("note", {"n": 3})
        with pytest.raises(StoreBusy, match="cannot be reached"):
            stamp.now()
        with pytest.raises(StoreBusy, match="cannot be reached"):
            Store.open(place)
        postgres.start()
        assert stamp.now()
        with pytest.raises(StoreFailed, match="close it and open it again"):
            store.append("note", {"n": 3})
        with Store.open(place) as again:
            assert again.check() == 3, "what was acknowledged is there"
            assert again.append("note", {"n": 3}).index == 3
    stamp.close()


def test_a_standby_lets_read_and_not_write(tmp_path: Path) -> None:
    with running() as server:
        server.folder_on(tmp_path)
        with Store.open(tmp_path, create=True) as store:
            store.append("note", {"n": 1})
        server.stop("fast")
        (server.data / "standby.signal").touch()
        server.start()
        with pytest.raises(BadFile, match="the server is a standby"):
            Store.open(tmp_path)
        with Store.open(tmp_path, write=False) as store:
            assert store.check() == 2


def test_a_server_that_may_lose_what_it_acknowledged_is_not_written_to(
    postgres: Server, place: Path, raw: psycopg.Connection[Any]
) -> None:
    raw.execute("ALTER SYSTEM SET fsync = off")
    raw.execute("SELECT pg_reload_conf()")
    try:
        with psycopg.connect(postgres.url(), autocommit=True) as other:
            while other.execute("SHOW fsync").fetchone() != ("off",):
                pass  # the server takes a moment to read its settings again
        with pytest.raises(StoreFailed, match="may lose what it acknowledged"):
            Store.open(place)
        with Store.open(place, write=False) as store:
            assert store.check() == 2
    finally:
        raw.execute("ALTER SYSTEM RESET fsync")
        raw.execute("SELECT pg_reload_conf()")
        with psycopg.connect(postgres.url(), autocommit=True) as other:
            while other.execute("SHOW fsync").fetchone() != ("on",):
                pass


def test_what_is_acknowledged_is_on_the_disk_whatever_the_role_is_set_to(
    place: Path, raw: psycopg.Connection[Any]
) -> None:
    raw.execute("ALTER ROLE clampwright SET synchronous_commit = off")
    try:
        with Store.open(place) as store, store._transactions.reading() as connection:  # noqa: SLF001 - what no other hand can see
            assert connection.exec_driver_sql("SHOW synchronous_commit").scalar() == "on"
    finally:
        raw.execute("ALTER ROLE clampwright RESET synchronous_commit")
