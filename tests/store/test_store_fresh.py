"""What was just put on the log is not proved again, and is never taken for something else."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampwright.errors import Missing, Refused
from clampwright.proof.entry import Entry, compose, read_entry
from clampwright.proof.ids import uuid7
from clampwright.proof.merkle import leaf_hash
from clampwright.store import Store, reading
from clampwright.store.fresh import KEPT, Fresh
from clampwright.store.writing import Receipt

NOON = "2026-10-05T12:00:00.000000Z"


def composed(text: str) -> bytes:
    return compose(
        id=str(uuid7()),
        kind="note",
        body={"text": text, "unit": "N·m", "several": [1, None, True]},
        job="wheel",
        job_seq=3,
        device_id="here",
        device_time=NOON,
        recorded=NOON,
    )


def receipt(data: bytes, index: int, *, duplicate: bool = False) -> Receipt:
    return Receipt(index, str(index), leaf_hash(data), duplicate=duplicate, data=data)


def test_it_reads_as_it_would_with_proof() -> None:
    data, one = composed("invented"), Fresh()
    one.wrote([receipt(data, 7)])
    found = one.read(data, 7)
    assert found == read_entry(data, 7)
    assert one.read(bytes(data), 7) is found


def test_other_bytes_at_its_place_and_other_places_are_read_with_proof() -> None:
    data, one = composed("invented"), Fresh()
    one.wrote([receipt(data, 7), receipt(composed("there already"), 2, duplicate=True)])
    assert one.read(data, 7) is not None
    for other, place in ((composed("other"), 7), (data, 8), (composed("there already"), 2)):
        assert one.read(other, place) is None
    assert one.named("7") is one.read(data, 7)
    assert one.named("2") is None


def test_what_was_taken_back_is_followed_by_what_came_in_its_place() -> None:
    first, second, one = composed("taken back"), composed("stands"), Fresh()
    for data in (first, second):
        one.wrote([receipt(data, 7)])
        assert one.read(data, 7) == read_entry(data, 7)
    assert one.read(first, 7) is None


def test_only_the_newest_are_remembered() -> None:
    all_of_them, one = [composed(str(number)) for number in range(KEPT + 2)], Fresh()
    for place, data in enumerate(all_of_them):
        one.wrote([receipt(data, place)])
        assert one.read(data, place) is not None
    known = [one.read(data, place) is not None for place, data in enumerate(all_of_them)]
    assert known == [False] * 2 + [True] * KEPT
    assert [one.named(name) is not None for name in ("0", "1", "2")] == [False, False, True]


def test_a_stretch_is_known_when_all_of_it_is() -> None:
    one = Fresh()
    one.wrote(receipt(composed(str(place)), place) for place in (4, 5, 7))
    assert [entry.index for entry in one.between(4, 6) or ()] == [4, 5]
    assert one.between(6, 6) == []
    assert one.between(5, 8) is None
    assert one.between(0, KEPT + 1) is None
    one.forget()
    assert one.between(4, 6) is None
    assert one.named("4") is None


def test_what_was_taken_back_with_others_is_not_found_any_more(tmp_path: Path) -> None:
    with Store.open(tmp_path / "yard", create=True, workshop="Invented Yard") as store:
        before = [one.index for one in store.lines()]
        entry = str(uuid7())

        def together() -> None:
            with store.together():
                store.append("note", {"n": 1}, entry_id=entry)
                assert store.get(entry)["body"] == {"n": 1}
                assert [one.index for one in store.lines(since=len(before))] == [len(before)]
                raise Refused("taken back")

        with pytest.raises(Refused, match="taken back"):
            together()
        with pytest.raises(Missing):
            store.get(entry)
        assert [one.index for one in store.lines()] == before
        assert store.append("note", {"n": 2}, entry_id=entry).index == len(before)
        assert store.get(entry)["body"] == {"n": 2}


def test_a_store_proves_what_others_wrote_and_not_again_what_it_wrote(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    proved: list[int] = []

    def prove(data: bytes, index: int) -> Entry:
        proved.append(index)
        return read_entry(data, index)

    monkeypatch.setattr(reading, "read_entry", prove)
    with Store.open(tmp_path / "yard", create=True, workshop="Invented Yard") as store:
        made = store.append("note", {"text": "o\u0308"}, job="wheel")
        assert store.get(made.id)["body"] == {"text": "\u00f6"}
        assert [one.index for one in store.lines(since=1)] == [made.index]
        assert [one.index for one in store.lines()] == [0, made.index]
        with pytest.raises(Refused):
            store.append("note", {"value": 1.5}, job="wheel")
        assert store.head()[0] == 2
    assert made.index not in proved
    with Store.open(tmp_path / "yard") as store:
        assert store.get(made.id)["body"] == {"text": "\u00f6"}
    assert made.index in proved
