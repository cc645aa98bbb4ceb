"""The page that tries the form of a device's lines on a sample of them; nothing is stored."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import Response

from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.trace.line_form import LineForm, form_from_text, form_from_toml
from clampwright.trace.lines import Tried, tried
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import house
from clampwright.web.step_view import plain
from clampwright.words import words

LONGEST = 6000
"""Signs of a sample or a form: they stand in the address."""
EXAMPLE_FORM = "begins R:; separator semicolon; time 1 ms; torque 2 N·m -; angle 3 deg"
EXAMPLE_SAMPLE = """device ready
R:5000;-0,2;0,0
R:5010;-1,4;0,6
R:5020;-2,9;1,3
R:5030;-4,5;2,1"""

Text = Annotated[str, Query(max_length=LONGEST)]


def lines(request: Request, form: Text = "", sample: Text = "") -> Response:
    """Try the form of a device's lines on a sample of them."""
    facts: dict[str, Any] = {"problem": "", "told": (), "rows": ()}
    status = HTTPStatus.OK
    if form.strip() or sample.strip():
        try:
            found = tried(sample.encode(), _form(form), say(words("the sample")))
            facts |= {"told": [as_sentence(say(one)) for one in found.remarks()]}
            facts |= {"rows": _rows(found)}
        except ClampwrightError as error:
            facts["problem"] = as_sentence(say(error.message))
            status = HTTPStatus.UNPROCESSABLE_ENTITY
    facts |= {
        "title": say(words("Lines of a device")),
        "form": form,
        "sample": sample,
        "longest": LONGEST,
        "example": request.url_for("lines").include_query_params(
            form=EXAMPLE_FORM, sample=EXAMPLE_SAMPLE
        ),
    }
    return house(request).pages.answer("lines.html", facts, status=status)


def _form(text: str) -> LineForm:
    """Read a form written in TOML, or in one line."""
    by_toml = "=" in text and "\n" in text.strip()
    return (
        form_from_toml(text.encode(), say(words("the form"))) if by_toml else form_from_text(text)
    )


def _rows(found: Tried) -> list[tuple[str, str, str]]:
    trace = found.trace
    columns = zip(trace.time[:8], trace.torque[:8], trace.angle[:8], strict=True)
    return [(plain(t, 4), plain(torque, 3), plain(angle, 2)) for t, torque, angle in columns]
