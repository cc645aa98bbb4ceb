"""The shelf on the log: kept exactly, versions added, confirmed by another, pinned by jobs."""

from __future__ import annotations

import datetime as dt
import json
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import pytest

from clampwright.bench.backup import write_backup
from clampwright.bench.days import today
from clampwright.bench.folder import Workshop, load_plan, open_session, open_store
from clampwright.bench.names import NAMES_FILE, Names, name_of
from clampwright.bench.records import paper_of, record_of, record_text
from clampwright.bench.restore import restore
from clampwright.bench.session import Session
from clampwright.bench.shelf import (
    LONGEST_TEXT,
    Draft,
    confirm,
    content_hash,
    draft_of,
    keep_file,
    put,
    shelf_in,
)
from clampwright.errors import Ambiguous, BadFile, ClampwrightError, Missing, Refused
from clampwright.proof.ids import uuid7
from clampwright.proof.verification import verify
from clampwright.work.fold import PullKey
from clampwright.work.pinned import pinned
from clampwright.work.readings import ValueReading
from clampwright.work.shelf import Version
from clampwright.work.shelved import shelved

PNG = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" + (8).to_bytes(4, "big") * 2 + bytes(40)
SOURCE = {"title": "Service sheet (invented)", "edition": "3", "page": "12", "date": "2024-05"}
PLAIN = Draft("Pump cover", "Step 1: 10 Nm crosswise. Step 2: 22 Nm crosswise.", source=SOURCE)
ASKS = Draft("Gauge cover", "Oil the threads. Torque the bolts to 20 lbs.", choice=2, source=SOURCE)

JOB = """
[job]
id = "gauge-again"
title = "Gauge cover back on (invented)"
machine = "Bench compressor (invented)"
[rules]
torque_percent = 8
angle_deg = 5
[[joint]]
id = "cover"
title = "Cover"
harm_level = 3
thread = "M6"
strength = "8.8"
head = "ISO 4014/4017"
friction = "oiled"
layout = {{ pattern = "circle", count = 4, diameter_mm = 60 }}
procedure = {{ shelf = "gauge-cover", version = {version}{more} }}
"""


def shelve(place: Workshop, draft: Draft, by: str = "A. Fitter") -> Version:
    with open_store(place, create=True) as store:
        return put(store, place, draft, by)


def kinds(place: Workshop) -> list[str]:
    with open_store(place, write=False) as store:
        return [entry["kind"] for entry in store.entries()]


def test_a_procedure_is_kept_with_all_that_it_needs(workshop: Workshop) -> None:
    photograph = keep_file(workshop.papers, PNG, "page 12.png")
    made = shelve(workshop, replace(ASKS, attached=((photograph.sha256, photograph.name),)))
    found = shelf_in(workshop.folder).version("gauge-cover", 1)
    assert found == made
    assert found.content["choice"] == {
        "question": ["20 lbs: pounds are a force; feet or inches are missing"],
        "readings": [["torque 20 ft·lbf"], ["torque 20 in·lbf"]],
        "chosen": 2,
    }
    assert found.content["understood"] == ["torque 20 in·lbf"]
    assert found.source == SOURCE
    assert [one.as_body() for one in found.attached] == [
        {"sha256": photograph.sha256, "type": "image/png", "name": "page 12.png", "size": len(PNG)}
    ]
    assert found.sha256 == content_hash(found.content)
    assert Names(workshop.folder).all() == {found.by: "A. Fitter"}
    with open_store(workshop, write=False) as store:
        assert "Fitter" not in json.dumps(list(store.entries())), "names stay out of the log"


def test_a_change_is_a_new_version_and_the_old_one_stays(workshop: Workshop) -> None:
    first = shelve(workshop, PLAIN)
    change = replace(draft_of(first), text=PLAIN.text.replace("22", "24"))
    later = shelve(workshop, change)
    assert [(one.procedure, one.number) for one in (first, later)] == [
        ("pump-cover", 1),
        ("pump-cover", 2),
    ]
    assert first.sha256 != later.sha256
    assert shelf_in(workshop.folder).version("pump-cover", 1) == first
    with pytest.raises(Refused, match="nothing was changed"):
        shelve(workshop, draft_of(later))
    assert shelve(workshop, PLAIN).procedure == "pump-cover-2", "a title may be there twice"


def test_sending_it_again_keeps_it_once(workshop: Workshop) -> None:
    entry = str(uuid7())
    with open_store(workshop, create=True) as store:
        first = put(store, workshop, PLAIN, "A. Fitter", entry_id=entry)
        assert put(store, workshop, PLAIN, "A. Fitter", entry_id=entry) == first
        again = str(uuid7())
        done = confirm(store, workshop, first, "B. Reader", entry_id=again)
        assert confirm(store, workshop, first, "B. Reader", entry_id=again) == done
        with pytest.raises(Refused, match="on the log already"):
            confirm(store, workshop, first, "C. Reader", entry_id=entry)
    assert kinds(workshop)[1:] == ["procedure_shelved", "procedure_confirmed"]


