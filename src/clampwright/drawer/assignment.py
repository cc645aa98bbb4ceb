"""Which tool each stage of one procedure gets, so that tools are changed as seldom as can be."""

from __future__ import annotations

from collections.abc import Hashable, Sequence

from clampwright.drawer.suitability import Fitness

EQUAL = 2.0
"""Tools whose scores differ by no more are equally good: 0.4 % of uncertainty (our own choice)."""

_Carried = dict[Hashable, tuple[int, float, tuple[int, ...]]]


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
    carried: _Carried = {None: (0, 0.0, ())}
    for choices in stages:
        places = _good(choices)
        if not places:
            carried = {hand: (n, s, (*way, -1)) for hand, (n, s, way) in carried.items()}
            continue
        carried = _one_further(carried, choices, places)
    _changes, _score, way = min(carried.values(), key=lambda one: (one[0], -one[1]))
    return tuple(None if place < 0 else place for place in way)


def _good(choices: Sequence[Fitness]) -> list[int]:
    usable = [place for place, one in enumerate(choices) if one.usable]
    taken = [place for place in usable if choices[place].overruled]
    if taken:
        return taken[:1]
    best = max((choices[place].score for place in usable), default=0.0)
    return [place for place in usable if choices[place].score >= best - EQUAL]


def _one_further(carried: _Carried, choices: Sequence[Fitness], places: Sequence[int]) -> _Carried:
    following: _Carried = {}
    # From any tool in hand a change costs the same, so only the best way so far and the way that
    # has the same tool in hand need to be compared.
    best = min(carried.values(), key=lambda one: (one[0], -one[1]))
    for place in places:
        choice = choices[place]
        hand = _in_hand(choice)
        changed = (best[0] + 1, best[1] + choice.score, (*best[2], place))
        kept = carried.get(hand)
        way = changed
        if kept is not None:
            way = min(
                changed,
                (kept[0], kept[1] + choice.score, (*kept[2], place)),
                key=lambda one: (one[0], -one[1]),
            )
        if hand not in following or (way[0], -way[1]) < (following[hand][0], -following[hand][1]):
            following[hand] = way
    return following


def _in_hand(choice: Fitness) -> Hashable:
    gauge, adapter = choice.gauge, choice.adapter
    return choice.tool.id, gauge.id if gauge else None, adapter.id if adapter else None
