"""The pages of relations: find one, fill in values in any unit, see the result and its limits.

Plain forms that send what was filled in with the address: they need no script, and an answer can
be kept as a bookmark. Nothing is stored.
"""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import Response

from clampwright.errors import ClampwrightError, Missing
from clampwright.locale import say
from clampwright.web.formula_view import LONGEST, computed, listing, relation_view
from clampwright.web.jobfiles import readings_of
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import house
from clampwright.words import words

Name = Annotated[str, InPath(max_length=80)]
Word = Annotated[str, Query(max_length=80)]


def formulas(request: Request, about: Word = "") -> Response:
    """List the relations, or those that have to do with a word."""
    from clampwright.formula.tables import about as found_about  # noqa: PLC0415 - reads all tables
    from clampwright.formula.tables import relations  # noqa: PLC0415 - as above

    wanted = about.strip()
    found = found_about(wanted) if wanted else relations()
    facts = {
        "title": say(words("Formulas")),
        "about": about,
        "count": say(words("{count} relations", count=len(found))),
        "topics": listing(found),
    }
    return house(request).pages.answer("formulas.html", facts)


def formula(request: Request, name: Name) -> Response:
    """Show a relation, and its result where values were filled in."""
    from clampwright.formula.tables import relation  # noqa: PLC0415 - reads tables

    try:
        one = relation(name)
    except Missing as error:
        raise Missing(error.message, needed="entry") from error  # an address that is not there
    asked = {key: text[:LONGEST] for key, text in request.query_params.items()}
    facts: dict[str, Any] = {"problem": "", "readings": (), "done": None}
    status = HTTPStatus.OK
    try:
        facts["done"] = computed(one, asked)
    except ClampwrightError as error:
        facts["problem"] = as_sentence(say(error.message))
        facts["readings"] = readings_of(error)
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    view = relation_view(one, asked)
    page = house(request).pages
    return page.answer(
        "formula.html", {"title": view["heading"], "one": view, **facts}, status=status
    )
