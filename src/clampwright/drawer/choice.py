"""Which tool of a drawer a stage should get: all of them, best first, with reasons."""

from __future__ import annotations

import datetime as dt

from clampwright.drawer.demand import Demand
from clampwright.drawer.fit import fitness
from clampwright.drawer.suitability import Fitness
from clampwright.drawer.tools import PLAIN, Adapter, Drawer, Tool


def choose(
    drawer: Drawer, demand: Demand, *, today: dt.date, adapter: Adapter | None = None
) -> tuple[Fitness, ...]:
    """Return every tool's fitness for a stage, best first.

    Parameters
    ----------
    drawer : Drawer
    demand : Demand
    today : datetime.date
    adapter : Adapter, optional
        One that the joint's reach asks for.

    Returns
    -------
    tuple of Fitness
        Usable ones first, by falling score; equals keep the order of the drawer. For an angle
        every bar or ratchet is one choice with each gauge of its drive. A wrench too small for the
        torque is also tried with each torque multiplier that fits it and would make it reach.

    Examples
    --------
    >>> from clampwright.drawer.tools import AngleScale
    >>> bar = Tool("bar", "Bar", "bar", "1/2 in", directions=("cw", "ccw"))
    >>> gauge = Tool("g", "Gauge", "angle_gauge", "1/2 in", angle=AngleScale(2.0))
    >>> demand, day = Demand("angle", angle_deg=90), dt.date(2025, 6, 1)
    >>> best = choose(Drawer((bar, gauge)), demand, today=day)[0]
    >>> best.tool.id, best.gauge.id
    ('bar', 'g')
    """
    results = [
        fitness(tool, demand, today=today, adapter=between, gauge=gauge)
        for tool in drawer.tools
        for gauge in gauges_for(tool, drawer, demand)
        for between in (adapter, *multipliers_for(tool, drawer, demand, adapter))
    ]
    results.sort(key=lambda result: (not result.usable, -result.score))
    return tuple(results)


def gauges_for(tool: Tool, drawer: Drawer, demand: Demand) -> tuple[Tool | None, ...]:
    """Return the gauges to try on a tool: those of its square, for an angle."""
    if demand.action != "angle" or tool.kind not in PLAIN:
        return (None,)
    fitting = tuple(
        gauge for gauge in drawer.tools if gauge.kind == "angle_gauge" and gauge.drive == tool.drive
    )
    return fitting or (None,)


def multipliers_for(
    tool: Tool, drawer: Drawer, demand: Demand, asked: Adapter | None
) -> tuple[Adapter, ...]:
    """Return the multipliers to try on a tool: those that make a too small wrench reach."""
    torque = demand.reference_torque
    if asked is not None or torque is None or demand.action != "torque" or not tool.is_wrench:
        return ()
    if torque <= tool.largest_torque:
        return ()
    return tuple(
        one
        for one in drawer.multipliers
        if one.drive == tool.drive and one.gain * tool.largest_torque >= torque
    )
