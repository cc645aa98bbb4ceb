"""The pages of practice: lessons, exercises, what would happen if, and a class for its teacher."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping
from functools import partial
from http import HTTPStatus
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Query, Request
from fastapi.responses import RedirectResponse, Response
from starlette.concurrency import run_in_threadpool

from clampwright.bench.friction import own_conditions
from clampwright.bench.practice import PracticeBook
from clampwright.bench.practice_answers import Who, another, answer, find_exercise
from clampwright.errors import BadFile, ClampwrightError, Missing
from clampwright.intake import form_of
from clampwright.locale import between, say
from clampwright.practice.export import as_csv, as_json
from clampwright.practice.lesson import Exercise, FeelExercise, Lesson
from clampwright.practice.results import learners, tries_of
from clampwright.practice.tries import POSTURES
from clampwright.practice.what_if import WhatIf
from clampwright.practice.what_if_request import FIELDS, WRENCH, WhatIfRequest
from clampwright.proof.ids import uuid7
from clampwright.report.lesson_sheet import lesson_pdf, title_of
from clampwright.report.practice_drawings import class_drawing
from clampwright.report.what_if_paper import what_if_pdf
from clampwright.standards import friction_conditions
from clampwright.web.answers import status_of
from clampwright.web.jobfiles import readings_of
from clampwright.web.practice_api import book_of, is_stranger
from clampwright.web.practice_sentences import KEPT, PRACTICE, WHAT_IF_FIELDS
from clampwright.web.practice_view import (
    answer_facts,
    exercise_facts,
    feel_facts,
    learner_row,
    what_if_facts,
)
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.words import words

LONGEST = 2000
"""Letters taken of one field."""
Text = Annotated[str, Query(max_length=LONGEST)]

EXAMPLE = {
    "circle": "8", "diameter": "200 mm", "thread": "M10", "strength": "8.8",
    "head": "ISO 4014/4017", "grip": "30 mm", "friction": "oiled", "torque": "35 N·m",
    "shares": "30,60,100", "wrench": WRENCH, "thickness": "25 mm", "width": "30 mm",
    "gasket_modulus": "120 MPa", "gasket_thickness": "2 mm", "if_order": "1,2,3,4,5,6,7,8",
    "if_shares": "100",
}  # fmt: skip
"""An invented cover, crosswise in three passes, and once round in one."""


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC).astimezone()


def practice(
    request: Request, group: Annotated[str, Query(alias="class")] = "", learner: Text = ""
) -> Response:
    """Show lessons, single exercises and classes."""
    place = house(request)
    book, who, problem = book_of(place), Who(), ""
    try:
        who = Who(group.strip(), learner.strip())
    except ClampwrightError as error:
        problem = as_sentence(say(error.message))
    facts = {
        "title": say(PRACTICE["practice"]),
        "problem": problem,
        "who": {"class": group, "learner": learner},
        "as_who": _as_who(who),
        "lessons": [_lesson_line(key, one) for key, one in book.lessons().items()],
        # Classes and what their learners did are for who has signed in.
        "classes": () if is_stranger(request) else book.classes(),
        "stranger": is_stranger(request),
    }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if problem else HTTPStatus.OK
    return place.pages.answer("practice.html", facts, status=status)


def _lesson_line(key: str, one: Lesson | BadFile) -> dict[str, str]:
    if isinstance(one, BadFile):
        return {"key": key, "title": key, "about": "", "problem": as_sentence(say(one.message))}
    about = say(one.about) if one.about.template else ""
    return {"key": key, "title": say(one.title), "about": about, "problem": ""}


def lesson_page(
    request: Request,
    lesson: str,
    group: Annotated[str, Query(alias="class")] = "",
    learner: Text = "",
) -> Response:
    """Show a lesson with its exercises."""
    place = house(request)
    found = book_of(place).lesson(lesson)
    who = Who(group.strip(), learner.strip())
    facts = {
        "title": say(found.title),
        "about": say(found.about) if found.about.template else "",
        "lesson": lesson,
        "as_who": _as_who(who),
        "exercises": [
            {"reference": f"{lesson}/{number}", "number": number, "title": say(title_of(one))}
            for number, one in enumerate(found.exercises, 1)
        ],
    }
    return place.pages.answer("practice_lesson.html", facts)


def lesson_sheet(request: Request, lesson: str) -> Response:
    """Set a lesson on paper."""
    found = book_of(house(request)).lesson(lesson)
    return _download(lesson_pdf(found, time=_stamp()), "application/pdf", f"{lesson}.pdf")


def other(
    kind: Text,
    aim: Text = "",
    group: Annotated[str, Query(alias="class")] = "",
    learner: Text = "",
) -> Response:
    """Lead to an exercise that the program makes."""
    if kind == "feel":
        reference = f"feel:{aim.strip()}"
    elif kind in {"clamp", "fault"}:
        reference = another(kind)
    else:
        raise Missing(
            words("{kind!r} is none of feel, clamp, fault", kind=kind[:40]), needed="entry"
        )
    asked = {"exercise": reference, "class": group, "learner": learner}
    kept = {key: text for key, text in asked.items() if text}
    return RedirectResponse(f"/practice/exercise?{urlencode(kept)}", HTTPStatus.SEE_OTHER)


def exercise_page(
    request: Request,
    exercise: Text,
    group: Annotated[str, Query(alias="class")] = "",
    learner: Text = "",
    wall: Text = "",
) -> Response:
    """Ask an exercise."""
    asked = {"exercise": exercise, "class": group, "learner": learner, "wall": wall}
    return _exercise(house(request), asked, None, stranger=is_stranger(request))


async def exercise_answered(request: Request) -> Response:
    """Take an answer, tell what came of it, and keep it for the class."""
    sent = form_of(await request.body())
    answered = partial(_exercise, stranger=is_stranger(request))
    return await run_in_threadpool(answered, house(request), sent, sent)


def _exercise(
    place: House, asked: Mapping[str, str], sent: Mapping[str, str] | None, *, stranger: bool
) -> Response:
    book, reference = book_of(place, stranger=stranger), asked.get("exercise", "")
    exercise = find_exercise(book, reference)
    facts: dict[str, Any] = {"problem": "", "readings": (), "done": None, "kept": ""}
    status: int = HTTPStatus.OK
    who = Who()
    try:
        who = Who(asked.get("class", "").strip(), asked.get("learner", "").strip())
        if sent is not None:
            done, new = answer(
                book, reference, sent, who=who, entry=sent.get("entry", ""), now=_now()
            )
            facts["done"] = answer_facts(exercise, done)
            facts["kept"] = say(KEPT[("new" if new else "known") if who else "nobody"])
    except ClampwrightError as error:
        facts |= {"problem": as_sentence(say(error.message)), "readings": readings_of(error)}
        status = status_of(error)
    facts |= _around(book, reference, exercise, who, history=not stranger)
    facts |= {
        "who": {"class": asked.get("class", ""), "learner": asked.get("learner", "")},
        "written": dict(sent or {}),
        "wall": bool(asked.get("wall")),
        "entry": uuid7(),
    }
    return place.pages.answer("practice_exercise.html", facts, status=status)


def _around(
    book: PracticeBook, reference: str, exercise: Exercise, who: Who, *, history: bool
) -> dict[str, Any]:
    """Return the exercise itself, what leads on from it, and the learner's tries so far."""
    shown = exercise_facts(exercise)
    feel = None
    if isinstance(exercise, FeelExercise) and who and history:
        mine = tries_of(book.results(who.group), who.learner)
        feel = feel_facts(mine)
    lesson, _sign, number = reference.rpartition("/")
    following = ""
    if lesson and ":" not in reference:
        more = int(number) < len(book.lesson(lesson).exercises)
        following = f"{lesson}/{int(number) + 1}" if more else ""
    return {
        "title": shown["heading"],
        "ask": shown,
        "reference": reference,
        "lesson": lesson if ":" not in reference else "",
        "next": following,
        "as_who": _as_who(who),
        "feel": feel,
        "postures": [(key, say(title)) for key, title in POSTURES.items()],
    }


