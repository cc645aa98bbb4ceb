"""Practice on disk: whole after a cut, once however often it is sent, and never in the log."""

from __future__ import annotations

import datetime as dt
import json
import os
import threading
import zipfile
from pathlib import Path

import pytest

from clampwright.bench import practice as practice_module
from clampwright.bench.backup import PATIENCE, write_backup
from clampwright.bench.folder import Workshop
from clampwright.bench.practice import LOCK, PracticeBook
from clampwright.bench.practice_answers import Who, another, answer, find_exercise
from clampwright.bench.restore import restore
from clampwright.errors import BadFile, ClampwrightError, Missing, Refused, StoreBusy, StoreFull
from clampwright.practice.results import Result
from clampwright.proof.ids import uuid7
from clampwright.store import Store
from clampwright.store.lock import WriterLock

NOW = dt.datetime(2026, 5, 4, 18, 30, tzinfo=dt.UTC)
EVENING = "evening-2026"


@pytest.fixture
def book(tmp_path: Path) -> PracticeBook:
    return PracticeBook(tmp_path, patience=0.05)


def tried(
    book: PracticeBook, reached: str = "23.5 Nm", learner: str = "7", entry: str = ""
) -> bool:
    texts, who = {"reached": reached}, Who(EVENING, learner)
    _done, new = answer(book, "first/1", texts, who=who, entry=entry or uuid7(), now=NOW)
    return new


def test_an_answer_is_kept_once_however_often_it_is_sent(book: PracticeBook) -> None:
    entry = uuid7()
    assert tried(book, entry=entry)
    assert not tried(book, entry=entry)
    with pytest.raises(Refused, match="first one stays"):
        tried(book, "30 Nm", entry=entry)
    (one,) = book.results(EVENING)
    assert one.outcome["reached_Nm"] == 23.5
    assert book.classes() == (EVENING,)


def test_without_class_and_learner_nothing_is_kept(book: PracticeBook, tmp_path: Path) -> None:
    done, new = answer(book, "first/1", {"reached": "25 Nm"}, who=Who(), entry="", now=NOW)
    assert done.says
    assert not new
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(Missing, match="class and number"):
        Who("", "7")


def test_a_bad_answer_changes_nothing(book: PracticeBook, tmp_path: Path) -> None:
    tried(book)
    before = (tmp_path / "practice" / f"{EVENING}.jsonl").read_bytes()
    for reached in ("", "23", "-4 Nm", "1e9 Nm"):
        with pytest.raises(ClampwrightError):
            tried(book, reached)
    with pytest.raises(ClampwrightError, match="no result"):
        tried(book, entry="not-an-id")
    assert (tmp_path / "practice" / f"{EVENING}.jsonl").read_bytes() == before


