"""Tables of the drawer file for what belongs to a tool, and for things that turn nothing."""

from __future__ import annotations

import datetime as dt
from pathlib import PurePosixPath
from typing import Annotated

from pydantic import Field, StringConstraints, field_validator, model_validator

from clampwright.drawer.adapters import DRIVES, Adapter, AdapterKind
from clampwright.drawer.belongings import (
    Belongings,
    Origin,
    Paper,
    PaperKind,
    StretchGauge,
    TestDevice,
)
from clampwright.drawer.calibration import Direction
from clampwright.drawer.tables import torque_unit
from clampwright.tomlfile import FileModel
from clampwright.words import Words, words

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Short = Annotated[str, StringConstraints(max_length=100)]
Above = Annotated[float, Field(gt=0)]


def drive_named(text: str) -> str:
    """Return a drive by its usual spellings; `ValueError` names the known ones."""
    short = text.replace('"', "").replace("inch", "").replace("in", "").strip()
    for drive in DRIVES:
        if drive.removesuffix(" in") == short:
            return drive
    raise ValueError(
        words("{drive!r} is no drive; write one of {known}", drive=text, known=", ".join(DRIVES))
    )


class PaperTable(FileModel):
    """A photograph or certificate kept beside the drawer."""

    file: Annotated[str, StringConstraints(min_length=1, max_length=200)]
    kind: PaperKind
    sha256: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]

    @field_validator("file")
    @classmethod
    def _inside(cls, file: str) -> str:
        path = PurePosixPath(file)
        if path.is_absolute() or ".." in path.parts or "\\" in file or ":" in file:
            raise ValueError(
                words(
                    "{file!r} must lie in the workshop folder; write its path from there", file=file
                )
            )
        return file

    def build(self) -> Paper:
        """Return the paper."""
        return Paper(self.file, self.kind, self.sha256)


class BelongingTable(FileModel):
    """Keys that every thing in the drawer may have."""

    serial: Short = ""
    bought: dt.date | None = None
    origin: Origin | None = None
    price: Short = ""
    weight_kg: Annotated[float, Field(gt=0, le=200)] | None = None
    paper: tuple[PaperTable, ...] = ()

    def belongings(self) -> Belongings:
        """Return number, purchase, papers and weight."""
        return Belongings(
            self.serial,
            self.bought,
            self.origin,
            self.price,
            self.weight_kg,
            tuple(paper.build() for paper in self.paper),
        )


class AdapterTable(BelongingTable):
    """Something between a wrench and a fastener."""

    id: Identifier
    title: Text
    drive: str
    kind: AdapterKind = "open_end"
    length_mm: Annotated[float, Field(gt=0, le=2000)] | None = None
    angle_deg: Annotated[float, Field(ge=0, le=180)] = 0.0
    bend_deg: Annotated[float, Field(ge=0, lt=60)] | None = None
    ratio: Annotated[float, Field(gt=1, le=1000)] | None = None
    efficiency_percent: Annotated[float, Field(gt=0, le=100)] | None = None
    efficiency_uncertainty_percent: Annotated[float, Field(gt=0, lt=50)] | None = None
    drive_out: str | None = None
    size_mm: Above | None = None
    highest_Nm: Above | None = None
    stiffness_Nm_per_deg: Above | None = None

    _drive = field_validator("drive")(drive_named)

    @field_validator("drive_out")
    @classmethod
    def _known_drive(cls, drive: str | None) -> str | None:
        return None if drive is None else drive_named(drive)

    @model_validator(mode="after")
    def _fits_its_kind(self) -> AdapterTable:
        if problem := self._problem():
            raise ValueError(problem)
        return self

    def _problem(self) -> Words | None:
        if self.kind == "open_end" and self.length_mm is None:
            return words("an open end needs length_mm, from the square to the middle of its jaw")
        if self.kind != "open_end" and self.angle_deg:
            return words("angle_deg is for an open end only; a universal joint has bend_deg")
        if self.kind != "universal_joint" and self.bend_deg is not None:
            return words("bend_deg is for a universal joint only")
        return self._gear_problem()

    def _gear_problem(self) -> Words | None:
        gear = (self.ratio, self.efficiency_percent, self.efficiency_uncertainty_percent)
        if self.kind == "multiplier" and None in gear:
            return words(
                "a multiplier needs ratio, efficiency_percent and efficiency_uncertainty_percent "
                "(one standard uncertainty, percent of the torque): without them nobody knows what "
                "it gives"
            )
        if self.kind != "multiplier" and gear != (None, None, None):
            return words("ratio and efficiency are for a multiplier only")
        return None

    def build(self) -> Adapter:
        """Return the adapter."""
        return Adapter(
            id=self.id,
            title=self.title,
            drive=self.drive,
            length=self.length_mm or 0.0,
            angle=self.bend_deg or 0.0 if self.kind == "universal_joint" else self.angle_deg,
            kind=self.kind,
            ratio=self.ratio or 1.0,
            efficiency=(self.efficiency_percent or 100.0) / 100,
            u_efficiency=(self.efficiency_uncertainty_percent or 0.0) / 100,
            out=self.drive_out,
            size=self.size_mm,
            highest=self.highest_Nm,
            stiffness=self.stiffness_Nm_per_deg,
            belongings=self.belongings(),
        )


class StretchGaugeTable(BelongingTable):
    """A gauge for the length of a fastener."""

    id: Identifier
    title: Text
    step_mm: Annotated[float, Field(gt=0, le=1)]
    limit_mm: Annotated[float, Field(gt=0, le=1)] | None = None
    longest_mm: Above | None = None

    def build(self) -> StretchGauge:
        """Return the gauge."""
        return StretchGauge(
            self.id, self.title, self.step_mm, self.limit_mm, self.longest_mm, self.belongings()
        )


class TestDeviceTable(BelongingTable):
    """A test device for wrenches."""

    __test__ = False  # a device to test with, and no test

    id: Identifier
    title: Text
    drive: str
    unit: str
    low: Annotated[float, Field(ge=0)]
    high: Above
    step: Above
    uncertainty_percent: Annotated[float, Field(gt=0, lt=50)] | None = None
    k: Annotated[float, Field(ge=1, le=4)] | None = None
    calibrated: dt.date | None = None
    due: dt.date | None = None
    directions: Annotated[tuple[Direction, ...], Field(min_length=1, max_length=2)] = ("cw",)

    _drive = field_validator("drive")(drive_named)
    _unit = field_validator("unit")(torque_unit)

    @model_validator(mode="after")
    def _whole(self) -> TestDeviceTable:
        if not self.low < self.high:
            raise ValueError(
                words(
                    "low {low:g} must be smaller than high {high:g}", low=self.low, high=self.high
                )
            )
        if (self.uncertainty_percent is None) != (self.k is None):
            raise ValueError(
                words("uncertainty_percent and k belong together; its certificate states both")
            )
        if self.due and self.calibrated and self.due < self.calibrated:
            raise ValueError(words("due lies before the day it was calibrated"))
        return self

    def build(self) -> TestDevice:
        """Return the test device."""
        expanded, k = self.uncertainty_percent, self.k
        return TestDevice(
            id=self.id,
            title=self.title,
            drive=self.drive,
            unit=self.unit,
            low=self.low,
            high=self.high,
            step=self.step,
            u_rel=expanded / k / 100 if expanded is not None and k is not None else None,
            calibrated=self.calibrated,
            due=self.due,
            directions=self.directions,
            belongings=self.belongings(),
        )