def what_if_page(request: Request) -> Response:
    """Answer what would happen if; the address holds the whole question."""
    place = house(request)
    asked = _asked(request)
    facts: dict[str, Any] = {"problem": "", "readings": (), "done": None, "paper": ""}
    status: int = HTTPStatus.OK
    try:
        if any(asked.get(key, "").strip() for key in FIELDS):
            facts["done"] = what_if_facts(_study(place, asked))
            facts["paper"] = f"/practice/what-if.pdf?{urlencode(_filled(asked))}"
    except ClampwrightError as error:
        facts |= {"problem": as_sentence(say(error.message)), "readings": readings_of(error)}
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    facts |= {
        "title": say(PRACTICE["practice_what_if"]),
        "fields": {
            key: {"name": key, "title": say(title), "value": asked.get(key, "")}
            for key, title in WHAT_IF_FIELDS.items()
        },
        "wall": bool(asked.get("wall")),
        "wall_way": f"/practice/what-if?{urlencode(_filled(asked) | {'wall': 'yes'})}",
        "page_way": f"/practice/what-if?{urlencode(_filled(asked))}",
        "example": urlencode(EXAMPLE),
        "conditions": [
            (one.name, say(one.title), between(one.low, one.high)) for one in friction_conditions()
        ],
    }
    return place.pages.answer("practice_what_if.html", facts, status=status)


