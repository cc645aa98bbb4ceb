"""The drawer file: TOML a person writes, checked table by table and turned into plain data."""

from __future__ import annotations

import datetime as dt
from typing import Annotated

from pydantic import Field, StringConstraints, field_validator, model_validator

from clampwright.drawer.belonging_tables import (
    AdapterTable,
    BelongingTable,
    Identifier,
    StretchGaugeTable,
    TestDeviceTable,
    Text,
    drive_named,
)
from clampwright.drawer.calibration import Direction
from clampwright.drawer.tables import (
    AngleTable,
    CalibrationTable,
    IntervalTable,
    PresetTable,
    ScaleTable,
)
from clampwright.drawer.tools import WRENCHES, Drawer, Mechanism, Tool, ToolKind
from clampwright.errors import BadFile
from clampwright.tomlfile import FileModel, Location, line_of, read_toml
from clampwright.words import Words, words


class ToolTable(BelongingTable):
    """One tool."""

    id: Identifier
    title: Text
    kind: ToolKind
    drive: str
    scale: tuple[ScaleTable, ...] = ()
    directions: Annotated[tuple[Direction, ...], Field(min_length=1, max_length=2)] | None = None
    uses: Annotated[int, Field(ge=0)] | None = None
    length_mm: Annotated[float, Field(gt=0, le=5000)] | None = None
    pivot_mm: Annotated[float, Field(ge=0, le=5000)] = 0.0
    repeatability_percent: Annotated[float, Field(gt=0, lt=50)] | None = None
    angle: AngleTable | None = None
    trace: bool = False
    stiffness_Nm_per_deg: Annotated[float, Field(gt=0)] | None = None
    calibration: CalibrationTable | None = None
    interval: IntervalTable = IntervalTable()
    note: str = ""
    iso_class: Annotated[str, StringConstraints(pattern=r"^(I [A-E]|II [A-G])$")] | None = None
    mechanism: Mechanism = "screw"
    preset: PresetTable | None = None
    sample_rate_Hz: Annotated[float, Field(gt=0, le=1_000_000)] | None = None
    suspect: Annotated[str, StringConstraints(max_length=200)] = ""

    _drive = field_validator("drive")(drive_named)

    @model_validator(mode="after")
    def _fits_its_kind(self) -> ToolTable:
        if problem := self._problem():
            raise ValueError(problem)
        self.build()  # refuses calibration points that this wrench cannot have
        return self

    def _problem(self) -> Words | None:
        return (
            self._preset_problem()
            or self._torque_problem()
            or self._angle_problem()
            or self._length_problem()
            or self._class_problem()
        )

    def _preset_problem(self) -> Words | None:
        if self.mechanism == "screw":
            if self.preset is not None:
                return words('preset is for a wrench with mechanism = "fixed" or "no_scale" only')
            return None
        if self.kind != "click":
            return words("mechanism is for a click wrench only; leave it out")
        if self.scale:
            return words(
                "a wrench with mechanism {mechanism!r} has no scale to set by; write preset, and "
                "leave scale out",
                mechanism=self.mechanism,
            )
        if self.preset is None:
            return words(
                "a wrench with mechanism {mechanism!r} needs the torque it stands at: "
                'preset = {{ value = 90, unit = "N·m" }}',
                mechanism=self.mechanism,
            )
        return None

    def _class_problem(self) -> Words | None:
        if self.iso_class is None:
            return None
        tool_type = self.iso_class.split()[0]
        if self.kind not in WRENCHES or (tool_type == "II") != (self.kind == "click"):
            return words(
                "ISO 6789 type II is a click wrench, type I shows the torque; {iso_class!r} does "
                "not go with kind {kind!r}",
                iso_class=self.iso_class,
                kind=self.kind,
            )
        return None

    def _torque_problem(self) -> Words | None:
        if self.kind in WRENCHES and not self.scale and self.preset is None:
            return words(
                "kind {kind!r} needs a [[tool.scale]] table with unit, low, high and main_step",
                kind=self.kind,
            )
        if self.kind not in WRENCHES and (self.scale or self.calibration):
            return words(
                "kind {kind!r} shows no torque; leave scale and calibration out", kind=self.kind
            )
        units = [scale.unit for scale in self.scale]
        if len(set(units)) != len(units):
            return words("two scales have the same unit; write each unit once")
        return None

    def _angle_problem(self) -> Words | None:
        if self.kind == "angle_gauge" and self.angle is None:
            return words("kind 'angle_gauge' needs an [tool.angle] table with step_deg")
        if self.kind not in {"angle_gauge", "electronic"} and self.angle is not None:
            return words("kind {kind!r} shows no angle; leave angle out", kind=self.kind)
        if self.sample_rate_Hz is not None and self.kind != "electronic":
            return words("only an electronic wrench has a sample rate; leave sample_rate_Hz out")
        if self.trace and self.kind != "electronic":
            return words("only an electronic wrench gives a trace; leave trace out")
        return None

    def _length_problem(self) -> Words | None:
        if self.pivot_mm and (self.length_mm is None or self.pivot_mm >= self.length_mm):
            return words(
                "pivot_mm {pivot:g} needs a longer length_mm, from the square to the grip mark",
                pivot=self.pivot_mm,
            )
        return None

    def build(self) -> Tool:
        """Return the tool."""
        scales = tuple(scale.build() for scale in self.scale)
        if self.preset is not None:
            scales = (self.preset.build(),)
        directions: tuple[Direction, ...] = self.directions or (
            ("cw",) if self.kind in WRENCHES else ("cw", "ccw")
        )
        calibration = (
            None if self.calibration is None else self.calibration.build(scales, directions)
        )
        return Tool(
            id=self.id,
            title=self.title,
            kind=self.kind,
            drive=self.drive,
            scales=scales,
            directions=directions,
            calibration=calibration,
            uses=self.uses,
            length=self.length_mm,
            pivot=self.pivot_mm,
            repeatability=self.repeatability_percent,
            angle=None if self.angle is None else self.angle.build(),
            trace=self.trace,
            stiffness=self.stiffness_Nm_per_deg,
            note=self.note,
            iso_class=self._iso_class(),
            mechanism=self.mechanism,
            sample_rate=self.sample_rate_Hz,
            suspect=self.suspect,
            belongings=self.belongings(),
            use_limits=self.interval.build(),
        )

    def _iso_class(self) -> tuple[str, str] | None:
        if self.iso_class is None:
            if self.mechanism == "screw":
                return None
            return ("II", "B" if self.mechanism == "fixed" else "C")
        tool_type, letter = self.iso_class.split()
        return tool_type, letter