def test_many_at_once_lose_none(tmp_path: Path) -> None:
    def work(learner: str) -> None:
        own = PracticeBook(tmp_path, patience=30.0)
        for _ in range(4):
            tried(own, learner=learner)

    threads = [threading.Thread(target=work, args=(str(n),)) for n in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(PracticeBook(tmp_path).results(EVENING)) == 20


def test_another_program_is_waited_for_and_then_named(book: PracticeBook, tmp_path: Path) -> None:
    lock = WriterLock(tmp_path / LOCK)
    with pytest.raises(StoreBusy, match="process"):
        tried(book)
    lock.release()
    assert tried(book)


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_cut_while_writing_leaves_the_old_file(
    book: PracticeBook, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    tried(book)
    before = (tmp_path / "practice" / f"{EVENING}.jsonl").read_bytes()

    def cut(*_given: object) -> None:
        raise OSError(28, "No space left on device")

    if step == "fsync":
        monkeypatch.setattr(os, "fsync", cut)
    else:
        monkeypatch.setattr(Path, "replace", cut)
    with pytest.raises(StoreFull, match="nothing was changed"):
        tried(book)
    monkeypatch.undo()
    assert (tmp_path / "practice" / f"{EVENING}.jsonl").read_bytes() == before
    assert not list(tmp_path.glob("*.new"))
    assert tried(book)


def test_a_file_changed_by_hand_is_named_and_nothing_added(
    book: PracticeBook, tmp_path: Path
) -> None:
    tried(book)
    path = tmp_path / "practice" / f"{EVENING}.jsonl"
    path.write_bytes(path.read_bytes() + b"{}\n")
    with pytest.raises(BadFile, match="line 2"):
        tried(book)
    assert path.read_bytes().endswith(b"{}\n")


def test_erasing_takes_one_learner_or_the_class(book: PracticeBook, tmp_path: Path) -> None:
    for learner in ("7", "7", "8"):
        tried(book, learner=learner)
    assert book.forget(EVENING, "7") == 2
    assert [one.learner for one in book.results(EVENING)] == ["8"]
    with pytest.raises(Missing, match="nothing of 7"):
        book.forget(EVENING, "7")
    assert book.forget(EVENING) == 1
    assert not (tmp_path / "practice" / f"{EVENING}.jsonl").exists()
    with pytest.raises(Missing, match=f"nothing of {EVENING}"):
        book.forget(EVENING)


def test_a_full_class_takes_no_more(book: PracticeBook, monkeypatch: pytest.MonkeyPatch) -> None:
    tried(book)
    other = Who("other", "7")
    monkeypatch.setattr(practice_module, "LARGEST_ALL", 300)
    with pytest.raises(Refused, match="erase those of old classes"):
        answer(book, "first/1", {"reached": "25 Nm"}, who=other, entry=uuid7(), now=NOW)
    assert book.classes() == (EVENING,)
    monkeypatch.undo()
    monkeypatch.setattr(practice_module, "LARGEST", 300)
    with pytest.raises(Refused, match="is full"):
        tried(book)
    monkeypatch.setattr(practice_module, "MOST_CLASSES", 1)
    with pytest.raises(Refused, match="1 classes already"):
        answer(book, "first/1", {"reached": "25 Nm"}, who=other, entry=uuid7(), now=NOW)


def test_lessons_of_the_teacher_stand_beside_the_shipped_one(
    book: PracticeBook, tmp_path: Path
) -> None:
    folder = tmp_path / "practice" / "lessons"
    folder.mkdir(parents=True)
    good = Path("examples/lessons/wheel-evening.toml").read_bytes()
    (folder / "wheel-evening.toml").write_bytes(good)
    (folder / "broken.toml").write_text('title = "x"\nexercises = 3\n')
    (folder / "first.toml").write_bytes(good)  # the shipped one keeps its name
    found = book.lessons()
    assert list(found) == ["first", "broken", "wheel-evening"]
    assert isinstance(found["broken"], BadFile)
    assert "did you mean exercise?" in str(found["broken"])
    assert str(book.lesson("first").title) == "Torque and clamp load"
    assert find_exercise(book, "wheel-evening/3").kind == "fault"
    with pytest.raises(Missing, match="no lesson 'evening'"):
        book.lesson("evening")


@pytest.mark.parametrize(
    "reference",
    ["", "first", "first/0", "first/10", "first/x", "../x/1", "clamp:", "clamp:-1", "fault:1e9",
     "fault:1000000", "shout:7", "first/99999"],
)  # fmt: skip
def test_exercises_that_do_not_exist_are_refused(book: PracticeBook, reference: str) -> None:
    with pytest.raises(Missing):
        find_exercise(book, reference)


def test_exercises_are_made_from_numbers_and_torques(book: PracticeBook) -> None:
    for kind in ("clamp", "fault"):
        assert find_exercise(book, another(kind)).kind == kind
    with pytest.raises(ClampwrightError, match="no unit"):
        find_exercise(book, "feel:25")
    with pytest.raises(ClampwrightError, match="no torque to practise"):
        find_exercise(book, "feel:0 Nm")


def test_practice_leaves_log_and_records_as_they_are(workshop: Workshop) -> None:
    """Nothing of practice enters the proof of real work, nor makes a log where there is none."""
    assert not (workshop.folder / "workshop.sqlite").exists()
    book = PracticeBook(workshop.folder)
    tried(book)
    assert not (workshop.folder / "workshop.sqlite").exists()
    with Store.open(workshop.folder, create=True, workshop="Invented Yard") as store:
        store.append("note", {"n": 1})
        head = store.head()
    tried(book)
    book.forget(EVENING)
    with Store.open(workshop.folder, write=False) as store:
        assert store.head() == head
        assert all("practice" not in json.dumps(entry) for entry in store.entries())


def test_a_backup_takes_practice_along_and_puts_it_back(tmp_path: Path) -> None:
    yard = tmp_path / "yard"
    with Store.open(yard, create=True, workshop="Invented Yard") as store:
        store.append("note", {"n": 1})
    (yard / "drawer.toml").write_text('workshop = "Invented Yard"\n')
    book = PracticeBook(yard)
    tried(book)
    lessons = yard / "practice" / "lessons"
    lessons.mkdir()
    (lessons / "mine.toml").write_bytes(Path("examples/lessons/wheel-evening.toml").read_bytes())
    with Store.open(yard, write=False, busy_seconds=PATIENCE) as reading:
        file = write_backup(reading, yard, tmp_path / "a.zip", now=NOW).file
    names = zipfile.ZipFile(file).namelist()
    assert {f"practice/{EVENING}.jsonl", "practice/lessons/mine.toml"} <= set(names)
    assert not [name for name in names if "lock" in name]
    restore(file, tmp_path / "new", now=NOW)
    again = PracticeBook(tmp_path / "new")
    assert again.results(EVENING) == book.results(EVENING)
    assert list(again.lessons()) == ["first", "mine"]


def test_a_result_names_its_day_by_the_clock_at_the_bench() -> None:
    late = Result(uuid7(), "7", "2026-05-04T23:30:00-05:00", "what_if", "first/9", {}, {})
    assert late.day == dt.date(2026, 5, 4)
