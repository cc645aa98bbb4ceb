"""The page of the archive a workshop points at: the newest results, and nothing to be done."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import lru_cache
from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import Query, Request
from fastapi.responses import Response

from clampwright.archive.pointed import archive_named, newest_results
from clampwright.archive.running import Result
from clampwright.archive.telling import TITLES, Told, tables
from clampwright.errors import ClampwrightError, Missing
from clampwright.locale import say
from clampwright.report.axes import Spec, Style
from clampwright.report.charts import chart_svg
from clampwright.report.pooled_chart import MOST as DRAWN
from clampwright.report.pooled_chart import Bar, pooled_chart
from clampwright.web.plan_charts import NARROW, Size
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.trace_view import LOOKS
from clampwright.words import words

MOST = 12
"""Rows of a table on the page; the command line shows as many as one asks for."""
_KEPT = 24
Show = Literal["friction", "drift"]
Look = Literal["light", "dark", "strong"]


def archive_page(request: Request) -> Response:
    """Show the newest results of the archive."""
    place = house(request)
    facts: dict[str, Any] = {"title": say(words("Archive")), "problem": "", "results": []}
    facts["pointed"] = ""
    status = HTTPStatus.OK
    try:
        folder = archive_named(place.place.folder)
        facts["pointed"] = "" if folder is None else folder.name
        facts["results"] = [_result(one) for one in newest_results(place.place.folder)]
    except ClampwrightError as error:
        facts["problem"] = as_sentence(say(error.message))
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    return place.pages.answer("archive.html", facts, status=status)


def archive_json(request: Request) -> dict[str, Any]:
    """Return the newest results of the archive as data."""
    found = newest_results(house(request).place.folder)
    return {"results": [one.as_json() for one in found]}


def archive_chart(
    request: Request,
    show: Show,
    *,
    look: Annotated[Look, Query()] = "light",
    size: Annotated[Size, Query()] = "wide",
) -> Response:
    """Return a chart of a result as a picture."""
    spec = _spec(house(request), show, Style(look=LOOKS[look]))
    if size == "narrow":
        spec["width"], spec["height"] = NARROW
    drawn = _drawn(json.dumps(spec, ensure_ascii=False))
    return Response(drawn, media_type="image/svg+xml")


@lru_cache(maxsize=_KEPT)
def _drawn(spec: str) -> str:
    """Draw a chart once; a process is started for it."""
    return chart_svg(json.loads(spec))


def _spec(place: House, show: Show, style: Style) -> Spec:
    for one in newest_results(place.place.folder):
        if one.analysis == show:
            spec = _friction(one.found, style) if show == "friction" else _drift(one.found, style)
            if spec is not None:
                return spec
    raise Missing(words("there is no such chart"), needed="archive")


def _friction(found: Mapping[str, Any], style: Style) -> Spec | None:
    """Draw the condition with the most joints."""
    if (most := _condition(found)) is None:
        return None
    axis = words("friction coefficient, condition {name}", name=most["condition"])
    return pooled_chart(_workshops(most), most["pooled"]["median"], axis, style=style)


def _condition(found: Mapping[str, Any]) -> Mapping[str, Any] | None:
    pooled = [one for one in found["conditions"] if one["pooled"]]
    return max(pooled, key=lambda one: (one["joints"], one["condition"])) if pooled else None


def _workshops(condition: Mapping[str, Any]) -> list[Bar]:
    return [
        Bar(one["name"], one["own"], one["drawn"], *one["interval"])
        for one in condition["workshops"]
    ]


def _drift(found: Mapping[str, Any], style: Style) -> Spec | None:
    """Draw the wrenches of the kind with the most of them."""
    if (most := _kind(found)) is None:
        return None
    axis = words("change of deviation, percent a year")
    return pooled_chart(_wrenches(found, most), most["pooled"]["rate"], axis, style=style)


def _kind(found: Mapping[str, Any]) -> Mapping[str, Any] | None:
    pooled = [one for one in found["kinds"] if one["pooled"]]
    return max(pooled, key=lambda one: (one["wrenches"], one["kind"])) if pooled else None


def _wrenches(found: Mapping[str, Any], kind: Mapping[str, Any]) -> list[Bar]:
    return [
        Bar(f"{one['tool']}, {one['name']}", one["own"], one["rate"], *one["interval"])
        for one in found["wrenches"]
        if one["kind"] == kind["kind"] and one["interval"]
    ]


def _result(result: Result) -> dict[str, Any]:
    bars = _bars(result)
    return {
        "name": result.analysis,
        "title": say(TITLES[result.analysis]),
        "made": result.made.replace("T", " ").removesuffix("Z"),
        "pieces": result.work.pieces,
        "aside": [
            as_sentence(say(words("Set aside: {file} ({why})", file=file, why=why)))
            for file, why in result.aside
        ],
        "chart": bool(bars),
        "drawn": _how_many(len(bars)),
        "tables": [_table(one) for one in tables(result, MOST)],
    }


def _bars(result: Result) -> list[Bar]:
    """Return what a chart could draw; nothing where there is none."""
    found = result.found
    if result.analysis == "friction" and (condition := _condition(found)) is not None:
        return _workshops(condition)
    if result.analysis == "drift" and (kind := _kind(found)) is not None:
        return _wrenches(found, kind)
    return []


def _how_many(count: int) -> str:
    if count <= DRAWN:
        return ""
    return as_sentence(
        say(words("the first {shown} of {count} are drawn", shown=DRAWN, count=count))
    )


def _table(one: Told) -> dict[str, Any]:
    return {
        "title": say(one.title),
        "lines": [as_sentence(say(line)) for line in one.lines],
        "columns": [say(column) for column in one.columns],
        "rows": one.rows,
    }
