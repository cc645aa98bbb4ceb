"""How well a drawer covers the work: gaps, overlaps, and what would close most of them.

No makes and no shops: what comes out is a kind, a square and a range.
"""

from __future__ import annotations

import datetime as dt
import math
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Literal

from clampwright.drawer.adapters import Adapter
from clampwright.drawer.choice import choose
from clampwright.drawer.demand import Demand
from clampwright.drawer.settings import Misfit, best_setting
from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import PLAIN, Drawer, Tool
from clampwright.drawer.trust import lever_of
from clampwright.errors import ClampwrightError
from clampwright.units import factor
from clampwright.words import Words, words

Gap = Literal["none", "kind", "range", "direction", "reach", "trust", "accuracy", "unit"]

OVERLAP = 0.8
"""Share of the shorter range, on a log scale, from which two wrenches count as overlapping."""


@dataclass(frozen=True, slots=True)
class Need:
    """One stage of one joint, as something the drawer must be able to do.

    Parameters
    ----------
    name : Words
        Which stage of which joint.
    demand : Demand
    adapter : Adapter or None
        What reaching it needs.
    missing_adapter : str
        Id of an adapter that reaching it needs and the drawer does not have; empty otherwise.
    """

    name: Words
    demand: Demand
    adapter: Adapter | None = None
    missing_adapter: str = ""

    @property
    def torque(self) -> float | None:
        """The torque to look at, N·m."""
        return self.demand.reference_torque


