"""What the readings of a calibration come to: deviations, budget, decision, and the record."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from clampwright.drawer.calibration import Direction
from clampwright.drawer.calibration_record import CalibrationRecord, RecordedPoint
from clampwright.drawer.metrology.conformity import Conformity, Rule, decide
from clampwright.drawer.metrology.readings import PointResult, ToolBudget, point_result, tool_budget
from clampwright.drawer.tools import Scale, Tool
from clampwright.drawer.trust import permissible_for
from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.words import Words, words

Readings = Mapping[tuple[Direction, float], Sequence[float]]
"""What the reference showed, by direction and value on the tool's scale, in the scale's unit."""

QUARTER = 0.25
"""The reference may be uncertain by this part of the permissible deviation at most: ISO 6789-2:2017
4.3 (from memory); ASME B107.300-2021 6.3 asks the same."""


@dataclass(frozen=True, slots=True)
class Reference:
    """What a tool is compared with.

    Parameters
    ----------
    title : str
    uncertainty : float
        Expanded relative uncertainty, percent.
    k : float
    error : float
        Uncorrected relative error, percent.
    """

    title: str
    uncertainty: float
    k: float = 2.0
    error: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 < self.uncertainty < 50.0:
            raise OutOfRange(
                words(
                    "the uncertainty of the reference is {value:g} %; copy it from its "
                    "certificate, above 0",
                    value=self.uncertainty,
                ),
                value=self.uncertainty,
                low=0.0,
                high=50.0,
            )
        if not 1.0 <= self.k <= 4.0:
            raise OutOfRange(
                words("k is {value:g}; a certificate states 1 to 4, often 2", value=self.k),
                value=self.k,
                low=1.0,
                high=4.0,
            )


@dataclass(frozen=True, slots=True)
class EvaluatedPoint:
    """One point in one direction.

    Parameters
    ----------
    direction : str
    shown : float
        On the tool's scale, in its unit.
    readings : tuple of float
        Of the reference, same unit.
    result : PointResult
        With the permissible deviation: every reading must lie within it.
    budget : ToolBudget
    decision : Conformity or None
        Of the worst reading, by the rule; None where the uncertainty leaves no decision.
    problem : Words or None
        Why not.
    """

    direction: Direction
    shown: float
    readings: tuple[float, ...]
    result: PointResult
    budget: ToolBudget
    decision: Conformity | None
    problem: Words | None = None

    @property
    def worst(self) -> float:
        """The deviation furthest from zero, percent."""
        return max(self.result.deviations, key=abs)

    @property
    def verdict(self) -> str:
        """``pass``, ``fail``, a conditional one, or ``not decided``."""
        return "not decided" if self.decision is None else self.decision.verdict


@dataclass(frozen=True, slots=True)
class Evaluated:
    """A whole set of readings, evaluated.

    Parameters
    ----------
    tool : Tool
    scale : Scale
    reference : Reference
    points : tuple of EvaluatedPoint
    rule : Words
        The decision rule, in words.
    limit : float
        Permissible deviation, percent.
    remarks : tuple of Words
        What was not looked at, and what else to know.
    """

    tool: Tool
    scale: Scale
    reference: Reference
    points: tuple[EvaluatedPoint, ...]
    rule: Words
    limit: float
    remarks: tuple[Words, ...] = field(default=())

    @property
    def verdict(self) -> str:
        """The worst of the points' verdicts."""
        return max((point.verdict for point in self.points), key=_RANK.index)

    def recorded(self) -> tuple[RecordedPoint, ...]:
        """Return the points as a record keeps them."""
        return tuple(
            RecordedPoint(
                point.shown,
                point.result.mean_deviation,
                point.budget.W,
                point.budget.k,
                point.direction,
            )
            for point in self.points
        )


_RANK = ("pass", "conditional pass", "not decided", "conditional fail", "fail")


