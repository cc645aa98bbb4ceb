"""What can go wrong at the bench, what is asked then, and what trade practice offers: as tables.

No rule stands in code. ``happenings.csv`` holds what can be touched, ``happening_questions.csv``
and ``happening_answers.csv`` what is asked, ``happening_rules.csv`` what is offered and what it
does, ``happening_dues.csv`` what stays open until it is settled; each row with its source.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal

from clampwright.procedure.stage import Stage
from clampwright.words import Words

Sort = Literal["torque", "check", "angle", "stretch", "loose"]
"""What a stage is to these rules; ``loose`` are stages that leave no torque to lose."""

SORTS: tuple[Sort, ...] = ("torque", "check", "angle", "stretch", "loose")
_SORT: Mapping[str, Sort] = MappingProxyType(
    {"torque": "torque", "torque_check": "check", "angle": "angle", "stretch": "stretch"}
)

AskKind = Literal["choice", "fastener", "fasteners", "last_sure", "stage", "person"]
"""``fastener``: its number; ``fasteners``: several numbers with blanks between; ``last_sure``: a
number, or 0 for none of the stage; ``stage``: its number; ``person``: a name."""

Condition = Mapping[str, frozenset[str]]
"""Answers that a row wants, by question; empty where it wants none."""

DOES = frozenset(
    {
        "loosen", "renew", "again", "back", "whole", "maker_whole", "maker_gasket", "maker_thread",
        "look", "suspect", "handover_given", "handover", "clear", "redo",
    }
)  # fmt: skip
"""What a rule can do; see `clampwright.work.happening`."""


@dataclass(frozen=True, slots=True)
class Happening:
    """Something that can happen.

    Parameters
    ----------
    name : str
    title, say : Words
        What stands on its tile, and what is meant by it.
    source : str
    """

    name: str
    title: Words
    say: Words
    source: str


@dataclass(frozen=True, slots=True)
class Answer:
    """One answer that can be touched.

    Parameters
    ----------
    name : str
    say : Words
    does : tuple of str
        See `DOES`; for answers to what stood open.
    """

    name: str
    say: Words
    does: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Question:
    """One short question.

    Parameters
    ----------
    happening, name : str
    kind : str
        See `AskKind`.
    stages : frozenset of str
        Sorts of stages at which it is asked.
    when : mapping
        Answers before it that it wants.
    question : Words
    answers : tuple of Answer
        Of a choice.
    source : str
    """

    happening: str
    name: str
    kind: AskKind
    stages: frozenset[str]
    when: Condition
    question: Words
    answers: tuple[Answer, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Rule:
    """What trade practice offers.

    Parameters
    ----------
    happening : str
    stages : frozenset of str
    when : mapping
    say : Words
    does : tuple of str
        See `DOES`.
    source : str
    """

    happening: str
    stages: frozenset[str]
    when: Condition
    say: Words
    does: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class DueKind:
    """What stays open until it is settled.

    Parameters
    ----------
    name : str
    question, say : Words
    answers : tuple of Answer
        Empty where it is only done, or told in words.
    source : str
    """

    name: str
    question: Words
    say: Words
    answers: tuple[Answer, ...]
    source: str


def sort_of(stage: Stage) -> Sort:
    """Return what a stage is to these rules.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    str

    Examples
    --------
    >>> sort_of(Stage("torque", 45.0, "N·m")), sort_of(Stage("wait", 30.0, "min"))
    ('torque', 'loose')
    """
    return _SORT.get(stage.kind, "loose")


def fits(condition: Condition, answers: Mapping[str, str]) -> bool:
    """Return whether answers are those that a row wants.

    Examples
    --------
    >>> fits({"mark": frozenset({"no"})}, {"mark": "no", "yield": "yes"}), fits({}, {})
    (True, True)
    >>> fits({"mark": frozenset({"no"})}, {})
    False
    """
    return all(answers.get(name) in wanted for name, wanted in condition.items())


@lru_cache(maxsize=1)
def happenings() -> Mapping[str, Happening]:
    """Return what can happen, by name, in the order of the tiles."""
    return MappingProxyType(
        {
            row["name"]: Happening(
                row["name"], Words(row["title"]), Words(row["say"]), row["source"]
            )
            for row in _rows("happenings")
        }
    )


@lru_cache(maxsize=1)
def questions() -> tuple[Question, ...]:
    """Return every question, in the order in which they are asked."""
    return tuple(
        Question(
            row["happening"],
            row["ask"],
            row["kind"],  # type: ignore[arg-type]  # the table's words are held by a test
            _stages(row["stages"]),
            _condition(row["when"]),
            Words(row["question"]),
            _answers().get(row["ask"], ()),
            row["source"],
        )
        for row in _rows("happening_questions")
    )


@lru_cache(maxsize=1)
def rules() -> tuple[Rule, ...]:
    """Return every rule."""
    return tuple(
        Rule(
            row["happening"],
            _stages(row["stages"]),
            _condition(row["when"]),
            Words(row["say"]),
            tuple(row["does"].split()),
            row["source"],
        )
        for row in _rows("happening_rules")
    )


@lru_cache(maxsize=1)
def due_kinds() -> Mapping[str, DueKind]:
    """Return what can stay open, by name."""
    return MappingProxyType(
        {
            row["due"]: DueKind(
                row["due"],
                Words(row["question"]),
                Words(row["say"]),
                _answers().get(row["due"], ()),
                row["source"],
            )
            for row in _rows("happening_dues")
        }
    )


@lru_cache(maxsize=1)
def _answers() -> Mapping[str, tuple[Answer, ...]]:
    found: dict[str, tuple[Answer, ...]] = {}
    for row in _rows("happening_answers"):
        answer = Answer(row["answer"], Words(row["say"]), tuple(row["does"].split()))
        found[row["ask"]] = (*found.get(row["ask"], ()), answer)
    return MappingProxyType(found)


def _rows(table: str) -> Iterator[dict[str, str]]:
    text = files(__package__).joinpath(f"{table}.csv").read_text(encoding="utf-8")
    yield from csv.DictReader(text.splitlines())


def _stages(text: str) -> frozenset[str]:
    return frozenset(text.split() or SORTS)


def _condition(text: str) -> Condition:
    parts = (part.split("=") for part in text.split())
    return MappingProxyType({name: frozenset(wanted.split("|")) for name, wanted in parts})