@dataclass(frozen=True, slots=True)
class Covered:
    """How one need is covered.

    Parameters
    ----------
    need : Need
    best : Fitness or None
        The best usable tool.
    gap : str
        ``none``; else what is wrong first: no tool of that ``kind``, none in that ``range``,
        ``direction`` or ``reach``, none that is to be trusted today (``trust``), none
        ``accuracy`` enough for the limits, none in the ``unit`` of the procedure.
    words : Words
    """

    need: Need
    best: Fitness | None
    gap: Gap
    words: Words


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two wrenches that do nearly the same.

    Parameters
    ----------
    one, other : Tool
    share : float
        Of the shorter range that lies in both, on a log scale.
    only_one, only_other : int
        Needs that only the one, or only the other, can do.
    """

    one: Tool
    other: Tool
    share: float
    only_one: int
    only_other: int


@dataclass(frozen=True, slots=True)
class Coverage:
    """How a drawer covers the work.

    Parameters
    ----------
    needs : tuple of Covered
    overlaps : tuple of Overlap
        Most alike first.
    """

    needs: tuple[Covered, ...]
    overlaps: tuple[Overlap, ...]

    @property
    def badly(self) -> tuple[Covered, ...]:
        """Needs with any gap, those nobody can do first."""
        gaps = (one for one in self.needs if one.gap != "none")
        return tuple(sorted(gaps, key=lambda one: one.best is not None))


def coverage(drawer: Drawer, needs: Iterable[Need], *, today: dt.date) -> Coverage:
    """Return how a drawer covers the work.

    Parameters
    ----------
    drawer : Drawer
    needs : iterable of Need
    today : datetime.date

    Returns
    -------
    Coverage

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 40, 200, 20, 2),))
    >>> need = Need(words("cover"), Demand("torque", 9.0, harm_level=3))
    >>> found = coverage(Drawer((wrench,)), [need], today=dt.date(2026, 10, 5))
    >>> print(found.badly[0].words)
    no wrench reaches 9 N·m: the nearest goes from 40 to 200 N·m
    """
    asked = list(needs)
    able: dict[str, set[int]] = {tool.id: set() for tool in drawer.tools}
    covered = []
    for place, need in enumerate(asked):
        choices = choose(drawer, need.demand, today=today, adapter=need.adapter)
        for one in choices:
            if one.usable:
                able[one.tool.id].add(place)
        covered.append(_covered(drawer, need, choices))
    return Coverage(tuple(covered), _overlaps(drawer, able))


def _covered(drawer: Drawer, need: Need, choices: Sequence[Fitness]) -> Covered:
    best = next((one for one in choices if one.usable), None)
    if need.missing_adapter:
        told = words(
            "reaching it needs {adapter}, which the drawer does not have",
            adapter=need.missing_adapter,
        )
        return Covered(need, None, "reach", told)
    if best is None:
        gap, told = _why_none(drawer, need, choices)
        return Covered(need, None, gap, told)
    if (wide := _accuracy_gap(need, best)) is not None:
        return Covered(need, best, "accuracy", wide)
    if (foreign := _unit_gap(need, choices)) is not None:
        return Covered(need, best, "unit", foreign)
    return Covered(need, best, "none", words("{tool}", tool=best.tool.title))


def _why_none(drawer: Drawer, need: Need, choices: Sequence[Fitness]) -> tuple[Gap, Words]:
    """Let fewer and fewer tools through; the sieve that stops the last one names the gap."""
    demand, tools = need.demand, list(drawer.tools)
    tools, told = _of_kind(drawer, demand)
    if not tools:
        return "kind", told
    for gap, passes, said in _sieves(need):
        left = [tool for tool in tools if passes(tool)]
        if not left:
            return gap, said(tools)
        tools = left
    doubt = next(
        (one.blockers[0] for one in choices if one.blockers and one.may_be_overruled), None
    )
    return "trust", words(
        "only a tool that is not trusted today could do it: {why}",
        why=doubt or choices[0].blockers[0],
    )


def _of_kind(drawer: Drawer, demand: Demand) -> tuple[list[Tool], Words]:
    passive = demand.action == "check" and demand.check in {None, "rotating", "running", "ceiling"}
    if demand.action == "angle":
        gauges = {tool.drive for tool in drawer.tools if tool.kind == "angle_gauge"}
        found = [
            tool
            for tool in drawer.tools
            if (tool.kind == "electronic" and tool.angle)
            or (tool.kind in PLAIN and tool.drive in gauges)
        ]
        return found, words("nothing in the drawer turns by an angle: a bar with a gauge would")
    if demand.action in {"loosen", "snug"} and demand.reference_torque is None:
        found = [tool for tool in drawer.tools if tool.kind in PLAIN]
        return found, words("there is no plain bar or ratchet")
    found = [tool for tool in drawer.tools if tool.is_wrench]
    if passive:
        found = [tool for tool in found if tool.kind != "click"]
        return found, words("no wrench shows a running torque: a beam, dial or electronic one does")
    return found, words("there is no torque wrench")


_Sieve = tuple[Gap, Callable[[Tool], bool], Callable[[list[Tool]], Words]]


def _sieves(need: Need) -> list[_Sieve]:
    demand, torque = need.demand, need.torque
    sieves: list[_Sieve] = []
    if torque is not None and demand.action != "angle":
        sieves.append(
            (
                "range",
                lambda tool: _reaches(tool, need),
                lambda tools: _range_words(tools, torque, demand.unit),
            )
        )
    sieves.append(
        (
            "direction",
            lambda tool: demand.direction in tool.directions,
            lambda _tools: (
                words("no tool that reaches it works anticlockwise")
                if demand.direction == "ccw"
                else words("no tool that reaches it works clockwise")
            ),
        )
    )
    adapter = need.adapter
    if adapter is not None:
        sieves.append(
            (
                "reach",
                lambda tool: (
                    tool.drive == adapter.drive
                    and (tool.length is not None or not adapter.moves_sideways)
                ),
                lambda _tools: words(
                    "no tool that could do it takes {adapter} ({drive}) with a known length",
                    adapter=adapter.title,
                    drive=adapter.drive,
                ),
            )
        )
    return sieves


def _reaches(tool: Tool, need: Need) -> bool:
    if not tool.is_wrench:
        return False
    try:
        lever = lever_of(tool, need.adapter)
    except ClampwrightError:
        lever = lever_of(tool)
    demand, wanted = need.demand, need.demand.wanted()
    if demand.action == "torque":
        found = best_setting(tool, wanted, lever)
        return not (isinstance(found, Misfit) and found.out_of_range)
    value = wanted.torque / lever.ratio
    return any(s.claimed_from * s.size <= value <= s.high * s.size for s in tool.scales)


def _range_words(tools: list[Tool], torque: float, unit: str) -> Words:
    size = factor("N·m", unit)
    ends = [
        (s.claimed_from * s.size * size, s.high * s.size * size) for t in tools for s in t.scales
    ]
    low, high = min(ends, key=lambda end: _away(torque * size, *end))
    return words(
        "no wrench reaches {torque:.4g} {unit}: the nearest goes from {low:.4g} to {high:.4g} "
        "{unit}",
        torque=torque * size,
        unit=unit,
        low=low,
        high=high,
    )


def _away(value: float, low: float, high: float) -> float:
    return max(low / value, value / high)


def _accuracy_gap(need: Need, best: Fitness) -> Words | None:
    demand, torque = need.demand, need.torque
    if torque is None or best.u_rel is None or demand.low is None or demand.high is None:
        return None
    allowed = (demand.high - demand.low) / 2 / torque
    if demand.action != "torque" or 2 * best.u_rel <= allowed:
        return None
    return words(
        "it allows ±{allowed:.1f} %; the best wrench ({tool}) is only known to ±{known:.1f} %",
        allowed=100 * allowed,
        tool=best.tool.title,
        known=200 * best.u_rel,
    )


def _unit_gap(need: Need, choices: Sequence[Fitness]) -> Words | None:
    usable = [one for one in choices if one.usable and one.tool.is_wrench]
    unit = need.demand.unit
    if need.demand.action not in {"torque", "check"} or not usable:
        return None
    if any(scale.unit == unit for one in usable for scale in one.tool.scales):
        return None
    return words(
        "the procedure is in {unit}, and no wrench that can do it has that scale: each pull needs "
        "a conversion",
        unit=unit,
    )


def _overlaps(drawer: Drawer, able: dict[str, set[int]]) -> tuple[Overlap, ...]:
    found = []
    wrenches = [tool for tool in drawer.tools if tool.is_wrench and not tool.stands_at_one]
    for one, other in combinations(wrenches, 2):
        share = _shared(_range(one), _range(other))
        if one.drive == other.drive and share >= OVERLAP:
            mine, theirs = able[one.id], able[other.id]
            found.append(Overlap(one, other, share, len(mine - theirs), len(theirs - mine)))
    return tuple(sorted(found, key=lambda pair: (pair.only_one + pair.only_other, -pair.share)))


def _range(tool: Tool) -> tuple[float, float]:
    low = min(scale.claimed_from * scale.size for scale in tool.scales)
    return low, tool.largest_torque


def _shared(one: tuple[float, float], other: tuple[float, float]) -> float:
    (a, b), (c, d) = one, other
    both = math.log(min(b, d) / max(a, c)) if min(b, d) > max(a, c) else 0.0
    return both / min(math.log(b / a), math.log(d / c))


def most_common_unit(needs: Iterable[Need]) -> str:
    """Return the unit most procedures are written in; N·m where there are none."""
    units = Counter(one.demand.unit for one in needs if one.torque is not None)
    return units.most_common(1)[0][0] if units else "N·m"
