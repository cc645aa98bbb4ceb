"""The preparation list in the terminal: gone through, skipped, passed over, and in the record."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from clampwright.bench.folder import Workshop, open_store
from clampwright.bench.records import record_text
from clampwright.cli import group

WHEEL = "trailer-wheel"
OTHERS = (
    "procedure_at_hand", "support", "fastener_state", "threads_clean", "run_by_hand", "lengths",
    "wheel_faces", "exercised", "second_person",
)  # fmt: skip


def run(place: Workshop, command: str, job: str, *arguments: str, typed: str = "") -> Result:
    file = str(place.jobs / f"{job}.toml")
    return CliRunner().invoke(group, [command, *arguments, file], input=typed)


def text(place: Workshop, job: str) -> str:
    with open_store(place) as store:
        return "\n".join(record_text(store.record(job)))


def test_a_list_can_be_read_before_anything_is_begun(workshop: Workshop) -> None:
    shown = run(workshop, "prepare", WHEEL, "--list")
    assert shown.exit_code == 1
    assert "12 of 12 points are open" in shown.output
    assert "Two drops of oil between nut and flange" in shown.output
    assert "US Army TM 5-3805-254-14&P-2" in shown.output
    assert not (workshop.folder / "workshop.sqlite").exists()


def test_gone_through_by_typing_and_the_record_has_it(workshop: Workshop) -> None:
    typed = "\n".join(["t", "s on a lift", *["t"] * 5, "4", "maker", "t", "t", "t", ""])
    result = run(workshop, "prepare", WHEEL, typed=typed)
    assert result.exit_code == 0, result.output
    assert "0 of 12 points are open" in result.output
    told = text(workshop, WHEEL)
    assert "Skipped: The machine is chocked" in told
    assert "Reason: on a lift" in told
    assert "Dry: ball or cone seats, stud-piloted (US Army TM 5-3805-254-14&P-2" in told
    pull = run(workshop, "tighten", WHEEL, typed="c\nq\n")
    assert ">> WITHIN" in pull.output
    assert "points open" not in pull.output


def test_by_options_as_a_program_does(workshop: Workshop) -> None:
    ticks = [part for name in OTHERS for part in ("--tick", name)]
    result = run(
        workshop, "prepare", WHEEL, *ticks, "--skip", "wheel:sockets=by eye", "--choose",
        "wheel_surface=dry", "--choose", "wheel_ground=raised", "--json",
    )  # fmt: skip
    assert result.exit_code == 0, result.output
    data = json.loads(result.output)
    assert data["open"] == 0
    by_name = {one["point"]: one for one in data["points"]}
    assert by_name["sockets"]["how"] == "skipped"
    assert by_name["sockets"]["reason"] == "by eye"
    assert by_name["wheel_surface"]["answer"] == "dry"


@pytest.mark.parametrize(
    ("arguments", "answer"),
    [
        (("--tick", "paint"), "has no point 'paint'"),
        (("--skip", "support"), "give the reason for skipping"),
        (("--choose", "wheel_surface=wet"), "is a choice between maker, oiled"),
        (("--tick", "wheel_surface"), "is to be chosen or skipped"),
        (("--answer", "support=yes"), "is to be ticked or skipped"),
        (("--tick", "hub:support"), "has no joint 'hub'"),
    ],
)
def test_what_settles_nothing_is_refused_in_a_sentence(
    workshop: Workshop, arguments: tuple[str, ...], answer: str
) -> None:
    result = run(workshop, "prepare", WHEEL, *arguments)
    assert answer in str(result.exception)
    with open_store(workshop) as store:
        kinds = [entry["kind"] for entry in store.entries(job=WHEEL)]
    assert kinds == ["job_opened"]


def test_where_life_hangs_on_it_nobody_is_led_to_a_pull_without_a_reason(
    workshop: Workshop,
) -> None:
    shown = run(workshop, "tighten", WHEEL, typed="c\ny\nq\n").output
    assert "12 points open" in shown
    assert "give the reason for going on" in shown
    assert "Fastener 1" not in shown
    shown = run(workshop, "tighten", WHEEL, typed="y the list hangs on the wall\nc\nq\n").output
    assert ">> WITHIN" in shown
    told = text(workshop, WHEEL)
    assert "Gone on without: procedure at hand, support" in told
    assert "Reason: the list hangs on the wall" in told


def test_the_list_can_be_gone_through_on_the_way_to_the_pull(workshop: Workshop) -> None:
    through = "\n".join(["p", *["t"] * 7, "4", "1", "t", "t", "t", "c", "q", ""])
    shown = run(workshop, "tighten", WHEEL, typed=through).output
    assert ">> WITHIN" in shown


def test_elsewhere_it_is_said_and_the_record_tells_that_nobody_looked(workshop: Workshop) -> None:
    shown = run(workshop, "tighten", "propeller-coupling", typed="144\nq\n").output
    assert "points open (p goes through them)" in shown
    assert ">> WITHIN" in shown
    assert "Nobody went through the preparation list." in text(workshop, "propeller-coupling")


def test_marks_are_due_before_the_angle_not_before_the_first_pull(workshop: Workshop) -> None:
    listed = run(workshop, "prepare", "launch-engine-head", "--list").output
    assert "marks: Every fastener of the angle stage is marked" in listed
    assert "due before the first angle stage" in listed
    first = run(workshop, "tighten", "launch-engine-head", typed="q\n").output
    assert "cold" in first
    assert "marks" not in first


def test_json_tells_with_each_pull_what_is_open(workshop: Workshop) -> None:
    result = run(workshop, "tighten", WHEEL, "--json", typed="q\n")
    assert "wheel_surface" in json.loads(result.output.splitlines()[0])["preparation_open"]
