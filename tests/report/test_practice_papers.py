"""Drawings and papers of practice: true to place, told without colour, answers on pages apart."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from clampwright.practice.clamp_question import scored
from clampwright.practice.lesson import ClampExercise, Lesson, WhatIfExercise, first_lesson
from clampwright.practice.tries import Try
from clampwright.practice.what_if import WhatIf
from clampwright.practice.what_if_request import WhatIfRequest
from clampwright.report.clamp_posts import clamp_posts
from clampwright.report.estimate_drawing import estimate_drawing
from clampwright.report.lesson_sheet import content, lesson_pdf
from clampwright.report.practice_drawings import class_drawing, feel_drawing
from clampwright.report.svg import PAPER
from clampwright.report.what_if_paper import what_if_pdf

SVG = "{http://www.w3.org/2000/svg}"
TIME = "2026-05-04T18:30:00+00:00"
DAY = dt.date(2026, 5, 4)


@pytest.fixture(scope="module")
def cover() -> WhatIf:
    exercise = first_lesson().exercise(9)
    assert isinstance(exercise, WhatIfExercise)
    return exercise.request.study()


def feet(drawing: str) -> dict[int, tuple[float, float]]:
    """Where each post stands: the line under it."""
    found = {}
    for group in ET.fromstring(drawing).iter(f"{SVG}g"):  # noqa: S314 - our own drawing
        if group.get("class") == "post":
            line = group.find(f"{SVG}line")
            assert line is not None
            x = (float(line.get("x1", "")) + float(line.get("x2", ""))) / 2
            found[int(group.get("data-fastener", ""))] = (x, float(line.get("y1", "")))
    return found


def test_posts_stand_true_to_place(cover: WhatIf) -> None:
    drawn = feet(clamp_posts(cover))
    places = dict(enumerate(cover.parts.layout.positions, 1))
    scale = (drawn[3][0] - drawn[7][0]) / (places[3][0] - places[7][0])
    for n, (x, y) in places.items():
        assert drawn[n] == pytest.approx((scale * x, -scale * y), abs=0.02)


@pytest.mark.parametrize(
    "where",
    [
        {"circle": "12", "diameter": "300 mm"},
        {"row": "7", "pitch": "40 mm"},
        {"grid": "3x4", "pitch": "90 mm", "pitch_across": "60 mm"},
        {"points": "0,0; 80,0; 40,60; 41,200"},
        {"circle": "1", "diameter": "10 mm"},
    ],
)
def test_no_post_stands_in_another(where: dict[str, str]) -> None:
    asked = where | {
        "thread": "M10", "strength": "8.8", "head": "ISO 4014/4017", "grip": "30 mm",
        "friction": "oiled", "torque": "35 N·m", "if_friction": "dry",
    }  # fmt: skip
    drawn = feet(clamp_posts(WhatIfRequest(asked).study()))
    for (x, y), (u, v) in combinations(drawn.values(), 2):
        assert abs(x - u) >= 103.9 or abs(y - v) >= 170.0


def test_heights_are_the_clamp_loads(cover: WhatIf) -> None:
    root = ET.fromstring(clamp_posts(cover))  # noqa: S314 - our own drawing
    heights = [
        float(rect.get("height", ""))
        for group in root.iter(f"{SVG}g")
        if group.get("class") == "post"
        for rect in group.iter(f"{SVG}rect")
    ]
    loads = [load for pair in zip(cover.planned.nominal, cover.changed.nominal, strict=True)
             for load in pair]  # fmt: skip
    ratio = heights[0] / loads[0]
    assert heights == pytest.approx([ratio * load for load in loads], abs=0.01)


def test_colours_are_ink_and_ground_only(cover: WhatIf) -> None:
    clamp = first_lesson().exercise(2)
    assert isinstance(clamp, ClampExercise)
    tries = [Try(25.0, 24.0, DAY), Try(25.0, 27.0, DAY + dt.timedelta(1))]
    for drawing in (
        clamp_posts(cover, look=PAPER),
        estimate_drawing(clamp.question, scored(clamp.question, 20e3, 30e3), look=PAPER),
        feel_drawing(tries, look=PAPER),
        class_drawing({"7": tries, "<b>": tries[:1]}, look=PAPER),
    ):
        ET.fromstring(drawing)  # noqa: S314 - our own drawing
        colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', drawing))
        assert colours <= {"#000000", "#ffffff", "none"}
        assert 'role="img"' in drawing
        assert "<b>" not in drawing


def test_one_try_far_off_stays_in_the_drawing() -> None:
    root = ET.fromstring(feel_drawing([Try(25.0, 100.0, DAY)], look=PAPER))  # noqa: S314 - as above
    (dot,) = root.iter(f"{SVG}circle")
    assert 20.0 < float(dot.get("cy", "")) < 270.0


def part_of(*numbers: int) -> Lesson:
    """The shipped lesson cut short: every trace drawn takes time."""
    lesson = first_lesson()
    return replace(lesson, exercises=tuple(lesson.exercise(number) for number in numbers))


def test_the_sheet_keeps_answers_apart() -> None:
    made = content(part_of(1, 3, 5, 9), time=TIME, language="en")["exercises"]
    assert [one["kind"] for one in made] == ["feel", "clamp", "fault", "what_if"]
    assert all(one["answer"] for one in made)
    fault = made[2]
    assert len(fault["choices"]) == 6
    assert "slipped" not in fault["chart"]
    assert "slipped" in fault["drawing"]
    asked = " ".join(str(one.get(key, "")) for one in made for key in ("text", "facts"))
    for line in (line for one in made for line in one["answer"]):
        assert line not in asked


def test_papers_are_the_same_bytes_from_the_same_data(cover: WhatIf) -> None:
    lesson = part_of(1, 3, 9)
    one = lesson_pdf(lesson, time=TIME, language="en")
    assert one.startswith(b"%PDF-")
    assert one == lesson_pdf(lesson, time=TIME, language="en")
    assert what_if_pdf(cover, time=TIME, language="en").startswith(b"%PDF-")
