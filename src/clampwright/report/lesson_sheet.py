"""A lesson on paper: exercises with room for answers, and the answers on pages of their own."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from clampwright.locale import in_its_language, paper_language, say
from clampwright.locale import language as language_of_the_person
from clampwright.practice.fault_question import fault_kinds
from clampwright.practice.feel import tolerances
from clampwright.practice.lesson import (
    ClampExercise,
    Exercise,
    FaultExercise,
    FeelExercise,
    Lesson,
    WhatIfExercise,
)
from clampwright.report import child
from clampwright.report.clamp_posts import clamp_posts
from clampwright.report.fault_drawing import fault_drawing
from clampwright.report.glyphs import all_showable
from clampwright.report.svg import PAPER
from clampwright.words import Words, words

CAUTION = words(
    "Practise on a joint that is meant for it, in a vice that holds, with a sound tool. Never on a "
    "machine that is to be used. The maker's information comes first."
)
TITLES: Mapping[str, Words] = {
    "feel": words("Pull by hand to {torque}"),
    "clamp": words("Estimate the clamp load"),
    "fault": words("Find the fault"),
    "what_if": words("What would happen if"),
}
"""What each kind of exercise is called."""


def title_of(exercise: Exercise) -> Words:
    """Return what an exercise is called."""
    if isinstance(exercise, FeelExercise):
        return Words(TITLES["feel"].template, {"torque": exercise.written})
    return TITLES[exercise.kind]


@in_its_language
def lesson_pdf(lesson: Lesson, *, time: str, language: str | None = None) -> bytes:
    """Set a lesson as a sheet to hand out.

    Parameters
    ----------
    lesson : Lesson
    time : str
        Stands on the sheet and in the file (RFC 3339); the same lesson at the same time is the
        same bytes.
    language : str, optional
        Of the sheet; the person's own if not given.

    Returns
    -------
    bytes
        PDF/A-3b. The answers begin on a new page.

    Raises
    ------
    Refused
        When the limits of time and memory stop it.
    """
    tag = language or language_of_the_person()
    shown = json.dumps(all_showable(content(lesson, time=time, language=tag)), ensure_ascii=False)
    return child.run("paper", {"template": "lesson.typ", "inputs": {"data": shown}, "time": time})


def content(lesson: Lesson, *, time: str, language: str) -> dict[str, Any]:
    """Return everything that stands on the sheet, as texts and drawings.

    Parameters
    ----------
    lesson, time, language
        As `lesson_pdf`.

    Returns
    -------
    dict
    """
    return {
        **paper_language(language),
        "title": say(lesson.title, language),
        "about": say(lesson.about, language) if lesson.about.template else "",
        "first": say(CAUTION, language),
        "made": say(words("Made {day}", day=time[:10]), language),
        "exercises": [
            _exercise(one, number, language) for number, one in enumerate(lesson.exercises, 1)
        ],
        "labels": {
            name: say(sentence, language)
            for name, sentence in {
                "page": words("Page"),
                "of": words("of"),
                "learner": words("Number or nick-word"),
                "day": words("Day"),
                "answers": words("Answers"),
                "answers_about": words(
                    "For the teacher; take this page off before the sheet is handed out."
                ),
            }.items()
        },
    }


def _exercise(one: Exercise, number: int, language: str) -> dict[str, Any]:
    def told(sentence: Words) -> str:
        return say(sentence, language) if sentence.template else ""

    made: dict[str, Any] = {
        "number": str(number),
        "kind": one.kind,
        "title": told(title_of(one)),
        "text": told(one.text),
        "facts": [],
        "chart": "",
        "drawing": "",
    }
    if isinstance(one, FeelExercise):
        return made | _feel(one, told)
    if isinstance(one, ClampExercise):
        return made | _clamp(one, told)
    if isinstance(one, FaultExercise):
        return made | _fault(one, told, language)
    return made | _what_if(one, told, language)


def _feel(one: FeelExercise, told: Any) -> dict[str, Any]:
    columns = (
        words("Try"),
        words("Read"),
        words("Too much or too little"),
        words("Length of the wrench"),
        words("Posture"),
    )
    limits = [
        words(
            "±{percent:g} %: {low:.1f} to {high:.1f} N·m ({what})",
            percent=100.0 * each.tolerance,
            low=one.aim * (1.0 - each.tolerance),
            high=one.aim * (1.0 + each.tolerance),
            what=each.title,
        )
        for each in tolerances()
    ]
    return {
        "columns": [told(column) for column in columns],
        "tries": one.tries,
        "answer": [told(line) for line in limits],
    }


def _clamp(one: ClampExercise, told: Any) -> dict[str, Any]:
    band, condition = one.question.band(), one.question.condition
    said = words(
        "5 to 95 % of the fasteners: {low:.1f} to {high:.1f} kN, the middle {middle:.1f} kN "
        "(friction {least:g} to {most:g}).",
        low=band.p05 / 1000.0,
        high=band.p95 / 1000.0,
        middle=band.nominal / 1000.0,
        least=condition.low,
        most=condition.high,
    )
    friction = (words("Friction"), told(condition.title))
    return {
        "facts": [[told(label), value] for label, value in (*one.question.told(), friction)],
        "between": told(words("9 of 10 such fasteners lie between")),
        "and": told(words("and")),
        "answer": [told(said)],
    }


def _fault(one: FaultExercise, told: Any, language: str) -> dict[str, Any]:
    asked, kinds = one.question, fault_kinds()
    return {
        "facts": [[told(label), value] for label, value in asked.told()],
        "choices": [told(kinds[key].title) for key in asked.choices],
        "chart": fault_drawing(asked, look=PAPER, language=language),
        "drawing": fault_drawing(asked, asked.read(), look=PAPER, language=language),
        "because": told(words("What in the curve shows it?")),
        "answer": [told(part) for part in (asked.kind.title, asked.kind.why, asked.kind.advice)],
    }


def _what_if(one: WhatIfExercise, told: Any, language: str) -> dict[str, Any]:
    found = one.request.study()
    return {
        "text": "\n".join(part for part in (told(one.ask), told(one.text)) if part),
        "answer": [told(line) for line in found.says()],
        "drawing": clamp_posts(found, look=PAPER, language=language),
    }