def evaluate(
    tool: Tool,
    readings: Readings,
    reference: Reference,
    *,
    scale: Scale | None = None,
    rule: Rule = "guarded",
    confidence: float = 0.95,
    resolution: float | None = None,
    series: Mapping[str, Sequence[float]] | None = None,
) -> Evaluated:
    """Evaluate the readings of a calibration.

    Parameters
    ----------
    tool : Tool
    readings : mapping
        See `Readings`; at least two at every point.
    reference : Reference
    scale : Scale, optional
        The first one if not given.
    rule : {"simple", "guarded", "probability"}
        See `clampwright.drawer.metrology.conformity.decide`.
    confidence : float
        For ``probability``.
    resolution : float, optional
        Step that can be read or set, in the scale's unit; the tool's own if not given.
    series : mapping of str to sequence of float, optional
        Means of ``reproducibility``, ``drive``, ``interface`` and ``grip`` at the lowest point.

    Returns
    -------
    Evaluated

    Raises
    ------
    Missing
        There are no readings.
    OutOfRange
        A reading or the resolution is not above 0, a point lies outside the scale, or the
        direction is none of the tool's.

    Notes
    -----
    What was found of the geometry at the lowest point is taken over to the others as a part of the
    torque (our own choice; the standard looks at it there only, from memory).

    Examples
    --------
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 20, 100, 10, 0.5),))
    >>> done = evaluate(wrench, {("cw", 100.0): [103.6, 103.9, 104.3, 103.8, 104.0]},
    ...                 Reference("device", 0.5), rule="simple")
    >>> done.verdict, round(done.points[0].worst, 4)
    ('fail', -4.1227)
    """
    used = scale or tool.scales[0]
    if not readings:
        raise Missing(words("there are no readings"), "readings")
    step = tool.settable_step(used) if resolution is None else resolution
    if not step > 0:
        raise OutOfRange(
            words("the resolution is {value:g}; it must be above 0", value=step),
            value=step,
            low=0.0,
        )
    limit = permissible_for(tool)
    widths = _relative(series or {}, readings)
    given = _Given(tool, used, reference, step, limit, widths, rule, confidence)
    points = tuple(
        given.point(direction, shown, tuple(values))
        for (direction, shown), values in sorted(readings.items())
    )
    said = next((p.decision.rule for p in points if p.decision), words("none could be applied"))
    return Evaluated(
        tool, used, reference, points, said, limit, _remarks(reference, limit, series or {})
    )


def _relative(series: Mapping[str, Sequence[float]], readings: Readings) -> dict[str, float]:
    """Return the width of every series as a part of the lowest torque."""
    values = readings[min(readings, key=lambda key: key[1])]
    lowest = math.fsum(values) / max(len(values), 1)
    found = {}
    for name, means in series.items():
        if name not in {"reproducibility", "drive", "interface", "grip"}:
            raise ClampwrightError(words("{name!r} is no series of a calibration", name=name))
        if len(means) < 2:
            raise Missing(words("series {name} needs at least two means", name=name), "series")
        found[name] = (max(means) - min(means)) / lowest
    return found


@dataclass(frozen=True, slots=True)
class _Given:
    """What all points of a calibration share."""

    tool: Tool
    scale: Scale
    reference: Reference
    step: float
    limit: float
    widths: Mapping[str, float]
    rule: Rule
    confidence: float

    def point(
        self, direction: Direction, shown: float, values: tuple[float, ...]
    ) -> EvaluatedPoint:
        """Evaluate the readings at one point."""
        _check_place(self.tool, self.scale, direction, shown)
        result = point_result(shown, values, limit=self.limit)
        budget = self._budget(shown, values, result.mean_reference)
        worst = max(result.deviations, key=abs)
        decision, problem = None, None
        try:
            decision = decide(
                worst,
                u=budget.w,
                low=-self.limit,
                high=self.limit,
                rule=self.rule,
                confidence=self.confidence,
            )
        except OutOfRange as error:
            problem = error.message
        return EvaluatedPoint(direction, shown, values, result, budget, decision, problem)

    def _budget(self, shown: float, values: tuple[float, ...], mean: float) -> ToolBudget:
        means = {name: (mean, mean * (1 + width)) for name, width in self.widths.items()}
        return tool_budget(
            set_value=shown,
            readings=values,
            resolution=self.step,
            device_W=self.reference.uncertainty,
            device_k=self.reference.k,
            device_error=self.reference.error,
            sequence_means=means.get("reproducibility", ()),
            drive_means=means.get("drive", ()),
            interface_means=means.get("interface", ()),
            grip_means=means.get("grip", ()),
        )


