"""Files that are not as they should be, and disks that fail: one message, nothing changed."""

import os
import random
import sqlite3
import stat
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import (
    BadFile,
    ClampwrightError,
    Missing,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)
from clampwright.proof.keys import SigningKey
from clampwright.store import NewEntry, Store
from clampwright.store.engine import ROLLBACK, journal_for
from clampwright.store.keyfile import read_key, write_key

NOBODY = 65534


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    with Store.open(tmp_path / "yard", create=True) as store:
        store.append("note", {"n": 1}, job="wheel")
    return tmp_path / "yard"


def contents(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix != ".lock"}


# What is not a store


def test_a_text_file_given_as_the_folder(tmp_path: Path) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("31 N·m")
    for create in (False, True):
        with pytest.raises(BadFile, match=r"notes\.txt is a file; a workshop is a folder"):
            Store.open(notes, create=create)
    assert notes.read_text() == "31 N·m"
    assert list(tmp_path.iterdir()) == [notes]


@pytest.mark.parametrize("content", [b"31 N\xc2\xb7m\n" * 99, b"x", b"", b"SQLite format 3\0"])
@pytest.mark.parametrize("write", [True, False])
def test_another_file_in_the_place_of_the_store(
    tmp_path: Path, content: bytes, *, write: bool
) -> None:
    (tmp_path / "workshop.sqlite").write_bytes(content)
    with pytest.raises(BadFile, match=r"workshop\.sqlite is not a store of this program"):
        Store.open(tmp_path, create=True, write=write)
    assert (tmp_path / "workshop.sqlite").read_bytes() == content
    assert not (tmp_path / "workshop.key").exists()


def test_somebody_elses_database(tmp_path: Path) -> None:
    connection = sqlite3.connect(tmp_path / "workshop.sqlite")
    connection.execute("CREATE TABLE log (idx INTEGER)")
    connection.close()
    before = contents(tmp_path)
    with pytest.raises(BadFile, match="is not a store of this program"):
        Store.open(tmp_path)
    assert contents(tmp_path) == before


def test_a_folder_in_the_place_of_the_store(tmp_path: Path) -> None:
    (tmp_path / "workshop.sqlite").mkdir()
    with pytest.raises(BadFile, match="is not a store of this program"):
        Store.open(tmp_path, create=True)


def test_a_store_of_a_newer_program(folder: Path) -> None:
    connection = sqlite3.connect(folder / "workshop.sqlite")
    connection.execute("UPDATE alembic_version SET version_num = '0999'")
    connection.commit()
    connection.close()
    before = contents(folder)
    for write in (True, False):
        with pytest.raises(BadFile, match=r"made by a newer version of this program .*0999"):
            Store.open(folder, write=write)
    assert contents(folder) == before


@pytest.mark.parametrize("keep", [0.3, 0.6, 0.9, 0.99])
def test_a_store_that_was_cut_off(folder: Path, keep: float) -> None:
    file = folder / "workshop.sqlite"
    with Store.open(folder) as store:
        store.append_many(NewEntry("note", {"n": n, "text": "x" * 200}) for n in range(100))
    data = file.read_bytes()
    file.write_bytes(data[: int(len(data) * keep)])

    def use() -> None:
        with Store.open(folder) as store:
            store.check()

    with pytest.raises(ClampwrightError, match=r"is damaged|is not a store|are missing or changed"):
        use()


def test_random_damage_ends_in_one_message_or_is_harmless(folder: Path) -> None:
    with Store.open(folder) as store:
        # Many enough that most of the file is the log, however many tables lie beside it.
        store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(120))
        wanted = [line.data for line in store.lines()]
    file = folder / "workshop.sqlite"
    data = file.read_bytes()
    random_ = random.Random(20260131)
    refused = 0
    for _ in range(150):
        changed = bytearray(data)
        # Half of the changes in the first page, where the tables are described.
        at = random_.randrange(len(data) if random_.random() < 0.5 else 4096)
        changed[at] = random_.randrange(256)
        file.write_bytes(changed)
        try:
            with Store.open(folder, write=False) as store:
                store.verify_log()
                store.check()
                assert [line.data for line in store.lines()] == wanted
        except ClampwrightError:
            refused += 1
    assert refused > 30


