"""What a device may send to the shelf, checked by shape before anything else looks at it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from clampwright.bench.shelf import LONGEST_TEXT
from clampwright.web.models import Device, Name, Number, Sent
from clampwright.work.attached import MOST
from clampwright.work.fastener import Named

ProcedureId = Annotated[str, StringConstraints(min_length=1, max_length=60)]
Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Text = Annotated[str, StringConstraints(min_length=1, max_length=LONGEST_TEXT)]
Line = Annotated[str, StringConstraints(max_length=200)]
Locale = Annotated[str, StringConstraints(pattern=r"^[A-Za-z]{1,8}(-[A-Za-z0-9]{1,8}){0,3}$")]
VersionNumber = Annotated[int, Field(ge=1, le=100_000)]


class FastenerIn(Sent):
    """The fastener by the names on it; empty where it is not known."""

    thread: Line = ""
    strength: Line = ""
    head: Line = ""
    hole: Literal["fine", "medium", "coarse"] = "medium"
    friction: Line = ""

    def named(self) -> Named:
        """Return it as the other rooms know it."""
        given = {name: getattr(self, name) or None for name in ("thread", "strength", "head")}
        return Named(**given, hole=self.hole, friction=self.friction or None)


class ReadingAsk(Sent):
    """A text to be read; nothing is kept."""

    text: Text
    locale: Locale = "und"
    fastener: FastenerIn = Field(default_factory=FastenerIn)


class SourceIn(Sent):
    """Where a procedure was taken from."""

    title: Line
    edition: Line = ""
    page: Line = ""
    date: Line = ""


class FileIn(Sent):
    """A file that was sent before."""

    sha256: Hash
    name: Name


class ShelveIn(Sent):
    """A procedure for the shelf, with the reading that was chosen where there are several."""

    procedure: ProcedureId | None = None
    title: Line
    text: Text
    locale: Locale
    choice: Annotated[int, Field(ge=1, le=1000)] | None = None
    stays_open: bool = False
    source: SourceIn
    files: Annotated[list[FileIn], Field(max_length=MOST)] = Field(default_factory=list)
    by: Name
    device: Device


class ConfirmIn(Sent):
    """A second person has compared a version with its source."""

    sha256: Hash
    by: Name
    device: Device


class LayoutIn(Sent):
    """How the fasteners sit; measures as typed."""

    pattern: Literal["circle", "row", "grid", "single"]
    count: Annotated[int, Field(ge=1, le=400)] | None = None
    diameter_mm: Number | None = None
    pitch_mm: Number | None = None
    rows: Annotated[int, Field(ge=1, le=100)] | None = None
    columns: Annotated[int, Field(ge=1, le=100)] | None = None
    pitch_x_mm: Number | None = None
    pitch_y_mm: Number | None = None


class NewJobIn(Sent):
    """A job that is worked by a shelved version."""

    sha256: Hash
    title: Name
    machine: Name
    kind: Literal["bolted", "plug", "filter", "bearing_setting"] = "bolted"
    layout: LayoutIn
    fastener: FastenerIn = Field(default_factory=FastenerIn)
    harm_level: Literal[1, 2, 3]
    torque_percent: Number
    angle_deg: Number
