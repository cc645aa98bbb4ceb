"""Orders and passes on paper: what to set each fastener to, how the orders compare, the chart."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.locale import figure, in_its_language, paper_language, say
from clampwright.locale import language as language_of_the_person
from clampwright.report import child
from clampwright.report.axes import Style
from clampwright.report.charts import chart_svg
from clampwright.report.clamp_axes import KILO, force_text
from clampwright.report.glyphs import all_showable
from clampwright.report.pulls_chart import pulls_chart
from clampwright.words import Words, words
from clampwright.work.pass_study import PassStudy

MAKER_FIRST = words("The manufacturer's order comes first wherever it differs.")
FROM_GEOMETRY = words(
    "From geometry, what one fastener does to another is right to about half of it; clamp loads "
    "measured after each pull are better."
)
CHART_ABOUT = words(
    "Clamp load of every fastener after each pull. Figure: the fastener pulled; broken line: what "
    "each pull aims at."
)
COLUMNS: Sequence[Words] = (
    words("Order"),
    words("Smallest over largest, pass by pass"),
    words("Loosest, of target"),
    words("Gone slack"),
)
"""Of the table of orders compared."""


@in_its_language
def passes_pdf(
    study: PassStudy, *, computed: bool, time: str, language: str | None = None
) -> bytes:
    """Set a study of orders and passes as a paper to take to the machine.

    Parameters
    ----------
    study : PassStudy
    computed : bool
        Whether the influence comes from geometry alone; the paper then says how far that goes.
    time : str
        Stands on the paper and in the file (RFC 3339); the same study at the same time is the
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
    data = content(study, computed=computed, time=time, language=tag)
    shown = json.dumps(all_showable(data), ensure_ascii=False)
    return child.run("paper", {"template": "passes.typ", "inputs": {"data": shown}, "time": time})


def content(
    study: PassStudy, *, computed: bool, time: str, language: str | None = None
) -> dict[str, Any]:
    """Return everything that stands on the paper, as texts and one drawing.

    Parameters
    ----------
    study, computed, time, language
        As `passes_pdf`.

    Returns
    -------
    dict
    """
    tag = language or language_of_the_person()

    def told(sentence: Words) -> str:
        return say(sentence, tag)

    title = words("Order: {name}", name=study.chosen.name)
    spec = pulls_chart(study.chosen.passes, title=title, style=Style(language=tag))
    return {
        **paper_language(tag),
        "title": told(words("Orders and passes")),
        "made": told(words("Worked out {day}", day=time[:10])),
        "first": told(MAKER_FIRST),
        "facts": [[told(label), value] for label, value in _facts(study).items()],
        "settings": _settings(study, tag),
        "compared": {
            "title": told(words("Orders compared, best first")),
            "columns": [told(column) for column in COLUMNS],
            "rows": [_row(study, place, tag) for place in range(len(study.rows))],
            "remarks": [told(still(study)), *([told(FROM_GEOMETRY)] if computed else [])],
        },
        "chart": {"about": told(CHART_ABOUT), "svg": chart_svg(spec)},
        "labels": {
            "page": told(words("Page")),
            "of": told(words("of")),
            "turn": told(words("Pull")),
            "fastener": told(words("Fastener")),
        },
    }


def still(study: PassStudy) -> Words:
    """Return how many passes it takes until nothing turns any more, in words.

    Parameters
    ----------
    study : PassStudy

    Returns
    -------
    Words
    """
    count = len(study.repeated.passes)
    if study.repeated.still:
        return words(
            "Repeated at the full target, nothing turns any more in pass {count}.", count=count
        )
    return words("After {count} passes it still turns.", count=count)


def loosest(study: PassStudy, place: int) -> Words:
    """Return what the loosest fastener holds after an order, in words.

    Parameters
    ----------
    study : PassStudy
    place : int
        Which of `PassStudy.rows`.

    Returns
    -------
    Words
        The band is that of the loosest of all fasteners, so it may lie wholly below the value
        without scatter.
    """
    row = study.rows[place]
    if not study.scatter:
        return words("{least:.1f} %", least=100 * row.least)
    low, _middle, high = row.least_band
    return words(
        "{least:.1f} %; with scatter {low:.0f} to {high:.0f} %",
        least=100 * row.least,
        low=100 * low,
        high=100 * high,
    )


def _facts(study: PassStudy) -> Mapping[Words, str]:
    return {
        words("Fasteners"): str(len(study.matrix)),
        words("Clamp load aimed at"): force_text(study.target),
        words("Order"): " ".join(str(number) for number in study.chosen.order),
    }


def _settings(study: PassStudy, tag: str) -> dict[str, Any]:
    """Return the clamp loads to set, one row for each pull of a pass."""
    order = study.settings[0].order
    problems = dict.fromkeys(problem for one in study.settings for problem in one.problems)
    return {
        "title": say(words("To end with all equal, tighten to, in turn, kN"), tag),
        "about": say(
            words(
                "One column for each pass, in percent of the clamp load aimed at. Tick each pull "
                "when it is done."
            ),
            tag,
        ),
        "columns": [f"{100 * share:.0f} %" for share in study.shares],
        "rows": [
            {
                "turn": str(turn),
                "fastener": str(number),
                "loads": [figure(one.settings[number - 1] / KILO, ".1f") for one in study.settings],
            }
            for turn, number in enumerate(order, 1)
        ],
        "problems": [say(problem, tag) for problem in problems],
    }


def _row(study: PassStudy, place: int, tag: str) -> list[str]:
    row = study.rows[place]
    evenness = "  ".join(figure(value, ".2f") for value in row.evenness)
    slack = ", ".join(str(number) for number in row.slack) or "–"
    return [row.name, evenness, say(loosest(study, place), tag), slack]