def test_an_empty_folder_is_left_alone(tmp_path: Path) -> None:
    for write in (True, False):
        with pytest.raises(BadFile, match=r"holds no workshop\.sqlite"):
            Store.open(tmp_path, write=write)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(BadFile, match=r"holds no workshop\.sqlite"):
        Store.open(tmp_path / "new", create=True, write=False)
    assert list(tmp_path.iterdir()) == []


def test_a_lost_store_never_starts_empty(folder: Path) -> None:
    (folder / "workshop.sqlite").rename(folder / "away.sqlite")
    before = contents(folder)
    with pytest.raises(Refused, match=r"a key but no workshop\.sqlite: put the store back"):
        Store.open(folder, create=True)
    assert contents(folder) == before


# The key


def test_the_key_is_readable_by_its_owner_only(folder: Path, tmp_path: Path) -> None:
    old = os.umask(0)
    try:
        write_key(tmp_path / "open.key", SigningKey.new())
    finally:
        os.umask(old)
    for file in (folder / "workshop.key", tmp_path / "open.key"):
        assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_the_key_is_nowhere_else(folder: Path) -> None:
    pem = (folder / "workshop.key").read_bytes()
    secret = pem.split(b"\n")[1]
    for path in folder.iterdir():
        assert path.name == "workshop.key" or secret not in path.read_bytes()


def test_a_plain_key_that_others_can_read_is_not_used(folder: Path) -> None:
    file = folder / "workshop.key"
    for mode in (0o640, 0o604, 0o660, 0o777):
        file.chmod(mode)
        with (
            Store.open(folder) as store,
            pytest.raises(Refused, match="can be read by others, so it proves nothing"),
        ):
            store.sign_checkpoint()
    file.chmod(0o600)
    with Store.open(folder) as store:
        assert store.sign_checkpoint()


def test_a_locked_key_may_be_readable(tmp_path: Path) -> None:
    file = tmp_path / "workshop.key"
    write_key(file, SigningKey.new(), "left over right")
    file.chmod(0o644)
    assert isinstance(read_key(file, "left over right"), SigningKey)


def test_a_key_is_never_replaced(tmp_path: Path) -> None:
    file = tmp_path / "workshop.key"
    write_key(file, SigningKey.new())
    before = file.read_bytes()
    with pytest.raises(Refused, match="a key is never replaced"):
        write_key(file, SigningKey.new())
    assert file.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["workshop.key"]


def test_a_key_that_is_none(folder: Path) -> None:
    (folder / "workshop.key").write_text("31 N·m")
    with Store.open(folder) as store, pytest.raises(BadFile, match="does not hold an Ed25519"):
        store.record("wheel")
    (folder / "workshop.key").unlink()
    with Store.open(folder) as store, pytest.raises(Missing, match="is missing"):
        store.record("wheel")
    (folder / "workshop.key").mkdir()
    with Store.open(folder) as store, pytest.raises(BadFile, match="cannot be read"):
        store.record("wheel")


# One writer

HOLD = """
import sys
from clampwright.store import NewEntry, Store
with Store.open(sys.argv[1]) as store:
    store.append("note", {"from": "child"})
    print("held", flush=True)
    sys.stdin.read()
"""


def test_a_second_program_is_told_who_writes(folder: Path) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLD, str(folder)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as child:
        assert child.stdout is not None
        assert child.stdin is not None
        assert child.stdout.readline() == "held\n"
        with pytest.raises(StoreBusy) as caught:
            Store.open(folder)
        message = str(caught.value)
        assert f"(process {child.pid}, since 20" in message
        assert str(folder) in message
        with Store.open(folder, write=False) as reader:
            assert reader.head()[0] == 3
        child.stdin.close()
        assert child.wait(120) == 0
    with Store.open(folder) as store:
        assert store.append("note", {}).index == 3


def test_twice_in_one_program_is_refused_too(folder: Path) -> None:
    with Store.open(folder) as store:
        with pytest.raises(StoreBusy, match=f"process {os.getpid()}"):
            Store.open(folder)
        assert store.append("note", {}).index == 2


def test_a_lock_file_without_sense_does_not_matter(folder: Path) -> None:
    (folder / "workshop.lock").write_text("?")
    with Store.open(folder):
        (folder / "workshop.lock").write_text("[]")
        with pytest.raises(StoreBusy, match="another program is writing to the workshop"):
            Store.open(folder)


