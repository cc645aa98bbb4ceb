"""All torque wrenches of a drawer side by side, so that a stage is asked of all of them at once.

The same arithmetic as `clampwright.drawer.torque_fit`, which tells one wrench's reasons; here only
whether and how well. A test asks both about thousands of wrenches and wants the same answers. Needs
NumPy, and only here.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from clampwright.drawer.calibration import HOLD_PERCENT, Direction
from clampwright.drawer.marks import PLACES
from clampwright.drawer.settings import ROOM, Wanted
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import permissible_for

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
_FAR = 1e300
"""Stands behind the last point of a wrench with fewer points than others."""
_ROOT_3 = math.sqrt(3)


@dataclass(frozen=True, slots=True)
class Points:
    """The calibrated points of all wrenches in one direction, filled up to the same number.

    Parameters
    ----------
    torque, deviation, u_rel, reference : array, shape (wrenches, points)
    count : array, shape (wrenches,)
    """

    torque: Floats
    deviation: Floats
    u_rel: Floats
    reference: Floats
    count: NDArray[np.intp]

    @classmethod
    def of(cls, tools: Sequence[Tool], direction: Direction) -> Points:
        """Gather the points of tools in a direction."""
        rows = [t.calibration.in_direction(direction) if t.calibration else () for t in tools]
        width = max((len(row) for row in rows), default=0) or 1
        table = np.full((4, len(tools), width), _FAR)
        for place, row in enumerate(rows):
            for column, one in enumerate(row):
                table[:, place, column] = one.torque, one.deviation, one.u_rel, one.reference
        count = np.array([len(row) for row in rows], dtype=np.intp)
        return cls(table[0], table[1], table[2], table[3], count)

    def setting_for(self, wrench: NDArray[np.intp], reference: Floats) -> Floats:
        """Return what each wrench must show, before it is known whether a point is near."""
        some = np.maximum(self.count[wrench], 1)
        place = np.sum(self.reference[wrench] < reference[:, None], axis=1)
        end = np.minimum(place, some - 1)
        at_end = reference * (1 + self.deviation[wrench, end] / 100)
        right = np.clip(place, 1, some - 1)
        left = np.maximum(right - 1, 0)
        width = self.torque[wrench, right] - self.torque[wrench, left]
        rise = self.deviation[wrench, right] - self.deviation[wrench, left]
        slope = rise / np.where(width == 0, 1.0, width) / 100
        start = 1 + self.deviation[wrench, left] / 100 - slope * self.torque[wrench, left]
        between = reference * start / (1 - slope * reference)
        return np.asarray(np.where((place == 0) | (place == some), at_end, between))

    def at(self, wrench: NDArray[np.intp], torque: Floats) -> tuple[Bools, Floats, Floats]:
        """Return whether a setting is known, its deviation and its uncertainty."""
        count = self.count[wrench]
        some = np.maximum(count, 1)
        rows = np.arange(len(wrench))
        torques, deviations = self.torque[wrench], self.deviation[wrench]
        u_rels = self.u_rel[wrench]
        first, last = torques[:, 0], torques[rows, some - 1]
        below = np.maximum(HOLD_PERCENT, np.abs(deviations[:, 0])) / 100 * first
        above = np.maximum(HOLD_PERCENT, np.abs(deviations[rows, some - 1])) / 100 * last
        known = (count > 0) & (first - below <= torque) & (torque <= last + above)
        place = np.sum(torques < torque[:, None], axis=1)
        end = np.minimum(place, some - 1)
        right = np.clip(place, 1, some - 1)
        left = np.maximum(right - 1, 0)
        width = torques[rows, right] - torques[rows, left]
        rise = deviations[rows, right] - deviations[rows, left]
        slope = rise / np.where(width == 0, 1.0, width)
        between = deviations[rows, left] + slope * (torque - torques[rows, left])
        outer = (place == 0) | (place == some)
        deviation = np.where(outer, deviations[rows, end], between)
        u_rel = np.where(
            outer, u_rels[rows, end], np.maximum(u_rels[rows, left], u_rels[rows, right])
        )
        return known, np.asarray(deviation), np.asarray(u_rel)


class Columns:
    """The scales of the torque wrenches of a drawer, one row each.

    Parameters
    ----------
    tools : sequence of Tool
        Torque wrenches only.
    """

    def __init__(self, tools: Sequence[Tool]) -> None:
        rows = [(place, scale) for place, tool in enumerate(tools) for scale in tool.scales]
        self.wrench = np.array([place for place, _scale in rows], dtype=np.intp)
        self.units = np.array([scale.unit for _place, scale in rows], dtype=object)
        self.size = _column(scale.size for _place, scale in rows)
        self.low = _column(scale.low for _place, scale in rows)
        self.high = _column(scale.high for _place, scale in rows)
        self.step = _column(scale.step for _place, scale in rows)
        self.claimed_from = _column(scale.claimed_from for _place, scale in rows)
        self.settable = _column(tools[place].settable_step(scale) for place, scale in rows)
        self.one = np.array([tools[place].stands_at_one for place, _s in rows], dtype=bool)
        # An empty drawer has no row; a step of 0 (nothing to set) must not divide.
        self.by = np.where(self.settable > 0, self.settable, 1.0)
        self.last = np.rint((self.high - self.low) / self.by)
        self.points = {way: Points.of(tools, way) for way in _WAYS}
        self._of_wrenches(tools)

    def _of_wrenches(self, tools: Sequence[Tool]) -> None:
        limit = [permissible_for(tool) for tool in tools]
        worst = [
            max([one, *(abs(p.deviation) + 200 * p.u_rel for p in _points(tool))])
            for tool, one in zip(tools, limit, strict=True)
        ]
        strayed = [
            max((event.rule.spread for event in tool.doubts), default=0.0) * one
            for tool, one in zip(tools, limit, strict=True)
        ]
        self.limit = _column(limit)[self.wrench]
        self.worst = _column(worst)[self.wrench]
        self.strayed = _column(strayed)[self.wrench]
        self.hand = _column((tool.repeatability or 0.0) / 100 for tool in tools)[self.wrench]
        read = [bool(t.calibration and t.calibration.includes_resolution) for t in tools]
        self.read_included = np.array(read, dtype=bool)[self.wrench]

    def ask(self, wanted: Sequence[Wanted], ratio: Floats, u_lever: Floats) -> list[Answers]:
        """Return what every scale gives for several torques in one direction.

        Parameters
        ----------
        wanted : sequence of Wanted
            At least one; all in the same direction.
        ratio, u_lever : array, shape (wrenches,)
            What the adapter does to the torque; not a number where it does not fit.

        Returns
        -------
        list of Answers
            One for each torque.
        """
        count, rows = len(wanted), len(self.wrench)
        asked = _Asked(
            np.repeat(_column(one.torque for one in wanted), rows),
            np.repeat(_column(-np.inf if w.low is None else w.low for w in wanted), rows),
            np.repeat(_column(np.inf if w.high is None else w.high for w in wanted), rows),
            np.tile(ratio[self.wrench], count),
            np.tile(u_lever[self.wrench], count),
        )
        with np.errstate(all="ignore"):  # rows that cannot be are sorted out by `able`
            found = self._tiled(count).answers(asked, self.points[wanted[0].direction])
        return [found.part(slice(at * rows, (at + 1) * rows)) for at in range(count)]

    def read(self, wanted: Wanted, ratio: Floats, u_lever: Floats) -> tuple[Answers, Bools]:
        """Return what every scale would show of a torque that is only read.

        Parameters
        ----------
        wanted : Wanted
        ratio, u_lever : array, shape (wrenches,)
            As in `ask`.

        Returns
        -------
        Answers, array of bool
            What it shows, able where the scale can be relied on; and whether it is on the scale.
        """
        points = self.points[wanted.direction]
        with np.errstate(all="ignore"):
            reference = wanted.torque / ratio[self.wrench]
            shown = points.setting_for(self.wrench, reference)
            known, deviation, u_point = points.at(self.wrench, shown)
            value = np.where(known, shown, reference) / self.size
            u_trust, limit = self._trusted(known, u_point)
            read = np.where(known & self.read_included, 0.0, self.settable / (2 * _ROOT_3) / value)
            start = np.where(known, self.low, self.claimed_from)
            answers = Answers(
                able=(start <= value) & (value <= self.high),
                value=value,
                off=np.zeros(len(value)),
                u_rel=np.hypot(np.hypot(u_trust, read), u_lever[self.wrench]),
                beyond=known & (np.abs(deviation) > limit),
                near=limit,
            )
        return answers, (self.low <= value) & (value <= self.high)

    def _trusted(self, known: Bools, u_point: Floats) -> tuple[Floats, Floats]:
        """Return the uncertainty without reading, and the limit a known deviation must keep."""
        spread = np.where(known, self.strayed, self.worst) / 100 / _ROOT_3
        u_known = np.where(known, np.hypot(u_point, self.hand), 0.0)
        u_trust = np.where(known, np.hypot(u_known, spread), np.hypot(spread, self.hand))
        return u_trust, np.where(self.strayed > 0, self.strayed, self.limit)

    def _tiled(self, count: int) -> Columns:
        """Return the same rows again and again, once for each torque."""
        if count == 1:
            return self
        tiled = Columns.__new__(Columns)
        for name, value in vars(self).items():
            again = np.tile(value, count) if isinstance(value, np.ndarray) else value
            setattr(tiled, name, again)
        return tiled

    def answers(self, asked: _Asked, points: Points) -> Answers:
        """Return what each row gives for what is asked of it."""
        reference = asked.torque / asked.ratio
        shown = points.setting_for(self.wrench, reference)
        sure, _deviation, _u_rel = points.at(self.wrench, shown)
        exact = np.where(sure, shown, reference) / self.size
        half = self.settable / 2 * (1 + ROOM)
        on_scale = (self.low - half <= exact) & (exact <= self.high + half)
        on_scale &= sure | (exact >= self.claimed_from - half)
        place = (exact - self.low) / self.by
        near = np.rint(place)
        first = self._mark(near, asked, points)
        second = self._mark(np.where(place > near, near + 1, near - 1), asked, points)
        better = second.able & (~first.able | (second.off < first.off))
        best = first.where(~better, second)
        # A wrench that stands at one torque is not asked for its scale; without limits of the
        # stage it must be within its own permissible deviation of what is wanted.
        free = np.isinf(asked.low) & np.isinf(asked.high)
        close = ~free | (best.off <= best.near / 100 * asked.torque)
        return replace(best, able=best.able & np.where(self.one, close, on_scale))

    def _mark(self, index: Floats, asked: _Asked, points: Points) -> Answers:
        value = np.where(self.one, self.high, np.round(self.low + index * self.settable, PLACES))
        inside = self.one | ((index >= 0) & (index <= self.last) & (value > 0))
        shown = value * self.size
        known, deviation, u_point = points.at(self.wrench, shown)
        given = np.where(known, shown / (1 + deviation / 100), shown) * asked.ratio
        u_trust, limit = self._trusted(known, u_point)
        read = np.where(known & self.read_included, 0.0, self.settable / (2 * _ROOT_3) / value)
        room = ROOM * asked.torque
        held = (given >= asked.low - room) & (given <= asked.high + room)
        return Answers(
            able=inside & held & np.isfinite(given),
            value=value,
            off=np.abs(given - asked.torque),
            u_rel=np.hypot(np.hypot(u_trust, read), asked.u_lever),
            beyond=known & (np.abs(deviation) > limit),
            near=np.where(known, limit, self.worst),
        )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is asked of each row: a torque with its limits, and what the adapter does to it."""

    torque: Floats
    low: Floats
    high: Floats
    ratio: Floats
    u_lever: Floats


