"""Records are written, read aloud, verified; a change of content is found and named."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop
from clampwright.cli import group
from clampwright.demo.run import run_job


@pytest.fixture
def record(workshop: Workshop) -> Path:
    result = run_job(workshop, "propeller-coupling", seed=3, faults=())
    assert result.record is not None
    return result.record


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