def test_the_second_reader_is_another_person(workshop: Workshop) -> None:
    made = shelve(workshop, PLAIN)
    with open_store(workshop) as store:
        for same in ("A. Fitter", "  a.  fitter "):
            with pytest.raises(Refused, match="another person"):
                confirm(store, workshop, made, same)
        seen = confirm(store, workshop, made, "B. Reader")
        with pytest.raises(Refused, match="already"):
            confirm(store, workshop, made, "B. Reader")
        with pytest.raises(Refused, match="as it stands on the shelf"):
            confirm(store, workshop, replace(made, sha256="0" * 64), "C. Reader")
        with pytest.raises(Missing, match="name of a person"):
            confirm(store, workshop, made, " ")
    names = Names(workshop.folder).all()
    assert [name_of(names, one.by) for one in seen.confirmed] == ["B. Reader"]
    assert sorted(names.values()) == ["A. Fitter", "B. Reader"]
    later = shelve(workshop, replace(draft_of(made), text="Tighten to 25 Nm"))
    assert later.confirmed == (), "what was confirmed was the version before"


@pytest.mark.parametrize(
    ("draft", "error", "said"),
    [
        (replace(ASKS, choice=None), Ambiguous, "Choose one of the readings"),
        (replace(ASKS, choice=3), Missing, "2 readings"),
        (replace(PLAIN, choice=1), Missing, "nothing to choose"),
        (replace(PLAIN, text="see the other leaflet"), Missing, "no procedure can be taken"),
        (replace(PLAIN, text=""), Missing, "no procedure can be taken"),
        (replace(PLAIN, text="<script>alert(1)</script> 30 Nm"), Missing, "no procedure"),
        (replace(PLAIN, text="30 Nm " * LONGEST_TEXT), Refused, "characters"),
        (replace(PLAIN, title="  "), Missing, "title"),
        (replace(PLAIN, title="x" * 201), Refused, "title has at most 200"),
        (replace(PLAIN, title="a\u202eb"), Refused, "printable"),
        (replace(PLAIN, source={}), Missing, "where the procedure was taken from"),
        (replace(PLAIN, source={"title": "x", "author": "y"}), Refused, "author"),
        (replace(PLAIN, attached=(("0" * 64, "x.png"),)), BadFile, "missing"),
        (replace(PLAIN, attached=(("../../etc/passwd", "x.png"),)), BadFile, "not the name"),
        (replace(PLAIN, procedure="no-such"), Missing, "no procedure 'no-such'"),
    ],
)
def test_what_cannot_be_kept_changes_nothing(
    workshop: Workshop, draft: Draft, error: type[ClampwrightError], said: str
) -> None:
    shelve(workshop, PLAIN)
    before, names = kinds(workshop), Names(workshop.folder).all()
    with pytest.raises(error, match=said):
        shelve(workshop, draft, "New Name")
    assert kinds(workshop) == before
    assert Names(workshop.folder).all() == names


@pytest.mark.parametrize("data", [b"", b"MZ\x90\x00", b"<svg onload=alert(1)>", b" %PDF-1.4"])
def test_a_file_is_what_its_content_says(workshop: Workshop, data: bytes) -> None:
    with pytest.raises(BadFile, match="whatever its name says"):
        keep_file(workshop.papers, data, "photo.jpg")
    assert not workshop.papers.folder.exists()


def test_a_file_has_a_largest_size(workshop: Workshop) -> None:
    with pytest.raises(BadFile, match="at most 20000000"):
        keep_file(workshop.papers, PNG + bytes(20_000_000), "page.png")


def test_names_are_readable_by_the_owner_alone_and_can_be_erased(workshop: Workshop) -> None:
    made = shelve(workshop, PLAIN)
    file = workshop.folder / NAMES_FILE
    assert file.stat().st_mode & 0o077 == 0
    file.unlink()
    names = Names(workshop.folder).all()
    assert name_of(names, made.by) == f"a person whose name is not kept here ({made.by})"
    file.write_text("[1]", "utf-8")
    with pytest.raises(BadFile, match="no list of names"):
        Names(workshop.folder).all()


def job_file(place: Workshop, version: int = 1, more: str = "") -> Path:
    path = place.jobs / "gauge-again.toml"
    path.write_text(JOB.format(version=version, more=more), "utf-8")
    return path