def _check_place(tool: Tool, scale: Scale, direction: Direction, shown: float) -> None:
    if not scale.low <= shown <= scale.high or not shown > 0:
        raise OutOfRange(
            words(
                "point {value:g} {unit} lies outside the scale, {low:g} to {high:g}",
                value=shown,
                unit=scale.unit,
                low=scale.low,
                high=scale.high,
            ),
            value=shown,
            low=scale.low,
            high=scale.high,
        )
    if direction not in tool.directions:
        raise OutOfRange(
            words(
                "{direction} is no direction of this wrench; it has {known}",
                direction=direction,
                known=", ".join(tool.directions),
            ),
            value=math.nan,
        )


def _remarks(
    reference: Reference, limit: float, series: Mapping[str, Sequence[float]]
) -> tuple[Words, ...]:
    found = []
    missing = [
        name for name in ("reproducibility", "drive", "interface", "grip") if name not in series
    ]
    if missing:
        found.append(
            words("not looked at, and so not in the uncertainty: {names}", names=", ".join(missing))
        )
    expanded = 2 * reference.uncertainty / reference.k
    if expanded > QUARTER * limit:
        found.append(
            words(
                "the reference is uncertain by ±{given:.2g} %; it should be at most a quarter of "
                "the permissible ±{limit:g} %",
                given=expanded,
                limit=limit,
            )
        )
    return tuple(found)


def record_from(
    found: Evaluated | None,
    left: Evaluated | None,
    *,
    date: dt.date,
    months: int,
    by: str = "",
    note: str = "",
) -> CalibrationRecord:
    """Return a calibration that was performed, as the log keeps it.

    Parameters
    ----------
    found, left : Evaluated or None
        As found, and as left where the tool was adjusted; at least one of them.
    date : datetime.date
    months : int
        For how long it holds.
    by, note : str

    Returns
    -------
    CalibrationRecord

    Raises
    ------
    Missing
        Neither is given.
    """
    standing = left or found
    if standing is None:
        raise Missing(words("there are no readings"), "readings")
    return CalibrationRecord(
        date=date,
        unit=standing.scale.unit,
        found=found.recorded() if found else (),
        left=left.recorded() if left else (),
        months=months,
        includes_resolution=True,
        origin="performed",
        by=by,
        device=standing.reference.title,
        note=note,
        rule=str(standing.rule),
        verdict=standing.verdict,
        details={name: details_of(one) for name, one in (("found", found), ("left", left)) if one},
    )


def details_of(done: Evaluated) -> dict[str, Any]:
    """Return readings, budget and decisions as plain data without binary floats."""
    return {
        "limit_percent": f"{done.limit:.6g}",
        "rule": str(done.rule),
        "reference": {
            "title": done.reference.title,
            "uncertainty_percent": f"{done.reference.uncertainty:.6g}",
            "k": f"{done.reference.k:.6g}",
            "error_percent": f"{done.reference.error:.6g}",
        },
        "remarks": [str(remark) for remark in done.remarks],
        "points": [_point_details(point) for point in done.points],
    }


def _point_details(point: EvaluatedPoint) -> dict[str, Any]:
    return {
        "direction": point.direction,
        "shown": f"{point.shown:.10g}",
        "readings": [f"{value:.10g}" for value in point.readings],
        "deviations_percent": [f"{value:.4f}" for value in point.result.deviations],
        "mean_percent": f"{point.result.mean_deviation:.4f}",
        "parts_percent": {part.name: f"{part.w:.4f}" for part in point.budget.parts},
        "W_percent": f"{point.budget.W:.4f}",
        "W_prime_percent": f"{point.budget.W_prime:.4f}",
        "outside": [str(number) for number in point.result.failing],
        "verdict": point.verdict,
        "probability": "" if point.decision is None else f"{point.decision.probability:.4f}",
    }
