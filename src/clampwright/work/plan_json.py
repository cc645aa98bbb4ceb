"""A plan as plain data, for JSON and for the entry that opens a job."""

from __future__ import annotations

from typing import Any

from clampwright.drawer.fit import Fitness
from clampwright.joint.narrowing import narrowing
from clampwright.work.describe import describe, tool_name
from clampwright.work.limits import Limits
from clampwright.work.plan import JointPlan, Plan, StagePlan
from clampwright.work.tool_effect import clamp_uncertainty


def plan_json(plan: Plan) -> dict[str, Any]:
    """Return a plan as plain data.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    dict
        Torques in N·m, forces in N, angles in degrees; settings on their scale with its unit.
    """
    return {
        "job": plan.job.id,
        "title": plan.job.title,
        "machine": plan.job.machine,
        "invented": plan.job.invented,
        "planned_for": plan.today.isoformat(),
        "pulls": plan.pulls,
        "joints": [_joint(joint) for joint in plan.joints],
    }


def _joint(planned: JointPlan) -> dict[str, Any]:
    joint = planned.joint
    return {
        "id": joint.id,
        "title": joint.title,
        "harm_level": joint.harm_level,
        "left_hand": joint.left_hand,
        "fasteners": joint.layout.count,
        "positions_mm": [list(position) for position in joint.layout.positions],
        "thread": joint.thread.name if joint.thread else None,
        "strength": joint.strength.name if joint.strength else None,
        "friction": joint.friction.name if joint.friction else None,
        "source": str(joint.procedure.source) if joint.procedure.source else None,
        "stages": [stage_json(stage) for stage in planned.stages],
    }


def stage_json(planned: StagePlan) -> dict[str, Any]:
    """Return one planned stage as plain data."""
    choice = planned.choice
    return {
        "number": planned.number,
        "stage": planned.stage.as_json(),
        "text": str(describe(planned.stage)),
        "limits": _limits(planned.limits),
        "order": list(planned.order.fasteners),
        "order_from": planned.order.origin,
        "pulls": planned.pulls,
        "tool": choice.tool.id if choice else None,
        "gauge": choice.gauge.id if choice and choice.gauge else None,
        "adapter": choice.adapter.id if choice and choice.adapter else None,
        "setting": _setting(choice),
        "tools": [_fitness(planned, one) for one in planned.choices],
        "clamp": _clamp(planned),
    }


def _limits(limits: Limits) -> dict[str, Any]:
    return {
        "quantity": limits.quantity,
        "target": limits.target,
        "low": limits.low,
        "high": limits.high,
        "unit": limits.unit,
        "origin": limits.origin,
    }


def _setting(choice: Fitness | None) -> dict[str, Any] | None:
    setting = choice.setting if choice else None
    if setting is None:
        return None
    return {
        "value": setting.value,
        "unit": setting.scale_unit,
        "torque_at_fastener_Nm": setting.torque_at_fastener,
        "rounding_cost_Nm": setting.rounding_cost,
        "text": str(setting.words),
    }


def _fitness(planned: StagePlan, choice: Fitness) -> dict[str, Any]:
    return {
        "tool": choice.tool.id,
        "name": tool_name(choice),
        "usable": choice.usable,
        "reasons": [str(reason) for reason in choice.reasons],
        "u_rel": choice.u_rel,
        "u_clamp_rel": clamp_uncertainty(planned, choice),
        "may_be_overruled": choice.may_be_overruled,
        "overruled": choice.overruled or None,
    }


def _clamp(planned: StagePlan) -> dict[str, Any] | None:
    band = planned.clamp
    if band is None:
        return None
    return {
        "nominal_N": band.nominal,
        "standard_uncertainty_N": band.u,
        "p05_N": band.p05,
        "p95_N": band.p95,
        "contributions": [
            {"input": part.key, "standard_uncertainty_N": part.u} for part in band.contributions
        ],
        "narrowing": [str(sentence) for sentence in narrowing(band)],
    }
