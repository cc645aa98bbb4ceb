"""Practice for other programs: lessons, questions, answers, classes, and a live value."""

from __future__ import annotations

import datetime as dt
import time
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field

from clampwright.bench.friction import own_conditions
from clampwright.bench.practice import PracticeBook
from clampwright.bench.practice_answers import Who, answer, find_exercise
from clampwright.errors import BadFile
from clampwright.locale import say
from clampwright.practice.fault_question import fault_kinds
from clampwright.practice.feel import held_against, spread_of
from clampwright.practice.lesson import ClampExercise, Exercise, FaultExercise, FeelExercise
from clampwright.practice.results import learners, spread_json, tries_of
from clampwright.practice.what_if_request import WhatIfRequest
from clampwright.report.lesson_sheet import title_of
from clampwright.units import factor
from clampwright.web.access import visitor_of
from clampwright.web.api import Entry
from clampwright.web.models import Name, Sent, Unit
from clampwright.web.shared import House, house
from clampwright.work.people_rules import figure

LONGEST = 2000

Text = Annotated[str, Query(max_length=LONGEST)]
Group = Annotated[str, Path(max_length=40)]
Called = Annotated[str, Path(max_length=24)]


class AnswerIn(Sent):
    """An answer to an exercise."""

    learner: Annotated[str, Field(min_length=1, max_length=24)]
    exercise: Annotated[str, Field(min_length=1, max_length=80)]
    answer: Annotated[dict[Name, Annotated[str, Field(max_length=LONGEST)]], Field(max_length=8)]


class TorqueIn(Sent):
    """One sample of a live torque."""

    torque: Annotated[float, Field(ge=-1e5, le=1e5, allow_inf_nan=False)]
    unit: Unit


def is_stranger(request: Request) -> bool:
    """Say whether who asks has not signed in where everybody must."""
    return house(request).keeper.is_stranger(visitor_of(request.scope))


def book_of(place: House, *, stranger: bool = False) -> PracticeBook:
    """Return the results and lessons of the workshop that is served.

    Parameters
    ----------
    place : House
    stranger : bool
        Of one who has not signed in less is kept.
    """
    most = figure("all_strangers", "largest_all") if stranger else None
    return PracticeBook(place.place.folder, largest_all=most)


def lessons(request: Request) -> dict[str, Any]:
    """List the lessons; one that cannot be taken says why."""
    found = book_of(house(request)).lessons()
    return {
        "lessons": [
            {"key": key, "error": say(one.message)}
            if isinstance(one, BadFile)
            else {
                "key": key,
                "title": say(one.title),
                "exercises": [
                    {"exercise": f"{key}/{n}", "kind": each.kind, "title": say(title_of(each))}
                    for n, each in enumerate(one.exercises, 1)
                ],
            }
            for key, one in found.items()
        ]
    }


def question(request: Request, exercise: Text) -> dict[str, Any]:
    """Ask an exercise; what the answer is stays with the server."""
    found = find_exercise(book_of(house(request)), exercise)
    return {
        "exercise": exercise,
        "kind": found.kind,
        "title": say(title_of(found)),
        "text": say(found.text) if found.text.template else "",
        **_asked(found),
    }


def _asked(found: Exercise) -> dict[str, Any]:
    if isinstance(found, FeelExercise):
        return {"aimed_Nm": found.aim, "tries": found.tries, "answer": ["reached", "length",
                "posture"]}  # fmt: skip
    if isinstance(found, ClampExercise):
        asked = found.question
        return {
            "torque_Nm": asked.torque,
            "thread": asked.named.thread,
            "strength": asked.named.strength,
            "head": asked.named.head,
            "friction": asked.named.friction,
            "answer": ["low", "high"],
        }
    if isinstance(found, FaultExercise):
        trace, kinds = found.question.trace, fault_kinds()
        return {
            "time_s": trace.time.tolist(),
            "torque_Nm": trace.torque.tolist(),
            "angle_deg": trace.angle.tolist(),
            "angle_mode": trace.angle_mode,
            "told": {say(label): value for label, value in found.question.told()},
            "choices": {key: say(kinds[key].title) for key in found.question.choices},
            "answer": ["said"],
        }
    return {"ask": say(found.ask), "answer": ["foreseen"]}


def put_answer(request: Request, group: Group, entry: Entry, sent: AnswerIn) -> Response:
    """Take an answer of a learner, tell what came of it, and keep it."""
    done, new = answer(
        book_of(house(request), stranger=is_stranger(request)),
        sent.exercise,
        sent.answer,
        who=Who(group, sent.learner),
        entry=entry,
        now=dt.datetime.now(dt.UTC).astimezone(),
    )
    content = {"entry": entry, "outcome": dict(done.outcome), "says": [say(s) for s in done.says]}
    return JSONResponse(content, HTTPStatus.CREATED if new else HTTPStatus.OK)


def classes(request: Request) -> dict[str, Any]:
    """List the classes."""
    return {"classes": list(book_of(house(request)).classes())}


def one_class(request: Request, group: Group) -> dict[str, Any]:
    """Return what a class has done, by learner and answer by answer."""
    results = book_of(house(request)).results(group)
    return {
        "class": group,
        "learners": [one.as_json() for one in learners(results)],
        "results": [
            {
                "id": one.id,
                "learner": one.learner,
                "time": one.time,
                "kind": one.kind,
                "exercise": one.exercise,
                "answer": dict(one.answer),
                "outcome": dict(one.outcome),
            }
            for one in results
        ],
    }


def feel(request: Request, group: Group, learner: Called) -> dict[str, Any]:
    """Return what the tries of a learner say; shares of the torque aimed at."""
    tries = tries_of(book_of(house(request)).results(group), learner)
    return spread_json(spread_of(tries)) | {
        "held": [
            {
                "stage": say(one.tolerance.title),
                "tolerance": one.tolerance.tolerance,
                "source": one.tolerance.source,
                "inside": one.inside,
                "share_range": list(one.share_range),
                "next_within": one.next_within,
            }
            for one in held_against(tries)
        ]
    }


def what_if(request: Request) -> dict[str, Any]:
    """Answer what would happen if: the fields of the page as query, forces in N."""
    place = house(request)
    asked = {key: text[:LONGEST] for key, text in request.query_params.items()}
    return WhatIfRequest(asked, friction=own_conditions(place.place.folder)).study().as_json()


def live(request: Request) -> dict[str, Any]:
    """Return the live torques, each with its age in seconds."""
    return {"sources": house(request).peaks.shown(now=time.monotonic())}


def put_live(
    request: Request, source: Annotated[str, Path(max_length=40)], sent: TorqueIn
) -> dict[str, Any]:
    """Take one sample of a live torque; nothing of it is kept."""
    torque = sent.torque * float(factor(sent.unit, "N·m"))
    peak = house(request).peaks.take(source, torque, sent.unit, now=time.monotonic())
    return {"torque_Nm": peak.torque, "highest_Nm": peak.highest, "over": peak.over}
