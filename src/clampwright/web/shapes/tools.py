"""Tools, devices, receivers, hand-overs, and the care of the log."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.web.shapes.common import EntryId, Moment, Page, Sha256, Told


class NewTool(TypedDict):
    """A tool was written into the drawer."""

    tool: str
    to: Page


class ToolPaper(TypedDict):
    """A file is kept with a tool."""

    file: str
    to: Page


class LookOver(TypedDict):
    """The check before a job is on the log."""

    entry: EntryId
    not_right: list[str]
    told: Told


class ToolEntry(TypedDict):
    """An entry of a tool is on the log."""

    entry: EntryId
    told: Told


class DeviceState(TypedDict):
    """How the device of this server stands."""

    port: str | None
    open: bool
    told: list[Told]
    pulling: bool


class BrokenOff(TypedDict):
    """The device records nothing now."""

    pulling: bool


class PhoneAngle(TypedDict):
    """An angle reckoned from a phone's recording; nothing of it is kept."""

    angle: Annotated[str, Field(description="degrees")]
    u: Annotated[str, Field(description="Standard uncertainty, degrees.")]
    swings: int
    tilt: Annotated[int | None, Field(description="degrees")]
    remarks: list[Told]


class LogLine(TypedDict):
    """An entry that was handed over."""

    kind: str
    index: int
    leaf: Sha256


class Given(TypedDict):
    """What is in a handover, and whose it is."""

    what: Told
    name: str
    title: str
    workshop: str
    made: Moment
    origin: str
    size: Annotated[int, Field(description="Entries under the signed head.")]
    key: Annotated[str, Field(description="Fingerprint of the other workshop's key.")]
    entries: list[LogLine]
    files: int


class GivenLook(Given):
    """What taking a handover in would do; nothing is kept."""

    notes: list[Told]
    problem: Annotated[str, Field(description="Why it cannot be taken; empty where it can.")]


_As = TypedDict("_As", {"as": str})


class GivenTaken(Given, _As):
    """A handover was taken in, under this name."""


class Head(TypedDict):
    """The signed head of the log, as a signed note."""

    head: str


class Backup(TypedDict):
    """A backup was made."""

    file: str
    files: int


class Begun(TypedDict):
    """A receiver is told from now on; its secret is shown this once."""

    entry: EntryId
    receiver: str
    secret: str


class Receiver(TypedDict):
    """The receiver it was done with."""

    receiver: str


class Letters(TypedDict):
    """How many letters wait once more."""

    letters: int


class Letter(TypedDict):
    """The letter that waits."""

    letter: str
