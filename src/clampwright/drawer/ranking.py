"""Many tools for many stages: all are ranked, and reasons are told of those that are looked at."""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import replace
from typing import overload

import numpy as np
from numpy.typing import NDArray

from clampwright.drawer.adapters import Adapter
from clampwright.drawer.assignment import hand_of
from clampwright.drawer.check_fit import is_passive
from clampwright.drawer.choice import gauges_for, multipliers_for
from clampwright.drawer.columns import Answers, Bools, Columns, Floats
from clampwright.drawer.demand import Demand
from clampwright.drawer.fit import fitness
from clampwright.drawer.standing import DOUBT, note_direction, note_standing
from clampwright.drawer.suitability import Fitness, Notes
from clampwright.drawer.tools import FIFTH, Drawer, Tool
from clampwright.drawer.torque_notes import (
    BEST_FROM,
    BEST_TO,
    COARSEST,
    EDGE,
    FOREIGN_UNIT,
    LOW,
    PER_PERCENT,
    WIDE,
)
from clampwright.drawer.trust import lever_of
from clampwright.errors import ClampwrightError

Combination = tuple[Tool, Tool | None, Adapter | None]
"""A tool, the gauge on it, and what is between it and the fastener."""
Places = NDArray[np.intp]
_Scores = Callable[[Demand, Adapter | None], tuple[Bools, Floats]]


class Choices(Sequence[Fitness]):
    """The tools of a drawer for one stage, best first; each tells its reasons when it is asked.

    Parameters
    ----------
    combinations : sequence of (Tool, Tool or None, Adapter or None)
        Best first.
    usable, scores : sequence
        What is known of each without its reasons.
    make : callable
        Returns the fitness of a combination.
    """

    def __init__(
        self,
        combinations: Sequence[Combination],
        usable: Sequence[bool],
        scores: Sequence[float],
        make: Callable[[Combination], Fitness],
    ) -> None:
        self.combinations = tuple(combinations)
        self.usable, self.scores = tuple(usable), tuple(scores)
        self._make = make
        self._made: dict[int, Fitness] = {}

    def __len__(self) -> int:
        """How many there are."""
        return len(self.combinations)

    @overload
    def __getitem__(self, place: int) -> Fitness: ...

    @overload
    def __getitem__(self, place: slice) -> tuple[Fitness, ...]: ...

    def __getitem__(self, place: int | slice) -> Fitness | tuple[Fitness, ...]:
        """Return one with its reasons, or several."""
        if isinstance(place, slice):
            return tuple(self[one] for one in range(*place.indices(len(self))))
        at = range(len(self))[place]
        if at not in self._made:
            self._made[at] = self._make(self.combinations[at])
        return self._made[at]

    def __iter__(self) -> Iterator[Fitness]:
        """Tell of each in turn."""
        return (self[place] for place in range(len(self)))

    def __eq__(self, other: object) -> bool:
        """Whether the same is told of the same tools."""
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    def __hash__(self) -> int:
        """By what is ranked, without asking for reasons."""
        return hash((tuple(one[0].id for one in self.combinations), self.scores))

    def hand(self, place: int) -> Hashable:
        """Return what is in the hand with one."""
        return hand_of(*self.combinations[place])

    taken: int | None = None
    """Nobody has taken one with a reason: that is told with the reasons."""

    @property
    def best(self) -> Fitness | None:
        """The first that can be used."""
        place = next((at for at, usable in enumerate(self.usable) if usable), None)
        return None if place is None else self[place]

    def with_first(self, place: int) -> Choices:
        """Return the same with one of them put first."""
        order = [place, *(at for at in range(len(self)) if at != place)]
        moved = Choices(
            [self.combinations[at] for at in order],
            [self.usable[at] for at in order],
            [self.scores[at] for at in order],
            self._make,
        )
        moved._made = {order.index(at): one for at, one in self._made.items()}
        return moved


def _nobody(_one: Combination) -> Fitness:
    raise IndexError


NOTHING = Choices((), (), (), _nobody)
"""Of a stage that needs no tool."""


