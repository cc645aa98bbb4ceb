"""What a log says of itself, page by page, and what is told when it was changed; all invented."""

import json
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import BadFile, Missing
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.entry import compose
from clampwright.proof.ids import uuid7
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import Tree, leaf_hash
from clampwright.store import NewEntry, Store
from clampwright.store.schema import CHECKPOINTS, LOG
from clampwright.store.transactions import Transactions

pytestmark = pytest.mark.usefixtures("unordered")

NOW = "2026-03-01T08:00:00.000000Z"


@pytest.fixture(autouse=True)
def small_pages(monkeypatch: pytest.MonkeyPatch) -> None:
    """Nine entries are then several pages."""
    monkeypatch.setattr("clampwright.store.reading.PAGE", 2)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Nine entries of two jobs and none; heads signed over 4 and 7 of them."""
    place = tmp_path_factory.mktemp("made")
    with Store.open(place, create=True, workshop="Invented yard") as store:
        jobs = ["wheel", "head", None, "wheel", "wheel", "head", None, "wheel"]
        for n, job in enumerate(jobs, 1):
            store.append("pull" if n % 2 else "note", {"n": n, "tool": f"tool {n}"}, job=job)
            if n in {3, 6}:
                store.sign_checkpoint()
    return place


@pytest.fixture
def place(made: Path, tmp_path: Path) -> Path:
    """The same, for one test alone."""
    return Path(shutil.copytree(made, tmp_path, dirs_exist_ok=True))


@pytest.fixture
def store(place: Path) -> Iterator[Store]:
    with Store.open(place) as opened:
        yield opened


@pytest.fixture
def answers(store: Store, monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many rows the database gave to each question that was asked of it."""
    assert store.head()[0] == 9
    given = list[int]()
    ask = Transactions.rows

    def rows(transactions: Transactions, query: Any) -> Any:
        found = ask(transactions, query)
        given.append(len(found))
        return found

    monkeypatch.setattr(Transactions, "rows", rows)
    return given


def changed(place: Path, *statements: str, values: tuple[object, ...] = ()) -> None:
    with closing(sqlite3.connect(place / "workshop.sqlite")) as hand:
        names = hand.execute("SELECT name FROM sqlite_schema WHERE type = 'trigger'").fetchall()
        for (name,) in names:
            hand.execute(f"DROP TRIGGER {name}")
        for statement in statements:
            hand.execute(statement, values)
        hand.commit()


def loosened(place: Path) -> None:
    """Let the table take what its definition forbids, as a damaged page may."""
    with closing(sqlite3.connect(place / "workshop.sqlite")) as hand:
        hand.execute("PRAGMA writable_schema = ON")
        hand.execute(
            "UPDATE sqlite_schema SET sql ="
            " replace(replace(sql, 'STRICT', ''), 'length(leaf_hash) = 32', '1')"
        )
        hand.commit()


def numbers(entries: object) -> list[int]:
    return [one["body"]["n"] for one in entries]  # type: ignore[attr-defined] # whatever gives entries


@pytest.mark.parametrize(
    ("job", "since", "kinds", "wanted"),
    [
        ("wheel", 0, (), [1, 4, 5, 8]),
        ("wheel", 4, (), [4, 5, 8]),
        ("wheel", 5, (), [5, 8]),
        ("head", 0, (), [2, 6]),
        ("head", 7, (), []),
        (None, 6, (), [6, 7, 8]),
        (None, 1, ("pull",), [1, 3, 5, 7]),
        ("wheel", 0, ("note",), [4, 8]),
        (None, 3, ("note", "pull"), [3, 4, 5, 6, 7, 8]),
        (None, 9, (), []),
        ("gearbox", 0, (), []),
        ("whe\0el", 0, (), []),
    ],
)
def test_entries_are_gone_through_page_by_page(
    store: Store, job: str | None, since: int, kinds: tuple[str, ...], wanted: list[int]
) -> None:
    assert numbers(store.entries(job, since, kinds=kinds)) == wanted
    assert [line.body["n"] for line in store.lines(job, since, kinds=kinds)] == wanted


def test_one_entry(store: Store) -> None:
    line = next(store.lines("head"))
    assert (line.index, line.job_seq, line.body["n"]) == (2, 0, 2)
    assert store.line(line.id) == line
    assert store.get(line.id) == json.loads(line.data)
    for unknown in (uuid7(), "2", "whe\0el"):
        with pytest.raises(Missing, match="on the log") as caught:
            store.line(unknown)
        assert caught.value.needed == "entry"


