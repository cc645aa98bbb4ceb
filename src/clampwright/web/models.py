"""What a device may send, checked by shape before anything else looks at it."""

from __future__ import annotations

import datetime as dt
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints
from pydantic_core import PydanticCustomError

UUID7 = r"^[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$"
EntryId = Annotated[str, StringConstraints(pattern=UUID7)]
"""UUID of version 7, made on the device."""

JobId = Annotated[str, StringConstraints(min_length=1, max_length=60)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=100)]
Number = Annotated[str, StringConstraints(min_length=1, max_length=40)]
"""As it was typed: decimal point and comma are both taken."""
Unit = Annotated[str, StringConstraints(min_length=1, max_length=20)]
Reason = Annotated[str, StringConstraints(max_length=500)]


def _is_moment(text: str) -> str:
    try:
        dt.datetime.fromisoformat(text).astimezone(dt.UTC)
    except (ValueError, OverflowError) as error:
        raise PydanticCustomError("moment", "there is no such moment") from error
    return text


Time = Annotated[
    str,
    StringConstraints(
        pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,9})?(Z|[+-]\d\d:\d\d)$", max_length=40
    ),
    AfterValidator(_is_moment),
]


class Sent(BaseModel):
    """What all messages have in common: nothing unknown is taken."""

    model_config = ConfigDict(extra="forbid", strict=True)


class Device(Sent):
    """Where an entry was made.

    Parameters
    ----------
    id : str
        The device's own name.
    time : str
        What its clock said, RFC 3339.
    counter : int
        Which entry of the device it is: the order of entries, whatever the clock says.
    now : str, optional
        What its clock says at sending: held against the server's.
    left : int, optional
        How many more entries of this job the device still keeps after this one.
    plan : str, optional
        Mark of the plan the device was guided by.
    person : str, optional
        Who tapped (id), where people sign in.
    session : str, optional
        In which session, as the server named it.
    late : bool
        Made while the network was away, so that nobody could sign it.
    """

    id: Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]{1,60}$")]
    time: Time
    counter: Annotated[int, Field(ge=0, le=2**53)] = 0
    now: Time | None = None
    left: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    plan: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")] | None = None
    person: Annotated[str, StringConstraints(pattern=r"^person-[0-9a-f]{12}$")] | None = None
    session: Annotated[str, StringConstraints(pattern=r"^session-[0-9a-f]{16}$")] | None = None
    late: bool = False


class Setting(Sent):
    """What a wrench stood on."""

    value: Number
    unit: Unit


class ValueIn(Sent):
    """A value read from a scale."""

    kind: Literal["value"]
    value: Number
    unit: Unit


class ClickIn(Sent):
    """What was felt of a click wrench."""

    kind: Literal["click"]
    clicked: bool
    moved: bool
    setting: Setting


class AngleIn(Sent):
    """Degrees turned."""

    kind: Literal["angle"]
    value: Number
    unit: Literal["deg"] = "deg"


class DoneIn(Sent):
    """Work that is only done or not."""

    kind: Literal["done"]
    done: bool


class MarksIn(Sent):
    """An angle told by where a mark stood and stands on the clock face, as it is seen."""

    kind: Literal["marks"]
    start: Annotated[str, StringConstraints(pattern=r"^\d{1,2}(:[0-5]\d)?$")]
    end: Annotated[str, StringConstraints(pattern=r"^\d{1,2}(:[0-5]\d)?$")]
    turns: Annotated[int, Field(ge=0, le=20)] = 0
    turning: Literal["cw", "ccw"]
    step: Number = "7.5"


class GaugeIn(Sent):
    """An angle read from a dial on the socket."""

    kind: Literal["gauge"]
    value: Number
    unit: Literal["deg"] = "deg"
    held: Literal["loaded", "let_go"] = "let_go"
    zero: Number = "0"
    play: Number | None = None


class PhoneAngleIn(Sent):
    """An angle reckoned from a phone's rotation sensor."""

    kind: Literal["phone"]
    value: Number
    unit: Literal["deg"] = "deg"
    u: Number
    swings: Annotated[int, Field(ge=1, le=1000)] = 1


class StretchIn(Sent):
    """Lengths of a fastener, free and tight."""

    kind: Literal["stretch"]
    free: Annotated[list[Number], Field(min_length=1, max_length=50)]
    tight: Annotated[list[Number], Field(min_length=1, max_length=50)]
    unit: Unit
    step: Number
    gauge: Name | None = None
    temperatures: Annotated[list[Number], Field(min_length=2, max_length=2)] | None = None


class TurningIn(Sent):
    """Torques read while the fastener kept turning."""

    kind: Literal["while_turning"]
    values: Annotated[list[Number], Field(min_length=1, max_length=50)]
    unit: Unit
    peak: Number | None = None


ReadingIn = Annotated[
    ValueIn | ClickIn | AngleIn | DoneIn | MarksIn | GaugeIn | PhoneAngleIn | StretchIn | TurningIn,
    Field(discriminator="kind"),
]


class PullIn(Sent):
    """One pull, as a person tells it."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    fastener: Annotated[int, Field(ge=0, le=1000)]
    tool: Name | None = None
    adapter: Name | None = None
    reading: ReadingIn
    device: Device

    def content(self) -> dict[str, Any]:
        """Return what must be the same when it is sent again."""
        return {"joint": self.joint, "stage": self.stage, "fastener": self.fastener}


class ReadAgainIn(Sent):
    """What a second person read of a pull."""

    entry: EntryId
    reading: ReadingIn
    device: Device


class AcceptIn(Sent):
    """Going on in spite of a verdict."""

    entry: EntryId
    reason: Reason
    device: Device


class RestartIn(Sent):
    """A fastener was loosened and begins anew."""

    joint: Name
    fastener: Annotated[int, Field(ge=1, le=1000)]
    reason: Reason = ""
    renewed: bool = False
    device: Device


class OpenIn(Sent):
    """Open questions of a job, settled when it is begun, and by whom."""

    choices: dict[Name, Annotated[int, Field(ge=1, le=1000)]]
    by: Name


class LookIn(Sent):
    """A second look at a joint."""

    joint: Name
    in_order: bool
    note: Reason = ""
    photograph: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")] = ""
    alone: bool = False
    device: Device


class CloseIn(Sent):
    """Nothing is left to do; with the reason where a device may still have entries."""

    reason: Reason = ""
    device: Device


class SettleAsideIn(Sent):
    """What became of a content that was kept aside."""

    aside: EntryId
    reason: Reason
    device: Device


class SimulateIn(Sent):
    """Let the simulated wrench do one pull."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    fastener: Annotated[int, Field(ge=0, le=1000)]
    entry: EntryId


class Place(Sent):
    """Which pull."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    fastener: Annotated[int, Field(ge=0, le=1000)]


class LiveStart(Sent):
    """What a wrench says before its first sample; with ``answers`` each message gets one."""

    pull: Place
    tool: Name
    entry: EntryId
    answers: bool = False
