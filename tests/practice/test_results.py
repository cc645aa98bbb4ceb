"""Results of a class: kept as they are, summed up without a ranking, handed out harmless."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import BadFile, ClampwrightError, Missing, OutOfRange
from clampwright.practice.answering import work_out
from clampwright.practice.export import COLUMNS, as_csv, as_json
from clampwright.practice.lesson import Exercise, first_lesson
from clampwright.practice.results import (
    Result,
    check_class,
    check_learner,
    learners,
    read_results,
    tries_of,
)
from clampwright.proof.ids import uuid7
from clampwright.shown import cell

NOW = dt.datetime(2026, 5, 4, 18, 30, tzinfo=dt.UTC)
ANSWERS = {
    1: {"reached": "23,5 Nm", "length": "300 mm", "posture": "down"},
    2: {"low": "20 kN", "high": "33 kN"},
    5: {"said": "slip_off"},
    9: {"foreseen": "=cmd|' /C calc'!A0"},
}


def result(number: int, learner: str = "7", minutes: int = 0, **change: str) -> Result:
    exercise: Exercise = first_lesson().exercise(number)
    done = work_out(exercise, ANSWERS[number] | change, day=NOW.date())
    return Result(
        id=uuid7(),
        learner=learner,
        time=(NOW + dt.timedelta(minutes=minutes)).isoformat(),
        kind=exercise.kind,
        exercise=f"first/{number}",
        answer=dict(done.answer),
        outcome=dict(done.outcome),
    )


def test_a_line_comes_back_as_it_was() -> None:
    rows = [result(number) for number in ANSWERS]
    data = "".join(row.line() + "\n" for row in rows).encode()
    assert read_results(data, "evening.jsonl") == tuple(rows)
    assert read_results(b"\n\n", "evening.jsonl") == ()


@pytest.mark.parametrize(
    "spoil",
    [
        lambda line: line[:-3],
        lambda line: line.replace('"feel"', '"feeling"'),
        lambda line: line.replace('"learner": "7"', '"learner": "<b>"'),
        lambda line: line.replace('"reached_Nm": 23.5', '"reached_Nm": "much"'),
        lambda line: line.replace('"time": "2026', '"time": "x026'),
        lambda line: "[]" + line[:0],
        lambda line: line.replace('"kind"', '"kindness"'),
    ],
)
def test_a_line_changed_by_hand_is_named(spoil: object) -> None:
    lines = [result(1).line(), result(1).line()]
    spoilt = spoil(lines[1])  # type: ignore[operator]  # one of the functions above
    assert spoilt != lines[1]
    with pytest.raises(BadFile, match=r"evening\.jsonl, line 2: this is no result"):
        read_results("\n".join([lines[0], spoilt]).encode(), "evening.jsonl")


def test_learners_stand_by_number_then_by_word() -> None:
    rows = [result(1, name) for name in ("12", "blue spanner", "7", "Ada")]
    assert [one.name for one in learners(rows)] == ["7", "12", "Ada", "blue spanner"]


def test_a_learner_is_summed_up_over_all_kinds() -> None:
    (one,) = learners([result(number) for number in ANSWERS])
    assert (one.answers, one.faults, one.faults_right, one.foreseen) == (4, 1, 1, 1)
    assert one.feel is not None
    assert one.feel.bias == pytest.approx(-0.06)
    assert one.clamp_points is not None
    assert one.clamp_points > 95
    assert json.dumps(one.as_json())


def test_tries_stand_in_the_order_of_time_not_of_arrival() -> None:
    rows = [result(1, minutes=5, reached="26 N·m"), result(1, minutes=1, reached="21 N·m")]
    assert [one.reached for one in tries_of(rows)] == pytest.approx([21.0, 26.0])
    assert tries_of(rows, "8") == []


def test_no_cell_of_the_table_is_a_formula() -> None:
    data = as_csv([result(number) for number in ANSWERS]).decode("utf-8-sig")
    rows = list(csv.reader(io.StringIO(data)))
    assert rows[0] == list(COLUMNS)
    assert len(rows) == 1 + len(ANSWERS)
    assert not [one for row in rows for one in row if one.startswith(("=", "+", "-", "@"))]
    assert any(one.startswith("'=cmd|") for row in rows for one in row)


@given(st.text(max_size=20))
def test_harmless_cells_keep_their_text(text: str) -> None:
    made = cell(text, numbers=False)
    assert made.removeprefix("'") == text.removeprefix("'")
    assert not made.startswith(("=", "+", "-", "@", "\t", "\r"))


def test_json_holds_every_answer_and_every_learner() -> None:
    content = json.loads(as_json("evening", [result(1), result(2, "8")]))
    assert content["class"] == "evening"
    assert [one["learner"] for one in content["learners"]] == ["7", "8"]
    assert len(content["results"]) == 2


@pytest.mark.parametrize("name", ["", "Evening", "../up", "a b", "x" * 41, "-a"])
def test_names_of_classes_can_stand_in_an_address(name: str) -> None:
    with pytest.raises(OutOfRange, match="small letters"):
        check_class(name)


@pytest.mark.parametrize("name", ["", " 7", "=7", "<b>", "x" * 25, "a\nb", "_"])
def test_learners_are_called_by_letters_and_figures(name: str) -> None:
    with pytest.raises(OutOfRange, match="number or a nick-word"):
        check_learner(name)
    assert check_learner("Zoë 7")


@pytest.mark.parametrize(
    ("number", "texts", "says"),
    [
        (1, {}, "write the torque you reached first"),
        (1, {"reached": "23.5"}, "no unit"),
        (1, {"reached": "-4 Nm"}, "above 0"),
        (2, {"low": "20 kN"}, "upper end"),
        (2, {"low": "30 kN", "high": "20 kN"}, "runs backward"),
        (5, {"said": ""}, "what you think it is"),
        (9, {"foreseen": "  "}, "what you expect"),
    ],
)
def test_answers_that_cannot_be_taken_say_why(
    number: int, texts: dict[str, str], says: str
) -> None:
    with pytest.raises(ClampwrightError, match=says):
        work_out(first_lesson().exercise(number), texts, day=NOW.date())


def test_a_result_of_nowhere_is_refused() -> None:
    with pytest.raises(OutOfRange, match="no result of practice"):
        Result("1", "7", NOW.isoformat(), "feel", "first/1", {}, {})
    with pytest.raises(Missing, match="what you expect"):
        work_out(first_lesson().exercise(9), {}, day=NOW.date())
