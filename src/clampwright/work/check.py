"""The check of a whole plan: each joint against physics, and what only the plan can tell.

`clampwright.procedure.check` looks at stages; this module adds what needs the fasteners, the
limits, the tools of the drawer and the source. A new rule is a function from a planned joint to
findings and one line in `_RULES`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from clampwright.drawer.demand import Demand
from clampwright.drawer.fit import Fitness
from clampwright.procedure.check import Finding, Severity, check_stages, most_serious_first
from clampwright.procedure.check_flow import TIGHTENS
from clampwright.procedure.check_text import in_words
from clampwright.procedure.check_warnings import warning_findings
from clampwright.words import Words, words
from clampwright.work.check_adjusting import adjusting_findings
from clampwright.work.describe import tool_name
from clampwright.work.plan import JointPlan, Plan, StagePlan, demand_of

COVERAGE = 2.0
"""Expanded over standard uncertainty: about 95 % (JCGM 100, from memory)."""

REFUSALS_SHOWN = 3
"""How many tools are named when none fits; the plan lists them all."""

_PRACTICE = "common practice, no source"


def check_plan(plan: Plan) -> tuple[Finding, ...]:
    """Check every joint of a planned job.

    Parameters
    ----------
    plan : Plan

    Returns
    -------
    tuple of Finding
        Most serious first, within that in the order of joints; each names its joint.
    """
    found: list[Finding] = []
    for planned in plan.joints:
        own = [one for rule in _RULES for one in rule(planned, plan)]
        found += [replace(one, joint=planned.joint.id) for one in own]
    return most_serious_first(found)


def _stages(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    joint, reading = planned.joint, planned.joint.procedure.reading
    yield from check_stages(
        joint.procedure.stages,
        fastening=joint.fastening,
        friction=joint.friction,
        kind=joint.kind,
        thread=joint.thread,
        lubrication=reading.lubrication if reading else (),
        reuse=reading.reuse if reading else None,
        reuse_limit=reading.reuse_limit if reading else (),
        members=[joint.fasteners_of(stage) for stage in joint.procedure.stages],
        fasteners=joint.fitted,
        parts=joint.parts,
    )


def _text(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    procedure = planned.joint.procedure
    if procedure.reading is not None:
        yield from warning_findings(procedure.reading.warnings, chosen=procedure.choice is not None)
    if procedure.source is None:
        yield Finding(
            "no_source",
            "ask",
            None,
            words("the procedure names no source"),
            question=words("Which manual, edition and page is it from? Add a source table"),
            source="records name procedure and edition: common practice, no source",
        )


def _left_hand(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    joint = planned.joint
    if joint.left_hand:
        return
    warned = joint.procedure.reading and "left_hand_thread" in joint.procedure.reading.warnings
    turned = [one.number for one in planned.stages if one.stage.direction == "ccw"]
    if warned or turned:
        yield Finding(
            "left_hand_unclear",
            "ask",
            turned[0] if turned else None,
            words("the text speaks of a left-hand thread, the job does not"),
            question=words("Is it one? Then write left_hand = true for this joint"),
            source=_PRACTICE,
        )


def _missed(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    if planned.joint.kind != "bolted":
        return
    tightened = {
        number
        for one in planned.stages
        if one.stage.kind in TIGHTENS
        for number in one.order.fasteners
    }
    missed = [number for number in planned.joint.layout.numbers if number not in tightened]
    if missed and tightened:
        yield Finding(
            "fastener_missed",
            "stop",
            None,
            words("no stage tightens fastener {numbers}", numbers=_numbers(missed)),
            question=words("Do they belong to this joint, and what does the manual give for them?"),
            numbers={"missed": (float(len(missed)), "")},
            source=_PRACTICE,
        )


def _orders(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    asked = [one.number for one in planned.stages if one.order.asked]
    if asked:
        yield Finding(
            "order_not_entered",
            "ask",
            asked[0],
            words(
                "the procedure refers to an order that is not entered (stages: {stages}); a "
                "general one would be used",
                stages=_numbers(asked),
            ),
            question=words("Which order does the manual show? Write it as order for this joint"),
            source=_PRACTICE,
        )
    for one in planned.stages:
        yield from _listed_order(one)


def _listed_order(planned: StagePlan) -> Iterator[Finding]:
    listed, members = planned.stage.order, planned.order.fasteners
    if not isinstance(listed, tuple) or sorted(map(str, listed)) == sorted(map(str, members)):
        return
    missed = [number for number in members if number not in listed]
    yield Finding(
        "order_incomplete",
        "ask",
        planned.number,
        words(
            "the order written for this stage is not one of its fasteners once each; missing: "
            "{missed}",
            missed=_numbers(sorted(missed)) or "-",
        ),
        question=words("What is the whole order?"),
        source=_PRACTICE,
    )


def _tools(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    for one in planned.stages:
        needs = demand_of(one.stage, one.limits, planned.joint)
        if needs is None or needs.action == "snug" or one.choice is not None:
            continue  # running down by hand needs no tool of the drawer
        yield Finding(
            "no_tool",
            "stop",
            one.number,
            words("no tool of the drawer can do this stage"),
            question=words("Which tool can be had: borrowed, calibrated, with another range?"),
            details=tuple(
                words("{tool}: {reason}", tool=tool_name(choice), reason=choice.reasons[0])
                for choice in _nearest(one, needs)
            ),
            source="range, unit, direction, calibration: see the plan",
        )


def _nearest(planned: StagePlan, needs: Demand) -> list[Fitness]:
    """Return the refused tools worth naming: for a torque the wrenches before the bars."""
    choices = list(planned.choices)
    if needs.action in {"torque", "check"}:
        choices.sort(key=lambda choice: not choice.tool.is_wrench)
    return choices[:REFUSALS_SHOWN]


def _tolerances(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    tight = [(one, *pair) for one in planned.stages if (pair := _room_and_doubt(one)) is not None]
    by_rule = [one for one in tight if one[0].limits.origin == "workshop"]
    for one, room, doubt in tight:
        if one.limits.origin == "procedure":
            yield _too_tight(one, room, doubt)
    if by_rule:
        yield Finding(
            "tighter_than_tool",
            "note",
            None,
            words(
                "the workshop's limits are tighter than the tools can tell (stages: {stages})",
                stages=_numbers([one.number for one, _, _ in by_rule]),
            ),
            question=words("Wider limits, or a better tool?"),
            details=tuple(_doubt_words(*each) for each in by_rule),
            source=_UNCERTAINTY,
        )


_UNCERTAINTY = "tool's uncertainty with k = 2, about 95 % (JCGM 100, from memory)"


def _room_and_doubt(planned: StagePlan) -> tuple[float, float] | None:
    """Return distance from target to the nearer limit and the tool's doubt, if that is larger."""
    limits, choice = planned.limits, planned.choice
    if choice is None or limits.target is None:
        return None
    sides = [abs(limit - limits.target) for limit in (limits.low, limits.high) if limit is not None]
    u = None
    if limits.quantity == "torque" and choice.u_rel is not None:
        u = choice.u_rel * limits.target
    elif limits.quantity == "angle":
        u = choice.u_angle
    both_sides = limits.low is not None and limits.high is not None
    if u is None or not both_sides or min(sides) >= COVERAGE * u:
        return None  # with one open side the mechanic can aim clear of the limit
    return min(sides), COVERAGE * u


