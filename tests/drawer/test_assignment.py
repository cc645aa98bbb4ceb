"""Tools over the stages of one procedure: as good as can be, and changed as seldom as can be."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product

from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer import Fitness, Tool
from clampwright.drawer.assignment import EQUAL, assign
from clampwright.words import words

A, B, C = (Tool(name, name.upper(), "bar", "1/2 in") for name in "abc")
NO = (words("no"),)


def test_equals_are_settled_by_the_fewest_changes() -> None:
    first = (Fitness(A, score=91.0), Fitness(B, score=90.0))
    second = (Fitness(B, score=95.0), Fitness(A, score=70.0))
    assert assign([first, second, first]) == (1, 0, 1)


def test_a_clearly_better_tool_is_worth_a_change() -> None:
    first = (Fitness(A, score=95.0), Fitness(B, score=80.0))
    second = (Fitness(B, score=95.0), Fitness(A, score=80.0))
    assert assign([first, second]) == (0, 0)


def test_a_stage_without_a_tool_leaves_what_is_in_hand() -> None:
    first = (Fitness(A, score=91.0), Fitness(B, score=90.5))
    last = (Fitness(B, score=91.0),)
    assert assign([first, (Fitness(A, NO),), (), last]) == (1, None, None, 0)


def test_what_a_person_took_stays() -> None:
    doubtful = Fitness(C, NO, overruled="the other one is away")
    stage = (Fitness(A, score=99.0), doubtful)
    assert assign([stage, stage]) == (1, 1)
    assert not replace(doubtful, overruled="").usable


def _changes(tools: list[str]) -> int:
    return sum(left != right for left, right in pairwise(["", *tools]))


@given(
    st.lists(
        st.lists(st.tuples(st.sampled_from([A, B, C]), st.floats(88, 94)), min_size=1, max_size=3),
        min_size=1,
        max_size=5,
    )
)
def test_no_other_way_through_equals_has_fewer_changes(
    stages: list[list[tuple[Tool, float]]],
) -> None:
    """Every way is tried, as a second method."""
    choices = [
        sorted((Fitness(t, score=s) for t, s in stage), key=lambda f: -f.score) for stage in stages
    ]
    taken = assign(choices)
    good = [[one for one in stage if one.score >= stage[0].score - EQUAL] for stage in choices]
    ours = [stage[place or 0] for stage, place in zip(choices, taken, strict=True)]
    assert all(one in stage for one, stage in zip(ours, good, strict=True))
    least = min(_changes([one.tool.id for one in way]) for way in product(*good))
    assert _changes([one.tool.id for one in ours]) == least
