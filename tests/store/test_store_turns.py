"""Programs that take turns at one log: what each knows, may add and signs. All is invented.

Turns are taken on a server. Here two take them at one file, through the same code and much faster;
`test_store_server` asks the same of PostgreSQL.
"""

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import StoreBusy
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.store import NewEntry, Store
from clampwright.store.engine import connect
from clampwright.store.folder import Folder
from clampwright.store.transactions import Transactions


def sharing(place: Path) -> Store:
    folder = Folder(place)
    connection = connect(folder.store, write=True, busy_seconds=5.0)
    turns = Transactions(connection, None, str(folder.store), shared=True)
    return Store(folder, turns, lambda: datetime.now(UTC))


@pytest.fixture
def pair(tmp_path: Path) -> Iterator[tuple[Store, Store]]:
    """Two programs at a log with one entry of the job wheel."""
    with Store.open(tmp_path, create=True, workshop="Invented yard") as store:
        store.append("note", {"n": 1}, job="wheel")
    with sharing(tmp_path) as one, sharing(tmp_path) as two:
        yield one, two


def numbers(store: Store) -> list[int]:
    return [one["body"]["n"] for one in store.entries(since=1)]


def test_what_another_program_added_to_a_job_is_looked_at_first(pair: tuple[Store, Store]) -> None:
    one, two = pair
    seen = one.head()[0]
    first = one.append("note", {"n": 2}, job="wheel", seen=seen)
    several = [NewEntry("note", {"n": n}, job="wheel", seen=seen) for n in (3, 4)]
    assert [receipt.index for receipt in one.append_many(several)] == [3, 4], "its own are known"
    two.append("note", {"n": 5}, job="head", seen=seen)  # another job: no harm
    with pytest.raises(StoreBusy, match="another program has just added to the job wheel"):
        two.append("note", {"n": 6}, job="wheel", seen=seen)
    with pytest.raises(StoreBusy):
        two.append_many([NewEntry("note", {"n": 6}), NewEntry("note", {}, job="wheel", seen=seen)])
    assert numbers(one) == [1, 2, 3, 4, 5], "nothing was stored"
    one.append("note", {"n": 6}, job="wheel", seen=seen)
    two.append("note", {"n": 7}, job="wheel", seen=two.head()[0])
    with pytest.raises(StoreBusy):
        one.append("note", {"n": 8}, job="wheel", seen=seen)
    time = one.get(first.id)["device"]["time"]
    again: dict[str, Any] = {"entry_id": first.id, "device_time": time}
    assert one.append("note", {"n": 2}, job="wheel", seen=seen, **again).duplicate
    assert one.check() == two.head()[0] == 8


def test_what_was_broken_off_is_not_taken_for_its_own(pair: tuple[Store, Store]) -> None:
    one, two = pair
    seen = one.head()[0]

    def broken_off() -> None:
        with one.together():
            one.append("note", {"n": 0}, job="wheel", seen=seen)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        broken_off()
    two.append("note", {"n": 2}, job="wheel", seen=seen)  # where the other's would have been
    with pytest.raises(StoreBusy):
        one.append("note", {"n": 3}, job="wheel", seen=seen)
    assert numbers(one) == [1, 2]


def test_a_head_that_another_program_signs_meanwhile_is_signed_once(
    pair: tuple[Store, Store], monkeypatch: pytest.MonkeyPatch
) -> None:
    one, two = pair
    key, signed = one.signing_key(), list[str]()

    def slow() -> SigningKey:
        two.append("note", {"n": 2})
        signed.append(two.sign_checkpoint(key))
        return key

    monkeypatch.setattr(one, "signing_key", slow)
    assert [one.sign_checkpoint()] == signed
    assert read_checkpoint(signed[0]).head.size == 3
    assert len(list(one.signed_heads(9))) == 1
    assert one.head() == two.head()
    assert one.check() == 3


def test_a_change_of_key_takes_in_what_was_added_meanwhile(pair: tuple[Store, Store]) -> None:
    one, two = pair
    two.append("note", {"n": 2})
    new = SigningKey.new()
    one.change_key(new, "planned", old=one.signing_key(), pass_phrase=None)
    assert two.public_key == new.public
    two.append("note", {"n": 3})
    assert read_checkpoint(two.sign_checkpoint()).signed_by(new.public)
    assert one.check() == 5
