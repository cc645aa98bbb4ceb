"""A log that was changed while it was open: both looks at it name what is wrong.

The quick look (`verify_log`) hashes and checks the signed heads; the whole one (`check`) also reads
what stands in each entry. All content is invented.
"""

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from clampwright.errors import BadFile
from clampwright.proof.checkpoint import Head
from clampwright.proof.entry import compose
from clampwright.proof.ids import uuid7
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import leaf_hash
from clampwright.store import NewEntry, Store

OF_ANOTHER_SIZE = (
    "UPDATE checkpoints AS c SET note = n.note FROM checkpoints AS n"
    " WHERE c.size = 6 AND n.size = 12"
)
pytestmark = pytest.mark.usefixtures("unordered")

NOW = "2026-03-01T08:00:00.000000Z"


@pytest.fixture(autouse=True)
def small_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """A dozen entries are then several pages, of which some end at a head and some do not."""
    monkeypatch.setattr("clampwright.store.checking.PAGE", 3)
    monkeypatch.setattr("clampwright.store.checking.HASHED_AT_ONCE", 4)
    monkeypatch.setattr("clampwright.store.checking.READ_AT_ONCE", 3)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Thirteen entries, heads signed over 4, 6 and 12 of them."""
    place = tmp_path_factory.mktemp("made")
    with Store.open(place, create=True, workshop="Invented yard") as store:
        for count in (3, 2, 6):
            store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(count))
            store.sign_checkpoint()
        store.append("note", {"n": 99}, job="wheel")
    return place


@pytest.fixture
def place(made: Path, tmp_path: Path) -> Path:
    """The same, for one test alone."""
    return Path(shutil.copytree(made, tmp_path, dirs_exist_ok=True))


@pytest.fixture
def store(place: Path) -> Iterator[Store]:
    with Store.open(place, write=False) as opened:
        yield opened


def changed(place: Path, *statements: str, values: tuple[object, ...] = ()) -> None:
    """Change a store as somebody would who has read the schema, and has every right."""
    with closing(sqlite3.connect(place / "workshop.sqlite")) as hand:
        names = hand.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            hand.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            hand.execute(statement, values)
        hand.commit()


def told(look: Callable[[], object]) -> str:
    with pytest.raises(BadFile) as caught:
        look()
    assert caught.value.file is not None
    assert caught.value.file.endswith("workshop.sqlite")
    file, _, problem = str(caught.value).partition(": ")
    assert file == caught.value.file
    return problem


def test_a_whole_log_is_whole_in_pages_of_any_size(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    for size in (1, 2, 5, 12, 13, 14, 500):
        monkeypatch.setattr("clampwright.store.checking.PAGE", size)
        monkeypatch.setattr("clampwright.store.checking.HASHED_AT_ONCE", size)
        monkeypatch.setattr("clampwright.store.checking.READ_AT_ONCE", max(1, size // 2))
        assert store.verify_log() == store.check() == 13


@pytest.mark.parametrize(
    ("statement", "quick", "whole"),
    [
        (
            "UPDATE log SET bytes = CAST(CAST(bytes AS TEXT) || ' ' AS BLOB) WHERE idx = 5",
            "entry 5: its content is not what was hashed",
            "entry 5: not in its exact form from byte",
        ),
        (
            "UPDATE log SET leaf_hash = zeroblob(32) WHERE idx = 8",
            "entry 8: its content is not what was hashed",
            "entry 8: its content is not what was hashed",
        ),
        (
            "DELETE FROM log WHERE idx = 5",
            "entry 5 of the log is missing",
            "entry 5 of the log is missing",
        ),
        (
            "DELETE FROM log WHERE idx = 3",  # the last of a page
            "entry 3 of the log is missing",
            "entry 3 of the log is missing",
        ),
        (
            "DELETE FROM log WHERE idx > 9",
            "entries at the end of the log are missing",
            "entries at the end of the log are missing",
        ),
        (
            "DELETE FROM log",
            "entries at the end of the log are missing",
            "entries at the end of the log are missing",
        ),
        (
            OF_ANOTHER_SIZE,
            "the log does not fit the head signed over 6 entries",
            "the log does not fit the head signed over 6 entries",
        ),
        (
            "UPDATE checkpoints SET root = zeroblob(32) WHERE size = 4",
            "the head over 4 entries is not signed by the log's key",
            "the head over 4 entries is not signed by the log's key",
        ),
        (
            "UPDATE checkpoints SET peaks = zeroblob(64) WHERE size = 6",
            "the tree kept with the head over 6 entries is wrong",
            "the tree kept with the head over 6 entries is wrong",
        ),
        (
            "UPDATE checkpoints SET note = 'x' WHERE size = 4",
            "checkpoint: a checkpoint has three lines",
            "checkpoint: a checkpoint has three lines",
        ),
    ],
)
def test_what_was_changed_is_named(
    store: Store, place: Path, statement: str, quick: str, whole: str
) -> None:
    changed(place, statement)
    assert told(store.verify_log).startswith(quick)
    assert told(store.check).startswith(whole)


@pytest.mark.parametrize("column", ["id", "job", "kind", "recorded"])
def test_a_column_that_is_not_its_contents_is_found_by_the_whole_look(
    store: Store, place: Path, column: str
) -> None:
    changed(place, f"UPDATE log SET {column} = 'forged' WHERE idx = 7")  # noqa: S608 - one of four words above
    assert store.verify_log() == 13, "the quick look reads no content"
    assert told(store.check) == "entry 7: its columns are not those of its content"


def test_a_place_column_that_is_not_its_contents(store: Store, place: Path) -> None:
    changed(place, "UPDATE log SET job_seq = 50 WHERE idx = 7")
    assert told(store.check) == "entry 7: its columns are not those of its content"


@pytest.mark.parametrize(("job", "seq"), [("wheel", 13), ("wheel", 11), ("head", 1)])
def test_a_forged_entry_with_a_wrong_place_in_its_job(
    store: Store, place: Path, job: str, seq: int
) -> None:
    entry_id = uuid7()
    data = compose(
        id=entry_id, kind="note", body={}, job=job, job_seq=seq,
        device_id="bench", device_time=NOW, recorded=NOW,
    )  # fmt: skip
    # The log's own table would not take the same place twice.
    changed(place, "DROP INDEX IF EXISTS log_place_in_job_once")
    if (job, seq) == ("wheel", 11):
        changed(place, "UPDATE log SET job_seq = 77 WHERE idx = 12")
    changed(
        place,
        "INSERT INTO log VALUES (13, ?, ?, ?, 'note', ?, ?, ?)",
        values=(entry_id, job, seq, leaf_hash(data), data, NOW),
    )
    problem = told(store.check)
    if seq == 11:  # its place was taken by changing a column, which is found first
        assert problem == "entry 12: its columns are not those of its content"
    else:
        assert problem == "entry 13: its place in its job is wrong"
    assert store.verify_log() == 14


@pytest.mark.parametrize("other_name", [False, True])
def test_a_head_that_another_key_or_another_log_signed(
    store: Store, place: Path, *, other_name: bool
) -> None:
    root = store.tree().root(6)
    if other_name:
        with Store.open(place) as writer:
            note = Head("another-log", 6, root).sign(writer.signing_key())
        wanted = "the log does not fit the head signed over 6 entries"
    else:
        note = Head(store.origin, 6, root).sign(SigningKey.new())
        wanted = "the head over 6 entries is not signed by the log's key"
    changed(place, "UPDATE checkpoints SET note = ? WHERE size = 6", values=(note,))
    assert told(store.verify_log) == told(store.check) == wanted


def test_a_head_of_an_old_version_has_no_peaks(store: Store, place: Path) -> None:
    changed(place, "UPDATE checkpoints SET peaks = NULL")
    assert store.verify_log() == store.check() == 13


def test_after_a_change_of_key_each_head_is_held_to_its_own_key(place: Path) -> None:
    with Store.open(place) as store:
        old = store.signing_key()
        store.change_key(SigningKey.new(), "planned", old=old, pass_phrase=None)
        store.append("note", {})
        store.sign_checkpoint()
        assert store.verify_log() == store.check() == 15
        forged = Head(store.origin, *store.head()).sign(old)
        changed(place, "UPDATE checkpoints SET note = ? WHERE size = 15", values=(forged,))
        for look in (store.verify_log, store.check):
            assert told(look) == "the head over 15 entries is not signed by the log's key"


def loosened(place: Path) -> None:
    """Let the table take what its definition forbids, as a damaged page may."""
    with closing(sqlite3.connect(place / "workshop.sqlite")) as hand:
        hand.execute("PRAGMA writable_schema = ON")
        hand.execute("UPDATE sqlite_schema SET sql = replace(sql, 'STRICT', '')")
        hand.commit()


def test_an_entry_that_is_not_made_of_bytes(place: Path) -> None:
    loosened(place)
    changed(place, "UPDATE log SET bytes = 'text' WHERE idx = 5")
    with Store.open(place, write=False) as store:
        assert told(store.verify_log) == "an entry is not made of bytes"
        assert told(store.check) == "an entry is not made of bytes"
        with pytest.raises(BadFile, match="entries of the log are missing or changed"):
            list(store.lines("wheel"))


def test_damaged_pages_are_told_before_anything_else(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    from clampwright.words import words  # noqa: PLC0415 - only this test makes a sentence up

    monkeypatch.setattr(
        "clampwright.store.checking.problem_of_pages", lambda _: words("a page is damaged")
    )
    assert told(store.check) == "a page is damaged"
    assert store.verify_log() == 13
