"""The drawer file: TOML a person writes, checked table by table and turned into plain data."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Literal

from pydantic import Field, StringConstraints, field_validator, model_validator

from clampwright.drawer.calibration import Direction
from clampwright.drawer.tables import AngleTable, CalibrationTable, ScaleTable
from clampwright.drawer.tools import DRIVES, WRENCHES, Adapter, Drawer, Tool, ToolKind
from clampwright.errors import BadFile
from clampwright.tomlfile import FileModel, Location, line_of, read_toml
from clampwright.words import Words, words

Identifier = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9-]{0,39}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=200)]


def _drive(text: str) -> str:
    short = text.replace('"', "").replace("inch", "").replace("in", "").strip()
    for drive in DRIVES:
        if drive.removesuffix(" in") == short:
            return drive
    raise ValueError(
        words("{drive!r} is no drive; write one of {known}", drive=text, known=", ".join(DRIVES))
    )


class ToolTable(FileModel):
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
    stiffness_Nm_per_deg: Annotated[float, Field(gt=0)] | None = None  # noqa: N815 - the unit keeps its capital
    calibration: CalibrationTable | None = None
    note: str = ""

    _drive = field_validator("drive")(_drive)

    @model_validator(mode="after")
    def _fits_its_kind(self) -> ToolTable:
        if problem := self._problem():
            raise ValueError(problem)
        self.build()  # refuses calibration points that this wrench cannot have
        return self

    def _problem(self) -> Words | None:
        return self._torque_problem() or self._angle_problem() or self._length_problem()

    def _torque_problem(self) -> Words | None:
        if self.kind in WRENCHES and not self.scale:
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
        )


class AdapterTable(FileModel):
    """An open-end or offset adapter."""

    id: Identifier
    title: Text
    drive: str
    length_mm: Annotated[float, Field(gt=0, le=2000)]
    angle_deg: Annotated[float, Field(ge=0, le=180)] = 0.0

    _drive = field_validator("drive")(_drive)


class DrawerFile(FileModel):
    """A whole drawer file."""

    invented: bool = False
    tool: Annotated[tuple[ToolTable, ...], Field(min_length=1)]
    adapter: tuple[AdapterTable, ...] = ()

    def build(self) -> Drawer:
        """Return the drawer."""
        return Drawer(
            tuple(tool.build() for tool in self.tool),
            tuple(
                Adapter(one.id, one.title, one.drive, one.length_mm, one.angle_deg)
                for one in self.adapter
            ),
            self.invented,
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
    _check_ids("tool", [tool.id for tool in table.tool], text, name)
    _check_ids("adapter", [adapter.id for adapter in table.adapter], text, name)
    if today is not None:
        _check_dates(table, today, text, name)
    return table.build()


def _check_ids(kind: Literal["tool", "adapter"], ids: list[str], text: str, name: str) -> None:
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
