"""One calibration as the log keeps it: as found apart from as left, with all it rests on."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from clampwright.drawer.calibration import MONTHS, Calibration, Direction, Point, reference_of
from clampwright.units import factor

Origin = Literal["entered", "imported", "performed"]


@dataclass(frozen=True, slots=True)
class RecordedPoint:
    """One point of a calibration, in the unit of the certificate.

    Parameters
    ----------
    shown : float
        What the tool was set to or showed.
    deviation : float
        a_s, percent.
    uncertainty : float
        Expanded relative uncertainty of the deviation, percent.
    k : float
        Coverage factor of `uncertainty`.
    direction : str
        ``cw`` or ``ccw``.
    """

    shown: float
    deviation: float
    uncertainty: float
    k: float
    direction: Direction = "cw"

    @property
    def u(self) -> float:
        """Standard uncertainty of the deviation, percent."""
        return self.uncertainty / self.k

    @property
    def reference(self) -> float:
        """What the reference device measured, unit of `shown`."""
        return reference_of(self.shown, self.deviation)

    def as_body(self) -> dict[str, str]:
        """Return it as it stands in an entry."""
        return {
            "shown": f"{self.shown:.10g}",
            "deviation_percent": f"{self.deviation:.6g}",
            "uncertainty_percent": f"{self.uncertainty:.6g}",
            "k": f"{self.k:.6g}",
            "direction": self.direction,
        }

    @classmethod
    def from_body(cls, body: Mapping[str, Any]) -> RecordedPoint:
        """Rebuild it from its plain form."""
        return cls(
            float(body["shown"]),
            float(body["deviation_percent"]),
            float(body["uncertainty_percent"]),
            float(body["k"]),
            "ccw" if body["direction"] == "ccw" else "cw",
        )


@dataclass(frozen=True, slots=True)
class CalibrationRecord:
    """One calibration of one tool.

    Parameters
    ----------
    date : datetime.date
    unit : str
        Of the points.
    found : tuple of RecordedPoint
        As found, before any adjustment; empty where nobody looked.
    left : tuple of RecordedPoint
        As left, after an adjustment; empty where nothing was adjusted.
    due : datetime.date or None
    months : int
        Interval where no `due` is stated.
    includes_resolution : bool
        Whether the stated uncertainty already holds the reading of the tool's own scale.
    origin : str
        ``entered``, ``imported`` or ``performed``.
    by, device, certificate, note : str
        Who, with what, under which number, and a remark.
    rule, verdict : str
        Decision rule and result, where they were stated.
    details : mapping
        Of a calibration performed here: readings, budget and decisions, ``found`` and ``left``.
    entry : str
        Id of its entry on the log.

    Examples
    --------
    >>> found = (RecordedPoint(60.0, -5.2, 0.8, 2.0),)
    >>> left = (RecordedPoint(60.0, -0.4, 0.8, 2.0),)
    >>> record = CalibrationRecord(dt.date(2026, 3, 1), "N·m", found, left)
    >>> record.adjusted, record.calibration().at(60.0, "cw").deviation
    (True, -0.4)
    """

    date: dt.date
    unit: str
    found: tuple[RecordedPoint, ...] = ()
    left: tuple[RecordedPoint, ...] = ()
    due: dt.date | None = None
    months: int = MONTHS
    includes_resolution: bool = False
    origin: Origin = "entered"
    by: str = ""
    device: str = ""
    certificate: str = ""
    note: str = ""
    rule: str = ""
    verdict: str = ""
    details: Mapping[str, Any] = field(default_factory=dict)
    entry: str = ""

    @property
    def adjusted(self) -> bool:
        """Whether the tool left otherwise than it came."""
        return bool(self.left)

    @property
    def standing(self) -> tuple[RecordedPoint, ...]:
        """The points that hold from then on."""
        return self.left or self.found

    def calibration(self) -> Calibration:
        """Return it as the drawer uses it: what holds from then on."""
        return self._calibration(self.standing)

    def as_found(self) -> Calibration | None:
        """Return how the tool was found; None where nobody looked."""
        return self._calibration(self.found) if self.found else None

    def _calibration(self, points: Sequence[RecordedPoint]) -> Calibration:
        size = factor(self.unit, "N·m")
        return Calibration(
            self.date,
            tuple(Point(p.shown * size, p.deviation, p.u / 100, p.direction) for p in points),
            self.due,
            self.months,
            self.includes_resolution,
        )

    def worst_found(self) -> RecordedPoint | None:
        """Return the point with the largest deviation as found."""
        return max(self.found, key=lambda point: abs(point.deviation), default=None)

    def worst_share(self, limit: float) -> float:
        """Return the largest deviation as found over the permissible one; NaN if nobody looked."""
        worst = self.worst_found()
        return math.nan if worst is None else abs(worst.deviation) / limit

    def as_body(self) -> dict[str, Any]:
        """Return it as the body of an entry: no binary floats."""
        texts = {
            name: value
            for name in ("by", "device", "certificate", "note", "rule", "verdict")
            if (value := getattr(self, name))
        }
        body: dict[str, Any] = {
            "date": self.date.isoformat(),
            "unit": self.unit,
            "found": [point.as_body() for point in self.found],
            "left": [point.as_body() for point in self.left],
            "months": self.months,
            "includes_resolution": self.includes_resolution,
            "origin": self.origin,
            **texts,
        }
        if self.due is not None:
            body["due"] = self.due.isoformat()
        if self.details:
            body["details"] = dict(self.details)
        return body

    @classmethod
    def from_body(cls, body: Mapping[str, Any], entry: str = "") -> CalibrationRecord:
        """Rebuild it from the body of an entry."""
        due = body.get("due")
        return cls(
            date=dt.date.fromisoformat(body["date"]),
            unit=str(body["unit"]),
            found=tuple(RecordedPoint.from_body(point) for point in body["found"]),
            left=tuple(RecordedPoint.from_body(point) for point in body["left"]),
            due=None if due is None else dt.date.fromisoformat(due),
            months=int(body["months"]),
            includes_resolution=bool(body["includes_resolution"]),
            origin=body["origin"],
            **{
                name: str(body.get(name, ""))
                for name in ("by", "device", "certificate", "note", "rule", "verdict")
            },
            details=body.get("details", {}),
            entry=entry,
        )
