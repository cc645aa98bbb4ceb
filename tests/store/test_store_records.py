"""Records out of a store: they hold, they stay the same, and a changed store makes none."""

import json
import sqlite3
from pathlib import Path

import pytest

from clampwright.errors import BadFile, Missing, Refused
from clampwright.proof import canonical, record
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.store import Store


def filled(path: Path) -> Store:
    store = Store.open(path, create=True, workshop="Invented yard")
    for number in range(5):
        store.append("pull", {"fastener": number + 1, "read": "80"}, job="wheel")
        store.append("pull", {"fastener": number + 1, "read": "31.5"}, job="head")
    return store


def test_a_record_holds_and_stays_the_same(yard: Path) -> None:
    with filled(yard) as store:
        data = store.record("wheel")
        found = record.verify(data, key=store.public_key.line(store.origin))
        assert (found.ok, found.job, found.entries, found.size) == (True, "wheel", 7, 12)
        head = store.head()
        assert store.record("wheel") == data
        assert store.head() == head
        store.append("pull", {"fastener": 6}, job="head")
        store.sign_checkpoint()
        assert store.record("wheel") == data
    with Store.open(yard, write=False) as reader:
        assert reader.record("wheel") == data
    with Store.open(yard) as store:
        store.append("recheck", {"fastener": 1}, job="wheel")
        later = store.record("wheel")
        assert later != data
        assert record.verify(later).entries == 9
        assert store.check() == 15


def test_entries_outside_the_job_can_be_taken_along(yard: Path) -> None:
    with filled(yard) as store:
        tools = [store.append("tool_checked", {"n": number}).id for number in range(2)]
        plain = store.record("wheel")
        data = store.record("wheel", also=[tools[1], tools[0]])
        assert store.record("wheel", also=tools) == data != plain
        assert record.verify(data).ok
        kinds = [item["entry"]["kind"] for item in json.loads(data)["entries"]]
        assert kinds.count("tool_checked") == 2
        job_entry = next(store.lines("head")).id
        with pytest.raises(Refused, match="cannot be taken along"):
            store.record("wheel", also=[job_entry])
        with pytest.raises(Missing, match="no entry"):
            store.record("wheel", also=["x"])


def test_checkpoints_are_kept_and_signed_by_the_right_key_only(yard: Path) -> None:
    with filled(yard) as store:
        note = store.sign_checkpoint()
        assert store.sign_checkpoint() == note
        read = read_checkpoint(note)
        assert (read.head.size, read.head.root) == store.head()
        assert read.head.origin == store.origin
        assert read.signed_by(store.public_key)
        store.append("note", {})
        with pytest.raises(Refused, match="this is not the key of Invented yard"):
            store.sign_checkpoint(SigningKey.new())
        assert store.sign_checkpoint(store.signing_key()) != note


def test_a_locked_key_needs_its_pass_phrase(yard: Path) -> None:
    with Store.open(yard, create=True, pass_phrase="left over right") as store:  # noqa: S106 - invented for the test
        store.append("pull", {}, job="wheel")
        assert b"ENCRYPTED" in store.folder.key.read_bytes()
    with Store.open(yard) as store:
        with pytest.raises(Missing, match="is locked with a pass phrase"):
            store.record("wheel")
        with pytest.raises(Refused, match="does not open"):
            store.signing_key("wrong")
        key = store.signing_key("left over right")
        assert record.verify(store.record("wheel", key=key)).ok


def test_a_foreign_key_file_is_found(tmp_path: Path) -> None:
    with filled(tmp_path / "a") as store, filled(tmp_path / "b") as other:
        head = store.head()
        store.folder.key.write_bytes(other.folder.key.read_bytes())
        with pytest.raises(Refused, match="this is not the key of Invented yard"):
            store.record("wheel")
        store.folder.key.unlink()
        with pytest.raises(Missing, match=r"the signing key .*workshop\.key is missing"):
            store.record("wheel")
        assert store.head() == head


