"""What would happen if, on paper: both cases, the drawing, every fastener's clamp load."""

from __future__ import annotations

import json
from typing import Any

from clampwright.locale import between, figure, in_its_language, paper_language, say
from clampwright.locale import language as language_of_the_person
from clampwright.practice.what_if import Outcome, WhatIf
from clampwright.report import child
from clampwright.report.clamp_posts import clamp_posts, summary
from clampwright.report.glyphs import all_showable
from clampwright.report.svg import PAPER
from clampwright.words import Words, words

MAKER_FIRST = words(
    "A reckoning to learn from. On a real joint the manufacturer's information comes first."
)
TAKEN = (
    words(
        "Half of the variance of friction is taken as shared by all fasteners of the joint, half "
        "as each one's own; thread and bearing face go together."
    ),
    words(
        "Bolts are taken as plain, half of the grip threaded, in steel parts; past the onset of "
        "yield the clamp load is taken as staying."
    ),
)
"""What was taken so, for page and paper."""
GEOMETRY = words(
    "From geometry, what one fastener does to another is right to about half of it; clamp loads "
    "measured after each pull are better."
)
ALONE = words("The fasteners are taken as not influencing each other: no gasket was described.")


def remarks(found: WhatIf) -> tuple[Words, ...]:
    """Return what was taken so."""
    return (*TAKEN, ALONE if found.parts.flexibility is None else GEOMETRY)


def cases(found: WhatIf, language: str | None = None) -> list[list[str]]:
    """Return both cases as rows of a table: what, as planned, with the change."""
    both = (found.planned, found.changed)
    rows: tuple[tuple[Words, Any], ...] = (
        (words("Friction"), lambda one: _friction(one, language)),
        (words("Torque"), lambda one: f"{figure(one.setup.torque, '.3g')} N·m"),
        (
            words("Then turned by"),
            lambda one: f"{figure(one.setup.angle, 'g')}°" if one.setup.angle else "–",
        ),
        (words("Order"), lambda one: " ".join(str(number) for number in one.setup.order)),
        (words("Passes"), lambda one: ", ".join(f"{100 * s:.0f} %" for s in one.setup.shares)),
        (words("Wrench"), lambda one: f"±{figure(200 * one.setup.torque_u_rel, '.3g')} %"),
        (
            words("Loosest, with bad luck (5 %)"),
            lambda one: f"{figure(one.least_p05 / 1000, '.1f')} kN",
        ),
    )
    return [[say(label, language), *(shown(one) for one in both)] for label, shown in rows]


def _friction(one: Outcome, language: str | None) -> str:
    condition = one.setup.condition
    return f"{say(condition.title, language)} ({between(condition.low, condition.high)})"


def fastener_rows(found: WhatIf) -> list[list[str]]:
    """Return clamp loads of every fastener in kN: number, planned, its band, changed, its band."""
    rows = []
    for n in range(found.parts.layout.count):
        row = [str(n + 1)]
        for one in (found.planned, found.changed):
            row.append(figure(one.nominal[n] / 1000, ".1f"))
            row.append(between(one.p05[n] / 1000, one.p95[n] / 1000, ".1f"))
        rows.append(row)
    return rows


COLUMNS = (
    words("Fastener"),
    words("as planned, kN"),
    words("5 to 95 %"),
    words("with the change, kN"),
    words("5 to 95 %"),
)


@in_its_language
def what_if_pdf(found: WhatIf, *, time: str, language: str | None = None) -> bytes:
    """Set both cases as a paper.

    Parameters
    ----------
    found : WhatIf
    time : str
        Stands on the paper and in the file (RFC 3339); the same question at the same time is the
        same bytes.
    language : str, optional
        Of the paper; the person's own if not given.

    Returns
    -------
    bytes
        PDF/A-3b.

    Raises
    ------
    Refused
        When the limits of time and memory stop it.
    """
    tag = language or language_of_the_person()

    def told(sentence: Words) -> str:
        return say(sentence, tag)

    data = {
        **paper_language(tag),
        "title": told(words("What would happen if")),
        "made": told(words("Worked out {day}", day=time[:10])),
        "first": told(MAKER_FIRST),
        "cases": cases(found, tag),
        "says": [told(line) for line in found.says()],
        "drawing": {
            "svg": clamp_posts(found, look=PAPER, language=tag),
            "about": told(summary(found)),
            "width": 44 if found.parts.layout.count <= 12 else 95,
        },
        "columns": [told(column) for column in COLUMNS],
        "rows": fastener_rows(found),
        "remarks": [told(line) for line in remarks(found)],
        "labels": {
            "page": told(words("Page")),
            "of": told(words("of")),
            "planned": told(words("as planned")),
            "changed": told(words("with the change")),
        },
    }
    shown = json.dumps(all_showable(data), ensure_ascii=False)
    return child.run("paper", {"template": "what_if.typ", "inputs": {"data": shown}, "time": time})