def what_if_paper(request: Request) -> Response:
    """Set the question and its answer on paper."""
    found = _study(house(request), _asked(request))
    return _download(what_if_pdf(found, time=_stamp()), "application/pdf", "what-if.pdf")


def _asked(request: Request) -> dict[str, str]:
    return {key: text[:LONGEST] for key, text in request.query_params.items()}


def _filled(asked: Mapping[str, str]) -> dict[str, str]:
    return {key: asked[key] for key in FIELDS if asked.get(key, "").strip()}


def _study(place: House, asked: Mapping[str, str]) -> WhatIf:
    return WhatIfRequest(asked, name=_named, friction=own_conditions(place.place.folder)).study()


def _named(key: str) -> str:
    return say(words("“{field}”", field=WHAT_IF_FIELDS[key])) if key in WHAT_IF_FIELDS else key


def class_page(request: Request, group: str) -> Response:
    """Show a class to its teacher."""
    place = house(request)
    results = book_of(place).results(group)
    facts = _class_facts(group, results)
    return place.pages.answer("practice_class.html", facts)


def class_wall(request: Request, group: str) -> Response:
    """Show a class for the back of a room."""
    place = house(request)
    results = book_of(place).results(group)
    return place.pages.answer("practice_wall.html", _class_facts(group, results))


def _class_facts(group: str, results: Any) -> dict[str, Any]:
    rows = learners(results)
    tries = {one.name: tries_of(results, one.name) for one in rows}
    with_tries = {name: mine for name, mine in tries.items() if mine}
    return {
        "title": say(words("Class {name}", name=group)),
        "group": group,
        "rows": [learner_row(one) for one in rows],
        "drawing_of_class": class_drawing(with_tries) if with_tries else "",
    }


def class_csv(request: Request, group: str) -> Response:
    """Hand the results out as a table."""
    data = as_csv(book_of(house(request)).results(group))
    return _download(data, "text/csv; charset=utf-8", f"{group}.csv")


def class_json(request: Request, group: str) -> Response:
    """Hand the results out as JSON."""
    data = as_json(group, book_of(house(request)).results(group))
    return _download(data, "application/json", f"{group}.json")


def _download(data: bytes, kind: str, name: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=kind, headers=headers)


def _stamp() -> str:
    return dt.datetime.now(dt.UTC).isoformat(timespec="seconds")


def _as_who(who: Who) -> str:
    """Return what is added to every address so that the next page knows who answers."""
    return f"&{urlencode({'class': who.group, 'learner': who.learner})}" if who else ""
