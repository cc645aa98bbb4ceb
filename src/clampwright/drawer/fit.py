"""Which question to ask of a tool, by what the stage does."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.check_fit import check_fitness
from clampwright.drawer.demand import Demand
from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import Adapter, Tool
from clampwright.drawer.torque_fit import torque_fitness
from clampwright.drawer.turning_fit import angle_fitness, loosen_fitness, snug_fitness

__all__ = ["Fitness", "fitness"]


def fitness(
    tool: Tool,
    demand: Demand,
    *,
    today: dt.date,
    adapter: Adapter | None = None,
    gauge: Tool | None = None,
    hand: float | None = None,
) -> Fitness:
    """Return whether a tool can do what a stage asks, and why or why not.

    Parameters
    ----------
    tool : Tool
    demand : Demand
    today : datetime.date
    adapter : Adapter, optional
    gauge : Tool, optional
        An angle gauge carried by a bar or ratchet.
    hand : float, optional
        Where the hand pulls, mm from the square; the grip mark if not given.

    Returns
    -------
    Fitness

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> day = dt.date(2025, 6, 1)
    >>> fitness(wrench, Demand("torque", 30.0), today=day).usable
    True
    >>> print(*fitness(wrench, Demand("loosen"), today=day).reasons)
    loosening is not given to a torque wrench: it can take more than the wrench is made for and
    upsets its calibration; use a bar
    """
    if demand.action == "angle":
        return angle_fitness(tool, demand, today=today, gauge=gauge, adapter=adapter)
    if demand.action == "loosen":
        return loosen_fitness(tool, demand)
    if demand.action == "check":
        return check_fitness(tool, demand, today=today, adapter=adapter, hand=hand)
    if demand.action == "snug" and demand.reference_torque is None:
        return snug_fitness(tool)
    return torque_fitness(tool, demand, today=today, adapter=adapter, hand=hand)