def test_no_more_than_a_page_is_held_at_once(store: Store, answers: list[int]) -> None:
    """Else a long log would not fit into the memory of a small machine."""
    assert len(list(store.lines())) == 9
    assert answers == [2, 2, 2, 2, 1]
    answers.clear()
    assert len(list(store.raw_entries())) == 9
    assert answers == [2, 2, 2, 2, 1, 0]
    answers.clear()
    assert store.checkpoint_covering(0) is not None
    assert answers == [1], "of many heads only the one that is wanted"


def test_what_no_entry_can_be_called_is_not_asked_for(store: Store, answers: list[int]) -> None:
    """PostgreSQL would refuse the question, for it knows no text with a zero byte."""
    with pytest.raises(Missing):
        store.line("whe\0el")
    assert list(store.lines("whe\0el")) == []
    assert answers == []


def test_all_of_one_kind_in_the_order_of_the_log(store: Store) -> None:
    assert [one.index for one in store.of_kind("note")] == [2, 4, 6, 8]
    assert [one.index for one in store.of_kind("log_opened")] == [0]
    assert store.of_kind("nothing") == []


def test_bytes_and_rows_in_the_order_of_the_log(store: Store) -> None:
    lines = list(store.lines())
    assert list(store.raw_entries()) == [line.data for line in lines]
    assert [tuple(row) for row in store.table_rows(LOG, LOG.c.idx, LOG.c.id)] == [
        (line.index, line.id) for line in lines
    ]
    assert [row.size for row in store.table_rows(CHECKPOINTS)] == [4, 7]


def test_heads_that_were_signed(store: Store, tmp_path: Path) -> None:
    assert store.signed_size() == 7
    sizes = {
        up_to: [read_checkpoint(one.note).head.size for one in store.signed_heads(up_to)]
        for up_to in (3, 4, 6, 7, 99)
    }
    assert sizes == {3: [], 4: [4], 6: [4], 7: [4, 7], 99: [4, 7]}
    assert all(one.made.endswith("Z") for one in store.signed_heads(99))
    covering = [store.checkpoint_covering(index) for index in range(9)]
    found = [None if note is None else read_checkpoint(note).head.size for note in covering]
    assert found == [4, 4, 4, 4, 7, 7, 7, None, None]
    with Store.open(tmp_path / "other", create=True) as other:
        assert other.signed_size() == 0
        assert list(other.signed_heads(99)) == []
        assert other.checkpoint_covering(0) is None