def _doubt_words(planned: StagePlan, room: float, doubt: float) -> Words:
    unit = planned.stage.unit if planned.limits.quantity == "torque" else "deg"
    return words(
        "stage {number}: limits {room} either side, {tool} ± {doubt}",
        number=planned.number,
        room=_in_unit(room, planned, unit),
        doubt=_in_unit(doubt, planned, unit),
        tool=tool_name(planned.choice) if planned.choice else "-",
    )


def _in_unit(value: float, planned: StagePlan, unit: str | None) -> str:
    if planned.limits.quantity == "torque":
        return in_words(value, unit)
    return f"{value:.1f}°"


def _too_tight(planned: StagePlan, room: float, doubt: float) -> Finding:
    return Finding(
        "tighter_than_tool",
        "ask",
        planned.number,
        words("the limits of this stage are tighter than the best tool of the drawer can tell"),
        question=words("Is there a better tool, or a certificate with a smaller uncertainty?"),
        details=(_doubt_words(planned, room, doubt),),
        numbers={
            "room": (room, planned.limits.unit),
            "expanded_uncertainty": (doubt, planned.limits.unit),
        },
        source=_UNCERTAINTY,
    )


def _workshop_limits(planned: JointPlan, plan: Plan) -> Iterator[Finding]:
    filled = [one.number for one in planned.stages if one.limits.origin == "workshop"]
    if filled:
        yield Finding(
            "workshop_limits",
            "note",
            None,
            words(
                "the procedure states no limits (stages: {stages}): the workshop's rule fills "
                "them in, ±{percent:g} % of a torque, ±{angle:g}° for an angle",
                stages=_numbers(filled),
                percent=plan.job.rules.torque_percent,
                angle=plan.job.rules.angle_deg,
            ),
            question=words("Does the manual print limits elsewhere?"),
            numbers={
                "torque": (plan.job.rules.torque_percent, "%"),
                "angle": (plan.job.rules.angle_deg, "deg"),
            },
            source="the rules table of the job",
        )


def _calibrations(planned: JointPlan, plan: Plan) -> Iterator[Finding]:
    chosen = {
        one.choice.tool.id: one.choice.tool
        for one in planned.stages
        if one.choice is not None and one.choice.tool.is_wrench
    }
    for tool in chosen.values():
        calibration = tool.calibration
        if calibration is not None and calibration.due_on >= plan.today:
            continue
        severity: Severity = "note" if planned.joint.harm_level == 3 else "ask"
        message = (
            words("no calibration of {tool} is known, and it is the best choice", tool=tool.title)
            if calibration is None
            else words(
                "the calibration of {tool} ran out on {due}, and it is the best choice",
                tool=tool.title,
                due=calibration.due_on.isoformat(),
            )
        )
        yield Finding(
            "calibration_doubtful",
            severity,
            None,
            message,
            question=words("Is there another wrench, or can it be checked against one?"),
            source="calibrate at least yearly: FAA AC 43.13-1B, para 7-40",
        )


def _second_look(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    if planned.joint.harm_level == 1:
        yield Finding(
            "second_look",
            "note",
            None,
            words(
                "life or limb hangs on this joint: mark every fastener after the last stage and "
                "have somebody else look at it"
            ),
            source=f"{_PRACTICE}; intent of class A in VDI/VDE 2862-1, from memory",
        )


_RULES = (
    _stages,
    _text,
    _left_hand,
    _missed,
    _orders,
    _tools,
    _tolerances,
    _workshop_limits,
    _calibrations,
    _second_look,
    adjusting_findings,
)


def _numbers(numbers: list[int]) -> str:
    return ", ".join(str(number) for number in numbers)
