"""Whether a tool can give the torque a stage asks for."""

from __future__ import annotations

import datetime as dt
import math

from clampwright.drawer.demand import Demand
from clampwright.drawer.settings import Misfit, Setting, Wanted, best_setting
from clampwright.drawer.suitability import Fitness, Notes
from clampwright.drawer.tools import Adapter, Tool
from clampwright.drawer.torque_notes import (
    PER_PERCENT,
    common_ground,
    note_adapter,
    note_graduation,
    note_limits,
    note_range,
    note_trust,
    note_unit,
)


def torque_fitness(
    tool: Tool,
    demand: Demand,
    *,
    today: dt.date,
    adapter: Adapter | None = None,
    hand: float | None = None,
) -> Fitness:
    """Return whether a tool can tighten to the torque of a stage.

    Parameters
    ----------
    tool : Tool
    demand : Demand
        With a torque.
    today : datetime.date
    adapter : Adapter, optional
    hand : float, optional
        Where the hand pulls, mm from the square.

    Returns
    -------
    Fitness
    """
    notes = Notes()
    lever = common_ground(notes, tool, demand, today=today, adapter=adapter, hand=hand)
    if lever is None:
        return notes.result(tool, adapter=adapter)
    wanted = demand.wanted()
    found = best_setting(tool, wanted, lever)
    if isinstance(found, Misfit):
        notes.forbid(found.words)
        return notes.result(tool, adapter=adapter)
    note_unit(notes, found.scale, demand)
    if not tool.stands_at_one:  # nothing is read on it, and its one value is its whole range
        note_graduation(notes, found.scale, found.value, demand)
        note_range(notes, found.scale, found.value, found.trust)
    note_trust(notes, found.trust, demand)
    note_limits(notes, wanted, found.u_rel)
    note_adapter(notes, lever, demand)
    return notes.result(
        tool,
        _score(found, wanted),
        setting=found,
        u_rel=found.u_rel,
        adapter=adapter,
    )


def _score(found: Setting, wanted: Wanted) -> float:
    error = math.hypot(found.u_rel, found.rounding_cost / wanted.torque)
    return 100.0 - PER_PERCENT * 100 * error
