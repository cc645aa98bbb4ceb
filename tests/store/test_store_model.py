"""The whole store against a simple model, whatever is done to it, in whatever order.

The model is a list of what was written, a set of sizes that were signed, and a dictionary of names.
Hypothesis draws what is done next: entries, the same again, the same id with other content, saving
and putting back, carrying out and taking in, moving between a file and a PostgreSQL server,
building anew, erasing a person, a second program, clocks that jump. After each step the store must
say what the model says. All content is invented.
"""

import datetime as dt
import itertools
import json
import shutil
import tempfile
import unicodedata
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, ClassVar

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    multiple,
    precondition,
    rule,
    run_state_machine_as_test,
)
from postgres import Server

from clampwright.bench.backup import write_backup
from clampwright.bench.export import export_log, import_log
from clampwright.bench.moving import move_to_database, move_to_folder
from clampwright.bench.restore import restore
from clampwright.errors import ClampwrightError, Missing, Refused, StoreBusy
from clampwright.proof import record
from clampwright.proof.checkpoint import read_checkpoint
from clampwright.proof.ids import uuid7
from clampwright.proof.merkle import Tree, consistency_holds, inclusion_holds, leaf_hash
from clampwright.store import NewEntry, Receipt, Store
from clampwright.store.copying import rebuild
from clampwright.store.folder import Folder
from clampwright.store.people import Person, people_of
from clampwright.store.where import Database

DAY = dt.timedelta(days=1)
JOBS = st.sampled_from([None, None, "wheel", "head", "Räder", "Ra\u0308der", "a'b\"c%_$"])
KINDS = st.sampled_from(["note", "pull", "tool_checked"])
LEAVES = st.none() | st.booleans() | st.integers(-(2**53) + 1, 2**53 - 1) | st.text(max_size=8)
BODIES = st.dictionaries(
    st.sampled_from(["n", "tool", "reading", "Scho\u0308n", "with.dot", ""]),
    st.recursive(
        LEAVES,
        lambda inner: (
            st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=2)
        ),
        max_leaves=4,
    ),
    max_size=3,
)
TIMES = st.sampled_from([None, "2026-03-01T09:00:00+01:00", "1999-12-31T23:59:59.5Z"])


def one_form(content: Any) -> Any:
    """What a content is on the log: text in one Unicode form; told here a second time."""
    match content:
        case str():
            return unicodedata.normalize("NFC", content)
        case dict():
            return {one_form(key): one_form(value) for key, value in content.items()}
        case list():
            return [one_form(value) for value in content]
    return content


@dataclass(frozen=True)
class Known:
    """An entry as the model knows it."""

    new: NewEntry
    recorded: str
    data: bytes = b""

    def content(self, place: int | None) -> dict[str, Any]:
        time = self.new.device_time
        return {
            "body": one_form(dict(self.new.body)),
            "device": {"id": self.new.device_id, "time": self.recorded if time is None else time},
            "id": self.new.entry_id,
            "job": one_form(self.new.job),
            "job_seq": place,
            "kind": self.new.kind,
            "recorded": self.recorded,
            "version": 1,
        }


