"""Pages on which a person works something out: orders and passes, and a friction test.

Plain forms without script. Orders and passes are asked by address, so that an answer can be kept
as a bookmark; a friction test is sent, for it may be kept for job files.
"""

from __future__ import annotations

import base64
import datetime as dt
from collections.abc import Mapping, Sequence
from http import HTTPStatus
from typing import Any
from urllib.parse import urlencode

from fastapi import Request
from fastapi.responses import Response
from starlette.concurrency import run_in_threadpool

from clampwright.bench.friction import own_conditions, save_condition
from clampwright.errors import ClampwrightError
from clampwright.intake import form_of
from clampwright.locale import between, figure, say
from clampwright.report.axes import Spec, Style
from clampwright.report.charts import charts_svg
from clampwright.report.friction_chart import friction_chart
from clampwright.report.pass_paper import loosest, passes_pdf, still
from clampwright.report.pulls_chart import pulls_chart
from clampwright.standards import FrictionCondition, friction_conditions, open_conditions
from clampwright.standards.added import added_conditions
from clampwright.web.jobfiles import readings_of
from clampwright.web.plan_charts import NARROW
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.study_sentences import FRICTION_FIELDS, PASS_FIELDS, STUDY
from clampwright.web.trace_view import LOOKS
from clampwright.words import Words, words
from clampwright.work.friction_request import FrictionRequest, said
from clampwright.work.pass_request import PassRequest
from clampwright.work.pass_study import PassStudy

LONGEST = 20_000
"""Letters taken of one field."""

HOLES = ("fine", "medium", "coarse")
PASTED = "table"
"""What a pasted table is called in messages."""

EXAMPLE = {
    "circle": "8", "diameter": "200 mm", "width": "30 mm", "thickness": "25 mm",
    "gasket_modulus": "120 MPa", "gasket_thickness": "2 mm", "resilience": "4.35e-6",
    "target": "20 kN", "shares": "30,60,100",
}  # fmt: skip


def passes(request: Request) -> Response:
    """Compare orders and passes of what was filled in."""
    asked = {key: text[:LONGEST] for key, text in request.query_params.items()}
    facts: dict[str, Any] = {"problem": "", "readings": (), "done": None}
    status = HTTPStatus.OK
    try:
        if any(text.strip() for text in asked.values()):
            facts["done"] = _compared(asked)
            facts["done"]["paper"] = f"/passes.pdf?{urlencode(asked)}"
    except ClampwrightError as error:
        facts |= _problem(error)
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    facts |= {
        "title": say(STUDY["passes"]),
        "fields": _fields(PASS_FIELDS, asked),
        "closing": bool(asked.get("closing")),
        "example": "&".join(f"{key}={_plus(text)}" for key, text in EXAMPLE.items()),
    }
    return house(request).pages.answer("passes.html", facts, status=status)


def passes_paper(request: Request) -> Response:
    """Set what was filled in on paper: settings, comparison and chart."""
    asked = {key: text[:LONGEST] for key, text in request.query_params.items()}
    question = _pass_request(asked)
    now = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
    paper = passes_pdf(question.study(), computed=question.computed, time=now)
    headers = {"content-disposition": 'attachment; filename="passes.pdf"'}
    return Response(paper, media_type="application/pdf", headers=headers)


def friction(request: Request) -> Response:
    """Show the form for a friction test, and the conditions that job files can name."""
    return _friction_page(house(request), {}, {"problem": "", "readings": (), "done": None})


async def friction_test(request: Request) -> Response:
    """Evaluate a friction test, and keep it where a name for it was given."""
    asked = form_of(await request.body())
    return await run_in_threadpool(_tested, house(request), asked)


def _tested(place: House, asked: Mapping[str, str]) -> Response:
    facts: dict[str, Any] = {"problem": "", "readings": (), "done": None}
    status = HTTPStatus.OK
    try:
        test = FrictionRequest(
            asked.get("table", "").encode(), PASTED, asked, name=_namer(FRICTION_FIELDS)
        )
        study = test.study()
        lines = said(study)
        facts["done"] = {
            "lines": [as_sentence(say(line)) for line in lines],
            "straight": study.straight,
            "kept": "",
            "picture": _picture(friction_chart(study, lines, style=style) for style in _styles()),
        }
        if asked.get("save", "").strip():
            table = test.condition(study, today=place.files.today())
            save_condition(place.place.folder, table)
            kept = words(
                'Kept: write friction = "{name}" in a job file ({low:.3f} to {high:.3f})',
                name=table.name,
                low=table.low,
                high=table.high,
            )
            facts["done"]["kept"] = as_sentence(say(kept))
    except ClampwrightError as error:
        facts |= _problem(error)
        status = HTTPStatus.UNPROCESSABLE_ENTITY
    return _friction_page(place, asked, facts, status)


