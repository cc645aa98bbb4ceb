"""Sheets of labels with square codes: for wrenches, machines and joints."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.errors import Missing
from clampwright.locale import in_its_language, paper_language, say
from clampwright.locale import language as language_of_the_person
from clampwright.report import child
from clampwright.report.glyphs import all_showable
from clampwright.report.sheet import square_code
from clampwright.words import words

MAX_TITLE, MAX_BELOW = 44, 60
"""Characters that fit on a label of 70 by 37 mm."""


@dataclass(frozen=True, slots=True)
class Label:
    """One label.

    Parameters
    ----------
    title, below, id : str
        The name in large letters, what it is, and its id.
    address : str
        What the square code opens.
    """

    title: str
    below: str
    id: str
    address: str


@in_its_language
def labels_pdf(labels: Sequence[Label], *, time: str, language: str | None = None) -> bytes:
    """Set labels, 24 on a page.

    Parameters
    ----------
    labels : sequence of Label
    time : str
        Stands in the file (RFC 3339).
    language : str, optional

    Returns
    -------
    bytes
        PDF/A-3b.

    Raises
    ------
    Missing
        When there is none to set.
    """
    if not labels:
        raise Missing(words("there is nothing to make a label for"), "labels")
    tag = language or language_of_the_person()
    data = {
        **paper_language(tag),
        "title": say(words("Labels"), tag),
        "labels": [
            {
                "title": _short(one.title, MAX_TITLE),
                "below": _short(one.below, MAX_BELOW),
                "id": one.id,
                "code": square_code(one.address),
            }
            for one in labels
        ],
    }
    shown = json.dumps(all_showable(data), ensure_ascii=False)
    return child.run("paper", {"template": "labels.typ", "inputs": {"data": shown}, "time": time})


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 1].rstrip()}…"
