"""The page for when there is no figure: where to look, questions kept, a general table apart."""

from __future__ import annotations

from collections.abc import Callable
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field

from clampwright.bench.figures import answer_figure, ask_figure
from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.procedure.no_figure import GENERAL, general_table, places
from clampwright.store.log import Store
from clampwright.store.writing import Receipt
from clampwright.web.api import Entry
from clampwright.web.models import Name, Reason, Sent
from clampwright.web.shared import House, house
from clampwright.words import words
from clampwright.work.figures import FigureQuestion, questions

Short = Annotated[str, Query(max_length=40)]


class FigureIn(Sent):
    """A question after a figure."""

    what: Reason
    machine: Reason = ""
    thread: Annotated[str, Field(max_length=40)] = ""
    strength: Annotated[str, Field(max_length=40)] = ""
    looked: Annotated[dict[Name, Reason], Field(max_length=20)] = Field(default_factory=dict)
    general_shown: bool = False


class FoundIn(Sent):
    """A figure that was found."""

    asked: Name
    figure: Annotated[str, Field(max_length=100)]
    source: Reason


def figures_page(request: Request, thread: Short = "", strength: Short = "") -> Response:
    """Show where to look, the questions, and the general table where it was asked for."""
    place = house(request)
    rows: list[dict[str, str]] = []
    problem = ""
    if thread and strength:
        try:
            rows = _table(thread, strength)
        except ClampwrightError as error:
            problem = say(error.message)
    facts = {
        "title": say(words("When there is no figure")),
        "places": [
            {"name": one.name, "say": say(one.say), "source": one.source} for one in places()
        ],
        "questions": [_view(one) for one in _questions(place)],
        "thread": thread,
        "strength": strength,
        "rows": rows,
        "problem": problem,
        "general": say(GENERAL),
        "text": {name: say(sentence) for name, sentence in TEXT.items()},
    }
    return place.pages.answer("figures.html", facts)


def _table(thread: str, strength: str) -> list[dict[str, str]]:
    return [
        {
            "surface": say(row.title),
            "torque": f"{row.torque:.3g} N·m",
            "leaves": say(
                words(
                    "{small:.0f} to {large:.0f} % of proof load",
                    small=100 * row.share[0],
                    large=100 * row.share[1],
                )
            ),
            "source": row.source,
        }
        for row in general_table(thread, strength)
    ]


def _questions(place: House) -> tuple[FigureQuestion, ...]:
    if not place.desk.stamp():
        return ()
    with Store.open(place.place.folder, write=False) as store:
        return questions(store.entries())


def _view(one: FigureQuestion) -> dict[str, Any]:
    keys = ("what", "machine", "thread", "strength")
    return {
        "entry": one.entry,
        "what": ", ".join(one.asked[key] for key in keys if one.asked[key]),
        "looked": dict(one.asked["looked"]),
        "figure": one.found["figure"] if one.found else "",
        "source": one.found["source"] if one.found else "",
        "open": one.found is None,
    }


def figures(request: Request) -> dict[str, Any]:
    """List the questions after figures, answered ones too."""
    return {"questions": [_view(one) for one in _questions(house(request))]}


def put_figure(request: Request, entry: Entry, sent: FigureIn) -> Response:
    """Keep a question after a figure."""
    return _taken(
        request, lambda store: ask_figure(store, **sent.model_dump(), entry_id=entry), create=True
    )


def put_found(request: Request, entry: Entry, sent: FoundIn) -> Response:
    """Enter a figure that was found, with its source."""
    return _taken(
        request,
        lambda store: answer_figure(store, sent.asked, sent.figure, sent.source, entry_id=entry),
    )


def _taken(
    request: Request, put: Callable[[Store], Receipt], *, create: bool = False
) -> JSONResponse:
    with house(request).desk.writing(create=create) as store:
        receipt = put(store)
    return JSONResponse(
        {"entry": receipt.id}, HTTPStatus.OK if receipt.duplicate else HTTPStatus.CREATED
    )


TEXT = {
    "stop": words("Stop: without a figure nothing is tightened"),
    "stop_about": words(
        "Do not take one from memory, from a similar machine or by feel. Look in these places, "
        "then ask, and write down what was found where."
    ),
    "where": words("Where to look"),
    "found_there": words("What was found there"),
    "ask": words("Keep the question"),
    "ask_about": words("It stays on the log until somebody enters the figure with its source."),
    "what": words("Which fastener or step has no figure?"),
    "machine": words("Machine"),
    "thread": words("Thread, such as M12"),
    "strength": words("Strength class, such as 8.8"),
    "keep": words("Keep this question"),
    "questions": words("Questions kept"),
    "open": words("Open:"),
    "figure": words("The figure with its unit"),
    "source": words("Where it stands: title, edition, page; or who said it"),
    "enter": words("Enter the figure"),
    "table": words("General table, which is no answer"),
    "show_table": words("Show the general table"),
    "surface": words("Surface"),
    "torque": words("Torque"),
    "leaves": words("Leaves"),
    "no_job": words("No job takes a figure from this table."),
}
