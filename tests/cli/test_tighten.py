"""The guided job in the terminal: what is typed, what is answered, what is refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from postgres import on_both

from clampwright.bench.folder import Workshop, open_store
from clampwright.cli import group
from clampwright.errors import Ambiguous
from clampwright.work.fold import JobState, fold


def tighten(place: Workshop, job: str, *lines: str, arguments: tuple[str, ...] = ()) -> Result:
    file = str(place.jobs / f"{job}.toml")
    return CliRunner().invoke(group, ["tighten", *arguments, file], input="\n".join([*lines, ""]))


def state(place: Workshop, job: str) -> JobState:
    with open_store(place) as store:
        return fold(store.entries(job=job))


def test_the_first_screen_says_all_that_is_needed(workshop: Workshop) -> None:
    shown = tighten(workshop, "launch-engine-head", "q").output
    for part in (
        "Cylinder head",
        "Fastener 3 (top row, third from the left), clockwise",
        "Take: ",
        "Set:  29.5 N·m: main mark 25",
        "30.0 N·m",
        "10 left in this stage, 60 in all",
        "not for any real machine",
    ):
        assert part in shown


def test_click_still_and_none(workshop: Workshop) -> None:
    result = tighten(workshop, "launch-engine-head", "c", "s", "n", "q")
    assert result.exit_code == 1
    verdicts = [pull.verdict for pull in state(workshop, "launch-engine-head").pulls]
    assert verdicts == ["within", "doubtful", "short"]
    assert ">> DOUBTFUL" in result.output


def test_a_wrench_set_to_something_else(workshop: Workshop) -> None:
    tighten(workshop, "launch-engine-head", "c 45", "q")
    assert [pull.verdict for pull in state(workshop, "launch-engine-head").pulls] == ["over"]


def test_point_and_comma_and_other_tool(workshop: Workshop) -> None:
    tighten(workshop, "launch-engine-head", "w electronic-200", "30.1", "29,9", "q")
    pulls = state(workshop, "launch-engine-head").pulls
    assert [pull.verdict for pull in pulls] == ["within", "within"]
    assert [pull.body["reading"]["value"] for pull in pulls] == ["30.1", "29.9"]
    assert {pull.body["tool"] for pull in pulls} == {"electronic-200"}


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("31", "a click wrench shows no torque"),
        ("d", "needs a reading"),
        ("w hammer", "the drawer has no"),
        ("w beam-200", "Beam wrench"),
        ("t nowhere.csv", "nowhere.csv cannot be read"),
        ("t", "name the trace file"),
        ("y because", "no verdict here yet"),
        ("hello there", "number"),
        ("?", "leave; nothing is lost"),
    ],
)
def test_what_cannot_be_taken_is_said_and_nothing_is_stored(
    workshop: Workshop, typed: str, answer: str
) -> None:
    result = tighten(workshop, "launch-engine-head", typed, "q")
    assert answer in result.output
    assert "Traceback" not in result.output
    assert state(workshop, "launch-engine-head").pulls == ()


def test_a_file_that_is_not_a_trace(workshop: Workshop, tmp_path: Path) -> None:
    notes = tmp_path / "notes.csv"
    notes.write_text("milk, eggs, bread\n1, 2, 3\n")
    result = tighten(workshop, "launch-engine-head", "w electronic-200", f"t {notes}", "q")
    assert "notes.csv" in result.output
    assert state(workshop, "launch-engine-head").pulls == ()


def test_going_on_in_spite_and_starting_again(workshop: Workshop) -> None:
    tighten(workshop, "launch-engine-head", "s", "y seen to turn", "s", "x socket slipped", "q")
    first, second = state(workshop, "launch-engine-head").pulls
    assert first.accepted
    assert second.voided


def test_the_plug_is_set_by_turns(workshop: Workshop) -> None:
    result = tighten(workshop, "gearbox-drain-plug", "d", "180")
    assert result.exit_code == 0
    assert "2 within" in result.output


def test_the_wheel_says_what_is_due(workshop: Workshop) -> None:
    tool = "w electronic-200"
    prepared = "y gone through on paper"
    result = tighten(workshop, "trailer-wheel", prepared, tool, *["45"] * 5, *["90"] * 5, "q")
    assert result.exit_code == 1
    again = tighten(workshop, "trailer-wheel", "q").output
    assert "wait: 50 km" in again
    assert "let a second person look" in again


@on_both
def test_one_json_object_a_line(workshop: Workshop) -> None:
    result = tighten(workshop, "launch-engine-head", "c", "q", arguments=("--json",))
    lines = [json.loads(line) for line in result.output.splitlines()]
    assert lines[0]["pull"] == {"joint": "head", "stage": 1, "fastener": 3}
    assert lines[1]["verdict"] == "within"


@on_both
def test_simulated_with_faults(workshop: Workshop) -> None:
    result = tighten(
        workshop,
        "launch-engine-head",
        arguments=("--simulate", "--seed", "12", "--fault", "head:2:3:slip"),
    )
    assert result.exit_code == 0
    found = [pull for pull in state(workshop, "launch-engine-head").pulls if pull.voided]
    assert {pull.key.fastener for pull in found} == {3}
    assert found[-1].verdict == "void"


@pytest.mark.parametrize("fault", ["head:2:3", "head:x:3:slip", "head:2:3:burst", "head:2:99:slip"])
def test_faults_that_cannot_be(workshop: Workshop, fault: str) -> None:
    result = tighten(workshop, "launch-engine-head", arguments=("--simulate", "--fault", fault))
    assert result.exit_code != 0
    assert state(workshop, "launch-engine-head").pulls == ()


def test_a_job_outside_any_workshop(tmp_path: Path) -> None:
    file = tmp_path / "job.toml"
    file.write_text("")
    result = CliRunner().invoke(group, ["tighten", str(file)])
    assert "no drawer.toml" in str(result.exception)


def test_a_tool_is_looked_after_before_its_first_pull_and_when_the_job_ends(
    workshop: Workshop,
) -> None:
    done = tighten(workshop, "gearbox-drain-plug", "d", "180", "y")
    assert done.output.count("First: Lay it down and set its zero.") == 1
    assert "take the battery out" in done.output
    assert "Noted." in done.output
    with open_store(workshop, write=False) as store:
        ticked = [e["body"] for e in store.entries(kinds=("tool_event",))]
    assert [(one["tool"], one["event"]) for one in ticked] == [("electronic-200", "battery_out")]


def test_who_leaves_is_reminded_and_ticks_nothing(workshop: Workshop) -> None:
    done = tighten(workshop, "trailer-wheel", "y invented", "c", "q")
    assert "Put away Click wrench 10 to 60 N·m: Wind it down to 10.0 N·m" in done.output
    assert "five or six after a long rest" in done.output
    assert "y when done" not in done.output


def with_torques(place: Workshop, told: str) -> str:
    """Put other words in place of the torques of a job's procedure; return the job."""
    file = place.jobs / "trailer-wheel.toml"
    whole = file.read_text(encoding="utf-8")
    assert "45 N·m then 90 N·m" in whole
    file.write_text(whole.replace("45 N·m then 90 N·m", told), encoding="utf-8")
    return "trailer-wheel"


def test_an_open_question_is_asked_before_the_job_is_begun(workshop: Workshop) -> None:
    job = with_torques(workshop, "90 lb")
    result = tighten(workshop, job, "1", "A. Fitter", "q")
    assert "which one is meant" in result.output
    opened = state(workshop, job).opened
    assert opened is not None
    assert [one["chosen"] for one in opened["settled"]] == [1]
    assert opened["settled"][0]["by"]
    again = tighten(workshop, job, "q")
    assert "which one is meant" not in again.output


def test_a_job_with_an_open_question_is_not_begun_without_answer_and_name(
    workshop: Workshop,
) -> None:
    job = with_torques(workshop, "90 lb")
    for lines in ((), ("q",), ("1",)):
        result = tighten(workshop, job, *lines)
        assert result.exit_code == 1
        assert isinstance(result.exception, Ambiguous)
        assert "still open" in str(result.exception)
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_the_only_reading_of_a_doubtful_text_is_confirmed(workshop: Workshop) -> None:
    job = with_torques(workshop, "90 N/m")
    result = tighten(workshop, job, "1", "A. Fitter", "q")
    assert "Is it meant as it stands here?" in result.output
    assert state(workshop, job).opened is not None
