"""The drawer's commands on a workshop of their own."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner

from clampwright.bench.days import today
from clampwright.bench.folder import open_session
from clampwright.bench.mechanic import SimulatedMechanic
from clampwright.bench.rehearsal import rehearse
from clampwright.cli.drawer import LINES, command
from clampwright.cli.look_back import command as look_back
from clampwright.errors import ClampwrightError

if TYPE_CHECKING:
    from pathlib import Path

    from clampwright.bench.folder import Workshop


def test_every_command_of_the_group_can_be_called() -> None:
    for name in LINES:
        told = CliRunner().invoke(command, [name, "--help"])
        assert told.exit_code == 0, name
    assert CliRunner().invoke(command, ["no-such"]).exit_code == 2


def test_the_list_names_every_tool_and_its_standing(workshop: Workshop) -> None:
    told = CliRunner().invoke(command, ["list", "--workshop", str(workshop.folder)])
    assert told.exit_code == 0
    assert "Click wrench 10 to 60 N·m" in told.output
    assert "calibration ran out on" in told.output, "the old beam wrench"
    data = CliRunner().invoke(command, ["list", "--workshop", str(workshop.folder), "--json"])
    tools = {tool["id"]: tool for tool in json.loads(data.output)["tools"]}
    assert tools["click-60"]["scales"] == ["10 – 60 N·m"]
    assert tools["bar-12"]["due"] is None


def run(workshop: Workshop, *words: str, status: int = 0, main: bool = False) -> str:
    given = [*words, "--workshop", str(workshop.folder)]
    if main:
        given = given[1:]
    told = CliRunner().invoke(look_back if main else command, given)
    assert told.exit_code == status, (told.output, told.exception)
    return told.output


def refused(workshop: Workshop, *words: str) -> str:
    told = CliRunner().invoke(command, [*words, "--workshop", str(workshop.folder)])
    assert isinstance(told.exception, ClampwrightError), told.output
    return str(told.exception)


def test_what_happened_is_noted_and_shown(workshop: Workshop) -> None:
    said = run(workshop, "note", "dial-200in", "dropped", "--note", "from the bench")
    assert "it was dropped on" in said
    run(workshop, "note", "click-60", "used", "--count", "40", "--high", "3")
    shown = json.loads(run(workshop, "show", "click-60", "--json"))
    assert (shown["uses"], shown["high_uses"]) == (3940, 3)
    assert "from the bench" in run(workshop, "show", "dial-200in")
    assert "left-wound-up" in run(workshop, "note", "--list")
    assert "no spring to wind" in refused(workshop, "note", "bar-12", "wound-down")
    assert "name a tool" in refused(workshop, "note")


def test_a_calibration_is_entered_or_imported(workshop: Workshop, tmp_path: Path) -> None:
    sure = ("--uncertainty", "1.2", "--k", "2")
    said = run(workshop, "calibrated", "click-60", "--found", "60 = 64,0", *sure,
               "--left", "60 = 60,1", "--certificate", "118")  # fmt: skip
    assert "look back over the pulls" in said
    file = tmp_path / "c.csv"
    file.write_text("Soll;reference;U;k\n10;10,1;1,2;2\n60;60,3;1,2;2\n", "utf-8")
    columns = ("--column", "set=Soll", "--column", "uncertainty=U")
    body = json.loads(
        run(workshop, "calibrated", "click-60", "--from", str(file), *columns, "--json")
    )
    assert body["origin"] == "imported"
    assert len(body["found"]) == 2
    assert "WHAT=TITLE" in refused(
        workshop, "calibrated", "click-60", "--from", str(file), "--column", "x"
    )
    assert "shows no torque" in refused(workshop, "calibrated", "bar-12", "--found", "1=1", *sure)


def test_the_look_back_lists_decides_and_writes(workshop: Workshop) -> None:
    with open_session(workshop, workshop.jobs / "trailer-wheel.toml", today=today()) as session:
        rehearse(session, SimulatedMechanic(session.plan, seed=1), lambda *_: None)
    told = CliRunner().invoke(look_back, ["click-60", "--workshop", str(workshop.folder)])
    assert "nothing is on the log" in str(told.exception)
    run(workshop, "calibrated", "click-60", "--found", "36 = 40", "--found", "60 = 66",
        "--uncertainty", "1.2", "--k", "2")  # fmt: skip
    said = run(workshop, "look-back", "click-60", main=True, status=1)
    assert "trailer-wheel:wheel" in said
    assert "do it again; not decided" in said
    where = ("--joint", "trailer-wheel:wheel")
    assert "clamp load" in run(workshop, "look-back", "click-60", *where, main=True, status=1)
    said = run(workshop, "look-back", "click-60", *where, "--decide", "redo", "--reason", "sure",
               "--json", main=True)  # fmt: skip
    joint = json.loads(said)["joints"][0]
    assert (joint["decision"], joint["reason"]) == ("redo", "sure")
    letter = run(workshop, "look-back", "click-60", "--letter", "trailer-wheel", main=True)
    assert "loosened and tightened anew" in letter


READINGS = """shown,reading
10,10.12
10,10.05
60,60.6
60,60.3
"""


def test_a_calibration_is_performed_from_a_table(workshop: Workshop, tmp_path: Path) -> None:
    file = tmp_path / "r.csv"
    file.write_text(READINGS, "utf-8")
    given = ("calibrate", "click-60", "--readings", str(file), "--uncertainty", "0.5")
    said = run(workshop, *given, "--try")
    assert "decision rule: guard band of 2 u" in said
    assert "no accredited calibration" in said
    body = json.loads(run(workshop, *given, "--left", str(file), "--json"))
    assert body["entry"]
    assert body["left"]["points"][1]["readings"] == ["60.6", "60.3"]
    shown = run(workshop, "show", "click-60")
    assert "adjusted" in shown
    bad = tmp_path / "bad.csv"
    bad.write_text("shown,reading\n60,66\n60,66.1\n", "utf-8")
    worse = ("calibrate", "click-60", "--readings", str(bad), "--uncertainty", "0.5", "--try")
    assert "Result: fail" in run(workshop, *worse, status=1)
    assert "--lever" in refused(workshop, "calibrate", "click-60", "--readings", str(file))
    assert "the resolution is -1" in refused(workshop, *given, "--resolution", "-1")


def test_weights_need_a_place_and_are_turned_into_torques(
    workshop: Workshop, tmp_path: Path
) -> None:
    file = tmp_path / "m.csv"
    file.write_text("shown,mass\n36,11.5\n36,11.52\n", "utf-8")
    given = ("calibrate", "click-60", "--readings", str(file), "--lever", "320 mm", "--try")
    assert "give --latitude" in refused(workshop, *given)
    said = run(workshop, *given, "--latitude", "54.3", "--rule", "simple")
    assert "gravity 9.81" in said
    assert "cw 36.0 N·m: mean -0." in said


def test_the_sequence_is_shown_and_asked_step_by_step(
    workshop: Workshop, monkeypatch: pytest.MonkeyPatch
) -> None:
    steps = json.loads(run(workshop, "calibrate", "click-60", "--steps", "--json"))["steps"]
    assert [step["kind"] for step in steps].count("read") == 15
    answers = [""] * 5 + ["x", "b", ""]
    answers += ["10,1"] * 5 + ["36.3"] * 4 + ["36.4"] + ["60.4"] * 4 + ["60.5", ""]
    given = iter(answers)
    monkeypatch.setattr("builtins.input", lambda _prompt: next(given))
    said = run(workshop, "calibrate", "click-60", "--uncertainty", "0.5")
    assert "Result: pass" in said
    assert next(given, None) is None
    monkeypatch.setattr("builtins.input", lambda _prompt: "q")
    assert "nothing was kept" in refused(workshop, "calibrate", "click-60", "--uncertainty", "0.5")


def test_a_tool_is_checked_against_a_trusted_one_and_charted(
    workshop: Workshop, tmp_path: Path
) -> None:
    given = ("compare", "click-150ft", "electronic-200", "--unit", "N·m")
    for day, shown in (("2026-01-01", 100.2), ("2026-01-08", 100.4), ("2026-01-15", 100.1)):
        gaps = (0.1, -0.1, 0.2, 0.0, -0.2)
        pairs = [w for gap in gaps for w in ("--pair", f"100 = {shown + gap:.2f}")]
        said = run(workshop, *given, *pairs, "--date", day)
        assert "inside the permissible" in said
    chart = tmp_path / "c.svg"
    run(workshop, "checks", "click-150ft", "--chart", str(chart), "--json")
    assert chart.read_text("utf-8").startswith("<svg")
    off = [w for gap in (0.1, 0.2, 0.0) for w in ("--pair", f"100 = {112 + gap:.1f}")]
    body = json.loads(run(workshop, *given, *off, "--json", status=1))
    assert body["verdict"] == "off"
    assert "found it off" in run(workshop, "show", "click-150ft")
    assert "write what both showed" in refused(workshop, *given, "--pair", "100")


def test_the_due_list_and_its_calendar(workshop: Workshop, tmp_path: Path) -> None:
    file = tmp_path / "due.ics"
    said = run(workshop, "due", "--calendar", str(file), status=1)
    assert said.splitlines()[0].endswith("beam-200  OVERDUE")
    assert file.read_bytes().startswith(b"BEGIN:VCALENDAR")
    rows = json.loads(run(workshop, "due", "--json", status=1))["due"]
    assert rows[0]["tool"] == "beam-200"


def test_a_study_is_told(tmp_path: Path) -> None:
    file = tmp_path / "s.csv"
    rows = [
        f"{who},{part},{n},{20 * part + n / 10}" for who in "AB" for part in (1, 2) for n in (1, 2)
    ]
    file.write_text("person,part,trial,value\n" + "\n".join(rows) + "\n", "utf-8")
    told = CliRunner().invoke(command, ["study", str(file)])
    assert told.exit_code == 0
    assert "2 people, 2 parts, 2 trials" in told.output
    assert "says" in CliRunner().invoke(command, ["study", str(file), "--json"]).output
