"""An ambiguous reading as questions with few answers, and the choice a person made.

The reader gives complete readings side by side. Here they become one question after the other: at
the first stage in which the readings differ, then at the next, until one is left. Physics stands
beside an answer where size and strength are known; it never gives one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clampwright.errors import Ambiguous, Missing
from clampwright.joint.model import Fastening
from clampwright.procedure.check_physics import Reckoning, surface_of, target_nm
from clampwright.procedure.check_surface import condition_of
from clampwright.procedure.check_units import reading_words
from clampwright.procedure.describe import describe, remarks
from clampwright.procedure.reading import Reading
from clampwright.procedure.stage import Stage
from clampwright.standards import FrictionCondition
from clampwright.units import format_quantity
from clampwright.words import Words, words

Stages = tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer to a question.

    Parameters
    ----------
    stage : Stage or None
        The stage as this answer has it; None where there is no such stage then.
    lines : tuple of Words
        The same in words.
    informs : tuple of Words
        What it would mean for the fastener, where that is known.
    numbers : tuple of int
        Numbers (from 1) of the readings that are left with this answer.
    then : Ask or None
        The next question; None when one reading is left.
    """

    stage: Stage | None
    lines: tuple[Words, ...]
    informs: tuple[Words, ...]
    numbers: tuple[int, ...]
    then: Ask | None = None


@dataclass(frozen=True, slots=True)
class Ask:
    """One question: how a stage is to be read.

    Parameters
    ----------
    number : int
        Of the stage, from 1; 0 where there is one reading only and it is to be confirmed.
    answers : tuple of Answer
        In the order of the readings, none preferred; at least two, or one to be confirmed.
    """

    number: int
    answers: tuple[Answer, ...]


def reckoning_of(
    fastening: Fastening | None,
    friction: FrictionCondition | None = None,
    lubrication: Sequence[str] = (),
) -> Reckoning | None:
    """Return what torques are reckoned with, or None where size or strength is not known.

    Parameters
    ----------
    fastening : Fastening or None
    friction : FrictionCondition or None
        As stated for the joint.
    lubrication : sequence of str
        What the text says; see `Reading`.

    Returns
    -------
    Reckoning or None
    """
    if fastening is None:
        return None
    found = Reckoning(fastening, surface_of(condition_of(friction, lubrication)))
    return found if found.strength_known else None


def asked(reading: Reading, reckoning: Reckoning | None = None) -> Ask | None:
    """Return the first question of a reading; the others follow from its answers.

    Parameters
    ----------
    reading : Reading
    reckoning : Reckoning or None
        See `reckoning_of`.

    Returns
    -------
    Ask or None
        None when nothing is to be chosen: the text is plain, or it lacks what no choice can give.

    Examples
    --------
    >>> from clampwright.procedure import read
    >>> first = asked(read("Torque spark plugs to 25 lbs."))
    >>> [str(answer.lines[0]) for answer in first.answers], [a.numbers for a in first.answers]
    (['torque 25 ft·lbf', 'torque 25 in·lbf'], [(1,), (2,)])
    """
    if len(reading.candidates) == 1 and _workable(reading.candidates[0]):
        return _to_confirm(reading.candidates[0], reckoning)
    return _ask(reading.candidates, tuple(range(1, len(reading.candidates) + 1)), 0, reckoning)


def _workable(stages: Stages) -> bool:
    """Tell whether every pull of a reading has its target: a limit alone cannot be confirmed."""
    pulled = [stage for stage in stages if stage.kind in {"torque", "angle", "stretch"}]
    return bool(stages) and all(stage.value is not None for stage in pulled)


def _to_confirm(stages: Stages, reckoning: Reckoning | None) -> Ask:
    """Return the question whether the only reading is meant as it stands."""
    lines = tuple(line for stage in stages for line in (describe(stage), *remarks(stage)))
    informs = tuple(
        line for place in range(len(stages)) for line in informed(stages, place, reckoning)
    )
    return Ask(0, (Answer(stages[0], lines, informs, (1,)),))


def _ask(
    candidates: Sequence[Stages], numbers: tuple[int, ...], start: int, reckoning: Reckoning | None
) -> Ask | None:
    longest = max((len(candidates[number - 1]) for number in numbers), default=0)
    for place in range(start, longest):
        groups: dict[Stage | None, list[int]] = {}
        for number in numbers:
            groups.setdefault(_at(candidates[number - 1], place), []).append(number)
        if len(groups) > 1:
            answers = (
                _answer(candidates, stage, tuple(some), place, reckoning)
                for stage, some in groups.items()
            )
            return Ask(place + 1, tuple(answers))
    return None


def _at(stages: Stages, place: int) -> Stage | None:
    return stages[place] if place < len(stages) else None


