"""``clampwright read``: the marked text, and open questions asked one after the other."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.cli import group
from clampwright.errors import Ambiguous, Missing
from clampwright.procedure import read

M8 = ("--thread", "M8", "--strength", "8.8", "--head", "ISO 4014/4017")


@pytest.fixture
def lbs(tmp_path: Path) -> str:
    file = tmp_path / "lbs.txt"
    file.write_text("Torque to 25 lbs. Then 40 lbs\n", "utf-8")
    return str(file)


def run(*arguments: str, typed: str | None = None) -> Result:
    return CliRunner().invoke(group, ["read", *arguments], input=typed)


def test_the_text_is_shown_with_its_marks() -> None:
    lines = run("-", typed="M10: 30 Nm, page 7, then 90°\n").output.splitlines()
    assert lines[1:4] == [
        "  M10: 30 Nm, page 7, then 90°",
        "  1--  2====  3-----       4==",
        "  = used   ? asked   - something else   ! not understood",
    ]
    assert "  3 -  page 7 (page, part or position number)" in lines


def test_json_and_batch_are_as_they_were(tmp_path: Path) -> None:
    text = "Torque to 25 lbs."
    one = run("--json", "-", typed=text)
    assert json.loads(one.output) == read(text).as_json()
    assert one.exit_code == 1
    cases = tmp_path / "cases.jsonl"
    cases.write_text(json.dumps({"id": "a", "text": text, "locale": "en"}) + "\n", "utf-8")
    many = run("--batch", str(cases))
    assert json.loads(many.output) == {"id": "a", **read(text).as_json()}
    assert many.exit_code == 0


def test_questions_are_asked_one_by_one_until_one_reading_is_left(lbs: str) -> None:
    done = run(lbs, "--settle", *M8, "--friction", "oiled", typed="2\n3\nx\n1\n")
    assert done.exit_code == 0, done.output
    assert "Step 1: which one is meant?" in done.output
    assert "as 25 in·lbf = 2.82 N·m: " in done.output
    assert done.output.count("Type a number from 1 to 2.") == 2
    assert done.output.endswith(
        "Reading 3 of 4:\n  1. torque 25 in·lbf\n  2. torque 40 ft·lbf\nIn a job file: choice = 3\n"
    )


@pytest.mark.parametrize("typed", ["", "q\n", "1\n", "1\nquit\n"])
def test_leaving_without_a_choice_settles_nothing(lbs: str, typed: str) -> None:
    done = run(lbs, "--settle", typed=typed)
    assert isinstance(done.exception, Ambiguous)
    assert done.exception.exit_status == 1
    assert "In a job file" not in done.output


def test_what_no_choice_can_settle_says_so(tmp_path: Path) -> None:
    file = tmp_path / "even.txt"
    file.write_text("Tighten the cover bolts evenly.", "utf-8")
    done = run(str(file), "--settle", typed="1\n")
    assert isinstance(done.exception, Ambiguous)
    assert "No choice can settle it" in str(done.exception)


def test_nothing_is_asked_of_a_plain_text(tmp_path: Path) -> None:
    file = tmp_path / "plain.txt"
    file.write_text("Tighten to 30 Nm", "utf-8")
    done = run(str(file), "--settle", typed="")
    assert (done.exit_code, "which one" in done.output) == (0, False)


def test_readings_stand_with_what_they_would_do(lbs: str) -> None:
    with_size = run(lbs, *M8).output
    assert with_size.count("% of proof load") + with_size.count(": yields, from ") == 8
    assert "% of proof load" not in run(lbs).output


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (("--settle", "--json"), "leave out --json"),
        (("--strength", "8.8"), "name the thread too"),
        (("--thread", "M8"), "name the head or nut too"),
        (("--thread", "M99", "--head", "ISO 4014/4017"), "M99"),
    ],
)
def test_options_that_do_not_fit(lbs: str, options: tuple[str, ...], said: str) -> None:
    done = run(lbs, *options)
    assert done.exit_code != 0
    assert said in (str(done.exception) + done.output)


def test_questions_need_the_terminal_for_themselves() -> None:
    done = run("-", "--settle", typed="Torque to 25 lbs.")
    assert done.exit_code == 2
    assert "name a FILE" in done.output


def test_missing_names_are_for_a_person() -> None:
    done = run("-", "--thread", "M8", typed="Torque to 25 lbs.")
    assert isinstance(done.exception, Missing)
