"""``clampwright judge`` as a person or another program calls it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pyarrow as pa
import pytest
from click.testing import CliRunner, Result
from pyarrow import parquet

from clampwright.cli.judge import command
from clampwright.errors import ClampwrightError

GIVEN = {
    "procedure": "torque",
    "target_torque_Nm": 50.0,
    "snug_torque_Nm": 10.0,
    "angle_steps_deg": [],
    "nominal": {"torque_rate_Nm_per_deg": 1.25, "angle_snug_to_target_deg": 32.0},
    "tool_stiffness_Nm_per_deg": None,
    "sample_rate_hz": 300,
    "angle_mode": "output",
}
FIELDS = {
    "verdict",
    "pattern",
    "fault",
    "likelihoods",
    "reasons",
    "snug_angle_deg",
    "turned_after_snug_deg",
    "turned_total_deg",
    "final_torque_nm",
    "slope_nm_per_deg",
    "yield",
    "strokes",
    "uncertainty",
}


def columns(end: float = 80.0) -> dict[str, np.ndarray]:
    angle = np.arange(0.0, end, 0.1)
    torque = np.maximum(1.25 * (angle - 40.0), 0.0)
    return {"time_s": np.arange(len(angle)) / 300.0, "torque_Nm": torque, "angle_deg": angle}


def as_csv(table: dict[str, np.ndarray]) -> str:
    rows = zip(*table.values(), strict=True)
    return "\n".join([",".join(table), *(",".join(f"{x:.4f}" for x in row) for row in rows), ""])


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "pull.csv").write_text(as_csv(columns()), encoding="utf-8")
    (tmp_path / "short.csv").write_text(as_csv(columns(70.0)), encoding="utf-8")
    parquet.write_table(pa.table(columns()), tmp_path / "pull.parquet")
    (tmp_path / "given.json").write_text(json.dumps(GIVEN), encoding="utf-8")
    return tmp_path


def run(*arguments: object) -> Result:
    return CliRunner().invoke(command, [str(a) for a in arguments])


def test_one_trace_as_json_has_every_agreed_field(folder: Path) -> None:
    result = run(folder / "pull.csv", "--given", folder / "given.json", "--json")
    data = json.loads(result.stdout)
    assert result.exit_code == 0
    assert set(data) >= FIELDS
    assert data["verdict"] == "within"
    assert data["yield"] == {"reached": False, "angle_deg": None, "clamp_n": None}
    assert set(data["strokes"][0]) == {"t0_s", "t1_s", "turned_deg", "end"}
    assert data["snug_angle_deg"] == pytest.approx(48.0, abs=0.3)


def test_csv_and_parquet_give_the_same(folder: Path) -> None:
    text = json.loads(run(folder / "pull.csv", "--given", folder / "given.json", "--json").stdout)
    table = json.loads(
        run(folder / "pull.parquet", "--given", folder / "given.json", "--json").stdout
    )
    assert table["verdict"] == text["verdict"]
    assert table["turned_total_deg"] == pytest.approx(text["turned_total_deg"], abs=1e-3)


def test_a_short_pull_is_a_finding_in_words(folder: Path) -> None:
    result = run(folder / "short.csv", "--given", folder / "given.json")
    assert result.exit_code == 1
    assert "SHORT" in result.stdout
    assert "below 47.5 N·m" in result.stdout


def listed(folder: Path, *lines: object) -> list[dict[str, object]]:
    path = folder / "list.jsonl"
    text = "\n".join(line if isinstance(line, str) else json.dumps(line) for line in lines)
    path.write_text(text, encoding="utf-8")
    result = run("--batch", path)
    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert result.exit_code == (1 if any("error" in answer for answer in answers) else 0)
    return answers


def test_a_batch_takes_paths_beside_the_list_and_absolute_ones(folder: Path) -> None:
    answers = listed(
        folder,
        {"id": "a", "trace": "pull.csv", "given": GIVEN},
        {"id": 2, "trace": str(folder / "short.csv"), "given": GIVEN},
        "",
        {"id": "c", "trace": "pull.parquet", "given": GIVEN},
    )
    assert [answer["id"] for answer in answers] == ["a", 2, "c"]
    assert [answer["verdict"] for answer in answers] == ["within", "short", "within"]
    assert all(set(answer) >= FIELDS for answer in answers)


def test_what_cannot_be_read_stops_only_itself(folder: Path) -> None:
    whole = (folder / "pull.parquet").read_bytes()
    (folder / "cut.parquet").write_bytes(whole[: len(whole) // 2])
    (folder / "empty.csv").write_bytes(b"")
    (folder / "one.csv").write_text("time_s,torque_Nm,angle_deg\n0,1,2\n", encoding="utf-8")
    answers = listed(
        folder,
        {"id": "gone", "trace": "gone.csv", "given": GIVEN},
        {"id": "cut", "trace": "cut.parquet", "given": GIVEN},
        {"id": "empty", "trace": "empty.csv", "given": GIVEN},
        {"id": "one", "trace": "one.csv", "given": GIVEN},
        {"id": "given", "trace": "pull.csv", "given": {"target_torque_Nm": -5}},
        {"id": "unknown", "trace": "pull.csv", "given": {"target": 5}},
        {"id": "nothing", "trace": "pull.csv"},
        "{not json",
        {"id": "null", "trace": "a\0b", "given": GIVEN},
        {"id": "folder", "trace": ".", "given": GIVEN},
        {"id": "good", "trace": "pull.csv", "given": GIVEN},
    )
    assert len(answers) == 11
    assert answers[-1]["verdict"] == "within"
    for answer in answers[:-1]:
        assert answer["verdict"] == "not known"
        assert answer["error"]
    says = {answer["id"]: str(answer["error"]) for answer in answers[:-1]}
    assert "cut off" in says["cut"]
    assert "cannot be read" in says["gone"]
    assert "did you mean" in says["unknown"]
    assert "list.jsonl, line 8" in says[None]


def test_an_archive_is_judged_pull_by_pull(folder: Path) -> None:
    one, two = columns(), columns(70.0)
    names = ["first"] * len(one["time_s"]) + ["second"] * len(two["time_s"])
    table = {"trace": names} | {key: np.concatenate((one[key], two[key])) for key in one}
    parquet.write_table(pa.table(table), folder / "archive.parquet")
    result = run("--batch", folder / "archive.parquet", "--given", folder / "given.json")
    answers = [json.loads(line) for line in result.stdout.splitlines()]
    assert [(answer["id"], answer["verdict"]) for answer in answers] == [
        ("first", "within"),
        ("second", "short"),
    ]
    without = run("--batch", folder / "archive.parquet")
    assert isinstance(without.exception, ClampwrightError)
    assert "--given" in str(without.exception)


def test_lines_of_another_form_are_tried_and_judged(folder: Path) -> None:
    table = columns()
    rows = zip(*table.values(), strict=True)
    lines = ["boot 3.1", *(f"R:{1000 * t:.1f};{-m / 1.3558179:.3f};{a:.2f}" for t, m, a in rows)]
    (folder / "log.txt").write_text("\n".join(lines), encoding="utf-8")
    (folder / "form.toml").write_text(
        'separator = ";"\nbegins = "R:"\n[time]\nfield = 1\nunit = "ms"\n'
        '[torque]\nfield = 2\nunit = "ft·lbf"\nsign = -1\n[angle]\nfield = 3\n',
        encoding="utf-8",
    )
    shown = run(folder / "log.txt", "--lines", folder / "form.toml")
    assert shown.exit_code == 0
    assert "800 of 801 lines read" in shown.stdout
    assert "boot 3.1" in shown.stdout
    judged = run(
        folder / "log.txt",
        "--lines",
        folder / "form.toml",
        "--given",
        folder / "given.json",
        "--json",
    )
    assert json.loads(judged.stdout)["verdict"] == "within"
    assert "passed over: 1" in json.loads(judged.stdout)["history"][0]
    tried = json.loads(run(folder / "log.txt", "--lines", folder / "form.toml", "--json").stdout)
    assert tried["samples"] == 800
    assert tried["torque_nm"][1] == pytest.approx(49.9, abs=0.1)


def test_a_chart_is_written(folder: Path) -> None:
    result = run(
        folder / "pull.csv",
        "--given",
        folder / "given.json",
        "--chart",
        folder / "pull.svg",
        "--time-chart",
        folder / "time.svg",
    )
    assert result.exit_code == 0
    for name in ("pull.svg", "time.svg"):
        assert "WITHIN" in (folder / name).read_text(encoding="utf-8")


def test_nothing_to_judge_is_said() -> None:
    result = run()
    assert result.exit_code == 2
    assert "Name a TRACE" in result.output
