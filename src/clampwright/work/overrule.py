"""A person takes another tool than the plan says, and the reason stands in the record."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from clampwright.drawer.suitability import Fitness
from clampwright.errors import Refused
from clampwright.words import words
from clampwright.work.plan import Plan, StagePlan, joint_plan


def check_overrule(planned: StagePlan, tool_id: str, reason: str) -> Fitness:
    """Return the choice a person may take for a stage.

    Parameters
    ----------
    planned : StagePlan
    tool_id : str
    reason : str
        Why; it stands in the record.

    Returns
    -------
    Fitness

    Raises
    ------
    Refused
        Without a reason; when the stage has no such tool; or when the tool cannot do it at all,
        which no reason changes.
    """
    if not reason.strip():
        raise Refused(words("give the reason for taking another tool: it stands in the record"))
    found = [one for one in planned.choices if one.tool.id == tool_id]
    if not found:
        raise Refused(
            words(
                "stage {number} has no choice {tool!r}; its choices are {known}",
                number=planned.number,
                tool=tool_id,
                known=", ".join(dict.fromkeys(one.tool.id for one in planned.choices)) or "-",
            )
        )
    choice = next((one for one in found if one.may_be_overruled), None)
    if choice is None:
        raise Refused(
            words(
                "{tool} cannot do stage {number}, and no reason changes that: {why}",
                tool=found[0].tool.title,
                number=planned.number,
                why=found[0].blockers[0],
            )
        )
    return choice


def with_overrules(plan: Plan, overrules: Sequence[Mapping[str, Any]]) -> Plan:
    """Return a plan in which the tools that people took come first.

    Parameters
    ----------
    plan : Plan
    overrules : sequence of mapping
        Bodies of the entries, oldest first; the latest for a stage holds.

    Returns
    -------
    Plan
    """
    if not overrules:
        return plan
    latest = {(one["joint"], one["stage"]): one for one in overrules}
    joints = []
    for whole in plan.joints:
        mine = {stage: one for (joint, stage), one in latest.items() if joint == whole.joint.id}
        if mine:
            stages = [_taken(one, mine.get(one.number)) for one in whole.stages]
            joints.append(joint_plan(whole.joint, stages))
        else:
            joints.append(whole)
    return replace(plan, joints=tuple(joints))


def without_tools(plan: Plan, tools: Collection[str]) -> Plan:
    """Return a plan in which some tools are not taken, because they are in doubt.

    Parameters
    ----------
    plan : Plan
    tools : collection of str
        Their ids.

    Returns
    -------
    Plan
    """
    if not tools:
        return plan
    joints = []
    for whole in plan.joints:
        stages = tuple(_laid_aside(one, tools) for one in whole.stages)
        joints.append(whole if stages == whole.stages else joint_plan(whole.joint, stages))
    return replace(plan, joints=tuple(joints))


def _laid_aside(planned: StagePlan, tools: Collection[str]) -> StagePlan:
    if not any(one.tool.id in tools for one in planned.choices):
        return planned
    why = words("it was laid aside in this job: it is in doubt until it is checked")
    choices = [
        replace(one, blockers=(why, *one.blockers), overruled="", firm=True)
        if one.tool.id in tools
        else one
        for one in planned.choices
    ]
    return replace(planned, choices=tuple(sorted(choices, key=lambda one: not one.usable)))


def _taken(planned: StagePlan, overrule: Mapping[str, Any] | None) -> StagePlan:
    if overrule is None:
        return planned
    tool, reason = overrule["tool"], overrule["reason"]
    choices = list(planned.choices)
    for place, one in enumerate(choices):
        if one.tool.id == tool and one.may_be_overruled:
            taken = replace(one, overruled=reason)
            return replace(planned, choices=(taken, *choices[:place], *choices[place + 1 :]))
    return planned