class Yard(RuleBasedStateMachine):
    """A workshop's store and its model."""

    done: ClassVar[Counter[str]] = Counter()
    written: Bundle[NewEntry] = Bundle("written")

    def __init__(self, server: Server, where: Path, *, on_server: bool) -> None:
        super().__init__()
        self.server, self.on_server = server, on_server
        self.place = Path(tempfile.mkdtemp(dir=where))
        self.folder = self.place / "yard"
        self.names = (self.place / f"beside-{number}" for number in itertools.count())
        self.time = dt.datetime(2026, 3, 1, 8, tzinfo=dt.UTC)
        self.log: list[Known] = []
        self.roots: dict[int, bytes] = {}
        self.signed: dict[int, str] = {}
        self.people: dict[str, str | None] = {}
        self.saved: list[tuple[Path, int, set[int]]] = []
        self.asked = False
        self.store: Store

    # ---- the clock, the door

    def clock(self) -> dt.datetime:
        self.time += dt.timedelta(milliseconds=1)
        return self.time

    def opened(self, folder: Path, *, write: bool = True, create: bool = False) -> Store:
        return Store.open(folder, write=write, create=create, clock=self.clock, busy_seconds=30)

    @initialize()
    def begin(self) -> None:
        if self.on_server:
            self.server.folder_on(self.folder)
        self.store = self.opened(self.folder, create=True)
        (line,) = self.store.lines()
        self.log = [Known(NewEntry(line.kind, line.body, line.id), line.recorded, line.data)]
        self.key = (self.folder / "workshop.key").read_bytes()

    def teardown(self) -> None:
        self.done["stores"] += 1
        self.done["entries"] += len(self.log)
        if hasattr(self, "store"):
            self.store.close()
        shutil.rmtree(self.place)

    @rule(jump=st.sampled_from([DAY, -DAY, 400 * DAY, dt.timedelta(seconds=-3)]))
    def the_clock_jumps(self, jump: dt.timedelta) -> None:
        self.time += jump

    @rule(write=st.booleans())
    def close_and_open_again(self, *, write: bool) -> None:
        self.store.close()
        if not write:
            with self.opened(self.folder, write=False) as reader:
                self.same(reader)
                with pytest.raises(Refused, match="reading only"):
                    reader.append("note", {})
        self.store = self.opened(self.folder)

    # ---- writing

    def taken(self, new: NewEntry, receipt: Receipt, recorded: str) -> None:
        """Write into the model what the store has acknowledged."""
        place = len(self.log)
        line = self.store.line(new.entry_id)
        assert (receipt.index, receipt.id, receipt.duplicate) == (place, new.entry_id, False)
        assert (line.index, line.leaf_hash) == (place, receipt.leaf_hash)
        assert receipt.leaf_hash == leaf_hash(line.data)
        job = one_form(new.job)
        in_job = sum(one_form(known.new.job) == job for known in self.log)
        known = Known(new, recorded, line.data)
        assert json.loads(line.data) == known.content(None if job is None else in_job)
        self.log.append(known)

    def now(self) -> str:
        """What the store will write as the time of its next entry."""
        later = self.time + dt.timedelta(milliseconds=1)
        return later.isoformat(timespec="microseconds").replace("+00:00", "Z")

    @rule(target=written, kind=KINDS, body=BODIES, job=JOBS, time=TIMES)
    def append(
        self, kind: str, body: dict[str, Any], job: str | None, time: str | None
    ) -> NewEntry:
        new = NewEntry(kind, body, job=job, device_time=time)
        recorded = self.now()
        receipt = self.store.append(
            kind, body, entry_id=new.entry_id, job=job, device_time=time, device_id=new.device_id
        )
        self.taken(new, receipt, recorded)
        return new

    @rule(target=written, bodies=st.lists(BODIES, max_size=4), job=JOBS, twice=st.booleans())
    def append_several(self, bodies: list[dict[str, Any]], job: str | None, *, twice: bool) -> Any:
        new = [NewEntry("note", body, job=job) for body in bodies]
        again = new[:1] if twice else []
        recorded, start = self.now(), len(self.log)
        receipts = self.store.append_many([*new, *again])
        for one, receipt in zip(new, receipts, strict=False):
            self.taken(one, receipt, recorded)
        for receipt in receipts[len(new) :]:
            assert (receipt.index, receipt.id) == (start, new[0].entry_id)
            assert receipt.duplicate
        return multiple(*new)

    @rule(
        target=written,
        bodies=st.lists(BODIES, min_size=1, max_size=3),
        job=JOBS,
        refused=st.booleans(),
        kept=st.booleans(),
    )
    def append_together(
        self, bodies: list[dict[str, Any]], job: str | None, *, refused: bool, kept: bool
    ) -> Any:
        """Several share one COMMIT; what is refused among them leaves them, a failure takes all."""
        new, found, before = list[NewEntry](), list[tuple[Receipt, str]](), self.store.head()

        def at_once() -> None:
            with self.store.together():
                for body in bodies:
                    new.append(NewEntry("note", body, job=job))
                    recorded = self.now()
                    found.append((self.store.append_many([new[-1]])[0], recorded))
                    if refused:
                        with pytest.raises(Refused):
                            self.store.append("note", {"value": 41.5}, job=job)
                if not kept:
                    raise ZeroDivisionError

        if not kept:
            with pytest.raises(ZeroDivisionError):
                at_once()
            assert self.store.head() == before
            return multiple()
        at_once()
        for one, (receipt, recorded) in zip(new, found, strict=True):
            self.taken(one, receipt, recorded)
        return multiple(*new)

    def place_of(self, new: NewEntry) -> int | None:
        """Where the model has an entry; None when it went with a log that was put back."""
        found = (at for at, one in enumerate(self.log) if one.new.entry_id == new.entry_id)
        return next(found, None)

    @rule(new=written)
    def the_same_again(self, new: NewEntry) -> None:
        place = self.place_of(new)
        if place is None:
            return
        # Left out, the device's time was that of recording.
        again = replace(new, device_time=new.device_time or self.log[place].recorded)
        for one in (again, new) if new.device_time else (again,):
            (receipt,) = self.store.append_many([one])
            assert receipt == Receipt(place, new.entry_id, leaf_hash(self.log[place].data), True)

    @rule(new=written, what=st.sampled_from(["kind", "body", "job", "device_id", "device_time"]))
    def the_same_id_with_other_content(self, new: NewEntry, what: str) -> None:
        place = self.place_of(new)
        if place is None:
            return
        time = new.device_time or self.log[place].recorded
        other: dict[str, Any] = {
            "kind": "other",
            "body": {**new.body, "other": True},
            "job": "other" if new.job is None else None,
            "device_id": "tablet",
            "device_time": "2001-01-01T00:00:00Z",
        }
        self.refused(
            lambda: self.store.append_many(
                [replace(new, **{"device_time": time, what: other[what]})]
            ),
            "is on the log already with other content",
        )

    @rule(
        what=st.sampled_from(
            [
                ({"body": {"value": 41.5}}, "is a binary float"),
                ({"body": {"n": 2**53}}, "too large a whole number"),
                ({"body": {"text": "\ud800"}}, "half a character"),
                ({"kind": "Pull 1"}, "must be small letters"),
                ({"entry_id": "1"}, "is not a UUID"),
                ({"job": "x" * 201}, "the job's name must be"),
                ({"job": "a\0b"}, "the job's name must be"),
                ({"device_id": ""}, "the device's id must be"),
                ({"device_time": "noon"}, "the device's time 'noon' is not"),
                ({"body": {"a": "x" * 1_000_000}}, "bytes are too many"),
            ]
        ),
        body=BODIES,
        among=st.booleans(),
    )
    def what_cannot_be_taken(
        self, what: tuple[dict[str, Any], str], body: dict[str, Any], *, among: bool
    ) -> None:
        bad, part = what
        good = [NewEntry("note", body, job="wheel")] if among else []
        bad_entry = replace(NewEntry("note", {}), **bad)
        self.refused(lambda: self.store.append_many([*good, bad_entry]), part)

    def refused(self, ask: Callable[[], object], part: str) -> None:
        """Nothing changes where something is refused."""
        before = self.store.head()
        with pytest.raises(ClampwrightError) as caught:
            ask()
        assert part in str(caught.value)
        assert self.store.head() == before

    @rule(body=BODIES, job=JOBS)
    def a_second_program_writes(self, body: dict[str, Any], job: str | None) -> None:
        """On a server the two take turns; a file has one writer, and the second is told so."""
        if not self.on_server:
            with pytest.raises(StoreBusy, match="close it first"):
                self.opened(self.folder)
            return
        with self.opened(self.folder) as second:
            new, recorded = NewEntry("note", body, job=job), self.now()
            (receipt,) = second.append_many([new])
            assert second.head() == self.store.head()
        self.taken(new, receipt, recorded)

    # ---- signing and proving

    @rule()
    def sign(self) -> None:
        self.sign_head()

    def sign_head(self) -> None:
        note = self.store.sign_checkpoint()
        checkpoint = read_checkpoint(note)
        size = len(self.log)
        assert (checkpoint.head.size, checkpoint.head.root) == (size, self.tree().root())
        assert checkpoint.signed_by(self.store.public_key)
        assert self.signed.setdefault(size, note) == note

    @rule(job=JOBS)
    def close_a_record(self, job: str | None) -> None:
        job = job or "gearbox"
        if not any(one_form(known.new.job) == one_form(job) for known in self.log):
            with pytest.raises(Missing, match="there is no job"):
                self.store.record(one_form(job))
            return
        written = self.store.record(one_form(job))
        for line in list(
            self.store.lines(since=len(self.log))
        ):  # its last entry, where it had none
            assert line.kind == "record_made"
            new = NewEntry(line.kind, line.body, line.id, job=line.job)
            self.log.append(Known(new, line.recorded, line.data))
        found = record.verify(written)
        assert found.ok
        size = read_checkpoint(json.loads(written)["checkpoint"]).head.size
        self.signed.setdefault(size, json.loads(written)["checkpoint"])
        assert self.store.record(one_form(job)) == written

    def tree(self, size: int | None = None) -> Tree:
        return Tree(leaf_hash(known.data) for known in self.log[:size])

    @rule(data=st.data())
    def prove(self, data: st.DataObject) -> None:
        tree, size = self.store.tree(), len(self.log)
        root = tree.root(size)
        place = data.draw(st.integers(0, size - 1))
        leaf = leaf_hash(self.log[place].data)
        assert inclusion_holds(leaf, place, size, tree.inclusion(place, size), root)
        assert not inclusion_holds(leaf, (place + 1) % size, size, tree.inclusion(place), root) or (
            size == 1
        )
        for old, old_root in self.roots.items():
            assert consistency_holds(old, size, tree.consistency(old, size), old_root, root)

    # ---- reading

    @rule(job=JOBS | st.just("a\0b"), since=st.integers(0, 30), kinds=st.sets(KINDS, max_size=2))
    def read(self, job: str | None, since: int, kinds: set[str]) -> None:
        wanted = [
            json.loads(known.data)
            for known in self.log[since:]
            if (job is None or one_form(known.new.job) == job)
            and (not kinds or known.new.kind in kinds)
        ]
        assert list(self.store.entries(job, since, kinds=sorted(kinds))) == wanted
        for unknown in (uuid7(), "a\0b"):
            with pytest.raises(Missing, match="there is no entry"):
                self.store.get(unknown)

    @rule(kinds=st.sets(KINDS))
    def glimpse(self, kinds: set[str]) -> None:
        chosen = [json.loads(one.data) for one in self.log if one.new.kind in kinds]
        assert list(self.store.quick_entries(sorted(kinds))) == chosen
        seen = list(self.store.glimpses(sorted(kinds), ["recorded"], ["body.n", "body.reading"]))
        assert [tuple(one[:5]) for one in seen] == [
            (one["id"], one["kind"], one["job"], one["device"]["time"], one["recorded"])
            for one in chosen
        ]
        assert [json.loads(one[5])[:2] for one in seen] == [
            [one["body"].get("n"), one["body"].get("reading")] for one in chosen
        ]

    def same(self, store: Store) -> None:
        """Everything a store says is what the model says."""
        assert store.check() == store.verify_log() == len(self.log)
        assert list(store.raw_entries()) == [known.data for known in self.log]
        kept = {read_checkpoint(one.note).head.size: one.note for one in store.signed_heads(10**9)}
        assert kept == self.signed

    @rule()
    def check_all(self) -> None:
        self.same(self.store)
        assert {one.id: one.name for one in self.store.people.all()} == self.people

    @invariant()
    def the_head_is_the_models(self) -> None:
        self.done["steps"] += 1
        if hasattr(self, "store"):
            size, root = self.store.head()
            assert (size, root) == (len(self.log), self.tree().root())
            assert self.roots.setdefault(size, root) == root

    # ---- people

    @rule(number=st.integers(1, 99))
    def a_person_comes(self, number: int) -> None:
        name, person = f"Invented Fitter {number}", f"person-{number:012x}"
        row = Person(person, name, "mechanic", "hash", None, "2026-03-01T08:00:00Z", None)
        if person in self.people:
            return
        self.store.people.add(row, name.casefold())
        with pytest.raises(Refused, match="already"):
            self.store.people.add(replace(row, id="person-0"), name.casefold())
        self.people[person] = name

    @precondition(lambda self: any(self.people.values()))
    @rule(data=st.data())
    def a_person_is_erased(self, data: st.DataObject) -> None:
        named = sorted(person for person, name in self.people.items() if name is not None)
        person = data.draw(st.sampled_from(named))
        name, before = self.people[person], self.store.head()
        assert name is not None
        # Name, key and role stand side by side; the name of another may begin with this one.
        row = (name + name.casefold() + "mechanic").encode()
        assert self.on_server or self.in_the_files(row)
        self.store.people.erase(person, "2026-03-02T08:00:00Z")
        self.people[person] = None
        assert self.store.head() == before
        assert self.store.people.named(name.casefold()) is None
        found = self.store.people.get(person)
        assert found is not None
        assert (found.name, found.password) == (None, None)
        # In a server's files: tests/store/server/test_guarded.py.
        assert self.on_server or not self.in_the_files(row)

    def in_the_files(self, data: bytes) -> bool:
        return any(data in path.read_bytes() for path in self.folder.glob("workshop.sqlite*"))

    # ---- saved, carried, moved, built anew

    def held(self, ask: Callable[[], object]) -> None:
        """While a program writes, nobody exchanges the log; asked once of a server, which waits."""
        if not self.on_server or not self.asked:
            self.asked = self.on_server
            with pytest.raises(StoreBusy):
                ask()

    @rule()
    def save(self) -> None:
        target = next(self.names).with_suffix(".zip")
        done = write_backup(self.store, self.folder, target, now=self.time)
        assert (done.head.size, done.head.root) == self.store.head()
        self.saved.append((target, len(self.log), set(self.signed)))

    @precondition(lambda self: self.saved)
    @rule(data=st.data())
    def put_back_elsewhere(self, data: st.DataObject) -> None:
        file, size, _ = data.draw(st.sampled_from(self.saved))
        other = next(self.names)
        done = restore(file, other, now=self.time)
        assert (done.head.size, done.head.root) == (size, self.tree(size).root())
        with self.opened(other, write=False) as store:
            assert list(store.raw_entries()) == [known.data for known in self.log[:size]]

    @precondition(lambda self: self.saved)
    @rule(data=st.data())
    def put_back_here(self, data: st.DataObject) -> None:
        file, size, signed = data.draw(st.sampled_from(self.saved))
        self.held(lambda: restore(file, self.folder, now=self.time))
        self.store.close()
        if size < len(self.log):
            with pytest.raises(Refused, match="are newer than the backup"):
                restore(file, self.folder, now=self.time)
        done = restore(file, self.folder, now=self.time, go_back=True)
        assert done.lost == len(self.log) - size
        del self.log[size:]
        self.roots = {at: root for at, root in self.roots.items() if at <= size}
        self.signed = {at: note for at, note in self.signed.items() if at in signed}
        self.saved = [one for one in self.saved if one[1] <= size]
        self.store = self.opened(self.folder)
        assert (self.folder / "workshop.key").read_bytes() == self.key

    @rule(again=st.booleans())
    def carry_out_and_take_in(self, *, again: bool) -> None:
        out, other = next(self.names), next(self.names)
        done = export_log(self.store, out)
        assert (done.head.size, done.head.root) == self.store.head()
        assert done.pulls == sum(known.new.kind == "pull" for known in self.log)
        if self.on_server:
            self.server.folder_on(other)
        assert import_log(out, other) == done.head
        if again:
            with pytest.raises(Refused):
                import_log(out, other)
        with self.opened(other, write=False) as store:
            self.same(store)
            assert store.people.all() == []

    @rule()
    def move(self) -> None:
        """Into a database, or back; hashes, heads and people stay."""
        self.held(self.moved)
        self.store.close()
        head = self.moved()
        assert (head.size, head.root) == (len(self.log), self.tree().root())
        self.on_server = not self.on_server
        self.store = self.opened(self.folder)
        assert isinstance(self.store.folder.log, Database) == self.on_server
        self.check_all()

    def moved(self) -> Any:
        if self.on_server:
            return move_to_folder(self.folder, now=self.time).head
        schema = self.server.schema().schema
        return move_to_database(self.folder, self.server.url(), schema, now=self.time).head

    @rule()
    def build_anew(self) -> None:
        self.held(lambda: rebuild(Folder(self.folder)))
        self.store.close()
        assert rebuild(Folder(self.folder)) is None
        self.store = self.opened(self.folder)
        with people_of(self.store.folder.log) as people:
            assert people is not None
            assert {one.id: one.name for one in people.all()} == self.people


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("examples", "steps"),
    [
        pytest.param(5, 20, id="5"),
        pytest.param(100, 50, marks=pytest.mark.soak, id="100"),
    ],
)
@pytest.mark.parametrize("on_server", [False, True], ids=["sqlite", "postgresql"])
def test_the_store_does_what_the_model_does(
    postgres: Server, tmp_path: Path, examples: int, steps: int, *, on_server: bool
) -> None:
    class Here(Yard):
        def __init__(self) -> None:
            super().__init__(postgres, tmp_path, on_server=on_server)

    run_state_machine_as_test(
        Here,
        settings=settings(
            max_examples=examples,
            stateful_step_count=steps,
            print_blob=False,
            suppress_health_check=[HealthCheck.too_slow],
            phases=[Phase.generate],
        ),
    )
    print(dict(Yard.done))
