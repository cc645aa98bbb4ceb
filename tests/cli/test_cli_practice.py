"""``clampwright practice``: what it asks, keeps, shows, writes and refuses."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from clampwright.cli.practice import PRACTICE_COMMANDS, command
from clampwright.errors import ClampwrightError

CASE = ("--circle", "5", "--diameter", "112 mm", "--thread", "M12x1.5", "--strength", "8.8",
        "--head", "ISO 4014/4017", "--grip", "25 mm", "--friction", "as_delivered",
        "--torque", "75 N·m", "--if-friction", "oiled")  # fmt: skip
WHO = ("--class", "evening", "--learner", "7")


@pytest.fixture
def run(tmp_path: Path) -> Any:
    def done(*words: str, status: int = 0, **more: Any) -> str:
        place = () if words[0] == "send" else ("--workshop", str(tmp_path))
        found = CliRunner().invoke(command, [*words, *place], **more)
        if found.exception and not isinstance(found.exception, SystemExit):
            raise found.exception
        assert found.exit_code == status, found.output
        return found.output

    return done


def test_every_command_is_there() -> None:
    found = CliRunner().invoke(command, ["--help"]).output
    for name, line in PRACTICE_COMMANDS.items():
        assert name in found
        assert " ".join(line.split())[:30] in " ".join(found.split())


def test_an_exercise_is_asked_without_its_answer(run: Any) -> None:
    text = run("ask", "fault:17")
    assert "Target torque" in text or "Snug torque" in text
    data = json.loads(run("ask", "fault:17", "--json"))
    assert set(data) == {"exercise", "kind", "choices"}
    assert "40 N·m" in run("ask", "first/2")
    assert "which bolts" in run("ask", "first/9").lower()
    assert json.loads(run("ask", "first/1", "--json"))["aimed_Nm"] == 25.0


def test_answers_are_told_and_kept(run: Any) -> None:
    said = json.loads(run("ask", "first/2", "--low", "20 kN", "--high", "33 kN", *WHO, "--json"))
    assert said["outcome"]["points"] > 95
    assert said["kept"]
    assert "Right." in run("ask", "first/5", "--say", "slip_off", *WHO)
    assert "loosest" in run("ask", "first/9", "--expect", "1 is loose", *WHO)
    shown = run("class", "evening")
    assert "1 of 1 faults found" in shown
    assert "1 foreseen" in shown
    assert run("class").strip() == "evening"


def test_tries_are_noted_and_evaluated(run: Any) -> None:
    for reached in ("23 Nm", "24,5 Nm", "18 lbf·ft"):
        run("feel", "--aim", "25 N·m", "--reached", reached, "--length", "300 mm", *WHO)
    text = run("feel", *WHO)
    assert "tries: 3" in text
    assert "(95 %)" in text
    assert "3 of 3 inside" in text
    study = json.loads(run("feel", *WHO, "--json"))["study"]
    assert study["tries"] == 3
    assert study["bias_range"][0] < study["bias"] < study["bias_range"][1]
    assert "One try says nothing" in run(
        "feel", "--aim", "25 N·m", "--reached", "23 Nm", "--class", "evening", "--learner", "8"
    )
    assert "no try of 9" in run("feel", "--class", "evening", "--learner", "9")


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (("feel",), "give --aim"),
        (("feel", "--aim", "25 N·m"), "together"),
        (("feel", "--aim", "25", "--reached", "24 Nm"), "no unit"),
        (("feel", "--aim", "25 N·m", "--reached", "24 Nm", "--learner", "7"), "class and number"),
        (("ask", "first/99"), "exercises 1 to 9"),
        (("ask", "fault:3", "--say", "loose"), "not offered"),
        (("ask", "first/2", "--chart", "a.svg"), "only a find-the-fault"),
        (("ask", "fault:3", "--chart", "a.png"), "written as SVG"),
        (("what-if", "--circle", "5"), "--diameter"),
        (("sheet", "first", "--pdf", "a.txt"), "written as PDF"),
        (("sheet", "second", "--pdf", "a.pdf"), "no lesson 'second'"),
        (("export", "evening", "a.xls"), "in .csv or .json"),
        (("export", "evening", "a.csv"), "no results of the class evening"),
        (("forget", "evening", "--yes"), "nothing of evening"),
        (("class", "../x"), "small letters"),
        (("lessons", "no-such.toml"), "cannot be read"),
    ],
)
def test_bad_input_is_one_clear_message(run: Any, given: tuple[str, ...], says: str) -> None:
    with pytest.raises(ClampwrightError, match=says.replace(".", r"\.")):
        run(*given)


def test_what_if_shows_writes_and_draws(run: Any, tmp_path: Path) -> None:
    drawing, paper = tmp_path / "a.svg", tmp_path / "a.pdf"
    text = run("what-if", *CASE, "--drawing", str(drawing), "--pdf", str(paper))
    assert "yield" in text
    assert "Chart written" in text
    assert drawing.read_text(encoding="utf-8").count('class="post"') == 5
    assert paper.read_bytes().startswith(b"%PDF-")
    data = json.loads(run("what-if", *CASE, "--json"))
    assert len(data["changed"]["clamp_N"]) == 5
    assert data["changed"]["alone_N"] > data["planned"]["alone_N"]


def test_a_lesson_is_checked_and_set_on_paper(run: Any, tmp_path: Path) -> None:
    example = "examples/lessons/wheel-evening.toml"
    assert "5 exercises" in run("lessons", example)
    assert [one["key"] for one in json.loads(run("lessons", "--json"))["lessons"]] == ["first"]
    broken = tmp_path / "practice" / "lessons" / "broken.toml"
    broken.parent.mkdir(parents=True)
    broken.write_text('titel = "x"\n')
    assert "did you mean title?" in run("lessons", status=1)
    pdf, short = tmp_path / "sheet.pdf", tmp_path / "short.toml"
    short.write_text('title = "x"\n[[exercise]]\nkind = "feel"\naim = "25 N·m"\n')
    assert "Paper written" in run("sheet", str(short), "--pdf", str(pdf))
    assert pdf.read_bytes().startswith(b"%PDF-")


def test_results_go_out_and_are_erased(run: Any, tmp_path: Path) -> None:
    run("feel", "--aim", "25 N·m", "--reached", "23 Nm", *WHO)
    table, data = tmp_path / "a.csv", tmp_path / "a.json"
    assert "answers written: 1" in run("export", "evening", str(table))
    run("export", "evening", str(data))
    assert table.read_text("utf-8-sig").splitlines()[1].startswith("7,")
    assert json.loads(data.read_text())["learners"][0]["learner"] == "7"
    run("forget", "evening", input="n\n", status=1)
    assert "answers erased: 1" in run("forget", "evening", "--learner", "7", "--yes")


def test_a_trace_is_drawn(run: Any, tmp_path: Path) -> None:
    chart = tmp_path / "read.svg"
    run("ask", "first/5", "--say", "slip_off", "--chart", str(chart))
    assert "slipped" in chart.read_text(encoding="utf-8")
