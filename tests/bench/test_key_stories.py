"""What can happen to a signing key, told as stories. All workshops are invented."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from clampwright.bench.anchoring import (
    Witness,
    WitnessRefusedError,
    anchored_size,
    bridge,
    keep_head,
    signed_head_at,
    with_countersignature,
)
from clampwright.errors import BadFile, Missing, Refused
from clampwright.proof.anchors import Anchor, read_anchor
from clampwright.proof.checkpoint import Head, read_checkpoint
from clampwright.proof.keychain import Reason, compose_change
from clampwright.proof.keys import SigningKey
from clampwright.proof.sheet import key_from_rows, rows_of
from clampwright.proof.verification import Verification, verify
from clampwright.proof.witness import witness_from
from clampwright.store import NewEntry, Store
from clampwright.store.copying import LogSource, write_log
from clampwright.store.keyfile import read_key, write_key

PHRASE = "left over right"


def yard(folder: Path, jobs: int = 1) -> Path:
    with Store.open(folder, create=True, workshop="Invented Yard") as store:
        for job in range(jobs):
            work(store, f"job-{job}")
    return folder


def work(store: Store, job: str) -> bytes:
    store.append_many(NewEntry("pull", {"fastener": n}, job=job) for n in range(4))
    return store.record(job)


def head_of(store: Store) -> Anchor:
    return read_anchor(store.sign_checkpoint().encode(), "kept")


def change(
    store: Store,
    reason: Reason = "planned",
    *,
    old: SigningKey | None = None,
    phrase: str | None = None,
) -> SigningKey:
    new = SigningKey.new()
    if reason == "planned":
        old = old or store.signing_key(PHRASE)
    store.change_key(new, reason, old=old, pass_phrase=phrase)
    return new


def bridge_to(folder: Path, anchor: Anchor, record: bytes) -> Anchor:
    """What a workshop gives on request: the proof from a kept head to the record's."""
    head = read_anchor(record, "record").head
    with Store.open(folder, write=False) as store:
        text = bridge(store, anchor.head.size, signed_head_at(store, head.size))
    return read_anchor(text.encode(), "bridge")


def notes(found: Verification) -> str:
    return " | ".join(str(note) for note in found.notes)


def findings(found: Verification) -> str:
    return " | ".join(str(one) for one in found.findings)


