"""The tools that were used and what is known about them."""

from __future__ import annotations

from typing import Any

from clampwright.drawer import Tool
from clampwright.proof.strictjson import parse_strict
from clampwright.report.paper.material import Material
from clampwright.report.tool_lines import told_of_tools
from clampwright.words import Words, words


def tool_rows(material: Material) -> list[dict[str, Any]]:
    """Return a row for every tool a pull was made with.

    Parameters
    ----------
    material : Material

    Returns
    -------
    list of dict
        ``warn`` is true where something speaks against the tool; ``signed`` is what the record's
        own entries tell of it.
    """
    rows = parse_strict(material.record, "record", exact=False)["entries"]
    signed = told_of_tools(row["entry"] for row in rows)
    return [_row(material, tool, signed.get(tool.id, [])) for tool in used_tools(material)]


def used_tools(material: Material) -> list[Tool]:
    """Return the tools of the drawer that stand in pulls, in the drawer's order."""
    used = {pull.body.get("tool") for pull in material.state.pulls}
    return [tool for tool in material.drawer.tools if tool.id in used]


def _row(material: Material, tool: Tool, signed: list[Words]) -> dict[str, Any]:
    told = material.say
    count = sum(pull.body.get("tool") == tool.id for pull in material.state.pulls)
    due = due_words(material, tool)
    return {
        "id": tool.id,
        "title": tool.title,
        "scales": "; ".join(
            told(
                words(
                    "{low:g} to {high:g} {unit}, marks {step:g}",
                    low=scale.low,
                    high=scale.high,
                    unit=scale.unit,
                    step=scale.step,
                )
            )
            for scale in tool.scales
        ),
        "pulls": told(words("{count} pulls", count=count)),
        "calibration": told(_calibration(tool)),
        "due": told(due) if due else "",
        "warn": overdue(material, tool),
        "note": tool.note,
        "signed": [told(line) for line in signed],
    }


def _calibration(tool: Tool) -> Words:
    if not tool.is_wrench:
        return words("shows no torque")
    if tool.calibration is None:
        return words("no calibration is known")
    points = len(tool.calibration.points)
    if not points:
        return words(
            "calibrated {date}, deviations not stated", date=tool.calibration.date.isoformat()
        )
    return words(
        "calibrated {date}, {points} points", date=tool.calibration.date.isoformat(), points=points
    )


def overdue(material: Material, tool: Tool) -> bool:
    """Return whether the calibration was over on the day of the last entry, or there is none."""
    if not tool.is_wrench:
        return False
    return tool.calibration is None or tool.calibration.due_on < material.last_day


def due_words(material: Material, tool: Tool) -> Words | None:
    """Say until when the calibration holds."""
    if tool.calibration is None:
        return None
    due = tool.calibration.due_on.isoformat()
    if overdue(material, tool):
        return words("OVERDUE since {date}", date=due)
    return words("holds until {date}", date=due)


def tool_warnings(material: Material) -> list[Words]:
    """Say what speaks against the tools that were used."""
    sentences = []
    for tool in used_tools(material):
        if overdue(material, tool):
            if tool.calibration is None:
                sentences.append(words("{tool}: no calibration is known.", tool=tool.title))
            else:
                sentences.append(
                    words(
                        "{tool}: calibration overdue since {date}.",
                        tool=tool.title,
                        date=tool.calibration.due_on.isoformat(),
                    )
                )
    return sentences
