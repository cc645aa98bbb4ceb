"""Lesson files: what they may hold, and what is said where they do not hold it."""

from __future__ import annotations

from pathlib import Path

import pytest

from clampwright.errors import BadFile, Missing
from clampwright.practice.fault_question import fault_kinds
from clampwright.practice.lesson import (
    KINDS,
    ClampIn,
    FaultIn,
    FeelIn,
    LessonFile,
    WhatIfIn,
    first_lesson,
    read_lesson,
)
from clampwright.practice.what_if_request import FIELDS

HEAD = 'title = "Feel"\n\n[[exercise]]\n'


def read(text: str) -> object:
    return read_lesson(text.encode(), "mine.toml", key="mine")


def test_the_shipped_lesson_has_every_kind_and_says_it_is_invented() -> None:
    lesson = first_lesson()
    assert {one.kind for one in lesson.exercises} == set(KINDS)
    assert lesson.invented
    assert lesson.exercise(1).kind == "feel"
    with pytest.raises(Missing, match="exercises 1 to 9, not 10"):
        lesson.exercise(10)


def test_the_example_can_be_taken() -> None:
    path = Path("examples/lessons/wheel-evening.toml")
    lesson = read_lesson(path.read_bytes(), path.name, key=path.stem)
    assert lesson.invented
    assert {one.kind for one in lesson.exercises} == set(KINDS)


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        (HEAD + 'kind = "feel"\naims = "25 N·m"\n', 5, "did you mean aim?"),
        (HEAD + 'kind = "fealt"\naim = "25 N·m"\n', 3, "did you mean fault?"),
        (HEAD + 'kind = "feel"\n', 3, "aim is missing"),
        (HEAD + 'aim = "25 N·m"\n', 3, "kind"),
        ('titel = "Feel"\n', 1, "did you mean title?"),
        ('title = "Feel"\nexercise = []\n', 2, "exercise"),
        (HEAD + 'kind = "feel"\naim = "25"\n', 3, "25 has no unit"),
        (HEAD + 'kind = "feel"\naim = "90000 N·m"\n', 3, "up to 2000"),
        (HEAD + 'kind = "feel"\naim = "25 N·m"\ntries = 0\n', 6, "greater than or equal to 1"),
        (HEAD + 'kind = "fault"\nseed = 3\nfault = "slipp"\n', 3, "one of normal, slip_off"),
        (HEAD + 'kind = "fault"\nseed = -3\n', 5, "seed"),
        (HEAD + 'kind = "clamp"\nseed = 3\nthread = "M10"\n', 3, "not both"),
        (HEAD + 'kind = "clamp"\nthread = "M10"\n', 3, "needs torque"),
        (HEAD + 'kind = "clamp"\ntorque = "40 N·m"\nfriction = "oiled"\n', 3, "needs thread"),
        (HEAD + 'kind = "what_if"\nask = "?"\n[exercise.case]\ncircel = "5"\n', 7, "circle?"),
        (HEAD + 'kind = "what_if"\nask = "?"\n[exercise.case]\ncircle = "5"\n', 3, "exercise 1"),
        ('title = = "a"\n', 1, "not TOML"),
    ],
)
def test_slips_are_named_with_line_and_what_would_be_right(text: str, line: int, says: str) -> None:
    with pytest.raises(BadFile) as caught:
        read(text)
    assert says in str(caught.value)
    assert caught.value.line == line
    assert caught.value.file == "mine.toml"


def test_the_reference_names_every_key_and_every_fault() -> None:
    page = Path("docs/reference/lesson-file.md").read_text(encoding="utf-8")
    parts = page.split("\n## ")
    for model, heading in ((LessonFile, "# The lesson file"), (FeelIn, 'kind = "feel"'),
                           (ClampIn, 'kind = "clamp"'), (FaultIn, 'kind = "fault"'),
                           (WhatIfIn, 'kind = "what_if"')):  # fmt: skip
        part = next(one for one in parts if heading in one.splitlines()[0])
        rows = {line.split("`")[1] for line in part.splitlines() if line.startswith("| `")}
        assert rows == set(model.model_fields), heading
    assert [key for key in (*FIELDS, *fault_kinds()) if f"`{key}`" not in page] == []