class DrawerFile(FileModel):
    """A whole drawer file."""

    invented: bool = False
    tool: Annotated[tuple[ToolTable, ...], Field(min_length=1)]
    adapter: tuple[AdapterTable, ...] = ()
    stretch_gauge: tuple[StretchGaugeTable, ...] = ()
    test_device: tuple[TestDeviceTable, ...] = ()

    def build(self) -> Drawer:
        """Return the drawer."""
        return Drawer(
            tuple(tool.build() for tool in self.tool),
            tuple(one.build() for one in self.adapter),
            self.invented,
            tuple(one.build() for one in self.stretch_gauge),
            tuple(one.build() for one in self.test_device),
        )


def load_drawer(data: bytes, name: str, *, today: dt.date | None = None) -> Drawer:
    """Read a drawer file.

    Parameters
    ----------
    data : bytes
        TOML, UTF-8.
    name : str
        The file's name, for messages.
    today : datetime.date, optional
        Refuse calibrations dated after it; without it such a wrench is found out when it is chosen.

    Returns
    -------
    Drawer

    Raises
    ------
    BadFile
        With file, line and what was expected.
    """
    table = read_toml(data, name, DrawerFile)
    text = data.decode("utf-8-sig")
    _check_ids("tool", [one.id for one in table.tool], text, name)
    _check_ids("adapter", [one.id for one in table.adapter], text, name)
    _check_ids("stretch_gauge", [one.id for one in table.stretch_gauge], text, name)
    _check_ids("test_device", [one.id for one in table.test_device], text, name)
    if today is not None:
        _check_dates(table, today, text, name)
    return table.build()


def _check_ids(kind: str, ids: list[str], text: str, name: str) -> None:
    for place, one in enumerate(ids):
        if one in ids[:place]:
            line = line_of(text, (kind, place, "id"))
            raise _bad(
                words(
                    "{file}, line {line}: the id {id!r} is used twice; give each its own",
                    file=name,
                    line=line or "?",
                    id=one,
                ),
                name,
                line,
            )


def _check_dates(table: DrawerFile, today: dt.date, text: str, name: str) -> None:
    for place, tool in enumerate(table.tool):
        if tool.calibration is not None and tool.calibration.date > today:
            location: Location = ("tool", place, "calibration", "date")
            line = line_of(text, location)
            raise _bad(
                words(
                    "{file}, line {line}: the calibration of {tool} is dated {date}, after today "
                    "({today})",
                    file=name,
                    line=line or "?",
                    tool=tool.id,
                    date=tool.calibration.date.isoformat(),
                    today=today.isoformat(),
                ),
                name,
                line,
            )


def _bad(message: Words, name: str, line: int | None) -> BadFile:
    return BadFile(message, file=name, line=line, expected=str(message))
