"""Whose hand made an entry, and what another program added meanwhile. All content is invented."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from clampwright.errors import Refused, StoreBusy
from clampwright.proof.ids import is_uuid7, uuid7
from clampwright.store import NewEntry, Store
from clampwright.store.writing import (
    Actor,
    Receipt,
    made_by,
    put,
    refuse_if_added,
    timestamp,
)

FITTER = Actor("person-000000000001", "mechanic", "session")
LEARNER = Actor("person-000000000002", "apprentice", "pin")
HAND = {"person": "person-000000000001", "role": "mechanic", "signed": "session"}


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "yard", create=True) as opened:
        yield opened


def body_of(store: Store, receipt: Receipt) -> dict[str, Any]:
    found: dict[str, Any] = store.get(receipt.id)["body"]
    return found


def test_what_is_left_out_of_a_new_entry() -> None:
    one, other = NewEntry("note", {}), NewEntry("note", {})
    assert (one.job, one.device_time, one.device_id, one.seen) == (None, None, "workshop", None)
    assert is_uuid7(one.entry_id)
    assert one.entry_id != other.entry_id
    assert not Receipt(1, "x", b"").duplicate


def test_the_hand_stands_in_what_it_makes(store: Store) -> None:
    store.actor = FITTER
    assert body_of(store, store.append("pull", {"n": 1}, job="wheel")) == {"n": 1, "made_by": HAND}
    store.actor = None
    assert body_of(store, store.append("pull", {"n": 2}, job="wheel")) == {"n": 2}


@pytest.mark.parametrize("kind", ["log_opened", "record_made", "key_changed", "paper_made"])
def test_in_what_the_program_makes_of_itself_is_no_hand(kind: str) -> None:
    new = NewEntry(kind, {"n": 1})
    assert made_by(new, FITTER) is new
    assert made_by(new, None) is new
    assert made_by(NewEntry("pull", {"n": 1}), FITTER).body == {"n": 1, "made_by": HAND}


def test_sent_again_by_another_hand_it_stays_by_the_first(store: Store) -> None:
    new = NewEntry("pull", {"n": 1}, job="wheel", device_time="2026-03-01T08:00:00Z")
    store.actor = FITTER
    (first,) = store.append_many([new])
    for actor in (LEARNER, FITTER, None):
        store.actor = actor
        (again,) = store.append_many([new])
        assert again == Receipt(first.index, first.id, first.leaf_hash, duplicate=True)
    claimed = {"n": 1, "made_by": LEARNER.as_body()}
    (again,) = store.append_many(
        [NewEntry("pull", claimed, first.id, job="wheel", device_time="2026-03-01T08:00:00Z")]
    )
    assert again.duplicate, "what a sender says of the hand does not matter"
    assert body_of(store, first)["made_by"] == HAND
    assert store.check() == 2


def test_without_a_hand_at_first_it_stays_without(store: Store) -> None:
    new = NewEntry("pull", {"n": 1}, device_time="2026-03-01T08:00:00Z")
    (first,) = store.append_many([new])
    store.actor = FITTER
    (again,) = store.append_many([new])
    assert again.duplicate
    assert body_of(store, first) == {"n": 1}


def test_what_a_role_may_not_do_is_refused_and_nothing_stored(store: Store) -> None:
    store.actor = LEARNER
    before = store.head()
    with pytest.raises(Refused, match="apprentice"):
        store.append("job_closed", {}, job="wheel")
    with pytest.raises(Refused, match="apprentice"):
        store.append_many([NewEntry("pull", {}, job="wheel"), NewEntry("job_closed", {})])
    assert store.head() == before
    store.actor = FITTER
    closed = NewEntry("job_closed", {}, job="wheel", device_time="2026-03-01T08:00:00Z")
    store.append_many([closed])
    store.actor = LEARNER
    assert store.append_many([closed])[0].duplicate, "sending it again does nothing anew"


def test_the_same_id_with_other_content_names_it(store: Store) -> None:
    entry_id = uuid7()
    store.append("note", {"n": 1}, entry_id=entry_id, device_time="2026-03-01T08:00:00Z")
    with pytest.raises(Refused) as caught:
        store.append("note", {"n": 2}, entry_id=entry_id, device_time="2026-03-01T08:00:00Z")
    assert entry_id in str(caught.value)


def test_a_time_is_written_in_utc_to_the_microsecond() -> None:
    time = datetime(2026, 3, 1, 8, 0, 0, 250, tzinfo=timezone(timedelta(hours=-5, minutes=-30)))
    assert timestamp(time) == "2026-03-01T13:30:00.000250Z"
    assert timestamp(datetime(2026, 3, 1, tzinfo=UTC)) == "2026-03-01T00:00:00.000000Z"
    with pytest.raises(Refused, match="the time 2026-03-01T00:00:00 has no time zone"):
        timestamp(datetime(2026, 3, 1))  # noqa: DTZ001 - the mistake meant


def test_an_entry_has_its_place_in_its_job_and_its_columns(store: Store) -> None:
    receipts = store.append_many(
        NewEntry("note", {"n": n}, job=job, device_id="tablet")
        for n, job in enumerate(["wheel", None, "wheel", "head", "wheel"])
    )
    lines = [store.line(receipt.id) for receipt in receipts]
    assert [line.job_seq for line in lines] == [0, None, 1, 0, 2]
    assert {line.device_id for line in lines} == {"tablet"}
    assert [receipt.index for receipt in receipts] == [1, 2, 3, 4, 5]
    assert [receipt.leaf_hash for receipt in receipts] == [line.leaf_hash for line in lines]
    assert store.check() == 6, "the columns are those of the content"


def added(
    store: Store, *, seen: int | None, job: str | None = "wheel", own: tuple[int, ...] = ()
) -> Receipt:
    """Put an entry where others may have added to its job; undone where it is refused."""
    with store._transactions.writing() as connection:  # noqa: SLF001 - as Store does it on a server
        new = NewEntry("note", {"late": True}, job=job, seen=seen)
        receipt, _ = put(connection, new, store._frontier, "2026-03-01T08:00:00.000000Z")  # noqa: SLF001 - as above
        refuse_if_added(connection, new, receipt, own)
        return receipt


def test_what_was_added_to_a_job_since_one_looked_is_looked_at_first(store: Store) -> None:
    store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(3))  # places 1 to 3
    store.append("note", {}, job="head")  # 4
    for seen in (1, 2, 3):
        with pytest.raises(StoreBusy, match="has just added to the job wheel; nothing was stored"):
            added(store, seen=seen)
    assert store.head()[0] == 5
    with pytest.raises(StoreBusy):
        added(store, seen=2, own=(3,))
    assert added(store, seen=2, own=(2, 3)).index == 5


@pytest.mark.parametrize(
    ("seen", "job"),
    [
        (4, "wheel"),  # after it only another job was added to
        (5, "wheel"),  # everything was seen
        (9, "wheel"),
        (None, "wheel"),  # the maker does not say
        (0, None),  # it belongs to no job
        (0, "gearbox"),  # nobody added to this one
    ],
)
def test_what_does_not_concern_it_is_no_hindrance(
    store: Store, seen: int | None, job: str | None
) -> None:
    store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(3))
    store.append("note", {}, job="head")
    assert added(store, seen=seen, job=job).index == 5


def test_a_duplicate_is_never_too_late(store: Store) -> None:
    new = NewEntry("note", {}, job="wheel", seen=1, device_time="2026-03-01T08:00:00Z")
    (first,) = store.append_many([new])
    store.append_many(NewEntry("note", {"n": n}, job="wheel") for n in range(3))
    with store._transactions.reading() as connection:  # noqa: SLF001 - as Store does it on a server
        again = Receipt(first.index + 9, first.id, first.leaf_hash, duplicate=True)
        refuse_if_added(connection, new, again, ())


def test_the_name_of_a_job_is_compared_in_one_form(store: Store) -> None:
    store.append("note", {}, job="Räder")
    store.append("note", {}, job="Ra\u0308der")
    with pytest.raises(StoreBusy):
        added(store, seen=1, job="Ra\u0308der")