def _friction_page(
    place: House, asked: Mapping[str, str], facts: dict[str, Any], status: int = HTTPStatus.OK
) -> Response:
    added = [one.value for one in added_conditions().brought]
    facts |= {
        "title": say(STUDY["friction_page"]),
        "fields": _fields(FRICTION_FIELDS, asked),
        "table_text": asked.get("table", ""),
        "hole": asked.get("hole", ""),
        "holes": HOLES,
        "own": _conditions(own_conditions(place.place.folder)),
        "known": [*_conditions((*friction_conditions(), *added)), *_open()],
    }
    return place.pages.answer("friction.html", facts, status=status)


def _pass_request(asked: Mapping[str, str]) -> PassRequest:
    return PassRequest(
        asked,
        orders=[asked["order"].strip()] if asked.get("order", "").strip() else [],
        closing=bool(asked.get("closing")),
        measured=_table(asked, "measured"),
        matrix=_table(asked, "matrix"),
        name=_namer(PASS_FIELDS),
    )


def _compared(asked: Mapping[str, str]) -> dict[str, Any]:
    request = _pass_request(asked)
    study = request.study()
    title = words("Order: {name}", name=study.chosen.name)
    charts = (pulls_chart(study.chosen.passes, title=title, style=style) for style in _styles())
    return {
        "rows": [_row(study, place) for place in range(len(study.rows))],
        "chosen": say(title),
        "order": " ".join(str(number) for number in study.chosen.order),
        "still": as_sentence(say(still(study))),
        "settings": [
            {
                "share": f"{100 * share:.0f} %",
                "loads": "  ".join(figure(one.settings[n - 1] / 1000, ".1f") for n in one.order),
                "problems": [as_sentence(say(problem)) for problem in one.problems],
            }
            for share, one in zip(study.shares, study.settings, strict=True)
        ],
        "computed": request.computed,
        "picture": _picture(charts),
    }


def _row(study: PassStudy, place: int) -> dict[str, str]:
    row = study.rows[place]
    return {
        "name": row.name,
        "evenness": "  ".join(figure(value, ".2f") for value in row.evenness),
        "least": say(loosest(study, place)),
        "slack": ", ".join(str(number) for number in row.slack) or "–",
    }


def _table(asked: Mapping[str, str], key: str) -> tuple[bytes, str] | None:
    text = asked.get(key, "")
    return (text.encode(), PASTED) if text.strip() else None


def _styles() -> Sequence[Style]:
    return [Style(look=look) for look in LOOKS.values()]


def _picture(charts: Any) -> dict[str, str]:
    """Draw a chart in every look, wide and narrow, as addresses that hold the drawing."""
    wide = [{key: part for key, part in spec.items() if key != "title"} for spec in charts]
    width, height = NARROW
    specs: list[Spec] = [*wide, *({**spec, "width": width, "height": height} for spec in wide)]
    names = (*LOOKS, *(f"{look}_narrow" for look in LOOKS))
    return {
        name: "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode("ascii")
        for name, svg in zip(names, charts_svg(specs), strict=True)
    }


def _conditions(found: Sequence[FrictionCondition]) -> list[dict[str, str]]:
    return [
        {
            "name": one.name,
            "title": say(one.title),
            "range": between(one.low, one.high),
            "source": "; ".join(
                part
                for part in (one.source, one.flag, say(one.caution) if one.caution else "")
                if part
            ),
        }
        for one in found
    ]


def _open() -> list[dict[str, str]]:
    """Return the conditions from which no clamp load follows, and say so."""
    return [
        {
            "name": one.name,
            "title": say(one.title),
            "range": say(words("{low:g} or more: no clamp load follows", low=one.low)),
            "source": one.source,
        }
        for one in open_conditions()
    ]


def _fields(fields: Mapping[str, Words], asked: Mapping[str, str]) -> dict[str, dict[str, str]]:
    return {
        key: {"name": key, "title": say(title), "value": asked.get(key, "")}
        for key, title in fields.items()
    }


def _namer(fields: Mapping[str, Words]) -> Any:
    return lambda key: say(words("“{field}”", field=fields[key])) if key in fields else key


def _problem(error: ClampwrightError) -> dict[str, Any]:
    return {"problem": as_sentence(say(error.message)), "readings": readings_of(error)}


def _plus(text: str) -> str:
    return text.replace(" ", "+")