def test_a_job_pins_the_exact_version_with_its_question(workshop: Workshop) -> None:
    made = shelve(workshop, ASKS)
    with open_store(workshop) as store:
        seen = confirm(store, workshop, made, "B. Reader")
    file = job_file(workshop, more=f', sha256 = "{made.sha256}"')
    shelve(workshop, replace(draft_of(made), choice=1))
    with open_session(workshop, file, today=today()) as session:
        (stage,) = session.plan.joints[0].stages
        assert (stage.stage.value, stage.stage.unit) == (20.0, "in·lbf")
        assert str(session.job.joints[0].procedure.source) == (
            "Service sheet (invented), 3, 2024-05, 12"
        )
        opened = session.state.opened
        assert opened is not None
        assert opened["shelf"] == [{**seen.as_body(), "joints": ["cover"]}]
        session.take(PullKey("cover", 1, 1), ValueReading(Decimal(20), "in·lbf"))
    with open_store(workshop) as store:
        record = record_of(store, "gauge-again")
        assert record_of(store, "gauge-again") == record
        assert verify(record).ok
        assert paper_of(record, workshop.papers).startswith(b"%PDF-")
        ids = [row["entry"]["id"] for row in json.loads(record)["entries"]]
        assert made.entry in ids
        assert seen.confirmed[0].entry in ids
        text = "\n".join(record_text(record, Names(workshop.folder).all()))
    assert "Procedure gauge-cover, version 1, entered by A. Fitter" in text
    assert "Compared with its source by B. Reader" in text
    assert "Question: 20 lbs: pounds are a force; feet or inches are missing" in text
    assert "Reading 1: torque 20 ft·lbf" in text
    assert "Reading 2 (chosen by A. Fitter): torque 20 in·lbf" in text


def test_a_job_goes_on_with_its_version_whatever_the_shelf_says_later(workshop: Workshop) -> None:
    made = shelve(workshop, ASKS)
    with open_session(workshop, job_file(workshop), today=today()) as session:
        opened = dict(session.state.opened or {})
    shelve(workshop, replace(draft_of(made), choice=1))
    _job, _drawer, plan = pinned(opened)
    assert plan.joints[0].stages[0].stage.unit == "in·lbf"
    with open_store(workshop) as store:
        again = Session(store, "gauge-again", workshop.papers)
        assert again.plan.joints[0].stages[0].stage.unit == "in·lbf"


def test_a_version_is_worked_as_it_was_understood_then(workshop: Workshop) -> None:
    """A later program may read a text otherwise; what was settled stays."""
    made = shelve(workshop, ASKS)
    otherwise = replace(made, content={**made.content, "text": "Oil the threads. 9 Nm, then 30 Nm"})
    found = shelved(otherwise)
    assert [(stage.value, stage.unit) for stage in found.stages] == [(20.0, "in·lbf")]
    assert found.questions == ()


@pytest.mark.parametrize(
    ("version", "more", "said"),
    [
        (7, "", "no version 7"),
        (1, f', sha256 = "{"0" * 64}"', "another hash"),
        (1, ", choice = 1", "choice stands on the shelf"),
        (1, ', text = "30 Nm"', "as text, as stage tables, or as shelf"),
    ],
)
def test_a_pin_that_does_not_hold(workshop: Workshop, version: int, more: str, said: str) -> None:
    shelve(workshop, ASKS)
    before = kinds(workshop)
    with pytest.raises(ClampwrightError, match=said):
        load_plan(job_file(workshop, version, more), None, today=today())
    assert kinds(workshop) == before


def test_a_job_needs_its_shelf(workshop: Workshop) -> None:
    with pytest.raises(ClampwrightError, match="no procedure 'gauge-cover' on the shelf"):
        load_plan(job_file(workshop), None, today=today())


def test_a_choice_in_the_job_file_is_in_the_record_too(workshop: Workshop) -> None:
    file = job_file(workshop)
    inline = 'procedure = { text = "Torque to 20 lbs.", choice = 1 }'
    text = file.read_text("utf-8").replace(
        'procedure = { shelf = "gauge-cover", version = 1 }', inline
    )
    file.write_text(text, "utf-8")
    with open_session(workshop, file, today=today()) as session:
        settled = dict(session.state.opened or {})["settled"]
        (only,) = settled
        assert (only["joint"], only["chosen"], len(only["readings"])) == ("cover", 1, 2)
        lines = "\n".join(record_text(record_of(session.store, "gauge-again"), {}))
    assert "Reading 1 (chosen in the job file): torque 20 ft·lbf" in lines


def test_a_backup_brings_names_and_pages_back(workshop: Workshop, tmp_path: Path) -> None:
    photograph = keep_file(workshop.papers, PNG, "page.png")
    made = shelve(workshop, replace(PLAIN, attached=((photograph.sha256, "page.png"),)))
    now, there = dt.datetime(2026, 11, 1, tzinfo=dt.UTC), tmp_path / "there"
    with open_store(workshop, write=False) as store:
        saved = write_backup(store, workshop.folder, tmp_path / "a.zip", now=now)
    restore(saved.file, there, now=now)
    assert shelf_in(there).version("pump-cover", 1) == made
    assert Workshop(there).papers.read(photograph.sha256) == PNG
    assert Names(there).all() == Names(workshop.folder).all()
    assert (there / NAMES_FILE).stat().st_mode & 0o077 == 0
