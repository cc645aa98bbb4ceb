"""``clampwright check`` as a person and as a program use it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright import cli
from clampwright.cli.check import command

DRAWER = """
[[tool]]
id = "click"
title = "Click wrench (invented)"
kind = "click"
drive = "1/2 in"
scale = [{ unit = "N·m", low = 20, high = 100, main_step = 10, fine_step = 1 }]

[tool.calibration]
date = 2025-01-10
uncertainty_percent = 1
k = 2
point = [{ set = 20, deviation_percent = 0 }, { set = 100, deviation_percent = 0 }]
"""

JOB = """
invented = true
job = { id = "flange", title = "Flange (invented)", machine = "Launch (invented)" }
rules = { torque_percent = 8, angle_deg = 5 }

[[joint]]
id = "flange"
title = "Shaft flange"
harm_level = 2
thread = "M10"
strength = "8.8"
bearing = { outer_mm = 14.63, inner_mm = 11.0 }
friction = "oiled"
layout = { pattern = "circle", count = 4, diameter_mm = 100 }

[joint.procedure]
text = "Tighten crosswise to TORQUE"
source = { title = "Invented sheet" }
"""


@pytest.fixture
def workshop(tmp_path: Path) -> Path:
    (tmp_path / "drawer.toml").write_text(DRAWER, encoding="utf-8")
    (tmp_path / "jobs").mkdir()
    return tmp_path


def write(workshop: Path, torque: str, job: str = JOB) -> Path:
    path = workshop / "jobs" / "flange.toml"
    path.write_text(job.replace("TORQUE", torque), encoding="utf-8")
    return path


def run(*arguments: str | Path) -> Result:
    return CliRunner().invoke(
        command, [*map(str, arguments), "--today", "2025-06-01"], catch_exceptions=False
    )


def test_nothing_serious_is_exit_0_and_says_what_a_check_is_not(workshop: Path) -> None:
    result = run(write(workshop, "36 N·m"))
    assert result.exit_code == 0
    assert "0 to stop for, 0 to ask" in result.output
    assert "never says that a joint is safe" in result.output
    assert "The manufacturer's information comes first" in result.output


def test_a_wrong_unit_is_exit_1_with_the_numbers_and_the_question(workshop: Path) -> None:
    result = run(write(workshop, "300 ft-lb"))
    assert result.exit_code == 1
    lines = result.output.splitlines()
    assert lines.index("STOP  Shaft flange, stage 1") < len(lines)
    assert "as 300 in·lbf = 33.9 N·m" in result.output
    assert "Question: Is the unit ft·lbf, or one of these: in·lbf?" in result.output
    assert "Why:" not in result.output


def test_the_most_serious_is_read_first(workshop: Path) -> None:
    output = run(write(workshop, "300 ft-lb")).output
    assert output.index("STOP") < output.index("NOTE")


def test_reasons_and_sources_on_request(workshop: Path) -> None:
    output = run(write(workshop, "300 ft-lb"), "--why").output
    assert "Why: Inch-pounds for foot-pounds is a factor of 12" in output
    assert "Source: onset of yield" in output


def test_json_is_one_object_with_counts_and_findings(workshop: Path) -> None:
    result = run(write(workshop, "300 ft-lb"), "--json")
    assert result.exit_code == 1
    data = json.loads(result.output)
    assert data["job"] == "flange"
    assert data["counts"]["stop"] == sum(one["severity"] == "stop" for one in data["findings"])
    found = {one["code"]: one for one in data["findings"]}
    assert found["over_yield"]["joint"] == "flange"
    assert found["over_yield"]["stage"] == 1
    assert found["unit_mix_up"]["numbers"]["as in·lbf"]["unit"] == "N·m"
    assert "300 ft·lbf" in found["over_yield"]["message"]["text"]


def test_another_drawer_can_be_named(workshop: Path, tmp_path: Path) -> None:
    other = tmp_path / "bar.toml"
    bar = '[[tool]]\nid = "bar"\ntitle = "Bar"\nkind = "bar"\ndrive = "1/2 in"\n'
    other.write_text(bar, encoding="utf-8")
    output = run(write(workshop, "36 N·m"), "--drawer", other).output
    assert "No tool of the drawer can do this stage" in output


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["absent.toml"], "absent.toml cannot be read"),
        (["JOB", "--today", "tomorrow"], "'tomorrow' is not a day; write it as 2026-05-01"),
        (["JOB", "--drawer", "absent.toml"], "absent.toml cannot be read"),
    ],
)
def test_a_mistake_is_exit_2_and_one_sentence(
    workshop: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    arguments: list[str],
    told: str,
) -> None:
    job = str(write(workshop, "36 N·m"))
    given = [job if one == "JOB" else one for one in arguments]
    monkeypatch.setattr("sys.argv", ["clampwright", "check", *given])
    with pytest.raises(SystemExit) as stopped:
        cli.main()
    shown = capsys.readouterr()
    assert stopped.value.code == 2
    assert told in shown.err
    assert len(shown.err.strip().splitlines()) == 1
    assert shown.out == ""


def test_help_has_an_example() -> None:
    result = CliRunner().invoke(command, ["--help"])
    assert "Example: clampwright check" in result.output
