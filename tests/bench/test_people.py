"""People in a workshop: what is kept of them, how they sign in, what the log says of them."""

from __future__ import annotations

import datetime as dt
import sqlite3
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from argon2.profiles import CHEAPEST

from clampwright.bench import sign_in as door
from clampwright.bench.acting import acting
from clampwright.bench.backup import write_backup
from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.names import Names
from clampwright.bench.passwords import Hashing, kept_of
from clampwright.bench.people import People
from clampwright.bench.restore import restore
from clampwright.bench.sign_in import Opened, TurnedAway
from clampwright.errors import Missing, Refused
from clampwright.store import Store
from clampwright.store.copying import rebuild
from clampwright.store.folder import Folder
from clampwright.store.people import Device
from clampwright.store.writing import Actor

CHEAP = Hashing(CHEAPEST)
PASSWORD = "four plain words here"  # noqa: S105 - invented, for tests
PIN = "2741"


class Clock:
    def __init__(self) -> None:
        self.now = dt.datetime(2026, 10, 5, 8, tzinfo=dt.UTC)

    def __call__(self) -> dt.datetime:
        return self.now

    def later(self, seconds: float) -> None:
        self.now += dt.timedelta(seconds=seconds)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def store(tmp_path: Path, clock: Clock) -> Iterator[Store]:
    with Store.open(tmp_path, create=True, clock=clock) as found:
        yield found


@pytest.fixture
def people(store: Store, tmp_path: Path) -> People:
    found = People(store, tmp_path, CHEAP)
    found.add("A. Chief", "administrator", password=PASSWORD, pin=PIN)
    found.add("B. Fitter", "mechanic", pin="8305")
    found.add("C. Learner", "apprentice", pin="6174")
    return found


@pytest.fixture
def tablet(store: Store, people: People) -> Device:
    device, secret = door.enrol(store, people.find("A. Chief"), "tablet at bay 2")
    assert store.people.device_of(kept_of(secret)) == device
    return device


def by_password(store: Store, name: str, password: str, place: str = "address:x") -> Opened:
    return door.sign_in(store, CHEAP, name, password, place=place)


def test_a_person_is_found_by_name_however_it_is_typed(people: People) -> None:
    assert people.find(" a.  CHIEF").role == "administrator"
    with pytest.raises(Refused, match="already"):
        people.add("a. chief", "mechanic")
    with pytest.raises(Refused, match="no role boss"):
        people.add("D. New", "boss")
    with pytest.raises(Missing, match="no person of the name D"):
        people.find("D. New")


def test_what_is_kept_gives_no_secret_back(store: Store, people: People, tmp_path: Path) -> None:
    chief = people.find("A. Chief")
    assert (chief.password or "").startswith("$argon2id$")
    data = (tmp_path / "workshop.sqlite").read_bytes()
    assert PASSWORD.encode() not in data
    assert not any(PASSWORD in str(entry) or PIN in str(entry["body"]) for entry in store.entries())


def test_erasing_leaves_the_log_whole_and_no_trace_of_the_name(
    store: Store, people: People, tablet: Device, tmp_path: Path
) -> None:
    fitter = people.find("B. Fitter").id
    store.actor = Actor(fitter, "mechanic", "pin")
    receipt = store.append("job_closed", {"counts": {}}, job="wheel")
    store.actor = None
    door.unlock(store, CHEAP, fitter, "8305", tablet)
    before = store.head()[0]
    assert b"B. Fitter" in (tmp_path / "workshop.sqlite").read_bytes()
    people.erase("B. Fitter")
    assert store.get(receipt.id)["body"]["made_by"]["person"] == fitter
    assert store.check() == before + 1
    assert Names(tmp_path).all()[fitter] == "a person, name erased"
    assert Names(tmp_path).known("B. Fitter") is None
    assert all(one.person != fitter for one in store.people.sessions())
    for path in tmp_path.rglob("*"):
        assert not path.is_file() or b"B. Fitter" not in path.read_bytes(), path
    with pytest.raises(TurnedAway, match="no such person"):
        door.unlock(store, CHEAP, fitter, "8305", tablet)
    with pytest.raises(Refused, match="was erased"):
        people.set_role(fitter, "mechanic")


