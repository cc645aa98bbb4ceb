"""The marked view: the whole text, every figure in a mark, nothing hidden."""

from __future__ import annotations

import json
import re
import unicodedata
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.cli.marks import marked_lines
from clampwright.procedure import read
from clampwright.procedure.marked import Marked, marked, visible
from clampwright.procedure.reading import Problem, Reading, Span
from clampwright.words import words

CASES = [
    json.loads(line)
    for name in ("corpus.jsonl", "own_cases.jsonl")
    for line in Path(__file__).with_name(name).read_text("utf-8").splitlines()
    if line.startswith("{")
]
FIGURES = "0123456789０１２３４５６７８９½¼"


def between(found: Marked) -> str:
    """What lies between the marks, without the codes of hidden characters."""
    plain = "".join(piece.text for piece in found.pieces if piece.mark is None)
    return re.sub("‹U\\+[0-9A-F]+›", "", plain)


@pytest.mark.parametrize("case", CASES, ids=lambda case: str(case["id"]))
def test_every_case_is_whole_and_every_figure_stands_in_a_mark(case: dict[str, str]) -> None:
    text = case["text"]
    found = marked(text, read(text, case.get("locale", "en")))
    assert "".join(piece.text for piece in found.pieces) == visible(text)
    assert [piece.mark for piece in found.marks] == [*range(1, len(found.marks) + 1)]
    assert set(between(found)) & set(FIGURES) == set()


texts = st.text(
    st.sampled_from("0123456789.,½ Nm°\n\t\u202e\u200b\x00\x1b締付<>&\"'ftlb-±") | st.characters(),
    max_size=60,
)


@given(text=texts, cuts=st.lists(st.integers(0, 60), max_size=8))
def test_any_text_with_any_spans(text: str, cuts: list[int]) -> None:
    """Spans that overlap, are empty or lie outside do no harm."""
    spans = tuple(Span(start, end, words("torque"), "used") for start, end in pairwise(cuts))
    found = marked(text, Reading("ok", spans=spans))
    assert "".join(piece.text for piece in found.pieces) == visible(text)
    assert not any(sign.isdecimal() for sign in between(found))
    rows = list(marked_lines(found, 20))
    assert {unicodedata.category(sign) for row in rows for sign in row} & {
        "Cc",
        "Cf",
        "Cs",
    } == set()


def test_figures_of_a_refused_text_are_marked_as_not_read() -> None:
    refused = Reading("refused", error=Problem("markup", words("no")))
    (mark,) = marked("see 12,5 there", refused).marks
    assert (mark.text, mark.role, str(mark.what)) == (
        "12,5",
        "reported",
        "a figure that was not read",
    )


def test_a_terminal_cannot_be_turned_round_or_driven() -> None:
    text = "Tighten to 30 Nm\x1b[2J\u202e then 90°"
    shown = "\n".join(marked_lines(marked(text, read(text))))
    assert "\x1b" not in shown
    assert "\u202e" not in shown
    assert "‹U+001B›" in shown
    assert "‹U+202E›" in shown


def test_marks_stand_under_wide_signs_and_many_marks_have_room() -> None:
    text = "ボルト 30 Nm, 1 2 3 4 5 6 7 8 9 X"
    ends = [*text]
    places = [ends.index("3"), *(at for at, sign in enumerate(ends) if at > 7 and sign.isdigit())]
    spans = tuple(Span(at, at + 1, words("torque"), "used") for at in places)
    row, under, *_ = marked_lines(marked(text, Reading("ok", spans=spans)), 200)
    assert under.index("1") == row.index("3") + 3, "each of the three signs is two columns wide"
    assert row.endswith("9  X"), "a figure of one sign makes room for a mark of two"
    assert under.endswith(("10", "11"))


def test_a_long_line_is_broken_at_its_blanks() -> None:
    text = "word " * 40 + "then tighten to 30 Nm"
    rows = [row for row in marked_lines(marked(text, read(text)), 40) if row.startswith("word")]
    assert len(rows) == 5
    assert all(len(row) <= 40 and row.endswith("word") for row in rows[:-1])