def test_a_failed_opening_gives_the_lock_back(folder: Path) -> None:
    file = folder / "workshop.sqlite"
    data = file.read_bytes()
    file.write_bytes(b"31 N\xc2\xb7m" * 999)
    with pytest.raises(BadFile):
        Store.open(folder)
    file.write_bytes(data)
    with Store.open(folder) as store:
        assert store.check() == 2


def test_a_database_locked_by_another_tool(folder: Path) -> None:
    other = sqlite3.connect(folder / "workshop.sqlite", isolation_level=None)
    with Store.open(folder, busy_seconds=0.05) as store:
        other.execute("BEGIN IMMEDIATE")
        head = store.head()
        with pytest.raises(StoreBusy, match="is locked by another program; nothing was stored"):
            store.append("note", {"n": 2})
        other.execute("ROLLBACK")
        assert store.head() == head
        assert store.append("note", {"n": 2}).index == 2
    other.execute("BEGIN EXCLUSIVE")
    with pytest.raises(StoreBusy, match="is locked by another program"):
        Store.open(folder, busy_seconds=0.05)
    other.execute("ROLLBACK")
    other.close()
    with Store.open(folder) as store:
        assert store.check() == 3


def test_a_commit_held_up_by_another_reader_is_undone(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Only with the rollback journal does a reader hold up a commit, so that one is taken here.
    monkeypatch.setattr("clampwright.store.engine.journal_for", lambda _: ROLLBACK)
    with Store.open(folder, busy_seconds=0.05) as store:
        other = sqlite3.connect(folder / "workshop.sqlite", isolation_level=None)
        other.execute("BEGIN")
        other.execute("SELECT count(*) FROM log").fetchone()
        head = store.head()
        with pytest.raises(StoreBusy, match="nothing was stored"):
            store.append("note", {"n": 2})
        other.execute("ROLLBACK")
        other.close()
        assert store.head() == head
        assert store.append("note", {"n": 3}).index == 2
        assert [entry["body"] for entry in store.entries(since=2)] == [{"n": 3}]
        assert store.check() == 3


# Disks that are full, protected or failing


def test_no_room_in_the_file(folder: Path) -> None:
    with Store.open(folder) as store:
        inside = store._transactions._connection  # noqa: SLF001 - the limit is set per connection
        with inside.begin():
            pages = inside.exec_driver_sql("PRAGMA page_count").scalar_one()
            inside.exec_driver_sql(f"PRAGMA max_page_count = {pages + 4}")
        fits = 0

        def fill() -> None:
            nonlocal fits
            while fits < 100:
                store.append("note", {"text": "x" * 3000})
                fits += 1

        with pytest.raises(StoreFull, match=r"no room left for .*nothing was stored"):
            fill()
        head = store.head()
        assert head[0] == 2 + fits
        with pytest.raises(StoreFull, match="no room left"):
            store.append("note", {"text": "x" * 30_000})
        with inside.begin():
            inside.exec_driver_sql("PRAGMA max_page_count = 1000000")
        assert store.append("note", {"text": "x" * 30_000}).index == head[0]
        assert store.check() == head[0] + 1


LIMITED = """
import resource, sys
from clampwright.errors import StoreFailed, StoreFull
from clampwright.store import NewEntry, Store
with Store.open(sys.argv[1]) as store:
    size = store.folder.store.stat().st_size
    resource.setrlimit(resource.RLIMIT_FSIZE, (size + 20_000, resource.RLIM_INFINITY))
    done = 0
    try:
        while done < 1000:
            store.append("note", {"n": done, "text": "x" * 2000})
            done += 1
    except StoreFull as error:
        print(error.message)
    try:
        store.append("note", {})
    except StoreFailed as error:
        print(error.message)
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))
    try:
        store.append("note", {})
    except StoreFailed as error:
        print("still", error.message)
print(done)
"""


def test_the_operating_system_refuses_to_write_more(folder: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(folder)], capture_output=True, text=True, check=True
    )
    full, stopped, still, count = done.stdout.splitlines()
    assert "the disk is full, over its quota, or failing" in full
    assert "failed before and takes nothing more" in stopped
    assert still == f"still {stopped}"
    assert 0 < int(count) < 1000
    with Store.open(folder) as store:
        assert store.check() == 2 + int(count)
        assert [e["body"]["n"] for e in store.entries(since=2)] == list(range(int(count)))
        assert store.append("note", {}).index == 2 + int(count)


