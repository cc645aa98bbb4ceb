"""What a person enters or imports of a certificate, checked before anything is kept."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from clampwright.drawer.calibration import MONTHS
from clampwright.drawer.calibration_record import CalibrationRecord, Origin, RecordedPoint
from clampwright.drawer.tables import CalibrationTable
from clampwright.drawer.tools import Tool
from clampwright.errors import ClampwrightError, Missing, OutOfRange, Refused
from clampwright.units import factor
from clampwright.words import Words, words

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

PointGiven = Mapping[str, Any]
"""``set`` and ``reference`` or ``deviation_percent``; ``uncertainty_percent``, ``k`` and
``direction`` where they are not given for all."""


def record_of(
    tool: Tool,
    *,
    date: dt.date,
    today: dt.date,
    found: Sequence[PointGiven] = (),
    left: Sequence[PointGiven] = (),
    unit: str | None = None,
    due: dt.date | None = None,
    months: int | None = None,
    uncertainty_percent: float | None = None,
    k: float | None = None,
    direction: str | None = None,
    includes_resolution: bool = False,
    origin: Origin = "entered",
    **about: str,
) -> CalibrationRecord:
    """Check a certificate and return what is to be kept of it.

    Parameters
    ----------
    tool : Tool
        The wrench it is about.
    date, today : datetime.date
        Of the calibration, and of now: a certificate of tomorrow is refused.
    found, left : sequence of mapping
        Points as found, and as left after an adjustment; at least one of the two.
    unit : str, optional
        Of the points, one of the tool's scales; the first scale's if not given.
    due : datetime.date, optional
    months : int, optional
        Give at most one of the two.
    uncertainty_percent, k, direction
        For all points that do not say otherwise.
    includes_resolution : bool
    origin : str
    **about : str
        ``by``, ``device``, ``certificate``, ``note``, ``rule``, ``verdict``.

    Returns
    -------
    CalibrationRecord

    Raises
    ------
    Refused
        The tool shows no torque, or the date lies ahead.
    Missing
        No points, uncertainty or k.
    OutOfRange, ClampwrightError
        What else cannot be so; the sentence names the point.

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> day = dt.date(2026, 3, 1)
    >>> record = record_of(wrench, date=day, today=day, found=[{"set": 60, "reference": 62.1}],
    ...                    uncertainty_percent=1.2, k=2)
    >>> round(record.found[0].deviation, 3)
    -3.382
    """
    _check(tool, date, today, [*found, *left])
    shared: dict[str, Any] = {
        "date": date,
        "due": due,
        "every_months": months,
        "unit": unit,
        "uncertainty_percent": uncertainty_percent,
        "k": k,
        "direction": direction,
        "includes_resolution": includes_resolution,
    }
    tables = [_table(shared, points) for points in (found, left)]
    for table in tables:
        _builds(table, tool)
    scale_unit = tables[0].unit or tool.scales[0].unit
    return CalibrationRecord(
        date=date,
        unit=scale_unit,
        found=_points(tables[0], tool, scale_unit),
        left=_points(tables[1], tool, scale_unit),
        due=due,
        months=months or MONTHS,
        includes_resolution=includes_resolution,
        origin=origin,
        by=about.get("by", ""),
        device=about.get("device", ""),
        certificate=about.get("certificate", ""),
        note=about.get("note", ""),
        rule=about.get("rule", ""),
        verdict=about.get("verdict", ""),
    )


def _check(tool: Tool, date: dt.date, today: dt.date, points: Sequence[PointGiven]) -> None:
    if not tool.is_wrench:
        raise Refused(words("{tool} shows no torque: nothing to calibrate", tool=tool.title))
    if date > today:
        raise Refused(
            words(
                "the certificate is dated {date}, after today ({today}); write the day it was done",
                date=date.isoformat(),
                today=today.isoformat(),
            )
        )
    if not points:
        raise Missing(
            words("give at least one point, as found or as left: what was set, and what it gave"),
            "point",
        )


def _table(shared: Mapping[str, Any], points: Sequence[PointGiven]) -> CalibrationTable:
    try:
        return CalibrationTable.model_validate({**shared, "point": [dict(p) for p in points]})
    except ValidationError as error:
        raise ClampwrightError(_told(error.errors()[0])) from error


def _told(detail: ErrorDetails) -> Words:
    """Say what a model refused, naming the point where it is one."""
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, ValueError) and cause.args and isinstance(cause.args[0], Words):
        return cause.args[0]
    place = [part + 1 if isinstance(part, int) else part for part in detail["loc"]]
    return words(
        "{key} {given!r} cannot be taken: {problem}",
        key=" ".join(str(part) for part in place),
        given=str(detail["input"])[:40],
        problem=detail["msg"],
    )


def _builds(table: CalibrationTable, tool: Tool) -> None:
    """Refuse points this wrench cannot have."""
    try:
        table.build(tool.scales, tool.directions)
    except ValueError as error:
        cause = error.args[0] if error.args else ""
        raise OutOfRange(cause, value=float("nan")) from error


def _points(table: CalibrationTable, tool: Tool, unit: str) -> tuple[RecordedPoint, ...]:
    built = table.build(tool.scales, tool.directions).points
    size = factor(unit, "N·m")
    return tuple(
        RecordedPoint(
            round(point.torque / size, 10),
            point.deviation,
            point.u_rel * 100 * (given.k or table.k or 1.0),
            given.k or table.k or 1.0,
            point.direction,
        )
        for point, given in zip(built, table.point, strict=True)
    )
