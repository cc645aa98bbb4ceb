"""Adjusting joints in a job: running torque of each nut added once, advice, and what is refused."""

from __future__ import annotations

from dataclasses import replace

from clampwright.drawer.choice import choose
from clampwright.errors import Refused
from clampwright.procedure.adjusting import NEVER_SLACKENED, advise_adjusting
from clampwright.units import convert
from clampwright.words import words
from clampwright.work.fold import JobState, PullKey
from clampwright.work.job import Joint
from clampwright.work.judgement import Judgement
from clampwright.work.limits import limits_of
from clampwright.work.plan import Plan, StagePlan, demand_of
from clampwright.work.readings import torque_shown

_READ = frozenset({"rotating", "ceiling", "final_minimum"})


def for_fastener(plan: Plan, state: JobState, key: PullKey) -> StagePlan:
    """Return the planned stage of a pull, with this nut's own running torque added once.

    Parameters
    ----------
    plan : Plan
    state : JobState
    key : PullKey

    Returns
    -------
    StagePlan
        The plan's own where the stage adds nothing, or nothing was measured on this nut.
    """
    planned = plan.stage(key)
    if not planned.stage.plus_running_torque:
        return planned
    running = running_torque(plan, state, key)
    if running is None:
        return planned
    joint = plan.joint(key.joint).joint
    limits = limits_of(planned.stage, plan.job.rules, extra_torque=running)
    demand = demand_of(planned.stage, limits, joint)
    adapter = plan.drawer.adapter(joint.adapter) if joint.adapter else None
    choices = choose(plan.drawer, demand, today=plan.today, adapter=adapter) if demand else ()
    return replace(planned, limits=limits, choices=choices)


def running_torque(plan: Plan, state: JobState, key: PullKey) -> float | None:
    """Return the running torque measured on a fastener, N·m; None where nobody measured it.

    Parameters
    ----------
    plan : Plan
    state : JobState
    key : PullKey
        A pull of the fastener; measurements of earlier stages count.

    Returns
    -------
    float or None
    """
    planned = plan.joint(key.joint)
    numbers = [
        one.number
        for one in planned.stages
        if one.stage.check == "running" and one.number < key.stage
    ]
    for number in reversed(numbers):
        pull = state.latest.get(PullKey(key.joint, number, key.fastener))
        if pull is None or not pull.settled:
            continue
        received = pull.body.get("received")
        if received is not None:
            return float(received["torque"]["value"])
        reading = pull.body["reading"]
        if reading["kind"] in {"value", "while_turning"} and (told := torque_shown(reading)):
            return convert(*told, "N·m")
    return None


def adjusted(judgement: Judgement, joint: Joint, planned: StagePlan) -> Judgement:
    """Return a judgement with the advice that belongs to the joint's way of adjusting.

    Parameters
    ----------
    judgement : Judgement
    joint : Joint
    planned : StagePlan

    Returns
    -------
    Judgement
    """
    if planned.stage.check not in _READ:
        return judgement
    advice = advise_adjusting(joint.adjusting, judgement.verdict)
    if advice is None:
        return judgement
    return replace(judgement, next=advice.advice, source=advice.source)


def refuse_slackening(joint: Joint, *, renewed: bool) -> None:
    """Refuse to start a fastener again with a part that is spent once it was slackened.

    Parameters
    ----------
    joint : Joint
    renewed : bool
        Whether a new part was fitted.

    Raises
    ------
    Refused
        With what has to be renewed.
    """
    if joint.adjusting in NEVER_SLACKENED and not renewed:
        raise Refused(
            words(
                "{joint} has a crush sleeve: slackened, it is spent. Fit a new sleeve, and start "
                "again with a new part",
                joint=joint.title,
            )
        )
