"""``clampwright judge`` beside others: good pulls before, the set, own figures."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from clampwright.cli.judge import command
from clampwright.errors import BadFile, ClampwrightError

GIVEN = {
    "target_torque_Nm": 50.0,
    "snug_torque_Nm": 10.0,
    "nominal": {"torque_rate_Nm_per_deg": 1.25},
    "sample_rate_hz": 300,
    "angle_mode": "output",
}


def pull(path: Path, slope: float) -> None:
    angle = np.arange(0.0, 40.0 + 50.0 / slope, 0.1)
    torque = np.maximum(slope * (angle - 40.0), 0.0)
    rows = zip(np.arange(len(angle)) / 300.0, torque, angle, strict=True)
    lines = [",".join(f"{x:.4f}" for x in row) for row in rows]
    path.write_text("\n".join(["time_s,torque_Nm,angle_deg", *lines, ""]), encoding="utf-8")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Twelve pulls of one joint: eleven rise alike, fastener 7 rises more steeply."""
    rng = np.random.default_rng(3)
    lines = []
    for number in range(1, 13):
        pull(tmp_path / f"{number}.csv", 1.5 if number == 7 else 1.25 + rng.normal(0.0, 0.01))
        lines.append(json.dumps({"id": number, "trace": f"{number}.csv", "given": GIVEN}))
    (tmp_path / "set.jsonl").write_text("\n".join(lines), encoding="utf-8")
    del lines[6]
    (tmp_path / "good.jsonl").write_text("\n".join(lines), encoding="utf-8")
    (tmp_path / "few.jsonl").write_text("\n".join(lines[:4]), encoding="utf-8")
    (tmp_path / "given.json").write_text(json.dumps(GIVEN), encoding="utf-8")
    (tmp_path / "own.toml").write_text(
        "[limits.band_high]\nvalue = 1.1\nsource = 'our own pulls, spring'\n", encoding="utf-8"
    )
    return tmp_path


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(command, [str(one) for one in arguments])


def test_a_set_names_the_fastener_that_differs(folder: Path) -> None:
    told = run("--batch", folder / "set.jsonl", "--set")
    *answers, last = [json.loads(line) for line in told.stdout.splitlines()]
    assert len(answers) == 12
    assert last["set"] == 12
    assert {odd["id"] for odd in last["odd"]} == {"7"}
    assert {odd["feature"] for odd in last["odd"]} == {"turned_after_snug_deg", "slope_nm_per_deg"}
    assert "fastener 7 differs from the others" in last["odd"][0]["told"]
    alike = run("--batch", folder / "good.jsonl", "--set").stdout.splitlines()[-1]
    assert json.loads(alike) == {"set": 11, "odd": []}


def test_good_pulls_before_tell_what_is_unusual(folder: Path) -> None:
    given = ("--given", folder / "given.json", "--good", folder / "good.jsonl")
    usual = run(folder / "1.csv", *given)
    assert usual.exit_code == 0
    assert "unusual" not in usual.stdout
    steep = run(folder / "7.csv", *given)
    assert "is unusual here: 11 good pulls lay between" in steep.stdout
    plain = run(folder / "7.csv", "--given", folder / "given.json")
    assert steep.exit_code == plain.exit_code  # the verdict stays
    few = run(folder / "7.csv", "--given", folder / "given.json", "--good", folder / "few.jsonl")
    assert isinstance(few.exception, ClampwrightError)
    assert "too few to learn from" in str(few.exception)


def test_own_figures_change_the_answer_and_are_told(folder: Path) -> None:
    given = ("--given", folder / "given.json")
    assert "slope" not in run(folder / "7.csv", *given).stdout
    own = run(folder / "7.csv", *given, "--tuning", folder / "own.toml")
    assert own.exit_code == 1
    assert "own limit band_high: 1.1 1 instead of 1.25 (our own pulls, spring)" in own.stdout
    answer = json.loads(
        run(folder / "7.csv", *given, "--tuning", folder / "own.toml", "--json").stdout
    )
    assert answer["pattern"] == "slope_out_of_band"
    assert answer["own"] == ["own limit band_high: 1.1 1 instead of 1.25 (our own pulls, spring)"]
    wrong = run(folder / "7.csv", *given, "--tuning", folder / "given.json")
    assert isinstance(wrong.exception, BadFile)


def test_a_set_needs_a_batch(folder: Path) -> None:
    told = run(folder / "1.csv", "--given", folder / "given.json", "--set")
    assert told.exit_code == 2
    assert "--set goes with --batch" in told.output