def tamper(path: Path, statement: str, *values: str) -> None:
    """Change a store as somebody with another tool would who has read the schema."""
    connection = sqlite3.connect(path / "workshop.sqlite")
    names = connection.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
    for (name,) in names:
        connection.execute(f"DROP TRIGGER {name}")
    connection.execute(statement, values)
    connection.commit()
    connection.close()


REWRITE = (
    "UPDATE log SET bytes = CAST(replace(CAST(bytes AS TEXT), '80', '90') AS BLOB) WHERE idx = 5"
)


@pytest.mark.parametrize(
    ("statement", "part"),
    [
        (
            REWRITE,
            "entry 5: its content is not what was hashed",
        ),
        ("UPDATE log SET job = 'head', job_seq = 99 WHERE idx = 5", "entry 5: its columns"),
        ("UPDATE log SET kind = 'note' WHERE idx = 5", "entry 5: its columns"),
        ("UPDATE log SET recorded = 'now' WHERE idx = 5", "entry 5: its columns"),
        ("UPDATE log SET bytes = x'7b7d' WHERE idx = 5", "entry 5: an entry has other members"),
        ("UPDATE log SET bytes = x'7b' WHERE idx = 5", "entry 5: line 1, column 2"),
        ("UPDATE checkpoints SET note = replace(note, '12', '13')", "does not fit the head"),
        ("UPDATE checkpoints SET note = 'x'", "three lines"),
    ],
)
def test_a_change_under_the_program_is_found_by_check(
    tmp_path: Path, statement: str, part: str
) -> None:
    with filled(tmp_path) as store:
        store.record("wheel")
    tamper(tmp_path, statement)
    with Store.open(tmp_path) as store, pytest.raises(BadFile) as caught:
        store.check()
    assert part in str(caught.value)


def test_a_head_signed_by_another_key_is_found_by_check(tmp_path: Path) -> None:
    with filled(tmp_path) as store:
        store.sign_checkpoint()
        forged = Head(store.origin, *store.head()).sign(SigningKey.new())
    tamper(tmp_path, "UPDATE checkpoints SET note = ?", forged)
    with Store.open(tmp_path) as store, pytest.raises(BadFile, match="is not signed by the log's"):
        store.check()


@pytest.mark.parametrize(
    "statement",
    [
        "DELETE FROM log WHERE idx = 5",
        "DELETE FROM log WHERE idx = 11",
        "UPDATE log SET leaf_hash = zeroblob(32) WHERE idx = 5",
        "UPDATE checkpoints SET root = zeroblob(32)",
    ],
)
def test_a_log_that_does_not_fit_its_signed_head_is_not_opened(
    tmp_path: Path, statement: str
) -> None:
    with filled(tmp_path) as store:
        store.record("wheel")
    tamper(tmp_path, statement)
    with pytest.raises(BadFile, match="entries of the log are missing or changed"):
        Store.open(tmp_path)


def test_a_gap_is_found_even_without_a_signed_head(tmp_path: Path) -> None:
    filled(tmp_path).close()
    tamper(tmp_path, "DELETE FROM log WHERE idx = 5")
    with pytest.raises(BadFile, match="entries of the log are missing or changed"):
        Store.open(tmp_path)


def test_from_a_changed_store_no_record_is_made(tmp_path: Path) -> None:
    with filled(tmp_path) as store:
        store.record("wheel")
    tamper(tmp_path, REWRITE)
    with (
        Store.open(tmp_path) as store,
        pytest.raises(Refused, match="no record was made, for it would not hold: Entry 4"),
    ):
        store.record("wheel")


def test_a_record_of_many_pulls_is_canonical(yard: Path) -> None:
    with Store.open(yard, create=True) as store:
        for number in range(30):
            store.append("pull", {"n": number, "note": "ä €"}, job="wheel")
        data = store.record("wheel")
    assert canonical(json.loads(data)) == data
    assert record.verify(data).ok
