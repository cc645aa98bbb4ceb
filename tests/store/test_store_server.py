"""The log in a PostgreSQL schema: guarded by the server, shared by programs, told in words.

What holds on both databases is asked of both in the other files here. All content is invented.
"""

import contextlib
import datetime as dt
import json
import os
import random
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, LiteralString

import psycopg
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from postgres import Server, running
from psycopg import sql

from clampwright.errors import (
    BadFile,
    ClampwrightError,
    Missing,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)
from clampwright.proof import record
from clampwright.proof.keys import SigningKey
from clampwright.store import Store
from clampwright.store.copying import rebuild
from clampwright.store.databasefile import database_at, read_database_file, write_database_file
from clampwright.store.folder import Folder
from clampwright.store.schema import METADATA, REVISIONS
from clampwright.store.server_log import alone, holds_log
from clampwright.store.stamp import LogStamp
from clampwright.store.upgrade import upgrade
from clampwright.store.where import Database, has_log, names_log, place_of

NOW = dt.datetime(2026, 3, 1, 8, tzinfo=dt.UTC)


def begun(postgres: Server, folder: Path) -> Path:
    postgres.folder_on(folder)
    with Store.open(folder, create=True, workshop="Invented yard") as store:
        store.append("note", {"n": 1}, job="wheel")
        store.sign_checkpoint()
    return folder


@pytest.fixture
def place(postgres: Server, tmp_path: Path) -> Path:
    """A workshop with two entries and a signed head, its log on the server."""
    return begun(postgres, tmp_path / "yard")


