"""Adjusting joints, hold points and taking apart, with the jobs of examples/adjusting-workshop."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.records import record_text
from clampwright.cli import group
from clampwright.work.fold import JobState, fold

EXAMPLE = Path(__file__).parents[2] / "examples" / "adjusting-workshop"
JOBS = ("winch-pinion", "trailer-hub", "rudder-arm", "shaft-flange")


@pytest.fixture
def place(tmp_path: Path) -> Workshop:
    shutil.copytree(EXAMPLE, tmp_path / "workshop")
    return Workshop(tmp_path / "workshop")


def run(
    place: Workshop, command: str, job: str, *lines: str, options: tuple[str, ...] = ()
) -> Result:
    file = str(place.jobs / f"{job}.toml")
    return CliRunner().invoke(group, [command, *options, file], input="\n".join([*lines, ""]))


def state(place: Workshop, job: str) -> JobState:
    with open_store(place) as store:
        return fold(store.entries(job=job))


def text(place: Workshop, job: str) -> str:
    with open_store(place) as store:
        return "\n".join(record_text(store.record(job)))


@pytest.mark.parametrize("job", JOBS)
def test_every_example_is_done_by_the_simulated_wrench_to_its_end(
    place: Workshop, job: str
) -> None:
    result = run(place, "tighten", job, options=("--simulate",))
    assert result.exit_code == 0, result.output
    assert all(pull.settled for pull in state(place, job).latest.values())
    assert "-- Hold points" in text(place, job)


def test_a_crush_sleeve_is_approached_reading_by_reading(place: Workshop) -> None:
    shown = run(place, "tighten", "winch-pinion", "d", "2.2", "2.8", "3.3", "yes").output
    assert shown.count(">> SHORT") == 2
    assert "Turn the nut a little further, turn the shaft both ways" in shown
    assert "HOLD after stage 2" in shown
    done = state(place, "winch-pinion")
    assert [pull.verdict for pull in done.pulls] == ["within", "short", "short", "within"]
    told = text(place, "winch-pinion")
    assert "2.2 N·m" in told
    assert "2.8 N·m" in told


def test_a_sleeve_gone_too_far_needs_a_new_one(place: Workshop) -> None:
    shown = run(
        place, "tighten", "winch-pinion", "d", "4.6", "x too far", "r new sleeve", "d", "3.5",
        "yes",
    ).output  # fmt: skip
    assert ">> OVER" in shown
    assert "Do not slacken the nut" in shown
    assert "Fit a new sleeve, and start again with a new part" in shown
    done = state(place, "winch-pinion")
    assert [one["renewed"] for one in done.restarts] == [True]
    assert [pull.verdict for pull in done.latest.values()] == ["within", "within"]


def test_end_play_outside_its_limits_holds_the_work(place: Workshop) -> None:
    shown = run(
        place, "tighten", "trailer-hub", "30", "90", "6", "0.3", "x play too large",
        "30", "90", "6", "0,08", "yes", "no", "g maker's desk says so, Tuesday",
    )  # fmt: skip
    assert shown.exit_code == 0, shown.output
    assert "wanted: 0.03 mm to 0.12 mm" in shown.output
    assert "Does not fit: put it right" in shown.output
    done = state(place, "trailer-hub")
    assert [one["outcome"] for one in done.hold_answers] == [
        "does not fit", "fits", "fits", "does not fit", "does not fit",
    ]  # fmt: skip
    told = text(place, "trailer-hub")
    assert "gone on: maker's desk says so, Tuesday" in told


def test_a_job_with_an_open_hold_is_not_closed(place: Workshop) -> None:
    shown = run(place, "tighten", "trailer-hub", "30", "90", "6", "q")
    assert shown.exit_code == 1
    assert "end play by dial gauge?" in shown.output


def test_what_is_no_answer_is_said_and_asked_again(place: Workshop) -> None:
    shown = run(place, "tighten", "winch-pinion", "d", "3.3", "perhaps", "?", "yes").output
    assert "answer yes or no" in shown
    assert "the reason stands in the record" in shown
    assert len(state(place, "winch-pinion").hold_answers) == 1


def test_the_running_torque_of_each_nut_is_added_once(place: Workshop) -> None:
    """18 N·m asked; nut 1 runs at 1.2, nut 3 at 2.0 N·m: 19.2 and 20.0 are wanted."""
    shown = run(
        place, "tighten", "shaft-flange", "5", "1.2 N·m", "2.0 N·m", "1.0 N·m", "1.1 N·m",
        "19.2", "20", "19", "19.1", "0.03", "0.05",
    )  # fmt: skip
    assert shown.exit_code == 0, shown.output
    assert "19.2 N·m" in shown.output
    assert "20.0 N·m" in shown.output
    done = state(place, "shaft-flange")
    wanted = {
        key.fastener: pull.body["limits"]["target"]["value"]
        for key, pull in done.latest.items()
        if key.stage == 2
    }
    assert wanted == {1: "19.2", 3: "20", 2: "19", 4: "19.1"}


def test_sealer_time_is_asked_before_the_first_stage(place: Workshop) -> None:
    shown = run(place, "tighten", "shaft-flange", "25", "q").output
    assert "HOLD before the first stage" in shown
    assert "wanted: at most 20 min" in shown
    assert "Does not fit" in shown
    assert "Fastener 1" not in shown


def test_a_castle_nut_past_its_greatest_torque_is_not_turned_back(place: Workshop) -> None:
    shown = run(place, "tighten", "rudder-arm", "y list on the wall", "92", "140", "q").output
    assert ">> OVER" in shown
    assert "change nut or washer and start again; do not turn back to a slot" in shown
    checked = run(place, "check", "rudder-arm").output
    assert "A whole slot, 60°" in checked


def test_json_tells_of_a_hold(place: Workshop) -> None:
    result = run(place, "tighten", "shaft-flange", "q", options=("--json",))
    hold = json.loads(result.output.splitlines()[0])["hold"]
    assert hold["ask"].startswith("Minutes since")
    assert hold["limits"] == "at most 20 min"


# --- the check of adjusting joints ---------------------------------------------------------------


def changed(place: Workshop, job: str, before: str, after: str) -> str:
    file = place.jobs / f"{job}.toml"
    content = file.read_text(encoding="utf-8")
    assert before in content
    file.write_text(content.replace(before, after, 1), encoding="utf-8")
    return run(place, "check", job).output


def test_slackening_a_sleeve_is_found(place: Workshop) -> None:
    found = changed(
        place, "winch-pinion", "[[joint.hold]]",
        '[[joint.procedure.stage]]\nkind = "back_off_then"\nangle = "30 deg"\n\n[[joint.hold]]',
    )  # fmt: skip
    assert "slackens a nut on a crush sleeve" in found


def test_a_sleeve_without_rotating_torque_is_found(place: Workshop) -> None:
    found = changed(place, "winch-pinion", 'check = "rotating"', 'check = "ceiling"')
    assert "no stage measures it" in found


def test_a_running_torque_nobody_measures_is_found(place: Workshop) -> None:
    found = changed(place, "shaft-flange", 'check = "running"', 'check = "rotating"')
    assert "no stage before it\n    measures" in found or "no stage before it measures" in found


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("high = 0.12", "high = 0.01", "must not be above high"),
        ('unit = "mm"\n', "", "a figure needs its unit"),
        ("after = 3", "after = 9", "a hold stands after stage 9"),
        ('answer = "figure"\n', "", "belong to answer"),
        ('adjusting = "bearing"', 'adjusting = "guess"', "adjusting"),
    ],
)
def test_a_hold_that_cannot_be_is_refused(
    place: Workshop, before: str, after: str, told: str
) -> None:
    file = place.jobs / "trailer-hub.toml"
    content = file.read_text(encoding="utf-8")
    file.write_text(content.replace(before, after, 1), encoding="utf-8")
    assert told in str(run(place, "check", "trailer-hub").exception)


# --- taking apart -----------------------------------------------------------------------------


def test_taken_apart_in_reverse_and_in_steps(place: Workshop) -> None:
    eased = ["24 N·m", "25 N·m rust", "d", "7 N·m"]
    shown = run(place, "apart", "shaft-flange", "w bar-12", *eased, "?", "d", "d", "d", "d")
    assert shown.exit_code == 0, shown.output
    done = state(place, "shaft-flange").apart
    order = [(body["round"], body["fastener"]) for body in done.values()]
    assert order == [(1, 4), (1, 2), (1, 3), (1, 1), (2, 4), (2, 2), (2, 3), (2, 1)]
    assert done["flange", 1, 2]["breakaway"] == {"value": "25", "unit": "N·m"}
    assert done["flange", 1, 2]["note"] == "rust"
    assert done["flange", 1, 2]["tool"] == "bar-12"
    assert done["flange", 1, 3]["breakaway"] is None
    told = text(place, "shaft-flange")
    assert "-- Taken apart" in told
    assert "fastener 2, round 1 of 2: 25 N·m rust" in told


def test_one_low_bolt_is_told(place: Workshop) -> None:
    file = place.jobs / "shaft-flange.toml"
    file.write_text(
        file.read_text(encoding="utf-8").replace("count = 4", "count = 8"), encoding="utf-8"
    )
    eased = ["40 N·m", "42 N·m", "41 N·m", "12 N·m", "43 N·m", "41 N·m", "42 N·m", "40 N·m"]
    shown = run(place, "apart", "shaft-flange", *eased, "q")
    assert shown.exit_code == 1
    assert "broke loose at 12 N·m, the middle of the group is 41 N·m" in shown.output
    assert shown.output.count("broke loose at") == 1


def test_apart_goes_on_where_it_was_and_refuses_what_is_no_torque(place: Workshop) -> None:
    shown = run(place, "apart", "shaft-flange", "24 mm", "24 N·m", "q").output
    assert "torque" in shown
    again = run(place, "apart", "shaft-flange", "q").output
    assert "fastener 2" in again
    assert "7 steps left" in again


def test_a_single_fastener_is_taken_out_at_once(place: Workshop) -> None:
    shown = run(place, "apart", "winch-pinion", "d").output
    assert "round 1 of 1" in shown
    assert "loosen fully and take it out" in shown
