"""What must be true of threads, parts and place before the first pull: the preparation list.

Points, their conditions and their sources are rows of ``preparation.csv``; where published sources
contradict each other the point is a choice, whose answers (``preparation_options.csv``) each name
their own source. A new point is a new row.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from clampwright.procedure.check_flow import RELEASES
from clampwright.procedure.stage import Stage
from clampwright.words import Words

Ask = Literal["tick", "choose", "answer"]
"""``tick``: it is so; ``choose``: one of the options; ``answer``: in the person's own words."""

Due = Literal["start", "angle"]
"""``start``: before the first pull; ``angle``: before the first angle stage."""


@dataclass(frozen=True, slots=True)
class Option:
    """One answer to a question on which published sources contradict each other.

    Parameters
    ----------
    name : str
    say : Words
    source : str
    """

    name: str
    say: Words
    source: str


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the list.

    Parameters
    ----------
    name : str
    ask : str
        See `Ask`.
    due : str
        See `Due`.
    say : Words
    source : str
        Its mark of source: a publication, a standard from memory, or common practice.
    when : str
        The facts under which it belongs to a list.
    options : tuple of Option
        For a choice.
    """

    name: str
    ask: Ask
    due: Due
    say: Words
    source: str
    when: str = ""
    options: tuple[Option, ...] = ()

    def option(self, name: str) -> Option | None:
        """Return an option by its name, or None."""
        return next((one for one in self.options if one.name == name), None)

    def belongs(self, facts: Collection[str]) -> bool:
        """Return whether the point belongs to a list.

        Parameters
        ----------
        facts : collection of str
            What is known of the joint, see `facts_of`.
        """
        return all(
            any(_holds(fact, facts) for fact in word.split("|")) for word in self.when.split()
        )


def _holds(word: str, facts: Collection[str]) -> bool:
    if word.startswith("!"):
        return word[1:] not in facts
    if word.endswith("?"):  # named, or nobody said what the joint has
        return word[:-1] in facts or ("bolted" in facts and "features_unknown" in facts)
    return word in facts


@lru_cache(maxsize=1)
def points() -> tuple[Point, ...]:
    """Return every point there is, in the order in which a person goes through them."""
    options = _options()
    return tuple(
        Point(
            row["point"],
            _ASKS[row["ask"]],
            _DUES[row["due"]],
            Words(row["say"]),
            row["source"],
            row["when"],
            options.get(row["point"], ()),
        )
        for row in _rows("preparation.csv")
    )


@lru_cache(maxsize=1)
def features() -> dict[str, Words]:
    """Return the words with which a job says what a joint has, and what they mean."""
    return {row["feature"]: Words(row["say"]) for row in _rows("joint_features.csv")}


def preparation_list(facts: Collection[str]) -> tuple[Point, ...]:
    """Return the points that belong to a joint.

    Parameters
    ----------
    facts : collection of str
        See `facts_of`.

    Returns
    -------
    tuple of Point

    Examples
    --------
    >>> facts = facts_of([Stage("torque", 90.0, "N·m")], kind="bolted", harm_level=1, count=5,
    ...                  features=["wheel"])
    >>> [one.name for one in preparation_list(facts) if one.ask == "choose"]
    ['wheel_surface', 'wheel_ground']
    """
    return tuple(one for one in points() if one.belongs(facts))


def facts_of(
    stages: Sequence[Stage],
    *,
    kind: str,
    harm_level: int,
    count: int,
    features: Sequence[str] = (),
    lubrication: Sequence[str] = (),
    surface_stated: bool = False,
    reuse: str | None = None,
    reuse_limited: bool = False,
    fitted: str = "",
    left_hand: bool = False,
    tapped: bool = False,
    tools: Collection[str] = (),
) -> frozenset[str]:
    """Return what the conditions of the list ask about a joint.

    Parameters
    ----------
    stages : sequence of Stage
    kind : str
        Sort of joint, such as ``bolted``.
    harm_level : int
        1, 2 or 3.
    count : int
        Number of fasteners.
    features : sequence of str
        What the joint has, see `features`; empty where nobody said.
    lubrication : sequence of str
        Codes such as ``dry`` and ``oil_threads``, of the text or of the job.
    surface_stated : bool
        Whether text or job says what is on threads and faces.
    reuse : str or None
        As a reading has it: ``new_required`` or ``reuse_if_length_ok``.
    reuse_limited : bool
        Whether there is a limit of length or use.
    fitted : str
        ``new``, ``used`` or empty.
    left_hand, tapped : bool
    tools : collection of str
        Kinds of the tools that the plan takes, such as ``click``.

    Returns
    -------
    frozenset of str
    """
    facts = {kind, f"harm{harm_level}", *features, *lubrication, *tools}
    facts |= set(_of_stages(stages))
    if not features:
        facts.add("features_unknown")
    conditions = {
        "several": count > 1,
        "no_surface": not surface_stated,
        "new_required": reuse == "new_required",
        "reuse_limit": reuse == "reuse_if_length_ok" or reuse_limited,
        "used": fitted == "used",
        "left_hand": left_hand,
        "blind_holes": tapped,
    }
    return frozenset(facts | {name for name, holds in conditions.items() if holds})


def _of_stages(stages: Sequence[Stage]) -> Iterator[str]:
    for stage in stages:
        yield stage.kind
        if stage.kind in RELEASES:
            yield "loosen"
        if stage.check:
            yield stage.check
        if stage.plus_running_torque:
            yield "running"
        if stage.direction == "ccw":
            yield "left_hand"


def _rows(name: str) -> list[dict[str, str]]:
    text = files(__package__).joinpath(name).read_text(encoding="utf-8")
    return list(csv.DictReader(text.splitlines()))


def _options() -> dict[str, tuple[Option, ...]]:
    found: dict[str, tuple[Option, ...]] = {}
    for row in _rows("preparation_options.csv"):
        one = Option(row["option"], Words(row["say"]), row["source"])
        found[row["point"]] = (*found.get(row["point"], ()), one)
    return found


_ASKS: dict[str, Ask] = {"tick": "tick", "choose": "choose", "answer": "answer"}
_DUES: dict[str, Due] = {"start": "start", "angle": "angle"}
