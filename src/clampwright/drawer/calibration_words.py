"""A calibration in words: what is kept of it, and what its readings came to."""

from __future__ import annotations

from collections.abc import Mapping

from clampwright.drawer.calibration import DIRECTIONS
from clampwright.drawer.calibration_record import CalibrationRecord
from clampwright.drawer.evaluated import Evaluated
from clampwright.drawer.metrology.budget_check import budget_check
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import permissible_for
from clampwright.words import Words, words

RESULTS: Mapping[str, Words] = {
    "pass": words("pass"),
    "conditional pass": words("conditional pass"),
    "conditional fail": words("conditional fail"),
    "fail": words("fail"),
    "not decided": words("not decided"),
}
"""How a decision over a calibration is told; in files and entries it stands as it is."""


def record_lines(tool: Tool, record: CalibrationRecord) -> list[Words]:
    """Say what is kept of a calibration, and what follows from it."""
    limit = permissible_for(tool)
    lines = [
        words(
            "Kept: calibration of {tool} on {date}, valid until {due}",
            tool=tool.title,
            date=record.date.isoformat(),
            due=record.calibration().due_on.isoformat(),
        )
    ]
    for name, points in ((words("as found"), record.found), (words("as left"), record.left)):
        lines += [
            words(
                "{when}, {direction}: {shown:g} {unit} gave {reference:.4g} ({deviation:+.2f} %, "
                "U {uncertainty:.2g} %, k {k:g})",
                when=name,
                direction=DIRECTIONS[point.direction],
                shown=point.shown,
                unit=record.unit,
                reference=point.reference,
                deviation=point.deviation,
                uncertainty=point.uncertainty,
                k=point.k,
            )
            for point in points
        ]
    worst = record.worst_found()
    if worst is not None and abs(worst.deviation) > limit:
        lines.append(
            words(
                "As found it was beyond ±{limit:g} %: look back over the pulls made with it "
                "(clampwright look-back {tool})",
                limit=limit,
                tool=tool.id,
            )
        )
    return lines


def evaluated_lines(done: Evaluated) -> list[Words]:
    """Say what readings came to, point by point."""
    lines = [
        words("Reference: {title}, U {u:.2g} %, k {k:g}", title=done.reference.title,
              u=done.reference.uncertainty, k=done.reference.k),
        words("Permissible: ±{limit:g} % for every reading; decision rule: {rule}",
              limit=done.limit, rule=done.rule),
    ]  # fmt: skip
    for point in done.points:
        lines.append(
            words(
                "{direction} {shown}: mean {mean:+.2f} %, worst reading {worst:+.2f} %, "
                "W {W:.2f} %, W' {W_prime:.2f} %: {verdict}",
                direction=DIRECTIONS[point.direction],
                shown=done.scale.text(point.shown),
                mean=point.result.mean_deviation,
                worst=point.worst,
                W=point.budget.W,
                W_prime=point.budget.W_prime,
                verdict=RESULTS.get(point.verdict) or point.verdict,
            )
        )
        largest = point.budget.largest[0]
        lines.append(
            words("    largest part: {name}, {w:.2f} %; {check}", name=largest.name,
                  w=largest.w, check=budget_check(point.budget).why)
        )  # fmt: skip
        if point.problem is not None:
            lines.append(words("    {problem}", problem=point.problem))
    lines += [words("Note: {remark}", remark=remark) for remark in done.remarks]
    lines.append(words("Result: {verdict}", verdict=RESULTS.get(done.verdict) or done.verdict))
    lines.append(words("This is no accredited calibration."))
    return lines
