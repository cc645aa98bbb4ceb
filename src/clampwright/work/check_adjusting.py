"""The check of joints that are adjusted: castle nuts, crush sleeves, running torque added once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from clampwright.procedure.check import Finding
from clampwright.procedure.check_flow import RELEASES
from clampwright.procedure.check_text import in_words
from clampwright.words import words
from clampwright.work.plan import JointPlan, Plan, StagePlan

_PRACTICE = "common practice, no source"


def adjusting_findings(planned: JointPlan, _plan: Plan) -> Iterator[Finding]:
    """Yield what an adjusting joint gives to ask.

    Parameters
    ----------
    planned : JointPlan
    _plan : Plan

    Yields
    ------
    Finding
    """
    yield from _sleeve(planned)
    yield from _running(planned)
    yield from _slots(planned)


def _sleeve(planned: JointPlan) -> Iterator[Finding]:
    if planned.joint.adjusting != "crush_sleeve":
        return
    slackens = [one.number for one in planned.stages if one.stage.kind in RELEASES]
    if slackens:
        yield Finding(
            "sleeve_slackened",
            "stop",
            slackens[0],
            words("this stage slackens a nut on a crush sleeve, which is spent by it"),
            question=words("Does the manual mean a new sleeve, or is it a joint with spacers?"),
            source="service text of a collapsible-sleeve pinion, make withheld",
        )
    if not any(one.stage.check == "rotating" for one in planned.stages):
        yield Finding(
            "rotating_not_asked",
            "ask",
            None,
            words("a crush sleeve is set by rotating torque, and no stage measures it"),
            question=words("Which rotating torque does the manual give, for new or used bearings?"),
            source="US Army TM 10-3930-660-34, para 9-5",
        )


def _running(planned: JointPlan) -> Iterator[Finding]:
    measured = False
    for one in planned.stages:
        measured = measured or one.stage.check == "running"
        if one.stage.plus_running_torque and not measured:
            yield Finding(
                "running_not_measured",
                "ask",
                one.number,
                words(
                    "this stage adds the running torque of each nut, and no stage before it "
                    "measures that"
                ),
                question=words(
                    'Add a torque_check stage with check = "running" before it: it differs from '
                    "nut to nut"
                ),
                source="measure it before contact and add it: FAA AC 43.13-1B, para 7-40; "
                f"differs from nut to nut: {_PRACTICE}",
            )
            return


def _slots(planned: JointPlan) -> Iterator[Finding]:
    joint = planned.joint
    if joint.slots is None or joint.adjusting != "slotted_nut":
        return
    stage = next((one for one in planned.stages if one.stage.kind == "torque"), None)
    if stage is None or stage.limits.low is None or stage.limits.high is None:
        yield Finding(
            "slot_out_of_reach",
            "note",
            None,
            words("no least and greatest torque is given between which the slot must come"),
            question=words("Which range does the manual give for this castle nut?"),
            source="FAA AC 43.13-1B, para 7-40",
        )
        return
    yield from _reach(planned, stage, stage.limits.low, stage.limits.high, joint.slots)


def _reach(
    planned: JointPlan, stage: StagePlan, low: float, high: float, slots: int
) -> Iterator[Finding]:
    """Compare the torque a whole slot adds with the room between the limits."""
    joint, bolt = planned.joint, planned.joint.fastening
    if bolt is None or bolt.clamp_rate is None or joint.friction is None:
        return
    turn = 360.0 / slots
    mu = np.array([joint.friction.low, joint.friction.high])
    clamp = bolt.clamp_from_torque(low, mu_thread=mu, mu_bearing=mu) + bolt.clamp_rate * turn
    after = np.asarray(bolt.torque_from_clamp(clamp, mu_thread=mu, mu_bearing=mu), float)
    if float(after.max()) <= high:
        return
    unit = stage.stage.unit
    yield Finding(
        "slot_out_of_reach",
        "note",
        stage.number,
        words(
            "a whole slot, {turn:g}°, from {low} on brings {least} to {most}; the greatest torque "
            "is {high}",
            turn=turn,
            low=in_words(low, unit),
            least=in_words(float(after.min()), unit),
            most=in_words(float(after.max()), unit),
            high=in_words(high, unit),
        ),
        question=words("Are another nut and washers at hand, to bring a slot within the range?"),
        numbers={
            "turn": (turn, "deg"),
            "low": (low, "N·m"),
            "high": (high, "N·m"),
            "after_least": (float(after.min()), "N·m"),
            "after_most": (float(after.max()), "N·m"),
        },
        source="on to the next slot within the maximum, beyond it change nut or washer: FAA AC "
        "43.13-1B, para 7-40; torque by clamp rate and the long form",
    )
