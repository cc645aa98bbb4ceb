"""What is known of a pull before its trace is looked at, gathered from joint, stage and tool."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from clampwright.drawer.tools import Tool
from clampwright.joint.model import Fastening
from clampwright.joint.nut_factor import nut_factor
from clampwright.joint.stiffness import torque_rate
from clampwright.standards import FrictionCondition
from clampwright.trace.given import Given, Nominal
from clampwright.work.job import Joint
from clampwright.work.plan import StagePlan


def given_for(
    joint: Joint,
    stages: Sequence[StagePlan],
    number: int,
    tool: Tool | None,
    *,
    already: float = 0.0,
) -> Given:
    """Return what a person knows of a pull: limits, joint, expectation, tool.

    Parameters
    ----------
    joint : Joint
    stages : sequence of StagePlan
        All planned stages of the joint.
    number : int
        Which one was pulled, from 1.
    tool : Tool or None
        The wrench that recorded it.
    already : float
        Angle turned by earlier, short pulls of this stage, degrees.

    Returns
    -------
    Given
    """
    planned = stages[number - 1]
    limits = planned.limits
    before = _torque_before(stages[: number - 1])
    given = Given(
        previous_torque_Nm=before,
        nominal=_nominal(joint, planned),
        tool_stiffness_Nm_per_deg=tool.stiffness if tool else None,
        d_mm=joint.thread.d if joint.thread else None,
        P_mm=joint.thread.P if joint.thread else None,
        Rp_MPa=joint.strength.Rp if joint.strength else None,
    )
    if limits.quantity == "angle":
        return replace(
            given,
            procedure="torque_angle",
            angle_steps_deg=(max((planned.stage.angle_deg or 0.0) - already, 0.1),),
            angle_low=_rest(limits.low, already),
            angle_high=_rest(limits.high, already),
            snug_torque_Nm=before,
        )
    return replace(
        given, target_torque_Nm=limits.target, torque_low=limits.low, torque_high=limits.high
    )


def _rest(limit: float | None, already: float) -> float | None:
    return None if limit is None else max(limit - already, 0.0)


def _torque_before(stages: Sequence[StagePlan]) -> float:
    """Torque the fastener was last taken to, N·m; 0 after it was loosened."""
    torque = 0.0
    for planned in stages:
        if planned.stage.kind == "torque" and planned.stage.torque_nm is not None:
            torque = planned.stage.torque_nm
        elif planned.stage.kind in {"loosen", "back_off_then"}:
            torque = 0.0
    return torque


def _nominal(joint: Joint, planned: StagePlan) -> Nominal:
    fastening, friction = joint.fastening, joint.friction
    if fastening is None or friction is None:
        return Nominal()
    mu = _middle(friction)
    factor = _nut_factor(fastening, mu)
    rate = fastening.clamp_rate
    low, middle, high = (
        _slope(fastening, friction_at) for friction_at in (friction.low, mu, friction.high)
    )
    return Nominal(
        K=factor,
        clamp_rate_N_per_deg=rate,
        torque_rate_Nm_per_deg=middle,
        torque_rate_low_Nm_per_deg=low,
        torque_rate_high_Nm_per_deg=high,
        clamp_at_target_N=planned.clamp.nominal if planned.clamp else None,
        combined_yield_clamp_N=(
            float(fastening.yield_clamp(mu_thread=mu)) if fastening.yield_stress else None
        ),
    )


def _slope(fastening: Fastening, mu: float) -> float | None:
    """Torque per degree at a friction coefficient, N·m/deg."""
    rate = fastening.clamp_rate
    if rate is None:
        return None
    factor = _nut_factor(fastening, mu)
    return float(torque_rate(clamp_rate=rate, d=fastening.d, nut_factor=factor))


def _nut_factor(fastening: Fastening, mu: float) -> float:
    return float(
        nut_factor(
            d=fastening.d,
            P=fastening.P,
            d2=fastening.d2,
            bearing_diameter=fastening.bearing_diameter,
            mu_thread=mu,
            mu_bearing=mu,
        )
    )


def _middle(friction: FrictionCondition) -> float:
    """Return what to expect of a trace's shape: the middle of the stated range, for that only."""
    if friction.typical is not None:
        return friction.typical
    return math.sqrt(friction.low * friction.high)
