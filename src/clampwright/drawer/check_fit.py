"""Whether a tool can measure what a torque check asks for."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.demand import Demand
from clampwright.drawer.suitability import Fitness, Notes
from clampwright.drawer.tools import Adapter, Scale, Tool
from clampwright.drawer.torque_fit import torque_fitness
from clampwright.drawer.torque_notes import (
    PER_PERCENT,
    common_ground,
    note_adapter,
    note_graduation,
    note_trust,
    note_unit,
)
from clampwright.drawer.trust import Lever, Trust, torque_uncertainty, trust_when_wanting
from clampwright.words import words

_PASSIVE = ("rotating", "running", "ceiling")
"""Checks that measure a torque while it is there, or a highest one."""


def is_passive(demand: Demand) -> bool:
    """Whether a check reads a torque while it is there, instead of pulling up to one."""
    return demand.check is None or demand.check in _PASSIVE


def check_fitness(
    tool: Tool,
    demand: Demand,
    *,
    today: dt.date,
    adapter: Adapter | None = None,
    hand: float | None = None,
) -> Fitness:
    """Return whether a tool can measure what a torque check asks for.

    Parameters
    ----------
    tool : Tool
    demand : Demand
        With a torque or a limit.
    today : datetime.date
    adapter : Adapter, optional
    hand : float, optional

    Returns
    -------
    Fitness
        A check while turning, or of a highest torque, has limits to read instead of a setting.
    """
    if not is_passive(demand):
        return torque_fitness(tool, demand, today=today, adapter=adapter, hand=hand)
    notes = Notes()
    if tool.kind == "click":
        notes.forbid(
            words(
                "a click wrench cannot measure: it only tells that its setting was reached, not a "
                "running torque or a highest one; use a beam, dial or electronic wrench"
            )
        )
        return notes.result(tool, adapter=adapter)
    lever = common_ground(notes, tool, demand, today=today, adapter=adapter, hand=hand)
    if lever is None:
        return notes.result(tool, adapter=adapter)
    return _reading_fitness(notes, tool, demand, lever)


def _reading_fitness(notes: Notes, tool: Tool, demand: Demand, lever: Lever) -> Fitness:
    wanted = demand.wanted()
    trust = trust_when_wanting(tool, wanted.torque / lever.ratio, wanted.direction)
    scale = _reading_scale(tool, trust, demand)
    value = trust.indicated / scale.size
    start = scale.low if trust.deviation is not None else scale.claimed_from
    if not start <= value <= scale.high:
        notes.forbid(
            words(
                "it would have to show {value:.4g} {unit}; its scale can be relied on from "
                "{start:g} to {high:g}",
                value=value,
                unit=scale.unit,
                start=start,
                high=scale.high,
            )
        )
        return notes.result(tool, adapter=lever.adapter)
    u_rel = torque_uncertainty(tool, scale, value, trust, lever)
    note_unit(notes, scale, demand)
    note_graduation(notes, scale, value, demand)
    note_trust(notes, trust, demand)
    _note_limits_on_scale(notes, tool, scale, demand, lever)
    note_adapter(notes, lever, demand)
    return notes.result(tool, 100.0 - PER_PERCENT * 100 * u_rel, u_rel=u_rel, adapter=lever.adapter)


def _reading_scale(tool: Tool, trust: Trust, demand: Demand) -> Scale:
    """Return the scale to read: one that holds the value, best in the procedure's unit."""
    return min(
        tool.scales,
        key=lambda scale: (
            not scale.low <= trust.indicated / scale.size <= scale.high,
            scale.unit != demand.unit,
            scale.step * scale.size,
        ),
    )


def _note_limits_on_scale(
    notes: Notes, tool: Tool, scale: Scale, demand: Demand, lever: Lever
) -> None:
    low, high = (
        None
        if limit is None
        else trust_when_wanting(tool, limit / lever.ratio, demand.direction).indicated / scale.size
        for limit in (demand.low, demand.high)
    )
    if low is not None and high is not None:
        notes.remark(
            words(
                "read between {low:.4g} and {high:.4g} {unit}", low=low, high=high, unit=scale.unit
            )
        )
    elif high is not None:
        notes.remark(words("read at most {high:.4g} {unit}", high=high, unit=scale.unit))
    elif low is not None:
        notes.remark(words("read at least {low:.4g} {unit}", low=low, unit=scale.unit))
