"""A lesson: exercises in an order, from a TOML file of a teacher, or shipped with the program."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Annotated, Any, Literal

from pydantic import Field, create_model

from clampwright.errors import BadFile, ClampwrightError, Missing
from clampwright.practice.clamp_question import ClampQuestion, clamp_question
from clampwright.practice.fault_question import FaultQuestion, fault_question
from clampwright.practice.tries import Try
from clampwright.practice.what_if_request import FIELDS, WhatIfRequest
from clampwright.tomlfile import FileModel, line_of, read_toml
from clampwright.units import parse_quantity
from clampwright.words import Words, words
from clampwright.work.fastener import Named

FIRST = "first"
"""Key of the lesson that is shipped."""
MOST = 60
"""Exercises of one lesson."""

Text = Annotated[str, Field(max_length=2000)]
Short = Annotated[str, Field(min_length=1, max_length=80)]
Seed = Annotated[int, Field(ge=0, le=2**31)]


class FeelIn(FileModel):
    """Pull by hand to what you think is a torque."""

    kind: Literal["feel"]
    aim: Short
    tries: Annotated[int, Field(ge=1, le=50)] = 5
    text: Text = ""


class ClampIn(FileModel):
    """Estimate the clamp load; with `seed` the question is made by the program."""

    kind: Literal["clamp"]
    seed: Seed | None = None
    thread: Short | None = None
    strength: Short | None = None
    head: Short | None = None
    hole: Literal["fine", "medium", "coarse"] = "medium"
    friction: Short | None = None
    torque: Short | None = None
    text: Text = ""


class FaultIn(FileModel):
    """Find the fault in a simulated trace; without `fault`, `seed` draws it."""

    kind: Literal["fault"]
    seed: Seed
    fault: Short | None = None
    text: Text = ""


CaseIn = create_model(
    "CaseIn",
    __base__=FileModel,
    **dict.fromkeys(FIELDS, (Annotated[str, Field(max_length=2000)], "")),
)  # type: ignore[call-overload]  # the fields are those of the question, named in one place
CaseIn.__doc__ = "Fields of a question “what would happen if”."


class WhatIfIn(FileModel):
    """Foresee what happens to a joint if something is changed, then look."""

    kind: Literal["what_if"]
    ask: Text
    case: CaseIn  # type: ignore[valid-type]  # made above
    text: Text = ""


class LessonFile(FileModel):
    """The whole file."""

    title: Short
    about: Text = ""
    invented: bool = False
    exercise: Annotated[
        list[Annotated[FeelIn | ClampIn | FaultIn | WhatIfIn, Field(discriminator="kind")]],
        Field(min_length=1, max_length=MOST),
    ]


@dataclass(frozen=True, slots=True)
class FeelExercise:
    """Pull by hand to a torque.

    Parameters
    ----------
    aim : float
        N·m.
    written : str
        The torque as the teacher wrote it, with its unit.
    tries : int
        How often.
    text : Words
    """

    aim: float
    written: str
    tries: int = 5
    text: Words = Words("")  # noqa: RUF009 - frozen

    kind = "feel"


@dataclass(frozen=True, slots=True)
class ClampExercise:
    """Estimate a clamp load."""

    question: ClampQuestion
    text: Words = Words("")  # noqa: RUF009 - frozen

    kind = "clamp"


@dataclass(frozen=True, slots=True)
class FaultExercise:
    """Find a fault."""

    seed: int
    fault: str | None = None
    text: Words = Words("")  # noqa: RUF009 - frozen

    kind = "fault"

    @property
    def question(self) -> FaultQuestion:
        """The trace with the answers offered."""
        return fault_question(self.seed, self.fault)


@dataclass(frozen=True, slots=True)
class WhatIfExercise:
    """Foresee what happens if."""

    ask: Words
    request: WhatIfRequest
    text: Words = Words("")  # noqa: RUF009 - frozen

    kind = "what_if"


Exercise = FeelExercise | ClampExercise | FaultExercise | WhatIfExercise
KINDS = ("feel", "clamp", "fault", "what_if")
_ANY_DAY = dt.date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Lesson:
    """Exercises in an order.

    Parameters
    ----------
    key : str
        The file's name without its ending.
    title, about : Words
    exercises : tuple of Exercise
    invented : bool
        Whether what it tells of machines is invented.
    """

    key: str
    title: Words
    about: Words
    exercises: tuple[Exercise, ...]
    invented: bool = False

    def exercise(self, number: int) -> Exercise:
        """Return an exercise by its number from 1.

        Raises
        ------
        Missing
            There is none of that number.
        """
        if not 1 <= number <= len(self.exercises):
            raise Missing(
                words(
                    "{lesson} has exercises 1 to {count}, not {number}",
                    lesson=self.title,
                    count=len(self.exercises),
                    number=number,
                ),
                needed="entry",
            )
        return self.exercises[number - 1]


def read_lesson(data: bytes, name: str, *, key: str) -> Lesson:
    r"""Read a lesson, and check that every exercise can be asked.

    Parameters
    ----------
    data : bytes
        TOML, see `LessonFile`.
    name : str
        Name of the file, for messages.
    key : str
        What the lesson is called in addresses.

    Returns
    -------
    Lesson

    Raises
    ------
    BadFile
        With file, line and what was expected.

    Examples
    --------
    >>> text = 'title = "Feel"\n[[exercise]]\nkind = "feel"\naim = "25 N·m"'
    >>> lesson = read_lesson(text.encode(), "feel.toml", key="feel")
    >>> str(lesson.title), lesson.exercise(1).aim
    ('Feel', 25.0)
    """
    file = read_toml(data, name, LessonFile)
    made = []
    for place, one in enumerate(file.exercise):
        try:
            made.append(_MADE[one.kind](one))
        except ClampwrightError as error:
            line = line_of(data.decode("utf-8-sig"), ("exercise", place)) or 1
            raise BadFile(
                words(
                    "{file}, line {line}: exercise {number}: {problem}",
                    file=name,
                    line=line,
                    number=place + 1,
                    problem=error.message,
                ),
                file=name,
                line=line,
            ) from error
    return Lesson(key, Words(file.title), Words(file.about), tuple(made), file.invented)


@lru_cache(maxsize=1)
def first_lesson() -> Lesson:
    """Return the lesson that is shipped: everything in it is invented."""
    name = f"{FIRST}.toml"
    data = resources.files(__package__).joinpath("lessons", name).read_bytes()
    return read_lesson(data, name, key=FIRST)


def _feel(one: FeelIn) -> FeelExercise:
    aim = parse_quantity(one.aim, "torque")
    Try(aim.value, aim.value, _ANY_DAY)  # refuses what nobody pulls by hand
    return FeelExercise(aim.value, one.aim, one.tries, Words(one.text))


def _clamp(one: ClampIn) -> ClampExercise:
    told = (one.thread, one.strength, one.head, one.friction, one.torque)
    if one.seed is not None:
        if any(told):
            raise ClampwrightError(
                words("give a seed, or thread, head, friction and torque, not both")
            )
        return ClampExercise(clamp_question(one.seed), Words(one.text))
    if one.torque is None:
        raise Missing(words("a question about clamp load needs {what}", what="torque"), "torque")
    named = Named(one.thread, one.strength, one.head, hole=one.hole, friction=one.friction)
    torque = parse_quantity(one.torque, "torque").value
    return ClampExercise(ClampQuestion(named, torque), Words(one.text))


def _fault(one: FaultIn) -> FaultExercise:
    fault_question(one.seed, one.fault)
    return FaultExercise(one.seed, one.fault, Words(one.text))


def _what_if(one: WhatIfIn) -> WhatIfExercise:
    request = WhatIfRequest(one.case.model_dump())  # type: ignore[attr-defined]  # made above
    request.study()
    return WhatIfExercise(Words(one.ask), request, Words(one.text))


_MADE: dict[str, Any] = {"feel": _feel, "clamp": _clamp, "fault": _fault, "what_if": _what_if}
