"""Jobs: the list of them, a plan with its findings, what can happen, what was prepared."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.procedure.check_finding import Severity
from clampwright.procedure.preparation import Ask
from clampwright.web.shapes.common import (
    Day,
    EntryId,
    HarmLevel,
    Millimetres,
    NewtonMetres,
    Newtons,
    Share,
    Told,
)
from clampwright.web.shapes.entries import PullVerdict
from clampwright.work.happening_tables import AskKind, Sort
from clampwright.work.limits import Origin, Quantity


class ListedJob(TypedDict):
    """One job of the workshop."""

    id: str
    title: str
    machine: str
    state: Literal["new", "open", "closed", "problem"]
    invented: bool
    done: int
    pulls: int
    harm_level: Annotated[int, Field(ge=0, le=3, description="0 where the file cannot be read.")]
    note: str
    unsigned: Annotated[int, Field(description="Acts that wait to be signed.")]


class Jobs(TypedDict):
    """The jobs of the workshop."""

    jobs: list[ListedJob]


class Limits(TypedDict):
    """Between what a result must lie; in N·m, degrees or mm, as ``unit`` says."""

    quantity: Quantity
    target: float | None
    low: float | None
    high: float | None
    unit: str
    origin: Origin


class PlannedSetting(TypedDict):
    """What the wrench is set to, on its own scale."""

    value: float
    unit: str
    torque_at_fastener_Nm: NewtonMetres
    rounding_cost_Nm: NewtonMetres
    text: str


class FitTool(TypedDict):
    """A tool of the drawer, and whether it is fit for the stage."""

    tool: str
    name: str
    usable: bool
    reasons: list[str]
    u_rel: Share | None
    u_clamp_rel: Share | None
    may_be_overruled: bool
    overruled: Annotated[str | None, Field(description="The reason a person gave.")]


class Contribution(TypedDict):
    """What one input adds to the uncertainty of the clamp load."""

    input: str
    standard_uncertainty_N: Newtons


class ClampBand(TypedDict):
    """The clamp load to be expected: nominal, standard uncertainty, 5 and 95 % points."""

    nominal_N: Newtons
    standard_uncertainty_N: Newtons
    p05_N: Newtons
    p95_N: Newtons
    contributions: list[Contribution]
    narrowing: list[str]


class PlannedStage(TypedDict):
    """A stage with its limits, its order and its tools."""

    number: int
    stage: Annotated[
        dict[str, object],
        Field(description="The stage as in a job file; unset keys are left out."),
    ]
    text: str
    limits: Limits
    order: list[int]
    order_from: str
    pulls: int
    tool: str | None
    gauge: str | None
    adapter: str | None
    setting: PlannedSetting | None
    tools: list[FitTool]
    clamp: ClampBand | None


class PlannedJoint(TypedDict):
    """A joint of the plan."""

    id: str
    title: str
    harm_level: HarmLevel
    left_hand: bool
    fasteners: int
    positions_mm: list[list[Millimetres]]
    thread: str | None
    strength: str | None
    friction: str | None
    source: str | None
    stages: list[PlannedStage]


class Plan(TypedDict):
    """The plan of a job."""

    job: str
    title: str
    machine: str
    invented: bool
    planned_for: Day
    pulls: int
    joints: list[PlannedJoint]


class Sentence(TypedDict):
    """A sentence with its values, and its English text."""

    template: str
    values: dict[str, object]
    text: str


class Figure(TypedDict):
    """A figure of a finding, with its unit."""

    value: float | str
    unit: str


class Finding(TypedDict):
    """What the check found."""

    code: str
    severity: Severity
    joint: str
    stage: int | None
    message: Sentence
    details: list[Sentence]
    question: Sentence | None
    why: Sentence
    numbers: dict[str, Figure]
    source: str


class Job(TypedDict):
    """A job: its plan, what the check found, and its pulls."""

    state: Literal["new", "open", "closed"]
    plan: Plan
    findings: list[Finding]
    pulls: list[PullVerdict]


class Opened(TypedDict):
    """A job was begun, or was open already."""

    job: str
    opened: Annotated[bool, Field(description="False where it was open already.")]
    to_settle: NotRequired[Annotated[int, Field(description="Findings that stop the work.")]]


class Card(TypedDict):
    """A setting card: the drawing, and the same in words."""

    svg: str
    spoken: Told


class PreparationOption(TypedDict):
    """An answer there is to a point."""

    option: str
    say: Told
    source: str


class PreparationPoint(TypedDict):
    """What must be true before the first pull, and what became of it."""

    point: str
    ask: Ask
    due: str
    say: Told
    source: str
    options: list[PreparationOption]
    how: str
    answer: str
    reason: str
    open: bool
    passed_over: bool


class JointPreparation(TypedDict):
    """The preparation list of a joint."""

    joint: str
    must: Annotated[bool, Field(description="No pull before it is settled.")]
    points: list[PreparationPoint]


class Preparation(TypedDict):
    """The preparation list of a job."""

    joints: list[JointPreparation]


class Choice(TypedDict):
    """An answer to choose."""

    name: str
    say: Told


class CanHappen(TypedDict):
    """Something that can happen at the bench."""

    name: str
    title: Told
    say: Told


class HappeningQuestion(TypedDict):
    """What is asked when it happened."""

    happening: str
    name: str
    kind: AskKind
    stages: list[Sort]
    when: dict[str, list[str]]
    question: Told
    answers: list[Choice]


class HappeningRule(TypedDict):
    """What trade practice offers, and under which answers."""

    happening: str
    stages: list[Sort]
    when: dict[str, list[str]]
    say: Told
    does: list[str]
    source: str


class DueAnswer(TypedDict):
    """An answer that settles what stands open, and what it does."""

    name: str
    say: Told
    does: list[str]


class DueKind(TypedDict):
    """Something that may stand open afterwards."""

    name: str
    question: Told
    say: Told
    source: str
    told: Literal["", "place", "next", "found"]
    answers: list[DueAnswer]


class HappeningTables(TypedDict):
    """What can happen at the bench, what is asked then, and what trade practice offers."""

    happenings: list[CanHappen]
    questions: list[HappeningQuestion]
    rules: list[HappeningRule]
    dues: list[DueKind]


class DidHappen(TypedDict):
    """Something that happened at a job."""

    entry: EntryId
    what: str
    told: list[Told]
    taken_back: Annotated[str, Field(description="The reason; empty where it stands.")]


class Due(TypedDict):
    """Something that stands open."""

    happening: EntryId
    joint: str
    joint_title: str
    due: str
    holds_up: bool
    ask: Told
    say: Told
    source: str
    answers: list[Choice]
    told: Literal["", "place", "next", "found"]
    offered: str
    lines: list[Told]


class Back(TypedDict):
    """The last entry, where it can be taken back."""

    entry: EntryId
    what: Told


class Open(TypedDict):
    """What is open of what happened."""

    dues: list[Due]
    aside: Annotated[list[str], Field(description="Titles of tools laid aside.")]
    back: Back | None


class Happenings(Open):
    """What happened at a job, what became of it, and what is open."""

    happenings: list[DidHappen]