def test_made_and_used(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        record = store.record("job-0")
        mine = store.public_key
    assert verify(record, key=mine.fingerprint).ok
    assert (folder / "workshop.key").stat().st_mode & 0o077 == 0
    assert b"workshop.key" not in record
    with Store.open(folder, write=False) as store:
        seed = read_key(folder / "workshop.key").seed
        assert all(seed not in data for data in store.raw_entries())


def test_copied_to_a_new_machine(tmp_path: Path) -> None:
    folder = yard(tmp_path / "old")
    shutil.copytree(folder, tmp_path / "new")
    with Store.open(tmp_path / "new") as store:
        assert verify(work(store, "later")).ok


def test_rotated_twice_and_every_record_still_holds(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        first = store.public_key
        before = store.record("job-0")
        second = change(store)
        between = work(store, "between")
        third = change(store, old=second)
        after = work(store, "after")
        assert store.record("job-0") == before
        assert store.record("between") == between
        assert [one.new for one in store.keys().changes] == [second.public, third.public]
        assert store.verify_log() == store.check() == store.head()[0]
    for record, key in ((before, first), (between, second.public), (after, third.public)):
        assert verify(record, key=key.fingerprint).ok
    found = verify(after, key=third.public.fingerprint)
    assert notes(found).count("both keys signed the change") == 2
    assert not verify(after, key=first.fingerprint).ok
    # The old key signs nothing more here.
    with Store.open(folder) as store:
        store.append("note", {})
        with pytest.raises(Refused, match="this is not the key of"):
            store.sign_checkpoint(second)


def test_a_change_that_was_cut_off_is_finished(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        kept = (folder / "workshop.key").read_bytes()
        new = change(store)
    # As if the machine stopped after the entry and before the renaming.
    (folder / "workshop.key").replace(folder / "workshop.key.next")
    (folder / "workshop.key").write_bytes(kept)
    (folder / "workshop.key").chmod(0o600)
    with Store.open(folder) as store:
        assert store.signing_key().public == new.public
        assert verify(work(store, "later")).ok
    assert not (folder / "workshop.key.next").exists()
    # And before the entry: the next key is there, the log does not know it, the old one signs.
    write_key(folder / "workshop.key.next", SigningKey.new())
    with Store.open(folder) as store:
        assert store.signing_key().public == new.public


def test_a_record_closed_before_a_change_and_signed_after_it(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        store.append("pull", {"fastener": 1}, job="wheel")
        # Closed by hand, and no head signed over it: as after a crash.
        store.append("record_made", {"also": [], "entries": 1}, job="wheel")
        new = change(store)
        found = verify(store.record("wheel"), key=new.public.fingerprint)
    assert found.ok, findings(found)


def test_lost_with_a_witness(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    neighbour = Witness.make(tmp_path / "witness", "neighbour-yard")
    with Store.open(folder) as store:
        neighbour.introduce(store.public_key.line(store.origin))
        note = store.sign_checkpoint()
        kept = with_countersignature(note, neighbour.sign(bridge(store, 0, note)))
        keep_head(store, kept, "neighbour-yard")
        (folder / "workshop.key").unlink()
        with pytest.raises(Missing, match=r"the signing key .* is missing"):
            work(store, "later")
        change(store, "lost")
        record = store.record("later")
    anchor = read_anchor(kept.encode(), "kept")
    found = verify(
        record,
        anchors=[anchor, bridge_to(folder, anchor, record)],
        witnesses=[witness_from(neighbour.line)],
    )
    assert found.ok, findings(found)
    assert "without the old key's signature" in notes(found)
    assert "its first 6 entries are as they were" in notes(found)
    assert "countersigned by neighbour-yard" in notes(found)


def test_lost_without_a_witness(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    (folder / "workshop.key").unlink()
    with Store.open(folder) as store:
        with pytest.raises(Refused, match="a planned change of key is signed by the old key too"):
            store.change_key(SigningKey.new(), "planned", old=None, pass_phrase=None)
        change(store, "lost")
        found = verify(work(store, "later"))
    assert found.ok
    assert "only something outside this file can show" in notes(found)


def test_stolen_before_and_after_an_anchor(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard", jobs=2)
    with Store.open(folder) as store:
        anchor = head_of(store)
        stolen = store.signing_key()
        change(store, "stolen", old=stolen)
        true = work(store, "after")
    # The thief writes the workshop's log anew, from before the anchor, with the stolen key.
    forged_folder = tmp_path / "forged"
    shutil.copytree(folder, forged_folder)
    (forged_folder / "workshop.sqlite").unlink()
    (forged_folder / "workshop.key").unlink()
    write_key(forged_folder / "workshop.key", stolen)
    (forged_folder / "workshop.sqlite.new").touch()
    with Store.open(forged_folder, create=True, workshop="Invented Yard") as store:
        assert store.origin == anchor.head.origin
        for job in ("job-0", "other"):
            forged = work(store, job)
        bridge_there = bridge(store, 0, store.sign_checkpoint())
        same_size = read_anchor(store.sign_checkpoint().encode(), "forged")
    # By itself the forgery holds: it is signed with the key that was the workshop's.
    assert verify(forged).ok
    assert bridge_there
    # Against the head that was kept, it does not; nor can a bridge be made.
    assert same_size.head.size == anchor.head.size
    found = verify(forged, anchors=[anchor])
    assert not found.ok
    assert "the log went another way" in findings(found)
    # The true record does hold against it.
    found = verify(true, anchors=[anchor, bridge_to(folder, anchor, true)])
    assert found.ok, findings(found)
    assert "both keys signed the change" in notes(found)


def test_a_head_without_a_bridge_is_said_not_to_be_compared(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        anchor = head_of(store)
        record = work(store, "later")
        newer = head_of(store)
        work(store, "latest")
        newest = head_of(store)
    found = verify(record, anchors=[anchor, newer, newest])
    assert found.ok
    assert "--since 6 --size 11" in notes(found)
    assert "--since 11 --size 16" in notes(found)
    assert notes(found).count("the same log") == 1
    with_bridges = [anchor, newest, bridge_to(folder, anchor, record)]
    with Store.open(folder, write=False) as store:
        text = bridge(store, 11, signed_head_at(store, 16))
    found = verify(record, anchors=[*with_bridges, read_anchor(text.encode(), "later")])
    assert notes(found).count("the same log") == 4


def test_a_log_cut_short_and_signed_anew_is_found(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        record = store.record("job-0")
        work(store, "later")
        anchor = head_of(store)
    found = verify(record, anchors=[anchor])
    assert found.ok
    forged = tmp_path / "cut"
    shutil.copytree(folder, forged)
    lines = [*Store.open(folder, write=False).raw_entries()][:6]
    (forged / "workshop.sqlite").unlink()
    write_log(LogSource("cut", lines, ()), forged / "workshop.sqlite")
    with Store.open(forged) as store:
        short = work(store, "something else")
        assert store.head()[0] == anchor.head.size == 11
    found = verify(short, anchors=[anchor])
    assert not found.ok
    assert "changed, cut off or written anew" in findings(found)


def test_the_recovery_sheet_mistyped(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    key = read_key(folder / "workshop.key")
    rows = rows_of(key)
    assert key_from_rows("\n".join(rows)).public == key.public
    spoiled = rows[2][:-1] + ("A" if rows[2][-1] != "A" else "B")
    with pytest.raises(Refused, match="row 3 of the sheet is mistyped"):
        key_from_rows("\n".join([*rows[:2], spoiled, *rows[3:]]))
    with pytest.raises(Refused, match="row 1 of the sheet is mistyped"):
        key_from_rows("\n".join([rows[1], rows[0], *rows[2:]]))
    with pytest.raises(Refused, match="64 letters in 8 rows; 56 were given"):
        key_from_rows("\n".join(rows[:7]))
    misread = "\n".join(rows).lower().replace("o", "0").replace("i", "1").replace("b", "8")
    assert key_from_rows(misread).public == key.public


def test_two_machines_with_one_key(tmp_path: Path) -> None:
    folder = yard(tmp_path / "one")
    shutil.copytree(folder, tmp_path / "two")
    neighbour = Witness.make(tmp_path / "witness", "neighbour-yard")
    with Store.open(folder) as one, Store.open(tmp_path / "two") as two:
        neighbour.introduce(one.public_key.line(one.origin))
        note = one.sign_checkpoint()
        neighbour.sign(bridge(one, 0, note))
        size = one.head()[0]
        first, second = work(one, "here"), work(two, "there")
        neighbour.sign(bridge(one, size, one.sign_checkpoint()))
        with pytest.raises(WitnessRefusedError, match="the last head seen here has") as caught:
            neighbour.sign(bridge(two, size, two.sign_checkpoint()))
        work(two, "more")
        with pytest.raises(WitnessRefusedError, match="did not grow from the head seen here"):
            neighbour.sign(bridge(two, one.head()[0], two.sign_checkpoint()))
        assert caught.value.size == one.head()[0]
        assert one.head() != two.head()
    assert verify(first).ok
    assert verify(second).ok
    found = verify(second, anchors=[read_anchor(first, "first")])
    assert "the log went another way" in findings(found)


def test_the_clock_is_wrong_at_the_change(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder, clock=lambda: datetime(1999, 12, 31, tzinfo=UTC)) as store:
        new = change(store)
    with Store.open(folder) as store:
        found = verify(work(store, "later"), key=new.public.fingerprint)
        assert store.check() == store.head()[0]
    assert found.ok, findings(found)


def test_a_foreign_key_in_a_record(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    thief = SigningKey.new()
    with Store.open(folder) as store:
        head = Head(store.origin, *store.head())
        # A change to the thief's key, signed by nobody who may.
        body = compose_change(head, SigningKey.new(), thief, "planned")
        body["before"]["key"] = store.public_key.text
        store.append("key_changed", body)
    with Store.open(folder) as store, pytest.raises(BadFile, match="is not signed by its keys"):
        store.sign_checkpoint()


def test_a_change_moved_to_another_place_does_not_hold(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        old, new = store.signing_key(), SigningKey.new()
        body = compose_change(Head(store.origin, *store.head()), old, new, "planned")
        store.append("note", {})
        store.append("key_changed", body)
        with pytest.raises(BadFile, match="was made for another place"):
            store.keys()


def test_locked_with_a_pass_phrase(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        change(store, phrase=PHRASE)
        assert store.record("job-0")
    assert b"Argon2id m=65536 t=3 p=4 salt=" in (folder / "workshop.key").read_bytes()
    with Store.open(folder) as store, pytest.raises(Missing, match="locked with a pass phrase"):
        work(store, "later")
    with (
        Store.open(folder, pass_phrase="guess") as store,  # noqa: S106 - a wrong one
        pytest.raises(Refused, match="does not open"),
    ):
        work(store, "later")
    with Store.open(folder, pass_phrase=PHRASE) as store:
        assert verify(work(store, "even-later")).ok


def test_how_much_is_not_anchored_is_known(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    with Store.open(folder) as store:
        assert anchored_size(store) == store.head()[0]
        store.append_many(NewEntry("note", {"n": n}) for n in range(5))
        assert store.head()[0] - anchored_size(store) == 5
        keep_head(store, store.sign_checkpoint(), "binder 3")
        assert store.head()[0] - anchored_size(store) == 1
        foreign = Head("other.00000000", 3, bytes(32)).sign(SigningKey.new())
        with pytest.raises(Refused, match="is not a head of the log"):
            keep_head(store, foreign, "nowhere")


def test_a_witness_signs_growth_only(tmp_path: Path) -> None:
    folder = yard(tmp_path / "yard")
    neighbour = Witness.make(tmp_path / "witness", "neighbour-yard")
    with Store.open(folder) as store:
        note = store.sign_checkpoint()
        with pytest.raises(WitnessRefusedError, match="was not introduced here"):
            neighbour.sign(bridge(store, 0, note))
        line = store.public_key.line(store.origin)
        neighbour.introduce(line)
        neighbour.introduce(line)
        with pytest.raises(Refused, match="is known here with another key"):
            neighbour.introduce(SigningKey.new().public.line(store.origin))
        answer = neighbour.sign(bridge(store, 0, note))
        again = neighbour.sign(bridge(store, store.head()[0], note))
        assert again.split()[:2] == answer.split()[:2]
        forged = Head(store.origin, *store.head()).sign(SigningKey.new())
        with pytest.raises(WitnessRefusedError, match="not signed with the key that is known"):
            neighbour.sign(bridge(store, store.head()[0], forged))
    with pytest.raises(Refused, match="cannot name a log"):
        Witness.make(tmp_path / "w2", "two words")
    assert read_checkpoint(note).head.size == 6
