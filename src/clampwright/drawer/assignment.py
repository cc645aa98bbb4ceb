"""Which tool each stage of one procedure gets, so that tools are changed as seldom as can be."""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from typing import Protocol

from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import Adapter, Tool

EQUAL = 2.0
"""Tools whose scores differ by no more are equally good: 0.4 % of uncertainty (our own choice)."""

_Carried = dict[Hashable, tuple[int, float, tuple[int, ...]]]


class Ranked(Protocol):
    """Choices that know what is usable, and how good, before anybody asks for reasons."""

    @property
    def usable(self) -> Sequence[bool]:
        """Whether each can be used."""

    @property
    def scores(self) -> Sequence[float]:
        """How good each is."""

    def hand(self, place: int) -> Hashable:
        """Return what is in the hand with one."""

    @property
    def taken(self) -> int | None:
        """Which one a person took with a reason."""


class Told:
    """The same, of choices whose reasons are told already.

    Parameters
    ----------
    choices : sequence of Fitness
    """

    def __init__(self, choices: Sequence[Fitness]) -> None:
        self.usable = [one.usable for one in choices]
        self.scores = [one.score for one in choices]
        self._choices = choices
        places = (place for place, one in enumerate(choices) if one.overruled)
        self.taken = next(places, None)

    def hand(self, place: int) -> Hashable:
        """Return what is in the hand with one."""
        one = self._choices[place]
        return hand_of(one.tool, one.gauge, one.adapter)


def hand_of(tool: Tool, gauge: Tool | None, adapter: Adapter | None) -> Hashable:
    """Return what counts as the same in the hand: the tool, with all that is on it."""
    return tool.id, gauge.id if gauge else None, adapter.id if adapter else None


def assign(stages: Sequence[Sequence[Fitness]]) -> tuple[int | None, ...]:
    """Return which of its choices each stage of a procedure gets.

    Parameters
    ----------
    stages : sequence of sequence of Fitness
        The choices of each stage in working order, best first.

    Returns
    -------
    tuple of int or None
        Place of the choice in its stage; None where none is usable. A tool a person took with a
        reason stays; else only tools about as good as the stage's best (`EQUAL`) are looked at, and
        of all ways through them the one with the fewest changes is taken, then the one with the
        better scores.

    Notes
    -----
    Dynamic programming over the stages: for every tool that may be in hand after a stage, the best
    way to get there. Stages without a usable tool leave what is in hand.

    Examples
    --------
    >>> from clampwright.drawer.tools import Tool
    >>> bar, ratchet = Tool("b", "Bar", "bar", "1/2 in"), Tool("r", "Ratchet", "ratchet", "1/2 in")
    >>> first = (Fitness(bar, score=91.0), Fitness(ratchet, score=90.0))
    >>> assign([first, (Fitness(ratchet, score=95.0), Fitness(bar, score=80.0))])
    (1, 0)
    """
    return assign_ranked([Told(choices) for choices in stages])


def assign_ranked(stages: Sequence[Ranked]) -> tuple[int | None, ...]:
    """Return which of its choices each stage gets; as `assign`, without asking for reasons."""
    carried: _Carried = {None: (0, 0.0, ())}
    for choices in stages:
        places = _good(choices)
        if not places:
            carried = {hand: (n, s, (*way, -1)) for hand, (n, s, way) in carried.items()}
            continue
        carried = _one_further(carried, choices, places)
    _changes, _score, way = min(carried.values(), key=_better)
    return tuple(None if place < 0 else place for place in way)


def _better(way: tuple[int, float, tuple[int, ...]]) -> tuple[int, float]:
    return way[0], -way[1]


def _good(choices: Ranked) -> list[int]:
    if choices.taken is not None:
        return [choices.taken]
    usable = [place for place, able in enumerate(choices.usable) if able]
    best = max((choices.scores[place] for place in usable), default=0.0)
    return [place for place in usable if choices.scores[place] >= best - EQUAL]


def _one_further(carried: _Carried, choices: Ranked, places: Sequence[int]) -> _Carried:
    following: _Carried = {}
    # From any tool in hand a change costs the same, so only the best way so far and the way that
    # has the same tool in hand need to be compared.
    best = min(carried.values(), key=_better)
    for place in places:
        hand, score = choices.hand(place), choices.scores[place]
        ways = [(best[0] + 1, best[1] + score, (*best[2], place))]
        if (kept := carried.get(hand)) is not None:
            ways.append((kept[0], kept[1] + score, (*kept[2], place)))
        if hand in following:
            ways.insert(0, following[hand])
        following[hand] = min(ways, key=_better)
    return following
