"""The bench: what is now, what comes next, and all that a device needs to go on alone."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.drawer.tools import ToolKind
from clampwright.procedure.stage import Kind
from clampwright.web.shapes.common import Degrees, EntryId, HarmLevel, Told
from clampwright.web.shapes.entries import PullVerdict
from clampwright.web.shapes.jobs import Open
from clampwright.web.step_view import Ask

PullPlace = Annotated[
    list[str | int], Field(min_length=3, max_length=3, description="Joint, stage, fastener.")
]
CountingPull = Annotated[
    list[str | int | bool],
    Field(
        min_length=6,
        max_length=6,
        description="Joint, stage, fastener, tool (empty where none), settled, doubted.",
    ),
]
Way = Literal["marks", "gauge", "phone", "stretch", "turning"]


class BenchJob(TypedDict):
    """The job at the bench."""

    id: str
    title: str
    machine: str
    invented: bool
    closed: bool
    harm: HarmLevel
    counts: Annotated[dict[str, int], Field(description="Pulls by verdict.")]


class Counted(TypedDict):
    """How many pulls there are."""

    all: int
    done: int
    left: int


class Looked(TypedDict):
    """From where the joint is looked at."""

    turn: Annotated[int, Field(description="degrees")]
    mirror: bool


class ScaleSetting(TypedDict):
    """What the tool stands on."""

    value: Annotated[str, Field(description="As it stands on the scale.")]
    unit: str
    text: Told


class ToolInHand(TypedDict):
    """The tool of a step."""

    id: str
    name: str
    kind: ToolKind
    adapter: str | None
    setting: ScaleSetting | None


class UsableTool(TypedDict):
    """Another tool that is fit."""

    id: str
    name: str


class Ends(TypedDict):
    """Limits on the scale in hand; null where there is no end."""

    low: float | None
    high: float | None
    text: str


class CompareClick(TypedDict):
    """Whether a click of this setting lies within the limits."""

    click: bool
    text: str


class CompareValue(TypedDict):
    """Limits of what is read, by unit."""

    units: dict[str, Ends]


class Turned(TypedDict):
    """An angle to be turned."""

    angle: Degrees
    flats: str


class StretchGauge(TypedDict):
    """A gauge that measures the length of a fastener."""

    id: str
    title: str
    step: Annotated[str, Field(description="mm")]


class Step(TypedDict):
    """A stage as it is shown at the bench."""

    joint: str
    joint_title: str
    stage: int
    stages: int
    kind: Kind
    sort: str
    text: Told
    condition: str
    care: list[Told]
    caption: Told
    figure: Annotated[str, Field(description="The largest thing on the page.")]
    unit: str
    asked: str
    ask: Ask
    direction: Literal["cw", "ccw"]
    arrow: Literal["cw", "ccw"]
    arrow_words: Told
    left_hand: bool
    tool: ToolInHand | None
    tools: list[UsableTool]
    units: list[str]
    compare: CompareClick | CompareValue | None
    adds_running: bool
    records: bool
    simulated: bool
    ways: list[Way]
    turn: Turned | None
    gauges: list[StretchGauge]


class OpenPreparation(TypedDict):
    """What is open of the preparation list before the present pull."""

    joint: str
    stage: int
    open: int
    points: list[Told]
    must: bool


class HoldPoint(TypedDict):
    """A point of the procedure at which the work waits for an answer."""

    joint: str
    joint_title: str
    hold: int
    after: int
    ask: str
    answer: Literal["yes", "figure", "note"]
    unit: str
    limits: str
    last: str


class DuePulls(TypedDict):
    """What stands open, by the places of the pulls it is about."""

    happening: EntryId
    joint: str
    due: str
    fasteners: list[int]
    renew: bool
    from_stage: int
    tool: str
    pulls: list[str]


class AfterJoint(TypedDict):
    """What a device must know of a joint to reckon what follows from a mishap."""

    title: str
    backwards: list[int]
    renews: bool


class After(TypedDict):
    """What a device that is alone reckons with when something happens."""

    pulls: list[CountingPull]
    dues: list[DuePulls]
    suspects: list[str]
    joints: dict[str, AfterJoint]
    holds: list[HoldPoint]


class Waits(TypedDict):
    """An act that waits to be signed."""

    told: Told
    key: PullPlace | None


class BenchDevice(TypedDict):
    """The device on the serial line."""

    tool: str
    problem: str


class Bench(Open):
    """Everything the bench page shows; ``size`` grows with the log, the later answer is larger."""

    size: int
    job: BenchJob
    pulls: Counted
    view: Looked
    ahead: list[PullPlace]
    sequence: list[PullPlace]
    steps: Annotated[
        dict[str, Step], Field(description="By joint/stage, or joint/stage/fastener for one pull.")
    ]
    places: Annotated[
        dict[str, dict[str, Told]], Field(description="By joint and fastener; 0 is the whole.")
    ]
    map: Annotated[str, Field(description="SVG; empty when all is done.")]
    last: PullVerdict | None
    preparation: OpenPreparation | None
    holds: list[HoldPoint]
    after: After
    waits: list[Waits]
    log: Annotated[str | None, Field(description="Origin of the log.")]
    plan: Annotated[str, Field(description="Mark of the plan; a device sends it back.")]
    device: BenchDevice | None