class Failing(sqlite3.Connection):
    """A connection whose COMMIT reports what a failed fsync gives."""

    code: int | None = None
    stores_nevertheless = False

    def commit(self) -> None:
        if self.code is None:
            return super().commit()
        if self.stores_nevertheless:
            super().commit()
        error = sqlite3.OperationalError("disk I/O error")
        error.sqlite_errorcode = self.code
        raise error


@pytest.mark.parametrize("code", [sqlite3.SQLITE_IOERR_FSYNC, sqlite3.SQLITE_IOERR_DIR_FSYNC])
@pytest.mark.parametrize("stores", [False, True])
def test_a_failed_fsync_stops_the_store(
    folder: Path, monkeypatch: pytest.MonkeyPatch, code: int, *, stores: bool
) -> None:
    class ThisFailing(Failing):
        stores_nevertheless = stores

    real = sqlite3.connect

    def connect(*arguments: Any, **named: Any) -> sqlite3.Connection:
        return real(*arguments, **named, factory=ThisFailing)

    monkeypatch.setattr("clampwright.store.engine.sqlite3.connect", connect)
    entry = {"kind": "note", "body": {"n": 2}, "entry_id": "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"}
    with Store.open(folder) as store:
        monkeypatch.setattr(ThisFailing, "code", code)
        with pytest.raises(StoreFailed, match="may or may not be stored; check the disk"):
            store.append(**entry)  # type: ignore[arg-type] # a plain dictionary of its arguments
        monkeypatch.setattr(ThisFailing, "code", None)
        with pytest.raises(StoreFailed, match="takes nothing more; close it and open it again"):
            store.append("note", {"n": 3})
        assert store.head()[0] == 2
    with Store.open(folder) as store:
        receipt = store.append(**entry)  # type: ignore[arg-type] # as above
        assert (receipt.index, receipt.duplicate) == (2, stores)
        assert store.check() == 3


@contextmanager
def as_nobody() -> Iterator[None]:
    """Act without root's right to write everywhere, where the tests run as root."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(NOBODY)
    try:
        yield
    finally:
        os.seteuid(0)


@pytest.fixture
def shared() -> Iterator[Path]:
    """A workshop in a folder that everybody may enter (pytest's own are private)."""
    with tempfile.TemporaryDirectory() as name:
        path = Path(name)
        path.chmod(0o755)
        Store.open(path / "yard", create=True).close()
        yield path / "yard"
        (path / "yard").chmod(0o755)


def test_a_write_protected_file(shared: Path) -> None:
    shared.chmod(0o777)
    (shared / "workshop.sqlite").chmod(0o444)
    (shared / "workshop.lock").chmod(0o666)
    before = contents(shared)
    with as_nobody():
        with pytest.raises(BadFile, match=r"workshop\.sqlite is write-protected"):
            Store.open(shared)
        if journal_for(sqlite3.sqlite_version_info) is ROLLBACK:
            with Store.open(shared, write=False) as reader:
                assert reader.check() == 1
    assert contents(shared) == before


def test_a_write_protected_folder(shared: Path) -> None:
    shared.chmod(0o555)
    (shared / "workshop.lock").chmod(0o444)
    with as_nobody():
        with pytest.raises(BadFile, match=r"workshop\.lock cannot be written: Permission denied"):
            Store.open(shared)
        with pytest.raises(BadFile, match=r"the folder .*new cannot be used: Permission denied"):
            Store.open(shared / "new", create=True)
    assert not (shared / "new").exists()


def test_a_file_nobody_may_read(shared: Path) -> None:
    (shared / "workshop.sqlite").chmod(0o000)
    with as_nobody(), pytest.raises(BadFile, match="cannot be opened; look at its permissions"):
        Store.open(shared, write=False)


# Stores that were not finished


def test_an_interrupted_beginning_is_begun_again_with_the_same_key(tmp_path: Path) -> None:
    write_key(tmp_path / "workshop.key", SigningKey.new())
    key = read_key(tmp_path / "workshop.key")
    for name in ("workshop.sqlite.new", "workshop.sqlite.new-journal", "workshop.key.new"):
        (tmp_path / name).write_bytes(b"half")
    with Store.open(tmp_path, create=True) as store:
        assert store.public_key == key.public
        assert store.check() == 1
    left = {path.name for path in tmp_path.iterdir()}
    assert {"workshop.sqlite", "workshop.key", "workshop.lock"} <= left
    assert not {"workshop.sqlite.new", "workshop.sqlite.new-journal"} & left
