"""Results of a class for other programs: a table and JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence

from clampwright.practice.results import Result, learners
from clampwright.shown import cell

COLUMNS = (
    "learner", "time", "kind", "exercise", "answer", "points", "outcome",
    "aimed_Nm", "reached_Nm", "length_mm", "posture",
    "low_N", "high_N", "p05_N", "p95_N", "held",
)  # fmt: skip
"""Of the table; those that do not belong to a kind stay empty."""


def as_csv(results: Sequence[Result]) -> bytes:
    """Return results as a table.

    Parameters
    ----------
    results : sequence of Result

    Returns
    -------
    bytes
        UTF-8 with a byte order mark, commas, one row for each answer; see `clampwright.shown.cell`.
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(COLUMNS)
    for one in results:
        table.writerow([cell(_cell(one, column), numbers=False) for column in COLUMNS])
    return out.getvalue().encode("utf-8-sig")


def _cell(one: Result, column: str) -> str:
    if column in {"learner", "time", "kind", "exercise"}:
        return str(getattr(one, column))
    if column == "answer":
        return "; ".join(one.answer.values())
    value = one.outcome.get(column, "")
    return f"{value:.6g}" if isinstance(value, float) else str(value)


def as_json(name: str, results: Sequence[Result]) -> bytes:
    """Return results as one JSON object, with what each learner has done.

    Parameters
    ----------
    name : str
        Of the class.
    results : sequence of Result

    Returns
    -------
    bytes
    """
    content = {
        "class": name,
        "learners": [one.as_json() for one in learners(results)],
        "results": [json.loads(one.line()) for one in results],
    }
    return (json.dumps(content, ensure_ascii=False, indent=1) + "\n").encode("utf-8")