class Ranker:
    """Ranks the tools of a drawer for stages; what holds for all stages is gathered once.

    Parameters
    ----------
    drawer : Drawer
    today : datetime.date
    """

    def __init__(self, drawer: Drawer, today: dt.date) -> None:
        self.drawer, self.today = drawer, today
        self._wrenches = [tool for tool in drawer.tools if tool.is_wrench]
        places = (at for at, tool in enumerate(drawer.tools) if tool.is_wrench)
        self._places = np.fromiter(places, dtype=np.intp)
        self._columns = Columns(self._wrenches)
        self._shows = np.array([tool.kind != "click" for tool in self._wrenches], dtype=bool)
        self._largest = [(tool.id, tool.largest_torque) for tool in self._wrenches]
        self._asked: dict[tuple[Demand, str], Answers] = {}
        self._known: dict[tuple[Demand, str], Choices] = {}
        self._standings: dict[tuple[str, int], tuple[Bools, Floats]] = {}
        self._levers: dict[str, tuple[Floats, Floats]] = {}

    def choose(self, demand: Demand, adapter: Adapter | None = None) -> Choices:
        """Return every tool for a stage, best first; as `clampwright.drawer.choice.choose`.

        Parameters
        ----------
        demand : Demand
        adapter : Adapter, optional

        Returns
        -------
        Choices
        """
        # How far a tool can turn is not asked: all angles get the same answer.
        asked = replace(demand, angle_deg=90.0) if demand.action == "angle" else demand
        key = asked, adapter.id if adapter else ""
        if key not in self._known:
            if asked.action == "torque":
                self._known[key] = self._ranked(asked, adapter, self._torque_scores)
            elif asked.action == "check" and is_passive(asked):
                self._known[key] = self._ranked(asked, adapter, self._reading_scores)
            else:
                self._known[key] = self._one_by_one(asked, adapter)
        return self._known[key]

    def choose_all(
        self, demands: Sequence[Demand | None], adapter: Adapter | None = None
    ) -> list[Choices]:
        """Return the tools for every stage of a procedure; a stage that needs none has none.

        Parameters
        ----------
        demands : sequence of Demand or None
        adapter : Adapter, optional

        Returns
        -------
        list of Choices
        """
        name = adapter.id if adapter else ""
        for direction in ("cw", "ccw"):
            torques = [
                one
                for one in dict.fromkeys(demands)
                if one is not None
                and one.action == "torque"
                and one.direction == direction
                and (one, name) not in self._known
            ]
            wanted = [one.wanted() for one in torques]
            if wanted:
                found = self._columns.ask(wanted, *self._lever(adapter))
                self._asked |= {
                    (one, name): answers for one, answers in zip(torques, found, strict=True)
                }
        return [self.choose(one, adapter) if one is not None else NOTHING for one in demands]

    def _one_by_one(self, demand: Demand, adapter: Adapter | None) -> Choices:
        results = [
            (one := (tool, gauge, adapter), self._make(one, demand))
            for tool in self.drawer.tools
            for gauge in gauges_for(tool, self.drawer, demand)
        ]
        results.sort(key=lambda pair: (not pair[1].usable, -pair[1].score))
        told = {id(one): made for one, made in results}
        return Choices(
            [one for one, _made in results],
            [made.usable for _one, made in results],
            [made.score for _one, made in results],
            lambda one: told.get(id(one)) or self._make(one, demand),
        )

    def _ranked(self, demand: Demand, adapter: Adapter | None, score: _Scores) -> Choices:
        usable = np.zeros(len(self.drawer.tools), dtype=bool)
        scores = np.zeros(len(self.drawer.tools))
        usable[self._places], scores[self._places] = score(demand, adapter)
        combinations: list[Combination] = [(tool, None, adapter) for tool in self.drawer.tools]
        more = list(self._through_multipliers(demand, adapter))
        combinations += [one for one, _made in more]
        able = [*usable.tolist(), *(made.usable for _one, made in more)]
        good = [*scores.tolist(), *(made.score for _one, made in more)]
        # Of equals those without a multiplier go first, then the order of the drawer.
        order = np.lexsort((-np.array(good), ~np.array(able, dtype=bool))).tolist()
        return Choices(
            [combinations[at] for at in order],
            [able[at] for at in order],
            [good[at] for at in order],
            lambda one: self._make(one, demand),
        )

    def _through_multipliers(
        self, demand: Demand, adapter: Adapter | None
    ) -> Iterator[tuple[Combination, Fitness]]:
        small = self._too_small(demand, adapter)
        for tool in self._wrenches if small else ():
            if tool.id in small:
                for multiplier in multipliers_for(tool, self.drawer, demand, adapter):
                    one = (tool, None, multiplier)
                    yield one, self._make(one, demand)

    def _too_small(self, demand: Demand, adapter: Adapter | None) -> frozenset[str]:
        """Return the wrenches that a multiplier might help."""
        if adapter is not None or demand.action != "torque" or not self.drawer.multipliers:
            return frozenset()
        torque = demand.reference_torque or 0.0
        return frozenset(name for name, largest in self._largest if largest < torque)

    def _make(self, one: Combination, demand: Demand) -> Fitness:
        tool, gauge, adapter = one
        return fitness(tool, demand, today=self.today, adapter=adapter, gauge=gauge)

    def _torque_scores(self, demand: Demand, adapter: Adapter | None) -> tuple[Bools, Floats]:
        """Return of each wrench whether it can give a torque, and its score."""
        columns, wanted = self._columns, demand.wanted()
        answers = self._asked.pop((demand, adapter.id if adapter else ""), None)
        if answers is None:
            (answers,) = columns.ask([wanted], *self._lever(adapter))
        foreign = columns.units != wanted.unit
        best = _best_rows(columns, answers, foreign)
        able = best >= 0
        row = np.where(able, best, 0)
        value, u_rel = answers.value[row], answers.u_rel[row]
        coarse = ~columns.one[row] & _coarse(columns, row, value)
        blocked, penalty = self._doubts(demand, adapter, coarse, answers.beyond[row])
        penalty = penalty + FOREIGN_UNIT * foreign[row] + _range_penalty(columns, row, value)
        if wanted.low is not None and wanted.high is not None:
            allowed = (wanted.high - wanted.low) / 2 / wanted.torque
            penalty = penalty + WIDE * (2 * u_rel > allowed)
        error = np.hypot(u_rel, answers.off[row] / wanted.torque)
        usable = able & ~blocked
        score = np.where(usable, 100.0 - PER_PERCENT * 100 * error - penalty, 0.0)
        return usable, score

    def _reading_scores(self, demand: Demand, adapter: Adapter | None) -> tuple[Bools, Floats]:
        """Return of each wrench whether it can read a torque, and its score."""
        columns, wanted = self._columns, demand.wanted()
        answers, on_scale = columns.read(wanted, *self._lever(adapter))
        foreign = columns.units != wanted.unit
        rows = np.arange(len(columns.wrench))
        order = np.lexsort((rows, columns.step * columns.size, foreign, ~on_scale))[::-1]
        row = np.zeros(len(self._wrenches), dtype=np.intp)
        row[columns.wrench[order]] = order
        coarse = _coarse(columns, row, answers.value[row])
        blocked, penalty = self._doubts(demand, adapter, coarse, answers.beyond[row])
        penalty = penalty + FOREIGN_UNIT * foreign[row]
        usable = answers.able[row] & self._shows & ~blocked
        score = 100.0 - PER_PERCENT * 100 * answers.u_rel[row] - penalty
        return usable, np.where(usable, score, 0.0)

    def _doubts(
        self, demand: Demand, adapter: Adapter | None, coarse: Bools, beyond: Bools
    ) -> tuple[Bools, Floats]:
        """Return what forbids each wrench, and what speaks against it."""
        blocked, penalty = self._standing(demand)
        harm, torque = demand.harm_level, demand.reference_torque or 0.0
        blocked = blocked | (coarse & (harm <= 2)) | (beyond & (harm == 1))
        if adapter is not None and adapter.highest is not None and torque > adapter.highest:
            blocked = np.ones_like(blocked)
        return blocked, penalty + DOUBT * coarse + DOUBT * beyond

    def _standing(self, demand: Demand) -> tuple[Bools, Floats]:
        """Return what speaks against each wrench whatever the torque."""
        key = demand.direction, demand.harm_level
        if key not in self._standings:
            rows = []
            for tool in self._wrenches:
                notes = Notes()
                note_direction(notes, tool, demand.direction)
                note_standing(notes, tool, demand.harm_level, self.today)
                rows.append((bool(notes.blockers), notes.penalty))
            blocked = np.array([row[0] for row in rows], dtype=bool)
            self._standings[key] = blocked, np.array([row[1] for row in rows], dtype=float)
        return self._standings[key]

    def _lever(self, adapter: Adapter | None) -> tuple[Floats, Floats]:
        key = adapter.id if adapter else ""
        if key not in self._levers:
            pairs = [_lever_or_none(tool, adapter) for tool in self._wrenches]
            table = np.array(pairs, dtype=float).reshape(-1, 2)
            self._levers[key] = table[:, 0], table[:, 1]
        return self._levers[key]