def test_the_last_administrator_stays(people: People) -> None:
    with pytest.raises(Refused, match="last administrator"):
        people.erase("A. Chief")
    with pytest.raises(Refused, match="last administrator"):
        people.set_role("A. Chief", "mechanic")
    people.set_role("B. Fitter", "administrator")  # has no password: could not sign in anywhere
    with pytest.raises(Refused, match="last administrator"):
        people.erase("A. Chief")
    people.set_password("B. Fitter", "other plain words now")
    assert people.erase("A. Chief").startswith("person-")


def test_only_administrators_change_others_and_everybody_the_own_pin(
    store: Store, people: People
) -> None:
    fitter = people.find("B. Fitter")
    store.actor = Actor(fitter.id, "mechanic", "session")
    people.set_pin("B. Fitter", "5926")
    for forbidden in (
        lambda: people.set_pin("C. Learner", "5926"),
        lambda: people.set_role("B. Fitter", "administrator"),
        lambda: people.add("D. New", "mechanic"),
        lambda: people.erase("C. Learner"),
        lambda: people.end_sessions("A. Chief"),
    ):
        with pytest.raises(Refused, match="may not do this"):
            forbidden()


def test_a_wrong_name_and_a_wrong_password_are_told_alike(store: Store, people: People) -> None:
    people.find("A. Chief")
    sentences = set()
    for name in ("A. Chief", "Nobody At All", "B. Fitter"):  # the last has no password
        with pytest.raises(TurnedAway) as refused:
            by_password(store, name, "not the right words")
        sentences.add(str(refused.value))
    assert sentences == {"the name or the password is wrong"}
    with pytest.raises(TurnedAway):
        by_password(store, "B. Fitter", "")
    assert by_password(store, "a. chief", PASSWORD).person.role == "administrator"


@pytest.mark.parametrize("name", ["A. Chief", "Nobody At All"])
def test_the_lockout_is_the_same_whether_the_name_exists(
    store: Store, people: People, clock: Clock, name: str
) -> None:
    people.find("A. Chief")
    for _ in range(3):
        with pytest.raises(TurnedAway, match="is wrong"):
            by_password(store, name, "wrong words here", "a")
    with pytest.raises(TurnedAway, match="30 seconds") as refused:
        by_password(store, name, PASSWORD, "a")
    assert refused.value.wait == 30
    clock.later(31)
    with pytest.raises(TurnedAway, match="is wrong"):
        by_password(store, name, "wrong words here", "a")
    clock.later(31)
    with pytest.raises(TurnedAway, match="29 seconds"):
        by_password(store, name, PASSWORD, "a")


def test_strangers_do_not_lock_a_name_out_elsewhere(
    store: Store, people: People, tablet: Device, clock: Clock
) -> None:
    people.find("A. Chief")
    for n in range(100):  # twelve from each of nine addresses, and some more
        with pytest.raises(TurnedAway, match=r"is wrong|too many"):
            by_password(store, "A. Chief", "wrong words here", f"address:{n // 3}")
    with pytest.raises(TurnedAway, match="too many"):
        by_password(store, "A. Chief", PASSWORD, "address:0")
    by_password(store, "A. Chief", PASSWORD, f"device:{tablet.id}")
    with pytest.raises(TurnedAway, match="30 seconds"):  # all addresses together tried too often
        by_password(store, "A. Chief", PASSWORD, "address:new")
    clock.later(31)
    by_password(store, "A. Chief", PASSWORD, "address:new")
    people.set_password("A. Chief", "other plain words here")
    assert store.people.tries(door.password_subject("A. Chief")) == (0, None)
    by_password(store, "A. Chief", "other plain words here", "address:0")


def test_the_lockout_survives_a_restart_and_a_right_one_clears_it(
    tmp_path: Path, clock: Clock
) -> None:
    with Store.open(tmp_path, create=True, clock=clock) as store:
        people = People(store, tmp_path, CHEAP)
        chief = people.add("A. Chief", "administrator", password=PASSWORD, pin=PIN)
        tablet, _ = door.enrol(store, chief, "tablet")
        for left in (2, 1):
            with pytest.raises(TurnedAway, match=f"wait: {left}"):
                door.unlock(store, CHEAP, chief.id, "0001", tablet)
        with pytest.raises(TurnedAway, match="after a wait"):
            door.unlock(store, CHEAP, chief.id, "0001", tablet)
    with Store.open(tmp_path, clock=clock) as store:
        with pytest.raises(TurnedAway, match="30 seconds"):
            door.unlock(store, CHEAP, chief.id, PIN, tablet)
        clock.later(30)
        door.unlock(store, CHEAP, chief.id, PIN, tablet)
        assert store.people.tries(door.pin_subject(chief.id)) == (0, None)
        # The device counts on: one's own PIN in between gives no new tries at those of others.
        assert store.people.tries(f"device:{tablet.id}")[0] == 3


