"""Records are written, read aloud, verified; a change of content is found and named."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright import __version__
from clampwright.bench.folder import Workshop
from clampwright.cli import group
from clampwright.demo.run import build_workshop, run_job


@pytest.fixture(scope="module")
def coupled(tmp_path_factory: pytest.TempPathFactory) -> Workshop:
    """A workshop with one job done and its record written."""
    place = build_workshop(tmp_path_factory.mktemp("coupled") / "workshop", replace=False)
    assert run_job(place, "propeller-coupling", seed=3, faults=()).record is not None
    return place


@pytest.fixture
def workshop(coupled: Workshop, tmp_path: Path) -> Workshop:
    """The same, copied for one test."""
    return Workshop(shutil.copytree(coupled.folder, tmp_path / "workshop"))


@pytest.fixture
def record(workshop: Workshop) -> Path:
    return workshop.records / "propeller-coupling.json"


def run(*arguments: str) -> Result:
    return CliRunner().invoke(group, list(arguments))


def test_a_whole_record_is_verified(record: Path) -> None:
    result = run("verify", str(record))
    assert result.exit_code == 0
    assert "nothing was altered" in result.output
    assert "not that a reading was true" in result.output


def test_a_changed_verdict_is_found_and_named(record: Path) -> None:
    data = record.read_bytes()
    record.write_bytes(data.replace(b'"verdict":"within"', b'"verdict":"over"', 1))
    result = run("verify", "--json", str(record))
    found = json.loads(result.output)
    assert result.exit_code == 1
    assert not found["ok"]
    assert found["first_bad"]["id"]


def test_another_key_than_the_demanded_one_is_found(record: Path) -> None:
    other = "00" * 32
    result = run("verify", "--key", other, str(record))
    assert result.exit_code == 1
    fingerprint = json.loads(run("verify", "--json", str(record)).output)["key"]["fingerprint"]
    assert run("verify", "--key", fingerprint, str(record)).exit_code == 0


def test_what_is_no_record(tmp_path: Path) -> None:
    file = tmp_path / "shopping.json"
    file.write_text('{"milk": 2}')
    result = run("verify", str(file))
    assert result.exit_code == 1
    assert "Traceback" not in result.output


def test_a_record_to_read(workshop: Workshop, record: Path) -> None:
    assert record.exists()
    text = run("record", "propeller-coupling", "--workshop", str(workshop.folder), "--text").output
    for part in ("RECORD OF WORK", "Stern gear sheet (invented), B", "Tools used", "calibrated"):
        assert part in text


def test_the_same_job_gives_the_same_record_again(workshop: Workshop, record: Path) -> None:
    before = record.read_bytes()
    result = run("record", "propeller-coupling", "--workshop", str(workshop.folder), "--json")
    assert json.loads(result.output)["file"] == str(record)
    assert record.read_bytes() == before


def test_a_job_that_was_never_opened(workshop: Workshop, record: Path) -> None:
    assert record.exists()
    result = run("record", "no-such-job", "--workshop", str(workshop.folder))
    assert result.exit_code != 0
    assert "no-such-job" in str(result.exception)


def test_a_folder_without_a_log(tmp_path: Path) -> None:
    result = run("record", "any", "--workshop", str(tmp_path))
    assert "workshop.sqlite" in str(result.exception)
    assert not list(tmp_path.iterdir())


@pytest.fixture(scope="module")
def paper(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = build_workshop(tmp_path_factory.mktemp("paper") / "workshop", replace=False)
    made = run_job(place, "gearbox-drain-plug", seed=3, faults=()).record
    assert made is not None
    return made.with_suffix(".pdf")


def test_a_paper_is_verified_with_its_pages(paper: Path) -> None:
    plain = run("verify", str(paper))
    assert plain.exit_code == 0
    assert "not the pages: --render does that" in plain.output
    whole = run("verify", str(paper), "--render", "--workshop", str(paper.parents[1]))
    assert whole.exit_code == 0
    assert "made again from its data, the same bytes" in whole.output
    assert "its hash stands on the log" in whole.output
    asked = run("verify", str(paper.with_suffix(".json")), "--render")
    assert "is no paper (PDF)" in str(asked.exception)


def test_changed_pages_are_found_although_the_record_holds(paper: Path, tmp_path: Path) -> None:
    data, changed = paper.read_bytes(), tmp_path / "changed.pdf"
    at = data.index(b"stream", 2000) + 40
    changed.write_bytes(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :])
    assert run("verify", str(changed)).exit_code == 0
    found = run("verify", str(changed), "--render", "--workshop", str(paper.parents[1]))
    assert found.exit_code == 1
    assert "its pages are not what its data give" in found.output
    assert "knows no paper with this hash" in found.output


def test_the_paper_of_another_version_is_told_not_blamed(paper: Path, tmp_path: Path) -> None:
    data, other = paper.read_bytes(), tmp_path / "other.pdf"
    own = f"/Keywords(clampwright {__version__})".encode()
    assert own in data
    other.write_bytes(data.replace(own, own.replace(b"clampwright ", b"clampwright 9")))
    told = run("verify", str(other), "--render")
    assert told.exit_code == 0
    assert f"version 9{__version__} made it, and this is {__version__}" in told.output


def test_a_paper_without_a_whole_record_is_none(paper: Path, tmp_path: Path) -> None:
    data, file = paper.read_bytes(), tmp_path / "no.pdf"
    begins = data.index(b"stream", data.index(b"/Type/EmbeddedFile")) + 40
    for changed in (
        data[:begins] + b"\0" * 50 + data[begins + 50 :],
        data.replace(b"/Type/EmbeddedFile", b"/Type/NothingAtAll"),
        data[: len(data) // 3],
    ):
        file.write_bytes(changed)
        result = run("verify", str(file), "--render")
        assert result.exit_code == 1, result.output
        assert "cannot be read as a record" in result.output


def test_without_its_recordings_a_paper_is_not_compared(
    paper: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The pages draw recorded pulls; a stranger who lacks them is told so, not alarmed."""
    monkeypatch.setattr("clampwright.report.again.named_recordings", lambda _state: {"ab" * 32})
    monkeypatch.setattr("clampwright.report.again.record_pdf", lambda *_a, **_k: b"%PDF-other")
    (tmp_path / "recordings").mkdir()
    told = run("verify", str(paper), "--render", "--recordings", str(tmp_path / "recordings"))
    assert told.exit_code == 0
    assert "recordings of pulls are drawn on them that are not at hand" in told.output