def _lever_or_none(tool: Tool, adapter: Adapter | None) -> tuple[float, float]:
    try:
        lever = lever_of(tool, adapter)
    except ClampwrightError:
        return float("nan"), 0.0
    return lever.ratio, lever.u_rel


def _best_rows(columns: Columns, answers: Answers, foreign: Bools) -> Places:
    """Return the scale each wrench would be set by: the procedure's unit first, then the cost."""
    wrenches = len(columns.points["cw"].count)
    best = np.full(wrenches, -1, dtype=np.intp)
    # Written from the worst to the best, so that the best is what stays; equals keep the first.
    rows = np.arange(len(columns.wrench))
    order = np.lexsort((rows, answers.off, foreign))[::-1]
    order = order[answers.able[order]]
    best[columns.wrench[order]] = order
    return best


def _coarse(columns: Columns, row: Places, value: Floats) -> Bools:
    return np.asarray(columns.step[row] > COARSEST * value * (1 + 1e-9))


def _range_penalty(columns: Columns, row: Places, value: Floats) -> Floats:
    part = value / columns.high[row]
    inside = (part >= BEST_FROM) & (part <= BEST_TO)
    penalty = np.where(part < FIFTH, LOW, np.where(inside, 0.0, EDGE))
    return np.asarray(np.where(columns.one[row], 0.0, penalty))