@dataclass(frozen=True, slots=True)
class Answers:
    """What the scales give, one row each.

    Parameters
    ----------
    able : array of bool
        Whether the scale can be set so that the fastener gets what is wanted.
    value : array
        The mark, in the scale's unit.
    off : array
        Difference from what is wanted, N·m.
    u_rel : array
        Relative standard uncertainty of the torque.
    beyond : array of bool
        Whether its known deviation is beyond what is permissible.
    near : array
        Permissible deviation that stands behind it, percent.
    """

    able: Bools
    value: Floats
    off: Floats
    u_rel: Floats
    beyond: Bools
    near: Floats

    def where(self, mine: Bools, other: Answers) -> Answers:
        """Take these rows where `mine` holds, else those of another."""
        pairs = zip(self._all(), other._all(), strict=True)
        return Answers(*(np.where(mine, one, two) for one, two in pairs))

    def part(self, rows: slice) -> Answers:
        """Return some of the rows."""
        return Answers(*(one[rows] for one in self._all()))

    def _all(self) -> tuple[Any, ...]:
        return self.able, self.value, self.off, self.u_rel, self.beyond, self.near


_WAYS: tuple[Direction, Direction] = ("cw", "ccw")


def _points(tool: Tool) -> tuple[Any, ...]:
    return tool.calibration.points if tool.calibration else ()


def _column(values: Any) -> Floats:
    return np.fromiter(values, dtype=float)
