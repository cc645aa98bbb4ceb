"""What jobs and procedures ask of a drawer, stage by stage; and which joints need a wrench."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from clampwright.drawer.by_feel import Advice, advise
from clampwright.drawer.coverage import Need
from clampwright.drawer.tools import Drawer
from clampwright.errors import Refused
from clampwright.procedure.stage import Stage
from clampwright.words import words
from clampwright.work.describe import describe
from clampwright.work.job import Job, Joint, Rules
from clampwright.work.limits import limits_of
from clampwright.work.plan import demand_for, demand_of, turning_direction


def needs_of_jobs(jobs: Iterable[Job], drawer: Drawer) -> tuple[Need, ...]:
    """Return what jobs ask of a drawer.

    Parameters
    ----------
    jobs : iterable of Job
        Joints whose procedure is still open ask for nothing yet.
    drawer : Drawer
        For the adapters that joints name.

    Returns
    -------
    tuple of Need
        One for each stage that needs a tool.
    """
    return tuple(
        need
        for job in jobs
        for joint in job.joints
        for need in needs_of_stages(joint.procedure.stages, joint, job.rules, drawer)
    )


def needs_of_stages(
    stages: Sequence[Stage], joint: Joint, rules: Rules, drawer: Drawer
) -> Iterator[Need]:
    """Yield what stages ask of a drawer, wherever the stages come from.

    Parameters
    ----------
    stages : sequence of Stage
    joint : Joint
        Harm level, direction and reach.
    rules : Rules
        Limits where a stage states none.
    drawer : Drawer

    Yields
    ------
    Need
    """
    missing, adapter = "", None
    if joint.adapter:
        try:
            adapter = drawer.adapter(joint.adapter)
        except Refused:
            missing = joint.adapter
    for number, stage in enumerate(stages, 1):
        demand = demand_of(stage, limits_of(stage, rules), joint)
        if demand is None:
            continue
        name = words(
            "{joint}, stage {number}: {what}",
            joint=joint.title,
            number=number,
            what=describe(stage),
        )
        yield Need(name, demand, adapter, missing)


def needs_of_procedure(title: str, stages: Sequence[Stage]) -> Iterator[Need]:
    """Yield what a procedure asks of a drawer that is not tied to a joint yet.

    Parameters
    ----------
    title : str
        What the procedure is called.
    stages : sequence of Stage

    Yields
    ------
    Need
        With the limits the procedure itself states; harm level 2, right-hand thread, free reach.
    """
    for number, stage in enumerate(stages, 1):
        limits = limits_of(stage, _NO_RULES)
        demand = demand_for(stage, limits, direction=turning_direction(stage), harm_level=2)
        if demand is None:
            continue
        if limits.origin == "workshop":
            demand = replace(demand, low=None, high=None)
        name = words(
            "{procedure}, stage {number}: {what}",
            procedure=title,
            number=number,
            what=describe(stage),
        )
        yield Need(name, demand)


_NO_RULES = Rules(5.0, 5.0)
"""Stand in for a workshop's rules; limits that come from them are taken out again."""


def feel_of(joint: Joint) -> Advice:
    """Return whether a joint's fasteners need a torque wrench.

    Parameters
    ----------
    joint : Joint

    Returns
    -------
    Advice
    """
    kinds = {stage.kind for stage in joint.procedure.stages}
    measured = {"torque", "angle", "torque_check", "stretch"}
    return advise(
        joint.harm_level,
        torque_stated=bool(kinds & measured),
        to_yield="angle" in kinds,
        diameter=joint.thread.d if joint.thread else None,
    )
