"""``clampwright validate`` as a person and as a program use it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from click.testing import CliRunner, Result

from clampwright.cli.validate import command, digits, verdict
from clampwright.joint import _arms
from clampwright.validation import sheet
from clampwright.validation.row import Row


def run(*words: str) -> Result:
    return CliRunner().invoke(command, list(words))


def row(computed: float, printed: str, *, explained: str | None = None) -> Row:
    return Row("id", "topic", "what", computed, printed, "N", 0.05, "source", explained)


def test_json_has_every_row_and_the_counts() -> None:
    done = run("--json")
    assert done.exit_code == 0
    found: dict[str, Any] = json.loads(done.output)
    assert len(found["rows"]) == found["counts"]["rows"] > 1000
    explained = [one for one in found["rows"] if one["explained"] is not None]
    assert len(explained) == found["counts"]["explained"]
    assert all(not one["ok"] for one in explained)
    assert found["counts"]["failed"] == 0


def test_text_counts_in_its_heading_and_names_source_and_tolerance() -> None:
    done = run("--about", "W1.1")
    assert done.exit_code == 0
    heading = done.output.splitlines()[0]
    assert heading.endswith("published values computed again: 12 agree, 0 explained, 0 wrong")
    for part in ("37.62007", "37.620 N·m", "0.0005", "Motosh"):
        assert part in done.output


def test_failed_shows_only_what_does_not_agree_with_its_reason() -> None:
    done = run("--failed", "--about", "M4 10.9")
    assert done.exit_code == 0
    assert "explained VDI2230-coarse/M4 10.9 0.12" in done.output
    assert "believed a misprint" in done.output
    assert "ok  " not in done.output


@pytest.mark.parametrize("as_json", [False, True])
def test_a_wrong_constant_is_a_finding(as_json: bool, monkeypatch: pytest.MonkeyPatch) -> None:  # noqa: FBT001 - a parameter of the test
    monkeypatch.setattr(_arms, "LEAD_ARM", 1.01 * _arms.LEAD_ARM)
    sheet._case.cache_clear()  # noqa: SLF001 - the memory of the cases must feel the change
    done = run("--about", "W1.1", "--failed", *(["--json"] if as_json else []))
    sheet._case.cache_clear()  # noqa: SLF001 - same
    assert done.exit_code == 1
    if as_json:
        assert json.loads(done.output)["counts"]["failed"] > 0
    else:
        assert "WRONG" in done.output


def test_verdict_in_one_word() -> None:
    assert verdict(row(1.0, "1.0")) == "ok"
    assert verdict(row(2.0, "1.0")) == "WRONG"
    assert verdict(row(2.0, "1.0", explained="misprint")) == "explained"
    assert verdict(row(float("nan"), "1.0")) == "WRONG"


@pytest.mark.parametrize(
    ("value", "printed", "shown"),
    [
        (37.620068, "37.620", "37.62007"),
        (74.690712, "75", "74.69"),
        (8.2e9, "8.2e9", "8.200e+09"),
        (4.45, "4.4482216152605", "4.45000000000000"),  # 15 digits, no more
        (6894.757293168361, "6894.75729316836133672", "6894.75729316836"),
        (1e-7, "0.0000001", "0.000000100"),
        (0.0, "0", "0.00"),
        (1.5, "1.50000", "1.5000000"),
    ],
)
def test_two_digits_more_than_printed(value: float, printed: str, shown: str) -> None:
    assert digits(value, row(value, printed)) == shown
