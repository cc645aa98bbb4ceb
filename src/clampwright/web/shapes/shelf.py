"""Procedures: what is understood of a text, and the versions on the shelf."""

from __future__ import annotations

from typing import Annotated, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from clampwright.procedure.reading import Role, Status
from clampwright.web.shapes.common import Day, Sha256, Told


class Piece(TypedDict):
    """A piece of the text."""

    text: str
    mark: int | None
    role: Annotated[str, Field(description="What it was read as; empty where nothing.")]


class Mark(TypedDict):
    """What a marked piece means."""

    mark: int
    text: str
    role: Role | None
    role_words: Told
    meaning: Told


class AskedAnswer(TypedDict):
    """An answer to a question of the text."""

    text: str
    informs: list[Told]
    numbers: list[int]
    then: Annotated[Asked | None, Field(description="What is asked next.")]


class Asked(TypedDict):
    """A question that the text leaves open."""

    number: int
    answers: list[AskedAnswer]


class Reading(TypedDict):
    """What is understood of a text, and what must be settled."""

    status: Status
    error: str
    pieces: list[Piece]
    marks: list[Mark]
    stages: list[str]
    why: list[Told]
    readings: list[list[str]]
    ask: Asked | None
    notes: list[Told]
    fastener_problem: str


class Compared(TypedDict):
    """Somebody compared the version with its source."""

    by: str
    day: Day


class ListedVersion(TypedDict):
    """A version of a procedure, as the list shows it."""

    procedure: str
    version: int
    title: str
    source: str
    sha256: Sha256
    by: str
    day: Day
    compared: list[Compared]
    understood: list[str]
    open: list[str]


class Procedures(TypedDict):
    """The procedures on the shelf, the newest version of each."""

    procedures: list[ListedVersion]


class Attached(TypedDict):
    """A file that shows the source."""

    sha256: Sha256
    type: str
    name: str
    size: Annotated[int, Field(description="bytes")]
    picture: bool


class DifferentLine(TypedDict):
    """A line that stands in one version or in both."""

    sign: str
    what: Told
    text: str


class Difference(TypedDict):
    """What changed between two versions."""

    before: int
    after: int
    work: Told
    stages: list[DifferentLine]
    text: list[DifferentLine]
    others: list[Told]


class Procedure(ListedVersion):
    """One version of a procedure, whole."""

    text: str
    locale: str
    source_parts: dict[str, str]
    pieces: list[Piece]
    marks: list[Mark]
    choice: Annotated[
        dict[str, object] | None,
        Field(description="Which reading was chosen, and between which; null where one."),
    ]
    attached: list[Attached]
    difference: Difference | None
    versions: Annotated[int, Field(description="How many there are.")]


class Pixels(TypedDict):
    """The size of a picture, pixels."""

    width: int
    height: int


class KeptFile(TypedDict):
    """A file is kept, known by its content."""

    sha256: Sha256
    type: str
    name: str
    size: Annotated[int, Field(description="bytes")]
    pixels: NotRequired[Pixels]


class NewJob(TypedDict):
    """The job that was made."""

    job: str
