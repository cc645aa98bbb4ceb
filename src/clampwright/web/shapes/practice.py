"""Practice: lessons, questions, answers, classes, what-if, and a live torque."""

from __future__ import annotations

from typing import Annotated, Literal, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.web.shapes.common import (
    Degrees,
    EntryId,
    Millimetres,
    NewtonMetres,
    Newtons,
    Seconds,
    Share,
    Told,
)

ExerciseKind = Literal["feel", "clamp", "fault", "what_if"]


class ListedExercise(TypedDict):
    """An exercise of a lesson."""

    exercise: Annotated[str, Field(description="Lesson/number.")]
    kind: ExerciseKind
    title: Told


class Lesson(TypedDict):
    """A lesson; one that cannot be taken says why, and no more."""

    key: str
    error: NotRequired[Told]
    title: NotRequired[str]
    exercises: NotRequired[list[ListedExercise]]


class Lessons(TypedDict):
    """The lessons."""

    lessons: list[Lesson]


class _Question(TypedDict):
    exercise: str
    title: Told
    text: str
    answer: Annotated[list[str], Field(description="Names of what is to be answered.")]


class FeelQuestion(_Question):
    """Pull by hand to a torque."""

    kind: Literal["feel"]
    aimed_Nm: NewtonMetres
    tries: int


class ClampQuestion(_Question):
    """Estimate the clamp load."""

    kind: Literal["clamp"]
    torque_Nm: NewtonMetres
    thread: str | None
    strength: str | None
    head: str | None
    friction: str | None


class FaultQuestion(_Question):
    """Say what went wrong in a recorded pull."""

    kind: Literal["fault"]
    time_s: list[Seconds]
    torque_Nm: list[NewtonMetres]
    angle_deg: list[Degrees]
    angle_mode: str
    told: dict[str, str]
    choices: dict[str, str]


class WhatIfQuestion(_Question):
    """Say what a change does before it is reckoned."""

    kind: Literal["what_if"]
    ask: Told


Question = Annotated[
    FeelQuestion | ClampQuestion | FaultQuestion | WhatIfQuestion, Field(discriminator="kind")
]


class Answered(TypedDict):
    """What came of an answer."""

    entry: EntryId
    outcome: Annotated[dict[str, object], Field(description="Differs between the kinds.")]
    says: list[Told]


class Case(TypedDict):
    """A joint tightened in one way; lists run over its fasteners."""

    friction: str
    torque_Nm: NewtonMetres
    angle_deg: Degrees
    order: list[int]
    shares: list[Share]
    alone_N: Annotated[float, Field(description="Clamp load of one fastener alone, N.")]
    clamp_N: list[Newtons]
    clamp_p05_N: list[Newtons]
    clamp_p95_N: list[Newtons]
    least_p05_N: Newtons
    evenness: Share
    yield_share: list[Share]
    slack: list[int]


class WhatIf(TypedDict):
    """Two ways to tighten one joint."""

    positions_mm: list[list[Millimetres]]
    interaction: bool
    planned: Case
    changed: Case
    says: list[str]


class LiveSource(TypedDict):
    """A live torque and the highest of its pull."""

    name: str
    torque_Nm: NewtonMetres
    highest_Nm: NewtonMetres
    now: Annotated[str, Field(description="In the unit it was sent in.")]
    highest: Annotated[str, Field(description="In the unit it was sent in.")]
    age: Seconds
    fresh: bool


class LiveSources(TypedDict):
    """The live torques, the freshest first."""

    sources: list[LiveSource]


class LiveTaken(TypedDict):
    """What a sample of a live torque did; nothing of it is kept."""

    torque_Nm: NewtonMetres
    highest_Nm: NewtonMetres
    over: bool


class Classes(TypedDict):
    """Names of the classes."""

    classes: list[str]


class Days(TypedDict):
    """Scatter within days and between them, as shares of the torque aimed at."""

    days: int
    within: Share
    between: Share


class Spread(TypedDict):
    """Bias and scatter of tries, as shares of the torque aimed at; null where too few."""

    tries: int
    bias: Share
    bias_range: list[Share] | None
    scatter: Share | None
    scatter_range: list[Share] | None
    next_range: list[Share] | None
    days: Days | None


class HeldAgainst(TypedDict):
    """Tries held against a tolerance."""

    stage: Told
    tolerance: Share
    source: str
    inside: int
    share_range: list[Share]
    next_within: Share | None


class Feel(Spread):
    """What the tries of a learner say."""

    held: list[HeldAgainst]


class Learner(TypedDict):
    """What a learner has done."""

    learner: str
    answers: int
    feel: Spread | None
    clamp_points: float | None
    clamp_held: float | None
    faults: int
    faults_right: int
    foreseen: int


class Result(TypedDict):
    """One answer of a learner."""

    id: EntryId
    learner: str
    time: str
    kind: ExerciseKind
    exercise: str
    answer: dict[str, object]
    outcome: dict[str, object]


_Class = TypedDict("_Class", {"class": str})


class ClassResults(_Class):
    """What a class has done, by learner and answer by answer."""

    learners: list[Learner]
    results: list[Result]
