"""A calibration performed in a workshop, on paper: never an accredited certificate."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.tools import Tool
from clampwright.locale import figure, paper_language, say
from clampwright.report import child
from clampwright.report.glyphs import all_showable
from clampwright.words import Words, words

PARTS: Mapping[str, Words] = {
    "device": words("reference device"),
    "resolution": words("reading of the scale"),
    "reproducibility": words("taken off and put back"),
    "drive": words("position of the square"),
    "interface": words("piece between tool and device"),
    "grip": words("place of the hand"),
    "repeatability": words("scatter of the readings"),
}
"""Parts of the uncertainty, in words."""

VERDICTS: Mapping[str, Words] = {
    "pass": words("conforms"),
    "conditional pass": words("conforms, within the guard band"),
    "conditional fail": words("does not conform, within the guard band"),
    "fail": words("does not conform"),
    "not decided": words("cannot be decided"),
}
"""Decisions, in words."""


def calibration_pdf(
    tool: Tool,
    record: CalibrationRecord,
    entry: Mapping[str, Any],
    workshop: str,
    *,
    invented: bool = False,
) -> bytes:
    """Set a calibration that was performed here as a paper.

    Parameters
    ----------
    tool : Tool
    record : CalibrationRecord
        With its details.
    entry : mapping
        The entry of the log it stands in; attached to the paper.
    workshop : str
    invented : bool
        For demonstration data.

    Returns
    -------
    bytes
        PDF/A-3b; the same bytes from the same entry.
    """
    data = all_showable(content(tool, record, entry, workshop, invented=invented))
    attached = json.dumps(entry, ensure_ascii=False, sort_keys=True)
    inputs = {"data": json.dumps(data, ensure_ascii=False), "record": attached}
    payload = {"inputs": inputs, "time": entry["recorded"], "template": "calibration.typ"}
    return child.run("paper", payload)


def content(
    tool: Tool,
    record: CalibrationRecord,
    entry: Mapping[str, Any],
    workshop: str,
    *,
    invented: bool = False,
) -> dict[str, Any]:
    """Return everything that stands on the paper, as texts."""
    states = [
        _state(title, record, record.details[name])
        for name, title in (("found", words("As found")), ("left", words("As left")))
        if name in record.details
    ]
    return {
        **paper_language(),
        "title": tool.title,
        "file": f"{tool.id}-{record.date.isoformat()}.json",
        "entry": say(words("Entry {id} of the log", id=str(entry["id"]))),
        "labels": _labels(),
        "invented": say(words("Invented for demonstration: not for any real machine."))
        if invented
        else "",
        "facts": _facts(tool, record, workshop),
        "states": states,
        "means": [say(one) for one in MEANS],
    }


def _labels() -> dict[str, Any]:
    return {
        "kind": say(words("Calibration report of a workshop")),
        "not_accredited": say(
            words("No accredited certificate: made by a workshop for its own tools.")
        ),
        "page": say(words("Page")),
        "of": say(words("of")),
        "attached": say(words("The entry of the log that this paper was made from")),
        "columns": [
            say(one)
            for one in (
                words("way"),
                words("shown"),
                words("reference"),
                words("mean a_s"),
                words("W"),
                words("W'"),
                words("decision"),
            )
        ],
        "budget": say(words("Relative standard uncertainties, percent")),
        "part": say(words("part")),
        "means": say(words("What the figures mean")),
        "performed": say(words("Performed by, date, signature")),
        "seen": say(words("Seen by, date, signature")),
    }


MEANS = (
    words(
        "a_s = (shown - reference)/reference. Below zero the fastener receives more than the tool "
        "says."
    ),
    words(
        "Every single reading must lie within the permissible deviation, not only their mean "
        "(ISO 6789-1:2017, from memory)."
    ),
    words("W is the expanded relative uncertainty, k = 2; W' adds the tool's own mean deviation."),
    words(
        "The uncertainty is that of the tool on the day of the readings, not of its drift since."
    ),
    words("The manufacturer's information comes first wherever it differs."),
)
"""Sentences that explain the figures."""


def _facts(tool: Tool, record: CalibrationRecord, workshop: str) -> list[list[str]]:
    rows = (
        (words("Tool"), f"{tool.title} ({tool.id})"),
        (words("Serial number"), tool.belongings.serial),
        (words("Workshop"), workshop),
        (words("Date"), record.date.isoformat()),
        (words("Valid until"), record.calibration().due_on.isoformat()),
        (words("Performed by"), record.by),
        (words("Reference"), record.device),
        (words("Decision rule"), record.rule),
        (words("Result"), say(VERDICTS.get(record.verdict, Words(record.verdict)))),
        (words("Note"), record.note),
    )
    return [[say(label), value] for label, value in rows if value]


def _state(title: Words, record: CalibrationRecord, details: Mapping[str, Any]) -> dict[str, Any]:
    reference, points = details["reference"], details["points"]
    about = words(
        "Reference uncertainty {u} % (k = {k}), permissible deviation ±{limit} %, rule: {rule}",
        u=reference["uncertainty_percent"],
        k=reference["k"],
        limit=details["limit_percent"],
        rule=details["rule"],
    )
    return {
        "title": say(title),
        "about": say(about),
        "points": [_point(record, point) for point in points],
        "budget_columns": [f"{p['shown']} {p['direction']}" for p in points],
        "budget": _budget(points),
        "remarks": [*details["remarks"], *_outside(points)],
    }


def _point(record: CalibrationRecord, point: Mapping[str, Any]) -> dict[str, str]:
    return {
        "direction": point["direction"],
        "shown": f"{point['shown']} {record.unit}",
        "readings": ", ".join(_alike(point["readings"])),
        "mean": f"{figure(float(point['mean_percent']), '+.2f')} %",
        "W": f"{figure(float(point['W_percent']), '.2f')} %",
        "W_prime": f"{figure(float(point['W_prime_percent']), '.2f')} %",
        "verdict": say(VERDICTS.get(point["verdict"], Words(point["verdict"]))),
    }


def _alike(values: Sequence[str]) -> list[str]:
    """Return readings with as many decimals as the one that has most, four at most."""
    short = [f"{float(value):.4f}".rstrip("0") for value in values]
    digits = max(len(value.partition(".")[2]) for value in short)
    return [figure(float(value), f".{digits}f") for value in values]


def _budget(points: Sequence[Mapping[str, Any]]) -> list[list[str]]:
    names = list(points[0]["parts_percent"])
    return [
        [say(PARTS.get(name, Words(name))), *(_part(p["parts_percent"][name]) for p in points)]
        for name in names
    ]


def _part(value: str) -> str:
    """Return a part of the uncertainty; a dash where the effect was not looked at."""
    return figure(float(value), ".3f") if float(value) else "–"


def _outside(points: Sequence[Mapping[str, Any]]) -> list[str]:
    return [
        say(
            words(
                "{shown} {direction}: reading {numbers} outside the permissible deviation",
                shown=point["shown"],
                direction=point["direction"],
                numbers=", ".join(point["outside"]),
            )
        )
        for point in points
        if point["outside"]
    ]
