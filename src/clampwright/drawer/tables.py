"""Tables inside a tool of the drawer file: scale, calibration, angle ability."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Sequence
from typing import Annotated

from pydantic import Field, field_validator, model_validator

from clampwright.drawer.calibration import (
    MONTHS,
    USES,
    Calibration,
    Direction,
    Point,
    deviation_percent,
)
from clampwright.drawer.tools import AngleMode, AngleScale, Scale, UseLimits
from clampwright.errors import ClampwrightError
from clampwright.tomlfile import FileModel
from clampwright.units import unit_named
from clampwright.words import words

Torque = Annotated[float, Field(ge=0, le=1_000_000)]


def torque_unit(text: str) -> str:
    """Return the canonical name of a unit of torque; `ValueError` says what it could not be."""
    try:
        return unit_named(text, "torque").name
    except ClampwrightError as error:
        raise ValueError(error.message) from error


class ScaleTable(FileModel):
    """One torque scale of a wrench."""

    unit: str
    low: Torque
    high: Torque
    main_step: float
    fine_step: float | None = None

    _unit = field_validator("unit")(torque_unit)

    @field_validator("main_step", "fine_step")
    @classmethod
    def _step_above_zero(cls, step: float | None) -> float | None:
        if step is not None and not step > 0:
            raise ValueError(
                words("a step between marks must be above zero; {step:g} is not", step=step)
            )
        return step

    @model_validator(mode="after")
    def _marks_meet(self) -> ScaleTable:
        if not self.low < self.high:
            raise ValueError(
                words(
                    "low {low:g} must be smaller than high {high:g}", low=self.low, high=self.high
                )
            )
        if not _whole(self.high - self.low, self.main_step):
            raise ValueError(
                words(
                    "main marks every {step:g} from {low:g} do not meet {high:g}; low and high are "
                    "the lowest and highest main mark",
                    step=self.main_step,
                    low=self.low,
                    high=self.high,
                )
            )
        if self.fine_step is not None and not _whole(self.main_step, self.fine_step):
            raise ValueError(
                words(
                    "fine_step {fine:g} does not divide main_step {main:g} into whole parts",
                    fine=self.fine_step,
                    main=self.main_step,
                )
            )
        return self

    def build(self) -> Scale:
        """Return the scale."""
        return Scale(self.unit, self.low, self.high, self.main_step, self.fine_step)


def _whole(length: float, step: float) -> bool:
    count = length / step
    return round(count) >= 1 and math.isclose(count, round(count), rel_tol=1e-6)


class PointTable(FileModel):
    """One calibrated point."""

    set: Annotated[float, Field(gt=0)]
    reference: Annotated[float, Field(gt=0)] | None = None
    deviation_percent: Annotated[float, Field(gt=-50, lt=50)] | None = None
    uncertainty_percent: Annotated[float, Field(gt=0, lt=50)] | None = None
    k: Annotated[float, Field(ge=1, le=4)] | None = None
    direction: Direction | None = None

    @model_validator(mode="after")
    def _one_of_two(self) -> PointTable:
        if (self.reference is None) == (self.deviation_percent is None):
            raise ValueError(
                words(
                    "point at {value:g}: give either reference (what the device measured) or "
                    "deviation_percent",
                    value=self.set,
                )
            )
        return self

    @property
    def deviation(self) -> float:
        """a_s, percent."""
        if self.deviation_percent is not None:
            return self.deviation_percent
        return deviation_percent(self.set, self.reference or math.nan)


class CalibrationTable(FileModel):
    """A certificate, or the date of one. Uncertainty, k and direction here hold for all points."""

    date: dt.date
    due: dt.date | None = None
    every_months: Annotated[int, Field(ge=1, le=60)] | None = None
    unit: str | None = None
    uncertainty_percent: Annotated[float, Field(gt=0, lt=50)] | None = None
    k: Annotated[float, Field(ge=1, le=4)] | None = None
    direction: Direction | None = None
    includes_resolution: bool = False
    point: tuple[PointTable, ...] = ()

    @field_validator("unit")
    @classmethod
    def _known_unit(cls, unit: str | None) -> str | None:
        return None if unit is None else torque_unit(unit)

    @model_validator(mode="after")
    def _whole(self) -> CalibrationTable:
        if self.due is not None and self.every_months is not None:
            raise ValueError(words("give either due or every_months, not both"))
        if self.due is not None and self.due < self.date:
            raise ValueError(
                words(
                    "due {due} lies before date {date}",
                    due=self.due.isoformat(),
                    date=self.date.isoformat(),
                )
            )
        for point in self.point:
            self._check_uncertainty(point)
        return self

    def _check_uncertainty(self, point: PointTable) -> None:
        if point.uncertainty_percent is None and self.uncertainty_percent is None:
            raise ValueError(
                words(
                    "point at {value:g}: uncertainty_percent is missing; copy the expanded "
                    "uncertainty from the certificate, or leave the points out if it states none",
                    value=point.set,
                )
            )
        if point.k is None and self.k is None:
            raise ValueError(
                words(
                    "point at {value:g}: k is missing; the certificate states it beside the "
                    "uncertainty, often k = 2",
                    value=point.set,
                )
            )

    def build(self, scales: Sequence[Scale], directions: Sequence[Direction]) -> Calibration:
        """Return the calibration of a wrench with these scales and directions."""
        scale = self._scale(scales)
        points = tuple(self._point(point, scale, directions) for point in self.point)
        try:
            return Calibration(
                self.date, points, self.due, self.every_months or MONTHS, self.includes_resolution
            )
        except ClampwrightError as error:
            raise ValueError(error.message) from error

    def _scale(self, scales: Sequence[Scale]) -> Scale:
        for scale in scales:
            if self.unit in {None, scale.unit}:
                return scale
        raise ValueError(
            words(
                "the calibration is in {unit}, the scales are in {known}; write the points in the "
                "unit of a scale",
                unit=self.unit or "-",
                known=", ".join(scale.unit for scale in scales),
            )
        )

    def _point(self, table: PointTable, scale: Scale, directions: Sequence[Direction]) -> Point:
        if not scale.low <= table.set <= scale.high:
            raise ValueError(
                words(
                    "calibration point {value:g} {unit} lies outside the scale, {low:g} to "
                    "{high:g}",
                    value=table.set,
                    unit=scale.unit,
                    low=scale.low,
                    high=scale.high,
                )
            )
        direction = table.direction or self.direction
        if direction is None and len(directions) > 1:
            raise ValueError(
                words(
                    "calibration point {value:g} {unit}: this wrench works both ways; say which "
                    'one was calibrated, direction = "cw" or "ccw"',
                    value=table.set,
                    unit=scale.unit,
                )
            )
        direction = direction or directions[0]
        if direction not in directions:
            raise ValueError(
                words(
                    "calibration point {value:g} {unit} is for {direction}, a direction this "
                    "wrench does not have",
                    value=table.set,
                    unit=scale.unit,
                    direction=direction,
                )
            )
        expanded = table.uncertainty_percent or self.uncertainty_percent or math.nan
        u_rel = expanded / (table.k or self.k or math.nan) / 100
        return Point(table.set * scale.size, table.deviation, u_rel, direction)


class AngleTable(FileModel):
    """How angle is shown."""

    step_deg: Annotated[float, Field(gt=0, le=30)]
    limit_deg: Annotated[float, Field(gt=0, le=30)] | None = None
    mode: AngleMode | None = None

    def build(self) -> AngleScale:
        """Return the angle ability."""
        return AngleScale(self.step_deg, self.limit_deg, self.mode)


class PresetTable(FileModel):
    """The one torque at which a wrench stands that cannot be set at the bench."""

    value: Annotated[float, Field(gt=0, le=1_000_000)]
    unit: str

    _unit = field_validator("unit")(torque_unit)

    def build(self) -> Scale:
        """Return the scale that has this value only."""
        return Scale(self.unit, self.value, self.value, self.value)


class IntervalTable(FileModel):
    """After how many uses the wrench is due, whatever the calendar says."""

    uses: Annotated[int, Field(ge=1, le=1_000_000)] = USES
    high_uses: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    high_percent: Annotated[float, Field(gt=0, le=100)] = 80.0

    def build(self) -> UseLimits:
        """Return the limits."""
        return UseLimits(self.uses, self.high_uses, self.high_percent)
