"""The pages of the shelf: all procedures, a new one, one with its versions."""

from __future__ import annotations

from typing import Any

from fastapi import Request
from fastapi.responses import Response

from clampwright import standards
from clampwright.bench.friction import own_conditions
from clampwright.bench.names import Names
from clampwright.bench.newjobs import last_rules
from clampwright.bench.shelf import LONGEST_TEXT
from clampwright.locale import say
from clampwright.procedure.vocabulary import languages
from clampwright.standards.added import added_conditions
from clampwright.standards.tables import rows
from clampwright.web.plan_view import HARM
from clampwright.web.shared import House, house
from clampwright.web.shelf_api import Procedure, Sought, Which, chosen
from clampwright.web.shelf_view import listed_view, version_view
from clampwright.words import words
from clampwright.work.attached import LARGEST, MOST


def procedures(request: Request, find: Sought = "") -> Response:
    """Show the procedures on the shelf, or those that hold some words."""
    place = house(request)
    names = Names(place.place.folder).all()
    found = [listed_view(one, names) for one in place.desk.look().shelf.find(find)]
    facts = {"title": say(words("Procedures")), "procedures": found, "find": find}
    return place.pages.answer("procedures.html", facts)


def new(request: Request, of: str = "") -> Response:
    """Show where a text is pasted; for a new version with what the last one holds."""
    place = house(request)
    before = None
    if of:
        one, _before, _count = chosen(place, of, None)
        before = version_view(one, None, Names(place.place.folder).all())
    facts = {
        "title": say(words("New version")) if before else say(words("New procedure")),
        "before": before,
        "languages": _languages(),
        "choices": _choices(place),
        "limits": {"text": LONGEST_TEXT, "file": LARGEST, "files": MOST},
    }
    return place.pages.answer("procedure_new.html", facts)


def procedure(
    request: Request, procedure: Procedure, version: Which = None, against: Which = None
) -> Response:
    """Show a version: what was understood, its source, what changed, who has compared it."""
    place = house(request)
    one, before, count = chosen(place, procedure, version, against)
    names = Names(place.place.folder).all()
    rules = last_rules(place.place)
    facts = {
        "title": one.title,
        "one": version_view(one, before, names),
        "versions": [
            listed_view(each, names) for each in place.desk.look().shelf.versions(procedure)
        ],
        "newest": one.number == count,
        "choices": _choices(place),
        "harm": [{"level": level, "words": say(sentence)} for level, sentence in HARM.items()],
        "rules": {
            "torque": f"{rules[0]:g}" if rules else "",
            "angle": f"{rules[1]:g}" if rules else "",
        },
    }
    return place.pages.answer("procedure.html", facts)


def _choices(place: House) -> dict[str, Any]:
    """Return the names that fasteners are told by."""
    own = own_conditions(place.place.folder)
    added = [one.value for one in added_conditions().brought]
    conditions = [*standards.friction_conditions(), *added, *own]
    return {
        "strengths": list(dict.fromkeys(one.name for one in standards.strength_classes())),
        "heads": list(dict.fromkeys(row["item"] for row in rows("heads"))),
        "frictions": [{"name": one.name, "title": say(one.title)} for one in conditions],
    }


def _languages() -> tuple[tuple[str, str], ...]:
    """Return the languages a text may be in, by their own names, with their customs of numbers."""
    return (*((tag, _own_name(tag)) for tag in languages()), ("und", say(words("I do not know"))))


def _own_name(tag: str) -> str:
    """Return what a language calls itself; its tag where that is not known."""
    from babel import Locale, UnknownLocaleError  # noqa: PLC0415 - only where names are shown

    try:
        return Locale.parse(tag).get_display_name() or tag
    except UnknownLocaleError:  # a package may bring a language that few have heard of
        return tag