def test_a_look_at_very_many(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("clampwright.store.glimpses.QUICK_PAGE", 3)
    assert numbers(store.quick_entries(["pull"])) == [1, 3, 5, 7]
    assert list(store.quick_entries([])) == []
    seen = list(store.glimpses(["note"], ["body.n"], ["body.tool", "body.missing"]))
    assert [one[4] for one in seen] == [2, 4, 6, 8]
    assert [json.loads(one[5])[:2] for one in seen] == [[f"tool {n}", None] for n in (2, 4, 6, 8)]


def test_the_tree_grows_with_the_log(store: Store) -> None:
    leaves = [line.leaf_hash for line in store.lines()]
    tree = store.tree()
    assert (tree.size, tree.root()) == store.head() == (9, Tree(leaves).root())
    receipt = store.append("note", {"n": 9})
    assert store.tree() is tree
    assert (tree.size, tree.root()) == (10, Tree([*leaves, receipt.leaf_hash]).root())


def test_what_a_workshop_is_called(store: Store, place: Path) -> None:
    assert store.workshop == "Invented yard"
    assert store.origin.startswith("invented-yard.")
    assert store.public_key == store.signing_key().public
    assert store.file == str(place / "workshop.sqlite")
    assert store.actor is None


def test_keys_follow_each_other(store: Store) -> None:
    first = store.public_key
    new = SigningKey.new()
    store.change_key(new, "planned", old=store.signing_key(), pass_phrase=None)
    chain = store.keys()
    assert (chain.first, chain.current) == (first, new.public)
    assert store.public_key == new.public


def test_a_change_of_key_that_does_not_hold_is_told(store: Store) -> None:
    store.append("key_changed", {"reason": "planned"})
    with pytest.raises(BadFile) as caught:
        store.keys()
    assert str(caught.value).startswith(f"{store.file}: ")
    assert caught.value.file == store.file


@pytest.mark.parametrize("kept", ["peaks", "none"])
def test_a_long_log_is_opened_by_the_edge_kept_with_its_head(
    place: Path, monkeypatch: pytest.MonkeyPatch, kept: str
) -> None:
    with Store.open(place, write=False) as store:
        head = store.head()
    monkeypatch.setattr("clampwright.store.reading.HASHED_AT_OPENING", 6)
    if kept == "none":
        changed(place, "UPDATE checkpoints SET peaks = NULL")
    with Store.open(place, write=False) as store:
        assert store.head() == head


@pytest.mark.parametrize(
    ("at_opening", "statement", "found"),
    [
        (6, "UPDATE checkpoints SET peaks = zeroblob(5) WHERE size = 7", True),
        (6, "UPDATE checkpoints SET peaks = zeroblob(96) WHERE size = 7", True),
        (6, "UPDATE log SET leaf_hash = zeroblob(32) WHERE idx = 2", False),  # verify_log finds it
        (7, "UPDATE log SET leaf_hash = zeroblob(32) WHERE idx = 2", True),
        (6, "DELETE FROM log WHERE idx = 8", False),  # nobody signed over it
        (6, "DELETE FROM log WHERE idx = 7", True),
    ],
)
def test_what_opening_finds(
    place: Path, monkeypatch: pytest.MonkeyPatch, at_opening: int, statement: str, *, found: bool
) -> None:
    monkeypatch.setattr("clampwright.store.reading.HASHED_AT_OPENING", at_opening)
    changed(place, statement)
    if not found:
        Store.open(place, write=False).close()
        return
    with pytest.raises(BadFile, match="entries of the log are missing or changed") as caught:
        Store.open(place, write=False)
    assert caught.value.file == str(place / "workshop.sqlite")


@pytest.mark.parametrize("turned", ["ON", "OFF"])
def test_opening_looks_at_the_newest_head(place: Path, unordered: Any, turned: str) -> None:
    unordered.turned = turned
    changed(place, "UPDATE checkpoints SET root = zeroblob(32) WHERE size = 4")
    Store.open(place, write=False).close()
    changed(place, "UPDATE checkpoints SET root = zeroblob(32) WHERE size = 7")
    with pytest.raises(BadFile, match="entries of the log are missing or changed"):
        Store.open(place, write=False)


@pytest.mark.parametrize("value", ["'" + "x" * 32 + "'", "zeroblob(31)", "7"])
def test_a_hash_that_is_none(place: Path, value: str) -> None:
    loosened(place)
    changed(place, f"UPDATE log SET leaf_hash = {value} WHERE idx = 8")  # noqa: S608 - one of three above
    with pytest.raises(BadFile, match="entries of the log are missing or changed"):
        Store.open(place, write=False)


def test_an_entry_that_cannot_be_read_is_named(store: Store, place: Path) -> None:
    changed(place, "UPDATE log SET bytes = x'7b' WHERE idx = 5")
    with pytest.raises(BadFile) as caught:
        list(store.lines("wheel"))
    assert str(caught.value).startswith(f"{store.file}: entry 5: line 1, column 2")
    assert caught.value.file == store.file


def test_a_log_that_nothing_opens_is_none(place: Path) -> None:
    data = compose(
        id=uuid7(), kind="note", body={}, job=None, job_seq=None,
        device_id="bench", device_time=NOW, recorded=NOW,
    )  # fmt: skip
    changed(place, "DELETE FROM log", "DELETE FROM checkpoints")
    with pytest.raises(BadFile, match="is not a store of this program") as caught:
        Store.open(place, write=False)
    assert caught.value.file == str(place / "workshop.sqlite")
    changed(
        place,
        "INSERT INTO log VALUES (0, 'x', NULL, NULL, 'note', ?, ?, 'now')",
        values=(leaf_hash(data), data),
    )
    with pytest.raises(BadFile, match="is not a store of this program"):
        Store.open(place, write=False)


def test_a_reader_sees_what_was_added_meanwhile(store: Store, place: Path) -> None:
    with Store.open(place, write=False) as reader:
        assert reader.head()[0] == 9
        store.append_many(NewEntry("note", {"n": n}) for n in (9, 10, 11))
        assert reader.head() == store.head()
        assert reader.tree().root() == store.head()[1]
        changed(place, "DELETE FROM log WHERE idx = 10")
        with pytest.raises(BadFile, match="entries of the log are missing or changed"):
            Store.open(place, write=False)


def test_a_gap_in_what_was_added_is_found_at_once(store: Store, place: Path) -> None:
    with Store.open(place, write=False) as reader:
        store.append_many(NewEntry("note", {"n": n}) for n in (9, 10, 11))
        changed(place, "DELETE FROM log WHERE idx = 10")
        with pytest.raises(BadFile, match="entries of the log are missing or changed"):
            reader.head()