def test_many_names_from_one_place_are_slowed_too(store: Store, people: People) -> None:
    people.find("A. Chief")
    for n in range(12):
        with pytest.raises(TurnedAway, match="is wrong"):
            by_password(store, f"name {n}", "wrong words here")
    with pytest.raises(TurnedAway, match="too many"):
        by_password(store, "A. Chief", PASSWORD)


def test_no_try_is_looked_at_before_it_is_counted(
    store: Store, people: People, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = []

    def matches(_self: Hashing, _kept: str | None, _secret: str) -> bool:
        seen.append(store.people.tries(door.password_subject_at("A. Chief", "address:x"))[0])
        raise KeyboardInterrupt

    monkeypatch.setattr(Hashing, "matches", matches)
    people.find("A. Chief")
    with pytest.raises(KeyboardInterrupt):
        by_password(store, "A. Chief", PASSWORD)
    assert seen == [1]
    assert store.people.tries(door.password_subject_at("A. Chief", "address:x"))[0] == 1


def test_a_pin_opens_an_enrolled_device_only_and_says_plainly_why_not(
    store: Store, people: People, tablet: Device
) -> None:
    found = door.unlock(store, CHEAP, people.find("C. Learner").id, "6174", tablet)
    assert (found.row.how, found.row.device) == ("pin", tablet.id)
    assert store.people.by_token(kept_of(found.token)) == found.row
    people.add("D. New", "mechanic")
    with pytest.raises(TurnedAway, match=r"D. New has no PIN yet"):
        door.unlock(store, CHEAP, people.find("D. New").id, "6174", tablet)
    with pytest.raises(Refused, match=r"may not do this .enrol a device"):
        door.enrol(store, people.find("B. Fitter"), "own phone")
    with pytest.raises(Refused, match="say what the device is called"):
        door.enrol(store, people.find("A. Chief"), " ")


def test_who_taps_takes_over_and_a_session_locks_and_ends(
    store: Store, people: People, tablet: Device, clock: Clock
) -> None:
    first = door.unlock(store, CHEAP, people.find("C. Learner").id, "6174", tablet)
    clock.later(1000)
    assert door.state_of(first.row, clock.now) == "locked"
    second = door.unlock(store, CHEAP, people.find("B. Fitter").id, "8305", tablet)
    ended = store.people.session(first.row.id)
    assert ended is not None
    assert ended.ended == "2026-10-05T08:05:00.000000Z", (
        "when it locked, not when it was taken over"
    )
    assert door.state_of(ended, clock.now) == "ended"
    store.people.touch(second.row.id, "2026-10-05T20:00:00.000000Z")
    again = store.people.session(second.row.id)
    assert again is not None
    assert door.state_of(again, dt.datetime(2026, 10, 5, 20, 1, tzinfo=dt.UTC)) == "open"
    assert door.state_of(again, dt.datetime(2026, 10, 5, 21, tzinfo=dt.UTC)) == "ended"
    assert people.end_sessions("B. Fitter") == 1
    store.people.end_device(tablet.id, "2026-10-05T21:00:00Z")
    with pytest.raises(Missing, match="no enrolled device"):
        store.people.end_device(tablet.id, "2026-10-05T21:00:00Z")


def test_what_a_session_covers(store: Store, people: People, tablet: Device, clock: Clock) -> None:
    learner = people.find("C. Learner").id
    row = door.unlock(store, CHEAP, learner, "6174", tablet).row
    assert door.covered(row, learner, "2026-10-05T08:01:00Z")
    assert door.covered(row, learner, "2026-10-05T10:01:00+02:00")
    assert not door.covered(row, learner, "2026-10-05T08:06:00Z")
    assert not door.covered(row, learner, "2026-10-04T08:01:00Z")
    assert not door.covered(row, people.find("B. Fitter").id, "2026-10-05T08:01:00Z")
    assert not door.covered(None, learner, "2026-10-05T08:01:00Z")
    clock.later(60)
    people.end_sessions("C. Learner")
    ended = store.people.session(row.id)
    assert not door.covered(ended, learner, "2026-10-05T08:01:01Z")


def test_a_signature_is_for_one_entry_by_one_who_may(
    store: Store, people: People, tablet: Device
) -> None:
    def signed(person: str, secret: str, device: Device | None = tablet) -> Opened:
        return door.sign(
            store,
            CHEAP,
            people.find(person).id,
            secret,
            act="close_job",
            entry="0197f000-0000-7000-8000-000000000001",
            device=device,
            place="address:x",
        )

    found = signed("B. Fitter", "8305")
    assert (found.row.act, found.row.entry, found.row.how) == (
        "close_job",
        "0197f000-0000-7000-8000-000000000001",
        "pin",
    )
    assert store.people.sessions() == [], "a signature opens nothing"
    with pytest.raises(Refused, match="apprentice may not"):
        signed("C. Learner", "6174")
    with pytest.raises(TurnedAway, match="password is wrong"):
        signed("A. Chief", "2741", device=None)
    assert signed("A. Chief", PASSWORD, device=None).row.how == "password"


def test_the_log_says_whose_hand_and_a_second_sending_changes_nothing(store: Store) -> None:
    store.actor = Actor("person-1", "mechanic", "pin")
    first = store.append("job_closed", {"counts": {}}, job="wheel")
    store.actor = Actor("person-2", "responsible", "session")
    again = store.append(
        "job_closed",
        {"counts": {}},
        job="wheel",
        entry_id=first.id,
        device_time=store.get(first.id)["device"]["time"],
    )
    assert again.duplicate
    assert store.get(first.id)["body"]["made_by"] == {
        "person": "person-1",
        "role": "mechanic",
        "signed": "pin",
    }
    store.actor = Actor("person-3", "apprentice", "pin")
    with pytest.raises(Refused, match=r"apprentice may not do this .close a job"):
        store.append("job_closed", {"counts": {}}, job="wheel")
    with pytest.raises(Refused, match="may not do this"):
        store.append("kind_of_tomorrow", {}, job="wheel")


def test_a_name_on_the_command_line_is_looked_up(tmp_path: Path, people: People) -> None:
    person = people.find("B. Fitter").id
    people._store.close()  # noqa: SLF001 - the right to write is given back
    place = Workshop(tmp_path)
    with acting("b. fitter"), open_store(place) as store:
        assert store.actor == Actor(person, "mechanic", "terminal")
        with pytest.raises(Refused, match=r"may not do this .take backups"):
            write_backup(store, tmp_path, tmp_path / "b.zip", now=dt.datetime.now(dt.UTC))
    with acting("Nobody"), pytest.raises(Missing, match="people list"), open_store(place):
        pass


def test_a_backup_has_the_names_and_no_secrets(
    store: Store, people: People, tmp_path: Path
) -> None:
    (tmp_path / "drawer.toml").write_text("")
    made = write_backup(store, tmp_path, tmp_path / "b.zip", now=dt.datetime.now(dt.UTC))
    with zipfile.ZipFile(made.file) as archive:
        content = b"".join(archive.read(name) for name in archive.namelist())
    assert b"B. Fitter" in content
    assert b"argon2" not in content
    there = tmp_path / "there"
    done = restore(made.file, there, now=dt.datetime.now(dt.UTC))
    assert done.people_missing
    assert Names(there).known("B. Fitter") == people.find("B. Fitter").id
    with Store.open(there, create=False) as fresh:
        assert not fresh.people.any()
        again = People(fresh, there, CHEAP).add("B. Fitter", "mechanic")
        assert again.id == people.find("B. Fitter").id
        assert Names(there).in_file().keys() == {
            people.find("A. Chief").id,
            people.find("C. Learner").id,
        }


def test_a_restore_or_a_rebuild_over_the_workshop_keeps_its_people(
    tmp_path: Path, people: People
) -> None:
    store = people._store  # noqa: SLF001 - as above
    made = write_backup(store, tmp_path, tmp_path / "b.zip", now=dt.datetime.now(dt.UTC))
    store.close()
    assert not restore(made.file, tmp_path, now=dt.datetime.now(dt.UTC)).people_missing
    rebuild(Folder(tmp_path))
    with Store.open(tmp_path) as again:
        assert by_password(again, "A. Chief", PASSWORD).person.name == "A. Chief"


def test_the_files_are_for_their_owner_only(tmp_path: Path, people: People) -> None:
    people.find("A. Chief")
    assert (tmp_path / "workshop.sqlite").stat().st_mode & 0o077 == 0
    with sqlite3.connect(tmp_path / "workshop.sqlite") as raw:
        assert raw.execute("SELECT count(*) FROM people").fetchone() == (3,)
    raw.close()
