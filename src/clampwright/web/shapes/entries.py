"""What a device is told of the entries it sent."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.web.shapes.common import EntryId, Receipt, Told, Verdict


class PullVerdict(TypedDict):
    """How a pull is judged, as it stands now."""

    entry: EntryId
    joint: str
    stage: int
    fastener: int
    verdict: Verdict
    word: Annotated[str, Field(description="The verdict in the language asked for.")]
    reasons: list[Told]
    next: Annotated[str, Field(description="What to do now; empty where nothing.")]
    settled: bool
    accepted: bool
    voided: bool
    doubted: bool
    recorded: Annotated[bool, Field(description="A wrench recorded it.")]
    again: Annotated[
        Literal["", "figure", "marks", "gauge", "stretch"],
        Field(description="How a second person may read it again; empty where not."),
    ]
    confirmed: Annotated[
        bool | None, Field(description="Whether a second reading agrees; null where none.")
    ]


class ClockOff(TypedDict):
    """The clock of the device is wrong."""

    off_s: Annotated[int, Field(description="By how many seconds it is ahead.")]
    say: Told


class Taken(Receipt):
    """An entry is safe on the log."""

    verdict: Annotated[PullVerdict | None, Field(description="Null where it is no pull.")]
    clock: NotRequired[ClockOff]


class ReadAgain(Taken):
    """A second reading is safe on the log."""

    agrees: bool
    told: Told


class Loosen(TypedDict):
    """Which fasteners begin anew, and from which stage."""

    joint: str
    fasteners: list[int]
    from_stage: int
    renew: bool


class Effects(TypedDict):
    """What followed from what happened, told by places of pulls: joint/stage/fastener."""

    void: list[str]
    loosen: list[Loosen]
    suspect: Annotated[str, Field(description="Id of a tool laid aside; empty where none.")]
    dues: list[str]


class Happened(Taken):
    """Something that happened is on the log, with what followed from it."""

    effects: Effects


class SecondLookAtPlan(Receipt):
    """A tool was overruled, or a setting read back."""

    told: Told
    agrees: bool
    clock: NotRequired[ClockOff]


class Awaits(TypedDict):
    """An act is held open on the log until somebody signs it."""

    entry: EntryId
    awaits: Receipt
    told: Told
    clock: NotRequired[ClockOff]


class OneAnswer(TypedDict):
    """What became of one of many entries: its status, and what it would be told alone."""

    id: EntryId
    status: Annotated[int, Field(ge=200, le=599, description="HTTP status it would have alone.")]
    entry: NotRequired[EntryId]
    index: NotRequired[int]
    leaf_hash: NotRequired[str]
    sha256: NotRequired[str]
    verdict: NotRequired[PullVerdict | None]
    agrees: NotRequired[bool]
    effects: NotRequired[Effects]
    told: NotRequired[Told]
    clock: NotRequired[ClockOff]
    awaits: NotRequired[Receipt]
    error: NotRequired[Told]
    aside: NotRequired[Receipt]
    plan_changed: NotRequired[bool]
    sign: NotRequired[Annotated[str, Field(description="The act that must be signed first.")]]
    sign_in: NotRequired[bool]
    locked: NotRequired[bool]


class Answers(TypedDict):
    """One answer for each entry, in their order; it ends at the first to be sent again later."""

    answers: list[OneAnswer]


class Unsigned(TypedDict):
    """An act that waits to be signed, with all that signing it needs."""

    job: str
    entry: EntryId
    id: EntryId
    way: str
    act: str
    content: Annotated[dict[str, object], Field(description="As the device sent it.")]
    device: MadeOn
    what: Told
    waits: Told
    told: Told


class MadeOn(TypedDict):
    """The device an entry was made on, its time and its own count."""

    id: str
    time: Annotated[str, Field(description="What the clock of the device said, RFC 3339.")]
    counter: int


class NotKnown(TypedDict):
    """An entry of which nobody knows whose hand made it."""

    job: str
    entry: EntryId
    what: Told


class Waiting(TypedDict):
    """What waits to be signed, or for a person to be named."""

    unsigned: list[Unsigned]
    not_known: list[NotKnown]
