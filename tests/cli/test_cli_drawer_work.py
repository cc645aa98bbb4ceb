"""The drawer's commands: choosing, taking, reading back, entering, looking over."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.records import record_text
from clampwright.cli.drawer import command
from clampwright.errors import BadFile, ClampwrightError, Missing, OutOfRange, Refused

Run = Callable[..., Result]


@pytest.fixture
def run(workshop: Workshop, monkeypatch: pytest.MonkeyPatch) -> Run:
    monkeypatch.chdir(workshop.folder)
    return lambda *words: CliRunner().invoke(command, [*words])


def answer(done: Result, status: int = 0) -> dict[str, Any]:
    assert done.exit_code == status, done.output or done.exception
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_every_tool_is_named_with_its_reasons(run: Run) -> None:
    tools = answer(run("choose", "45 N·m", "--within", "5", "--json"))["tools"]
    assert {"click-60", "dial-200in", "bar-12"} <= {one["tool"] for one in tools}
    usable = [one["usable"] for one in tools]
    assert usable == sorted(usable, reverse=True)
    assert all(one["reasons"] for one in tools if not one["usable"])
    best = tools[0]
    assert best["setting"]["torque_at_fastener_Nm"] == pytest.approx(45, rel=0.05)
    assert any("Then lock." in line for line in best["setting"]["spoken"]) == (
        best["tool"] == "click-60"
    )


def test_no_tool_is_a_finding_and_bad_words_are_not(run: Run) -> None:
    done = run("choose", "900 N·m")
    assert done.exit_code == 1
    assert "its scale goes from" in done.output
    assert isinstance(run("choose", "45 parsec").exception, ClampwrightError)
    assert isinstance(run("choose", "45 N·m", "--harm", "7").exception, OutOfRange)
    assert isinstance(run("choose", "45 N·m", "--tool", "nobody").exception, Refused)


def test_a_card_is_written(run: Run, tmp_path: Path) -> None:
    card = tmp_path / "card.svg"
    done = run("choose", "45 N·m", "--card", str(card))
    assert done.exit_code == 0, done.output
    assert "Wanted at the fastener: 45 N·m" in card.read_text(encoding="utf-8")


WHEEL = ("jobs/trailer-wheel.toml", "--joint", "wheel", "--stage", "1")


def test_another_tool_with_its_reason_stands_in_plan_and_record(
    run: Run, workshop: Workshop
) -> None:
    found = answer(run("take", "electronic-200", *WHEEL, "--reason", "kept at hand", "--json"))
    assert found["tool"] == "electronic-200"
    with open_store(workshop) as store:
        record = store.record("trailer-wheel")
    lines = "\n".join(record_text(record))
    assert "a person took electronic-200 instead: kept at hand" in lines


def test_what_cannot_do_it_cannot_be_taken(run: Run) -> None:
    done = run("take", "bar-12", *WHEEL, "--reason", "strong arm")
    assert isinstance(done.exception, Refused)
    assert "cannot do stage 1, and no reason changes that" in str(done.exception)
    assert isinstance(run("take", "click-60", *WHEEL, "--reason", " ").exception, Refused)
    assert isinstance(run("take", "nobody", *WHEEL, "--reason", "x").exception, Refused)
    gone = run("take", "click-60", *WHEEL[:-1], "9", "--reason", "x")
    assert "there is no stage 9" in str(gone.exception)


def test_a_doubtful_tool_is_taken_in_spite_of_its_date(run: Run) -> None:
    stage = (*WHEEL[:-1], "2")
    done = run("take", "beam-200", *stage, "--reason", "checked against the test device today")
    assert done.exit_code == 0, done.exception
    assert "in spite of: its calibration ran out" in done.output


def test_read_back(run: Run) -> None:
    tool = answer(run("take", "click-60", *WHEEL, "--reason", "to be sure", "--json"))["tool"]
    assert tool == "click-60"
    right = run("read-back", "44", "Nm", *WHEEL)
    assert (right.exit_code, "both read the same" in right.output) == (0, True), right.output
    wrong = answer(run("read-back", "54,0", "Nm", *WHEEL, "--json"), 1)
    assert "whole main marks" in wrong["text"]
    assert isinstance(run("read-back", "many", "Nm", *WHEEL).exception, ClampwrightError)
    assert isinstance(run("read-back", "44", "parsec", *WHEEL).exception, ClampwrightError)
    assert isinstance(run("read-back", "500", "Nm", *WHEEL).exception, OutOfRange)


NEW = ("--title", "Small", "--kind", "click", "--drive", "1/4 in", "--unit", "Nm")


def test_a_tool_is_entered_with_seven_fields(run: Run, workshop: Workshop) -> None:
    before = workshop.drawer.read_text(encoding="utf-8")
    made = answer(run("add", *NEW, "--low", "5", "--high", "25", "--main-step", "5", "--json"))
    assert made == {"tool": "click-25"}
    assert workshop.drawer.read_text(encoding="utf-8").startswith(before.rstrip())


def test_bad_input_changes_nothing(run: Run, workshop: Workshop) -> None:
    before = workshop.drawer.read_bytes()
    bad = run("add", *NEW, "--low", "5", "--high", "25", "--main-step", "7")
    assert isinstance(bad.exception, BadFile)
    assert isinstance(run("add", *NEW).exception, Missing)
    words = run("add", *NEW, "--low", "five", "--high", "25", "--main-step", "5")
    assert isinstance(words.exception, ClampwrightError)
    (workshop.folder / "c.txt").write_text("no certificate", encoding="utf-8")
    assert isinstance(run("attach", "click-60", "c.txt", "--as", "certificate").exception, BadFile)
    assert workshop.drawer.read_bytes() == before


def test_a_certificate_is_kept(run: Run, workshop: Workshop) -> None:
    (workshop.folder / "c.pdf").write_bytes(b"%PDF-1.7 invented")
    done = run("attach", "click-60", "c.pdf", "--as", "certificate")
    assert done.exit_code == 0, done.exception
    assert "[[tool.paper]]" in workshop.drawer.read_text(encoding="utf-8")


def test_coverage_and_its_chart(run: Run, tmp_path: Path) -> None:
    chart = tmp_path / "c.svg"
    found = answer(run("coverage", "--chart", str(chart), "--json"), 1)
    gaps = {one["gap"] for one in found["needs"]}
    assert {"none", "range"} <= gaps
    assert found["suggestion"]["closes"] >= 1
    assert chart.read_text(encoding="utf-8").startswith("<svg")
    assert "The best single addition: a click wrench" in run("coverage").output


def test_a_job_file_that_cannot_be_taken_is_named(run: Run, workshop: Workshop) -> None:
    (workshop.jobs / "broken.toml").write_text("x", encoding="utf-8")
    assert "broken.toml left out: " in run("coverage").output


def test_by_feel(run: Run) -> None:
    assert "trim and undershield" in run("by-feel").output
    wheel = answer(run("by-feel", "jobs/trailer-wheel.toml", "--json"))["advice"]
    assert [one["control"] for one in wheel] == ["wrench"]
    soft = answer(run("by-feel", "--harm", "3", "--soft-thread", "--json"))["advice"]
    assert soft[0]["control"] == "small wrench"
    assert isinstance(run("by-feel", "--harm", "9").exception, OutOfRange)


def test_the_check_of_one_minute_goes_to_the_log(run: Run, workshop: Workshop) -> None:
    listed = answer(run("look-over", "job", "beam-200", "--json"))["looks"]
    assert sum(one["seconds"] or 0 for one in listed) <= 60
    part = answer(run("look-over", "job", "beam-200", "--right", "zero", "--json"), 1)
    assert part["not_right"] == ["look", "date", "socket"]
    assert run("look-over", "job", "beam-200", "--all-right").exit_code == 0
    with open_store(workshop, write=False) as store:
        kept = [one["body"] for one in store.entries() if one["kind"] == "tool_looked_over"]
    assert [one["not_right"] for one in kept] == [["look", "date", "socket"], []]
    assert isinstance(run("look-over", "job", "beam-200", "--right", "wings").exception, Refused)
    assert isinstance(run("look-over", "job", "bar-12", "--all-right").exception, Refused)


def test_keep_or_replace(run: Run) -> None:
    done = run("keep-or-replace", "--calibration", "60", "--new", "180", "--old-lasts", "5")
    assert "keeping is cheaper by 12 a year" in done.output
    wrong = run("keep-or-replace", "--calibration", "-1", "--new", "180")
    assert isinstance(wrong.exception, OutOfRange)


def test_a_tool_is_shown_with_what_belongs_to_it(run: Run, workshop: Workshop) -> None:
    (workshop.folder / "c.pdf").write_bytes(b"%PDF-1.7 invented")
    assert run("attach", "click-60", "c.pdf", "--as", "certificate").exit_code == 0
    shown = run("show", "click-60").output
    for part in (
        "ISO 6789 type II class A",
        "number C60-2218",
        "0.9 kg",
        "certificate: tool-papers/",
    ):
        assert part in shown
    assert answer(run("show", "click-60", "--json"))["serial"] == "C60-2218"
