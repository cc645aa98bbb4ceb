"""Questions with few answers: all readings kept, none preferred, physics only beside them."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from clampwright import standards
from clampwright.errors import Ambiguous, Missing
from clampwright.joint.model import Fastening
from clampwright.procedure import read
from clampwright.work.settling import Ask, asked, choice_body, reckoning_of, settled

CASES = [
    json.loads(line)
    for name in ("corpus.jsonl", "own_cases.jsonl")
    for line in (Path(__file__).parents[1] / "procedure" / name).read_text("utf-8").splitlines()
    if line.startswith("{")
]


def leaves(ask: Ask) -> Iterator[tuple[int, ...]]:
    for answer in ask.answers:
        if answer.then is None:
            yield answer.numbers
        else:
            yield from leaves(answer.then)


def deepest(ask: Ask) -> int:
    return 1 + max((deepest(a.then) for a in ask.answers if a.then), default=0)


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_the_answers_lead_to_every_reading_and_to_one_each(case: dict[str, str]) -> None:
    reading = read(case["text"], case.get("locale", "en"))
    first = asked(reading)
    if len(set(reading.candidates)) < 2:  # nothing to choose: confirmed as it stands, or not
        assert first is None or (first.number, first.answers[0].numbers) == (0, (1,))
        return
    assert first is not None
    ends = list(leaves(first))
    assert sorted(n for end in ends for n in end) == [*range(1, len(reading.candidates) + 1)]
    for end in ends:
        assert len({reading.candidates[n - 1] for n in end}) == 1
    assert deepest(first) <= 4, "a few touches"


def test_questions_come_one_after_the_other() -> None:
    reading = read("Torque to 25 lbs. Then 40 lbs")
    first = asked(reading)
    assert first is not None
    assert first.number == 1
    assert [str(answer.lines[0]) for answer in first.answers] == [
        "torque 25 ft·lbf",
        "torque 25 in·lbf",
    ]
    then = first.answers[1].then
    assert then is not None
    assert (then.number, [a.numbers for a in then.answers]) == (2, [(3,), (4,)])
    assert settled(reading, 3) == reading.candidates[2]


def test_physics_stands_beside_an_answer_and_chooses_none() -> None:
    bolt = Fastening.from_standards(
        standards.thread("M8"), head=11.63, hole=9.0, strength=standards.strength("8.8", d=8)
    )
    reading = read("Tighten to 20 lbs")
    first = asked(reading, reckoning_of(bolt, standards.friction("oiled")))
    assert first is not None
    feet, inches = (str(answer.informs[0]) for answer in first.answers)
    assert feet.startswith("as 20 ft·lbf = 27.1 N·m: ")
    assert feet.endswith("% of proof load")
    assert inches.startswith("as 20 in·lbf = 2.26 N·m: ")
    plain = asked(reading)
    assert plain is not None
    assert [a.informs for a in plain.answers] == [(), ()]
    assert reckoning_of(None) is None
    no_class = Fastening.from_standards(standards.thread("M8"), head=11.63, hole=9.0)
    assert reckoning_of(no_class) is None


def test_angles_say_how_far_it_is_turned_in_all() -> None:
    first = asked(read("Step 1: 20 Nm\nStep 2: 90°\nStep 3: 180°"))
    assert first is not None
    said = [str(answer.informs[0]) for answer in first.answers]
    assert said == [
        "turned 270° in all since the torque",
        "turned 180° in all since the torque",
    ]


def test_an_open_question_carries_its_readings_and_what_no_choice_settles_says_so() -> None:
    with pytest.raises(Ambiguous) as found:
        settled(read("Torque spark plugs to 25 lbs."), None)
    assert found.value.readings == ("torque 25 ft·lbf", "torque 25 in·lbf")
    with pytest.raises(Ambiguous, match="No choice can settle it"):
        settled(read("Tighten the cover bolts evenly."), None)


@pytest.mark.parametrize("choice", [0, -1, 3])
def test_a_choice_that_is_not_there(choice: int) -> None:
    with pytest.raises(Missing, match="2 readings to choose from"):
        settled(read("Torque spark plugs to 25 lbs."), choice)


def test_a_choice_where_there_is_none() -> None:
    with pytest.raises(Missing, match="leaves nothing to choose"):
        settled(read("Tighten to 30 Nm"), 1)
    with pytest.raises(Missing, match="no procedure can be taken"):
        settled(read("see the other leaflet"), None)


def test_the_log_keeps_question_all_readings_and_choice() -> None:
    body = choice_body(read("Torque spark plugs to 25 lbs."), 2)
    assert body == {
        "question": ["25 lbs: pounds are a force; feet or inches are missing"],
        "readings": [["torque 25 ft·lbf"], ["torque 25 in·lbf"]],
        "chosen": 2,
    }


def test_no_answer_is_hidden_by_the_number_of_readings() -> None:
    five = read(" ".join(f"Step {n}: {20 + n} lbs." for n in range(1, 6)))
    assert len(five.candidates) == 32
    question = asked(five)
    for _ in range(5):
        assert question is not None
        assert [answer.stage.unit for answer in question.answers if answer.stage] == [
            "ft·lbf",
            "in·lbf",
        ]
        question = question.answers[1].then
    assert question is None
    many = read(" ".join(f"Step {n}: {20 + n} lbs." for n in range(1, 9)))
    assert (many.status, many.candidates) == ("ambiguous", ())
    with pytest.raises(Ambiguous, match="No choice can settle it"):
        settled(many, None)


def test_the_only_reading_is_to_be_confirmed_and_never_taken_unasked() -> None:
    reading = read("Filler cap retaining bolt 4500 Nm")
    question = asked(reading)
    assert question is not None
    assert (question.number, [one.numbers for one in question.answers]) == (0, [(1,)])
    assert question.answers[0].then is None
    with pytest.raises(Ambiguous):
        settled(reading, None)
    assert [stage.value for stage in settled(reading, 1)] == [4500.0]


def test_a_limit_without_target_is_nothing_to_confirm() -> None:
    assert asked(read("Plastic cover screws: max. 12 N·m")) is None