def _answer(
    candidates: Sequence[Stages],
    stage: Stage | None,
    numbers: tuple[int, ...],
    place: int,
    reckoning: Reckoning | None,
) -> Answer:
    if stage is None:
        return Answer(None, (words("no further step"),), (), numbers)
    lines = (describe(stage), *remarks(stage))
    informs = tuple(informed(candidates[numbers[0] - 1], place, reckoning))
    return Answer(stage, lines, informs, numbers, _ask(candidates, numbers, place + 1, reckoning))


def informed(stages: Stages, place: int, reckoning: Reckoning | None) -> Iterator[Words]:
    """Say what a stage would mean: how far it is turned in all, or what the torque would do.

    Parameters
    ----------
    stages : tuple of Stage
        A complete reading.
    place : int
        Of the stage, from 0.
    reckoning : Reckoning or None
        See `reckoning_of`.

    Yields
    ------
    Words
    """
    stage = stages[place]
    before = _angle_before(stages, place)
    if stage.kind == "angle" and stage.angle_deg is not None and before:
        yield words("turned {total:g}° in all since the torque", total=before + stage.angle_deg)
    torque = target_nm(stage) if stage.kind == "torque" else None
    if reckoning is not None and torque is not None and stage.unit is not None:
        shown = stage.value if stage.value is not None else stage.tolerance_high
        figure = format_quantity(shown if shown is not None else torque, stage.unit)
        yield reading_words(figure, torque, stage, reckoning)


def _angle_before(stages: Stages, place: int) -> float:
    """Return what is turned in the angle stages directly before, degrees."""
    total = 0.0
    for stage in reversed(stages[:place]):
        if stage.kind != "angle" or stage.angle_deg is None:
            break
        total += stage.angle_deg
    return total


def settled(reading: Reading, choice: int | None) -> Stages:
    """Return the stages a procedure is worked by.

    Parameters
    ----------
    reading : Reading
    choice : int or None
        Number (from 1) of the reading a person chose, where there are several.

    Returns
    -------
    tuple of Stage

    Raises
    ------
    Missing
        When no procedure can be taken from the text, or there is no such choice.
    Ambiguous
        When a question is open; carries the readings.

    Examples
    --------
    >>> from clampwright.procedure import read
    >>> settled(read("Torque spark plugs to 25 lbs."), 2)[0].unit
    'in·lbf'
    """
    if reading.error is not None:
        raise Missing(
            words("no procedure can be taken from the text: {why}", why=reading.error.say),
            needed="procedure",
        )
    if reading.status == "ok":
        if choice is not None:
            raise Missing(
                words("choice = {choice}, but the text leaves nothing to choose", choice=choice),
                needed="choice",
            )
        return reading.stages
    if choice is None:
        raise Ambiguous(_open(reading), tuple(in_one_line(one) for one in reading.candidates))
    if not 1 <= choice <= len(reading.candidates):
        raise Missing(
            words(
                "choice = {choice}, but the text has {count} readings to choose from",
                choice=choice,
                count=len(reading.candidates),
            ),
            needed="choice",
        )
    return reading.candidates[choice - 1]


def _open(reading: Reading) -> Words:
    why = reading.why[0] if reading.why else words("the text leaves a question open")
    if reading.candidates:
        return words("{why}. Choose one of the readings", why=_without_point(why))
    return words(
        "{why}. No choice can settle it: the text itself must say it", why=_without_point(why)
    )


def _without_point(why: Words) -> Words:
    return why if not str(why).endswith((".", "?")) else Words(str(why).rstrip(".?"))


def in_one_line(stages: Sequence[Stage]) -> str:
    """Return stages as one line of text.

    Parameters
    ----------
    stages : sequence of Stage

    Returns
    -------
    str

    Examples
    --------
    >>> in_one_line([Stage("torque", 20.0, "N·m"), Stage("angle", 90.0, "deg")])
    'torque 20 N·m; turn 90° further'
    """
    return "; ".join(line for line in stage_lines(stages))


def stage_lines(stages: Sequence[Stage]) -> tuple[str, ...]:
    """Return stages in words, one text each, with all they say.

    Parameters
    ----------
    stages : sequence of Stage

    Returns
    -------
    tuple of str
    """
    return tuple(", ".join(str(part) for part in line) for line in stage_words(stages))


def stage_words(stages: Sequence[Stage]) -> tuple[tuple[Words, ...], ...]:
    """Return stages in words, the parts of one line each.

    Parameters
    ----------
    stages : sequence of Stage

    Returns
    -------
    tuple of tuple of Words
    """
    return tuple((describe(stage), *remarks(stage)) for stage in stages)


def choice_body(reading: Reading, choice: int) -> dict[str, object]:
    """Return a question, all its complete answers and the choice, for the log.

    Parameters
    ----------
    reading : Reading
        An ambiguous one.
    choice : int
        Number (from 1) of the reading that was chosen.

    Returns
    -------
    dict
        ``question`` (texts), ``readings`` (for each its stages as texts), ``chosen``.
    """
    return {
        "question": [str(why) for why in reading.why],
        "readings": [list(stage_lines(one)) for one in reading.candidates],
        "chosen": choice,
    }
