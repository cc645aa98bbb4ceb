"""The past: machines, their joints over the years, pulls found, follow-ups, the archive."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.web.shapes.common import (
    Day,
    Degrees,
    EntryId,
    Millimetres,
    Moment,
    NewtonMetres,
    Newtons,
    Page,
    Seconds,
    Verdict,
)
from clampwright.web.shapes.jobs import Sentence
from clampwright.work.follow_up import What


class Machine(TypedDict):
    """A machine and its jobs."""

    machine: str
    jobs: list[str]
    last: Day


class Machines(TypedDict):
    """The machines."""

    machines: list[Machine]


class ClampThen(TypedDict):
    """The clamp load to be expected of a visit: nominal, 5 and 95 % points."""

    nominal_N: Newtons
    p05_N: Newtons
    p95_N: Newtons


class FastenerThen(TypedDict):
    """What became of a fastener at a visit; null is what nobody measured."""

    fastener: int
    verdict: Annotated[str, Field(description="A verdict; empty where there is none.")]
    pulls: int
    torque_Nm: NewtonMetres | None
    torque_u_Nm: NewtonMetres | None
    turned_deg: Degrees | None
    turned_in: list[int]
    stretched: bool
    renewed: bool
    breakaway_Nm: NewtonMetres | None
    tools: list[str]


class Visit(TypedDict):
    """One job at a joint."""

    job: str
    title: str
    date: Day
    stages: list[str]
    closed: bool
    clamp: ClampThen | None
    fasteners: list[FastenerThen]


class Trend(TypedDict):
    """A change a year with its 95 % interval, in the unit of the quantity."""

    a_year: float
    low: float
    high: float


class Drift(TypedDict):
    """How a quantity moved over the visits."""

    quantity: str
    dates: list[Day]
    means: list[float]
    spreads: list[float]
    trend: Trend | None
    says: str


class Spent(TypedDict):
    """How often a fastener was turned or stretched past yield."""

    fastener: int
    since: Day
    known_new: bool
    times: int
    seen: int
    stretch_mm: list[Millimetres] | None
    allowed_mm: Millimetres | None
    says: str


class JointHistory(TypedDict):
    """A joint over the years."""

    joint: str
    title: str
    visits: list[Visit]
    drifts: list[Drift]
    spent: list[Spent]


class MachineHistory(Machine):
    """A machine with its joints over the years."""

    joints: list[JointHistory]


class FoundPull(TypedDict):
    """A pull that was found."""

    entry: EntryId
    job: str
    title: str
    machine: str
    joint: str
    joint_title: str
    fastener: int
    stage: int
    time: Moment
    tool: str
    person: Annotated[str, Field(description="Id of a person; empty where nobody is known.")]
    verdict: Verdict
    torque_Nm: NewtonMetres | None
    turned_deg: Degrees | None
    accepted: bool
    undone: bool


class FoundPulls(TypedDict):
    """Pulls that fit, the newest first; ``more`` where there are others."""

    pulls: list[FoundPull]
    more: bool


class FollowUp(TypedDict):
    """What still has to be done at a joint."""

    id: EntryId
    job: str
    joint: str
    what: What
    how: str
    after: Annotated[
        dict[str, float], Field(description="When: km, hours, days, heat cycles, by name.")
    ]
    day: Day | None
    told: str
    planned: Day
    source: str
    state: Literal["open", "overdue", "done", "refused"]
    reason: str


class FollowUps(TypedDict):
    """The follow-ups, what presses first before the others."""

    follow_ups: list[FollowUp]


class Planned(TypedDict):
    """It is on the log, and shown on a page."""

    entry: EntryId
    to: Page


class Aside(TypedDict):
    """A file of the archive that was set aside."""

    file: str
    why: Sentence


class Work(TypedDict):
    """What a run over the archive took."""

    pieces: int
    before: int
    seconds: Seconds
    core_seconds: Seconds
    own_seconds: Seconds
    peak_bytes: Annotated[int, Field(description="bytes")]
    workers: int


class ArchiveResult(TypedDict):
    """The newest result of one analysis."""

    analysis: str
    asked: Annotated[dict[str, object], Field(description="With what it was asked.")]
    made: Moment
    version: str
    found: Annotated[dict[str, object], Field(description="Differs between the analyses.")]
    aside: list[Aside]
    work: Work


class Archive(TypedDict):
    """The newest results of the archive."""

    results: list[ArchiveResult]


class FigureQuestion(TypedDict):
    """A question after a figure, and its answer."""

    entry: EntryId
    what: str
    looked: Annotated[dict[str, str], Field(description="What was found, by place.")]
    figure: str
    source: str
    open: bool


class FigureQuestions(TypedDict):
    """The questions after figures."""

    questions: list[FigureQuestion]
