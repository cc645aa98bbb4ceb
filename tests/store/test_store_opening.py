"""How a store is opened, closed and signed: defaults, ways out, what is left. All is invented."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from clampwright.errors import BadFile, Missing, Refused, StoreBusy
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.keys import SigningKey
from clampwright.proof.merkle import Frontier
from clampwright.store import NewEntry, Store
from clampwright.store.folder import Folder
from clampwright.store.keyfile import own_key
from clampwright.store.schema import CHECKPOINTS
from clampwright.store.writing import Actor

KNOT, NEW_KNOT = "left over right", "new knot"
SOMEBODY = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"
START = datetime(2026, 3, 1, 8, tzinfo=UTC)


class Clock:
    """A clock that goes on by a second whenever it is looked at."""

    def __init__(self) -> None:
        self.time = START

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=1)
        return self.time


def test_the_clock_is_that_of_the_store(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True, clock=Clock()) as store:
        assert store.now() == START + timedelta(seconds=2)  # the first was the opening's
        receipts = store.append_many([NewEntry("note", {}), NewEntry("note", {})])
        times = [store.line(receipt.id).recorded for receipt in receipts]
        assert times == ["2026-03-01T08:00:03.000000Z"] * 2, "one time for what comes together"
        store.sign_checkpoint()
        (head,) = store.signed_heads(9)
        assert head.made == "2026-03-01T08:00:04.000000Z"
    before = datetime.now(UTC)
    with Store.open(tmp_path) as store:
        assert before <= store.now() <= datetime.now(UTC)


def test_a_new_workshop_is_named_after_its_folder_unless_it_is_named(tmp_path: Path) -> None:
    with Store.open(tmp_path / "Boat Yard", create=True) as store:
        assert store.workshop == "Boat Yard"
    with Store.open(str(tmp_path / "other"), create=True, workshop="Invented") as store:
        assert store.workshop == "Invented"
        assert store.folder.path == tmp_path / "other"


def test_only_who_writes_holds_the_lock(tmp_path: Path) -> None:
    Store.open(tmp_path, create=True).close()
    with Store.open(tmp_path, write=False) as reader, Store.open(tmp_path) as writer:
        with pytest.raises(StoreBusy):
            Store.open(tmp_path)
        assert writer.append("note", {}).index == 1
        assert reader.head() == writer.head()
        with pytest.raises(Refused, match="reading only"):
            reader.append("note", {})
        with pytest.raises(Refused, match="reading only"):
            reader.append_many([NewEntry("note", {})])
    with Store.open(tmp_path) as again:
        again.append("note", {})
    with pytest.raises(Refused, match="was closed"):
        again.append("note", {})


def test_what_fails_while_opening_leaves_the_lock_free(tmp_path: Path) -> None:
    Store.open(tmp_path, create=True).close()
    file = tmp_path / "workshop.sqlite"
    data = file.read_bytes()
    file.write_bytes(data[:4096] + b"x" * (len(data) - 4096))
    for _ in range(2):
        with pytest.raises(BadFile):
            Store.open(tmp_path)
    file.write_bytes(data)
    with Store.open(tmp_path) as store:
        assert store.check() == 1


def test_the_pass_phrase_opens_the_key_where_it_is_given(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True, pass_phrase=KNOT) as store:
        first = store.sign_checkpoint()
        assert store.signing_key().public == store.public_key
        assert store.signing_key(KNOT).public == store.public_key
        with pytest.raises(Refused):
            store.signing_key("right over left")
    with Store.open(tmp_path) as store:
        assert store.sign_checkpoint() == first, "kept, so that no key is needed"
        store.append("note", {})
        key = store.signing_key(KNOT)
        assert read_checkpoint(store.sign_checkpoint(key)).signed_by(key.public)


def test_a_head_is_signed_once_by_the_logs_own_key(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        with pytest.raises(Refused, match="this is not the key"):
            store.sign_checkpoint(SigningKey.new())
        assert store.signed_size() == 0
        note = store.sign_checkpoint()
        assert store.sign_checkpoint() == note
        assert store.sign_checkpoint(SigningKey.new()) == note, "nothing is signed anew"
        head = read_checkpoint(note).head
        assert (head.origin, head.size, head.root) == (store.origin, *store.head())
        store.append("note", {})
        assert read_checkpoint(store.sign_checkpoint()).head.size == 2
        assert len(list(store.signed_heads(9))) == 2
        assert store.check() == 2


@pytest.mark.parametrize("reason", ["planned", "lost", "stolen"])
def test_after_a_change_of_key_only_the_new_one_signs(tmp_path: Path, reason: str) -> None:
    with Store.open(tmp_path, create=True) as store:
        old, new = store.signing_key(), SigningKey.new()
        store.append("note", {})
        given = None if reason == "lost" else old
        note = store.change_key(new, reason, old=given, pass_phrase=NEW_KNOT)  # type: ignore[arg-type] # one of its three words
        assert read_checkpoint(note).signed_by(new.public)
        assert read_checkpoint(note).head.size == store.head()[0] == 3
        assert store.public_key == new.public
        assert store.signing_key().public == new.public, "its pass phrase is known from the change"
        assert b"ENCRYPTED" in store.folder.key.read_bytes()
        assert not store.folder.next_key.exists()
        store.append("note", {})
        with pytest.raises(Refused, match="this is not the key"):
            store.sign_checkpoint(old)
        assert store.check() == 4
    with Store.open(tmp_path, pass_phrase=NEW_KNOT) as store:
        store.sign_checkpoint()


def test_whose_hand_it_was_stands_in_what_is_added(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        store.append("pull", {})
        store.actor = Actor(SOMEBODY, "mechanic", "password")
        store.append("pull", {})
        hands = [line.body.get("made_by") for line in store.lines()]
        assert hands == [None, None, store.actor.as_body()]


def test_who_may_not_change_the_key_leaves_everything_as_it_was(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        before, key = store.head(), store.signing_key()
        store.actor = Actor(SOMEBODY, "mechanic", "password")
        with pytest.raises(Refused, match="look after the signing key"):
            store.change_key(SigningKey.new(), "planned", old=key, pass_phrase=NEW_KNOT)
        assert store.head() == before
        assert not store.folder.next_key.exists()
        assert store.signing_key().public == key.public == store.public_key


@pytest.mark.parametrize(
    ("file", "next_file", "given", "found"),
    [
        # The log names the first key; the new one's file was left behind.
        (("log's", None), ("other", NEW_KNOT), None, "log's"),
        (("log's", KNOT), ("other", NEW_KNOT), KNOT, "log's"),
        (
            ("log's", KNOT),
            ("other", NEW_KNOT),
            NEW_KNOT,
            "the pass phrase does not open workshop.key",
        ),
        (("log's", KNOT), ("other", None), None, "workshop.key is locked"),
        # The log names the new key; its file has not taken the place of the old one's.
        (("other", None), ("log's", None), None, "log's"),
        (("other", KNOT), ("log's", None), None, "log's"),
        (("other", KNOT), ("log's", NEW_KNOT), NEW_KNOT, "log's"),
        (("other", None), ("log's", NEW_KNOT), None, "workshop.key.next is locked"),
        (
            ("other", KNOT),
            ("log's", NEW_KNOT),
            KNOT,
            "the pass phrase does not open workshop.key.next",
        ),
        (None, ("log's", None), None, "log's"),
        # Neither is the log's.
        (("other", None), ("other", None), None, "this is not the key of Invented yard"),
        (None, ("other", None), None, "workshop.key is missing"),
    ],
)
def test_of_a_change_of_key_that_was_cut_off_the_right_key_is_found(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    *,
    file: tuple[str, str | None] | None,
    next_file: tuple[str, str | None],
    given: str | None,
    found: str,
) -> None:
    keys = {"log's": SigningKey.new(), "other": SigningKey.new()}
    folder = Folder(tmp_path)
    lying = {folder.key.name: file, folder.next_key.name: next_file}
    for name, content in lying.items():
        if content is not None:
            (tmp_path / name).write_text(content[0])

    def read_key(path: Path, phrase: str | None) -> SigningKey:
        """Without the seconds that it takes to open a locked key on purpose."""
        content = lying[path.name]
        if content is None or (content[1] and phrase is None):
            raise Missing(f"{path.name} is {'locked' if content else 'missing'}", "signing key")
        if content[1] not in {None, phrase}:
            raise Refused(f"the pass phrase does not open {path.name}")
        return keys[content[0]]

    monkeypatch.setattr("clampwright.store.keyfile.read_key", read_key)
    wanted = keys["log's"].public
    if found != "log's":
        with pytest.raises((Refused, Missing)) as caught:
            own_key(folder, wanted, "Invented yard", given)
        assert str(caught.value).startswith(found)
        return
    assert own_key(folder, wanted, "Invented yard", given).public == wanted
    assert folder.key.read_text() == "log's", "what was cut off is finished"
    assert folder.next_key.exists() == (next_file[0] != "log's")


def test_with_a_signed_head_the_edge_of_its_tree_is_kept(tmp_path: Path) -> None:
    """From it a long log is opened without hashing it again."""
    with Store.open(tmp_path, create=True) as store:
        store.append_many([NewEntry("note", {"n": n}) for n in range(5)])
        store.sign_checkpoint()
        (kept,) = store.table_rows(CHECKPOINTS)
        edge = Frontier.from_peaks(kept.size, kept.peaks)
        assert (edge.size, edge.root) == store.head() == (6, kept.root)


def test_a_change_of_key_without_the_old_one_changes_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        before, key = store.head(), store.public_key
        with pytest.raises(Refused):
            store.change_key(SigningKey.new(), "planned", old=None, pass_phrase=None)
        with pytest.raises(Refused, match="this is not the key"):
            store.change_key(SigningKey.new(), "planned", old=SigningKey.new(), pass_phrase=None)
        assert (store.head(), store.public_key) == (before, key)
        assert store.signing_key().public == key


def test_what_is_given_with_an_entry_stands_in_it(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        receipt = store.append(
            "pull",
            {"n": 1},
            job="wheel",
            device_time="2026-03-01T09:00:00+01:00",
            device_id="tablet",
            entry_id="017f22e2-79b0-7cc3-98c4-dc0c0c07398f",
            seen=1,
        )
        line = store.line("017f22e2-79b0-7cc3-98c4-dc0c0c07398f")
        assert (line.kind, line.job, line.device_id) == ("pull", "wheel", "tablet")
        assert line.device_time == "2026-03-01T09:00:00+01:00"
        assert (receipt.index, receipt.id) == (1, line.id)
        assert store.line(store.append("note", {}).id).device_id == "workshop"


def test_an_address_is_no_folder() -> None:
    with pytest.raises(Refused, match=r"^postgresql: only a folder can be opened"):
        Store.open("postgresql://host/yard", create=True)


def test_together_all_or_nothing(tmp_path: Path) -> None:
    with Store.open(tmp_path, create=True) as store:
        with store.together():
            store.append("note", {"n": 1})
            with pytest.raises(Refused):
                store.append("note", {"n": 1.5})
            store.append("note", {"n": 2})
        head = store.head()

        def broken_off() -> None:
            with store.together():
                store.append("note", {"n": 3})
                raise ZeroDivisionError

        with pytest.raises(ZeroDivisionError):
            broken_off()
        assert store.head() == head
        assert head[0] == store.check() == 3
        assert store.append("note", {"n": 3}).index == 3
