"""Which single tool would close most of a drawer's gaps: a kind, a square and a range."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clampwright.drawer.adapters import DRIVES
from clampwright.drawer.calibration import Calibration, Direction, Point
from clampwright.drawer.coverage import Coverage, Covered, coverage, most_common_unit
from clampwright.drawer.tools import AngleScale, Drawer, Scale, Tool, ToolKind
from clampwright.units import factor
from clampwright.words import Words, words

CERTIFICATE_PERCENT = 1.0
"""Expanded uncertainty (k = 2) of the certificate that the suggested wrench is thought to come
with: usual for a calibration of hand tools (common practice, no source)."""
LOWEST_PART = 0.2
"""A suggested range begins at a fifth of its end, where wrenches usually begin."""

_DRIVE_UP_TO = ((30.0, "1/4 in"), (110.0, "3/8 in"), (350.0, "1/2 in"), (1000.0, "3/4 in"))
"""Usual square by the largest torque, N·m (common practice, no source)."""
_KINDS: tuple[ToolKind, ...] = ("click", "dial", "electronic")
"""Tried in this order: the plainest that closes as much is suggested."""
_ROUND = (1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A tool that would close gaps.

    Parameters
    ----------
    tool : Tool
        What was reckoned with: no tool that exists.
    closes : tuple of Covered
        The gaps that would be gone.
    left : int
        How many would stay.
    words : Words
    """

    tool: Tool
    closes: tuple[Covered, ...]
    left: int
    words: Words


def suggest(drawer: Drawer, found: Coverage, *, today: dt.date) -> Suggestion | None:
    """Return the single tool that would close most gaps.

    Parameters
    ----------
    drawer : Drawer
    found : Coverage
        Of this drawer.
    today : datetime.date

    Returns
    -------
    Suggestion or None
        None where there is no gap, or no single tool closes one. Gaps of harm level 1 count three
        times, of level 2 twice (our own choice); of equals the plainest kind, then the smallest.

    Notes
    -----
    Each candidate is put into the drawer and asked as every other tool: the rule that finds a gap
    closes it.
    """
    bad = found.badly
    best: tuple[float, Suggestion] | None = None
    for tool in _candidates(bad, today):
        closes = _closed_by(drawer, bad, tool, today)
        worth = float(sum(4 - one.need.demand.harm_level for one in closes))
        if closes and (best is None or worth > best[0]):
            told = _words(tool, len(closes), len(bad))
            best = worth, Suggestion(tool, closes, len(bad) - len(closes), told)
    return best[1] if best else None


def _closed_by(
    drawer: Drawer, bad: Sequence[Covered], tool: Tool, today: dt.date
) -> tuple[Covered, ...]:
    # Bars and gauges are kept beside it: an angle needs both.
    others = tuple(one for one in drawer.tools if not one.is_wrench)
    alone = Drawer((tool, *others), drawer.adapters)
    after = coverage(alone, [one.need for one in bad], today=today)
    return tuple(was for was, now in zip(bad, after.needs, strict=True) if now.gap == "none")


def _candidates(bad: Sequence[Covered], today: dt.date) -> Iterator[Tool]:
    torques = sorted({one.need.torque for one in bad if one.need.torque is not None})
    unit = most_common_unit(one.need for one in bad)
    both = any(one.need.demand.direction == "ccw" for one in bad)
    adapters = {one.need.adapter.drive for one in bad if one.need.adapter is not None}
    highs = sorted(
        {
            _round_up(torque / part * factor("N·m", unit))
            for torque in torques
            for part in (0.8, 0.5)
        }
    )
    for kind in _KINDS:
        for high in highs:
            usual = _drive_for(high * factor(unit, "N·m"))
            for drive in sorted({usual, *adapters}, key=DRIVES.index):
                yield _wrench(kind, drive, unit, high, both=both, today=today)
    for drive in DRIVES:
        if any(one.need.demand.action == "angle" for one in bad):
            yield Tool("new", "", "angle_gauge", drive, angle=AngleScale(2.0, 2.0))
    if any(one.need.demand.action in {"loosen", "snug", "angle"} for one in bad):
        for drive in DRIVES:
            yield Tool("new", "", "bar", drive, directions=("cw", "ccw"))


def _wrench(
    kind: ToolKind, drive: str, unit: str, high: float, *, both: bool, today: dt.date
) -> Tool:
    step = 10.0 ** math.floor(math.log10(high)) / 10
    low = round(LOWEST_PART * high / step) * step
    high = low + round((high - low) / step) * step
    scale = Scale(unit, low, high, step, None if kind == "electronic" else step / 10)
    directions: tuple[Direction, ...] = ("cw", "ccw") if both else ("cw",)
    points = tuple(
        Point(value * scale.size, 0.0, CERTIFICATE_PERCENT / 200, direction)
        for direction in directions
        for value in (low, 0.6 * high, high)
    )
    return Tool(
        "new",
        "",
        kind,
        drive,
        (scale,),
        directions,
        Calibration(today, points),
        length=400.0,
        angle=AngleScale(0.5, 1.0) if kind == "electronic" else None,
    )


def _round_up(value: float) -> float:
    size = 10.0 ** math.floor(math.log10(value))
    return next(one for one in _ROUND if one * size >= value * (1 - 1e-9)) * size


def _drive_for(torque: float) -> str:
    return next((drive for most, drive in _DRIVE_UP_TO if torque <= most), "1 in")


_NAMES: dict[str, Words] = {
    "click": words("a click wrench"),
    "dial": words("a dial or beam wrench"),
    "electronic": words("an electronic wrench with angle"),
    "angle_gauge": words("an angle gauge"),
    "bar": words("a plain bar"),
}


def _words(tool: Tool, closes: int, all_of: int) -> Words:
    if not tool.scales:
        return words(
            "{kind}, {drive} square, would close {closes} of {all_of} gaps",
            kind=_NAMES[tool.kind],
            drive=tool.drive,
            closes=closes,
            all_of=all_of,
        )
    scale = tool.scales[0]
    ways = words("both ways") if len(tool.directions) > 1 else words("clockwise")
    return words(
        "{kind} from {low:g} to {high:g} {unit}, {drive} square, {ways}, with a certificate of "
        "±{certificate:g} % would close {closes} of {all_of} gaps",
        kind=_NAMES[tool.kind],
        low=scale.low,
        high=scale.high,
        unit=scale.unit,
        drive=tool.drive,
        ways=ways,
        certificate=CERTIFICATE_PERCENT,
        closes=closes,
        all_of=all_of,
    )