@pytest.fixture(scope="module")
def untouched(postgres: Server, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, once for all tests that fail to change it."""
    return begun(postgres, tmp_path_factory.mktemp("untouched") / "yard")


@contextlib.contextmanager
def other_hand(place: Path) -> Iterator[psycopg.Connection[Any]]:
    """A hand with another tool, with every right there is."""
    database = on_server(place)
    options = f"-c search_path={database.schema}"
    with psycopg.connect(database.url, autocommit=True, options=options) as connection:
        yield connection


@pytest.fixture
def raw(place: Path) -> Iterator[psycopg.Connection[Any]]:
    with other_hand(place) as connection:
        yield connection


def on_server(place: Path) -> Database:
    found = place_of(place)
    assert isinstance(found, Database)
    return found


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


# ---- several programs at once


def test_several_programs_add_in_turns(place: Path) -> None:
    with Store.open(place) as one, Store.open(place) as two, Store.open(place) as reader:
        assert one.append("note", {"n": 2}).index == 2
        assert two.append("note", {"n": 3}, job="wheel").index == 3
        assert one.append("note", {"n": 4}, job="wheel").index == 4
        assert one.head() == two.head() == reader.head()
        note = two.sign_checkpoint()
        assert one.sign_checkpoint() == note
        assert record.verify(one.record("wheel")).entries == two.head()[0] - 1
        new = SigningKey.new()
        two.change_key(new, "planned", old=two.signing_key(), pass_phrase=None)
        assert one.public_key == new.public
        assert record.verify(one.record("wheel")).ok
        assert one.check() == reader.head()[0]


def test_what_another_program_added_to_a_job_is_looked_at_first(place: Path) -> None:
    with Store.open(place) as one, Store.open(place) as two:
        seen = one.head()[0]
        first = one.append("note", {"n": 2}, job="wheel", seen=seen)
        assert one.append("note", {"n": 3}, job="wheel", seen=seen).index == first.index + 1
        two.append("note", {"n": 4}, job="head", seen=seen)  # another job: no harm
        with pytest.raises(StoreBusy, match="another program has just added to the job wheel"):
            two.append("note", {"n": 4}, job="wheel", seen=seen)
        again = one.append("note", {"n": 2}, job="wheel", seen=seen, entry_id=first.id,
                           device_time=one.get(first.id)["device"]["time"])  # fmt: skip
        assert again.duplicate
        assert one.check() == 5


def test_while_a_log_is_exchanged_nobody_opens_it_for_writing(place: Path) -> None:
    with Store.open(place, write=False) as reader:
        with alone(on_server(place)), pytest.raises(StoreBusy, match="is being exchanged"):
            Store.open(place)
        with Store.open(place), pytest.raises(StoreBusy, match="other programs are writing"):
            rebuild(Folder(place))
        assert reader.check() == 2


def test_what_was_closed_a_moment_ago_is_out_of_the_way(place: Path) -> None:
    """A server gives back a program's locks a moment after the connection was closed."""
    for _ in range(5):
        with Store.open(place) as store:
            head = store.head()
        assert rebuild(Folder(place)) is None
        with Store.open(place, write=False) as store:
            assert store.head() == head


def test_a_text_that_no_text_of_the_server_can_hold_stops_nothing(place: Path) -> None:
    with Store.open(place) as store:
        assert list(store.entries("wh\0eel")) == []
        with pytest.raises(Missing, match="there is no entry"):
            store.get("wh\0eel")
        with pytest.raises(Refused, match="nothing was stored"):
            store.people.named("wh\0eel")
        with pytest.raises(Refused, match="the job's name must be"):
            store.append("note", {}, job="wh\0eel")
        assert store.append("note", {"text": "wh\0eel"}).index == 2
        assert store.check() == 3


def test_two_programs_that_begin_a_log_begin_one(postgres: Server, tmp_path: Path) -> None:
    postgres.folder_on(tmp_path)

    def begin(number: int) -> str:
        while True:
            try:
                with Store.open(tmp_path, create=True, workshop=f"Yard {number}") as store:
                    store.append("note", {"n": number})
                    return store.origin
            except StoreBusy:
                continue

    with ThreadPoolExecutor(3) as pool:
        assert len(set(pool.map(begin, range(3)))) == 1
    with Store.open(tmp_path) as store:
        assert store.check() == 4


class Workers:
    """Four programs at work on one log, each killed and started again when asked."""

    def __init__(self, place: Path, told: Path) -> None:
        self.place = place
        self.told = [told / f"{worker}.told" for worker in range(4)]
        script = str(Path(__file__).with_name("shared_appender.py"))
        self._server = subprocess.Popen(
            [sys.executable, script], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        self._running = [self._start(worker) for worker in range(4)]

    def _start(self, worker: int) -> int:
        told = self.told[worker]
        asked = {"folder": str(self.place), "told": str(told), "worker": worker}
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        line = json.dumps({**asked, "start": len(acknowledged(told))})
        self._server.stdin.write(line + "\n")
        self._server.stdin.flush()
        return int(self._server.stdout.readline())

    def wait_for(self, worker: int, more: int) -> None:
        """Wait until a worker has had so many more entries acknowledged; it must live till then."""
        wanted, until = len(acknowledged(self.told[worker])) + more, time.monotonic() + 60
        while len(acknowledged(self.told[worker])) < wanted and time.monotonic() < until:
            time.sleep(0.002)
        os.kill(self._running[worker], 0)

    def kill(self, worker: int, *, again: bool) -> None:
        """Kill a worker at once, and start it again."""
        os.kill(self._running[worker], signal.SIGKILL)
        with contextlib.suppress(ProcessLookupError):
            while True:
                os.kill(self._running[worker], 0)
                time.sleep(0.001)
        if again:
            self._running[worker] = self._start(worker)

    def end(self) -> None:
        """Kill all."""
        for worker in range(4):
            self.kill(worker, again=False)
        assert self._server.stdin is not None
        assert self._server.stdout is not None
        self._server.stdin.close()
        self._server.wait(10)
        self._server.stdout.close()


def acknowledged(told: Path) -> dict[int, tuple[int, str]]:
    """Place and id of each acknowledged entry by its number; repeats must agree."""
    found: dict[int, tuple[int, str]] = {}
    for line in told.read_text().splitlines() if told.exists() else []:
        number, index, entry_id = line.split()
        assert found.setdefault(int(number), (int(index), entry_id)) == (int(index), entry_id)
    return found


@pytest.mark.no_cover
@pytest.mark.parametrize("kills", [20, pytest.param(300, marks=pytest.mark.soak)])
def test_four_programs_killed_at_random_lose_and_double_nothing(
    place: Path, tmp_path: Path, kills: int
) -> None:
    random_ = random.Random(20260131)
    workers = Workers(place, tmp_path)
    try:
        for _ in range(kills):
            worker = random_.randrange(4)
            workers.wait_for(worker, random_.choice((0, 1, 4)))
            workers.kill(worker, again=True)
        for worker in range(4):  # all were at work to the end, not only the first to start
            workers.wait_for(worker, 5)
    finally:
        workers.end()
    with Store.open(place) as store:
        assert store.check() == store.head()[0]
        lines = list(store.lines(since=2))
    at = {line.id: line.index for line in lines}
    assert len(at) == len(lines), "each entry is there once"
    for worker in range(4):
        known = acknowledged(workers.told[worker])
        assert sorted(known) == list(range(len(known)))
        assert all(at[entry_id] == index for index, entry_id in known.values())
        own = [line.body["n"] for line in lines if line.body["worker"] == worker]
        assert own == list(range(len(own))), "in the order in which it was sent"
        assert len(known) <= len(own) <= len(known) + 3


# ---- what is wrong with the place


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


def elsewhere(folder: Path, url: str, schema: str = "yard") -> Path:
    """A workshop's folder that names another database."""
    folder.mkdir(exist_ok=True)
    write_database_file(folder / "workshop.database", Database(url, schema))
    return folder


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
