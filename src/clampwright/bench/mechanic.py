"""A simulated person at the bench: pulls on simulated fasteners and tells what was read.

What comes out is only what a person or an instrument would hand in, so that it goes the same way
as a real reading. The truth about each fastener stays in here. All numbers are invented.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from decimal import Decimal

import numpy as np

from clampwright.drawer.fit import Fitness
from clampwright.drawer.settings import Setting
from clampwright.drawer.tools import Tool
from clampwright.drawer.trust import trust_when_showing
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.trace.simulate import FAULTS, Fault, Pull, SimulatedWrench
from clampwright.trace.simulated_fastener import Condition, SimulatedFastener
from clampwright.trace.writing import write_csv
from clampwright.units import convert, factor
from clampwright.words import words
from clampwright.work.fold import PullKey
from clampwright.work.guide import Guidance
from clampwright.work.job import Hold, Joint
from clampwright.work.plan import Plan, StagePlan
from clampwright.work.readings import (
    AngleReading,
    ClickReading,
    DoneReading,
    Reading,
    ValueReading,
)

_SPREAD = 0.06
"""Relative standard deviation of friction from fastener to fastener (invented)."""


@dataclass(frozen=True, slots=True)
class PlannedFault:
    """Something that goes wrong at one pull.

    Parameters
    ----------
    key : PullKey
    fault : str
        One of `clampwright.trace.simulate.FAULTS`.
    """

    key: PullKey
    fault: Fault

    @classmethod
    def parse(cls, text: str) -> PlannedFault:
        """Read a fault written as ``joint:stage:fastener:fault``.

        Parameters
        ----------
        text : str

        Returns
        -------
        PlannedFault

        Raises
        ------
        ClampwrightError
            With the form and the faults there are.

        Examples
        --------
        >>> PlannedFault.parse("head:2:7:slip").key
        PullKey(joint='head', stage=2, fastener=7)
        """
        parts = text.split(":")
        if len(parts) == 4 and parts[1].isdecimal() and parts[2].isdecimal():
            for fault in FAULTS:
                if parts[3] == fault:
                    return cls(PullKey(parts[0], int(parts[1]), int(parts[2])), fault)
        raise ClampwrightError(
            words(
                "{text!r} is not a fault; write joint:stage:fastener:fault, with one of {known}",
                text=text,
                known=", ".join(FAULTS),
            )
        )


@dataclass(frozen=True, slots=True)
class Answer:
    """What the simulated person hands in.

    Parameters
    ----------
    reading : Reading or None
        None when a trace was recorded.
    trace : bytes or None
        The trace file of an electronic wrench.
    tool : str or None
        Id of the tool used.
    """

    reading: Reading | None
    trace: bytes | None
    tool: str | None


class SimulatedMechanic:
    """Works through a plan, with friction, hands and wrenches that scatter.

    Parameters
    ----------
    plan : Plan
    seed : int
        The same seed gives the same day at the bench.
    faults : iterable of PlannedFault
        Each happens once, the first time its pull comes up.
    """

    def __init__(self, plan: Plan, *, seed: int, faults: Iterable[PlannedFault] = ()) -> None:
        self._plan = plan
        self._rng = np.random.default_rng(seed)
        self._faults = {planned.key: planned.fault for planned in faults}
        self._fasteners: dict[tuple[str, int], SimulatedFastener] = {}
        self._tries: dict[PullKey, int] = {}
        self._level = {joint.id: self._rng.uniform(0.3, 0.7) for joint in plan.job.joints}
        known = set(plan.sequence())
        for key in self._faults:
            if key not in known:
                raise Missing(
                    words(
                        "there is no pull {joint}:{stage}:{fastener} for a fault to happen at",
                        joint=key.joint,
                        stage=key.stage,
                        fastener=key.fastener,
                    ),
                    needed="fault",
                )

    def pull(self, guidance: Guidance) -> Answer:
        """Do the pull asked for.

        Parameters
        ----------
        guidance : Guidance

        Returns
        -------
        Answer
        """
        planned, joint = guidance.planned, guidance.joint
        fault = self._faults.pop(guidance.key, None)
        choice = _recording(planned) if fault else planned.choice
        tool = choice.tool.id if choice else None
        fastener = self._fastener(joint, guidance.key.fastener)
        if planned.limits.quantity == "torque" and _is_read(planned, joint):
            return Answer(self._adjusting(planned, guidance.key), None, tool)
        if planned.stage.kind in {"snug", "wait"} or choice is None:
            return Answer(DoneReading(done=True), None, tool)
        if planned.stage.kind in {"loosen", "back_off_then"}:
            if fastener is not None:
                fastener.loosen(planned.stage.angle_deg)
            if planned.limits.quantity == "angle":
                return Answer(
                    AngleReading(_rounded(planned.stage.angle_deg or 0.0, 1.0)), None, tool
                )
            return Answer(DoneReading(done=True), None, tool)
        if fastener is None:
            return Answer(self._unseen(planned), None, tool)
        return self._turned(planned, choice, fastener, fault)

    def renew(self, joint: str, fastener: int) -> None:
        """Fit a new fastener."""
        self._fasteners.pop((joint, fastener), None)

    def _turned(
        self,
        planned: StagePlan,
        choice: Fitness,
        fastener: SimulatedFastener,
        fault: Fault | None,
    ) -> Answer:
        tool, setting = choice.tool, choice.setting
        shown = _shown(setting)
        wrench = _wrench(tool, choice, shown)
        if planned.limits.quantity == "angle":
            pull = wrench.pull(fastener, rng=self._rng, angle=planned.stage.angle_deg, fault=fault)
            if tool.trace:
                return Answer(None, write_csv(pull.trace), tool.id)
            return Answer(AngleReading(_rounded(pull.angle_reading, 1.0)), None, tool.id)
        pull = wrench.pull(fastener, rng=self._rng, torque=shown, fault=fault)
        return _told(tool, setting, pull)

    def answer_hold(self, hold: Hold) -> str:
        """Answer a hold point as it should be: yes, the middle of the limits, or a note."""
        if hold.answer == "yes":
            return "yes"
        if hold.answer == "note":
            return "simulated"
        ends = [end for end in (hold.low, hold.high) if end is not None]
        return f"{sum(ends) / len(ends):.4g}"

    def _adjusting(self, planned: StagePlan, key: PullKey) -> Reading:
        """Read a bearing setting: a torque that was set, or one that grows from try to try."""
        limits = planned.limits
        known = [one for one in (limits.low, limits.high) if one is not None]
        aim = limits.target if limits.target is not None else sum(known) / max(1, len(known))
        if planned.stage.check == "rotating":
            tries = self._tries[key] = self._tries.get(key, 0) + 1
            aim *= min(1.0, 0.35 + 0.25 * tries) * self._rng.normal(1.0, 0.01)
        elif planned.stage.check == "ceiling":
            aim *= 0.92
        elif planned.stage.check == "running":
            aim = self._rng.uniform(0.5, 2.0)
        unit = planned.stage.unit or "N·m"
        choice = planned.choice
        setting = choice.setting if choice else None
        if choice is not None and setting is not None:
            if choice.tool.kind == "click":
                return ClickReading(True, True, Decimal(f"{setting.value:g}"), setting.scale_unit)
            unit = setting.scale_unit
            step = choice.tool.settable_step(choice.tool.scale(unit))
            return ValueReading(_rounded(convert(aim, "N·m", unit), step), unit)
        return ValueReading(_rounded(convert(aim, "N·m", unit), 0.01), unit)

    def _unseen(self, planned: StagePlan) -> Reading:
        """Answer for a fastener without a model, such as a plug on a crush washer."""
        if planned.limits.quantity == "angle":
            wanted = planned.stage.angle_deg or 0.0
            return AngleReading(_rounded(wanted + self._rng.normal(0.0, 1.5), 1.0))
        raise Refused(
            words(
                "this joint cannot be rehearsed: a torque stage needs thread, strength, friction "
                "and stiffness in the job file"
            )
        )

    def _fastener(self, joint: Joint, number: int) -> SimulatedFastener | None:
        parts, friction = joint.fastening, joint.friction
        if number == 0 or parts is None or friction is None:
            return None
        if parts.clamp_rate is None or parts.yield_stress is None:
            return None
        known = self._fasteners.get((joint.id, number))
        if known is None:
            middle = friction.low + self._level[joint.id] * (friction.high - friction.low)
            thread, head = middle * self._rng.lognormal(0.0, _SPREAD, 2)
            known = SimulatedFastener(
                parts, Condition(float(thread), float(head)), seed=int(self._rng.integers(2**31))
            )
            self._fasteners[joint.id, number] = known
        return known


def _is_read(planned: StagePlan, joint: Joint) -> bool:
    """Whether a torque is read without a model of the fastener: settings, and running torques."""
    return joint.kind == "bearing_setting" or planned.stage.check in {"running", "ceiling"}


def _recording(planned: StagePlan) -> Fitness | None:
    """Take a wrench that records the pull where something is to be seen of a fault."""
    usable = [choice for choice in planned.choices if choice.usable]
    return next((one for one in usable if one.tool.trace), planned.choice)


def _shown(setting: Setting | None) -> float:
    if setting is None:
        return 0.0
    return setting.value * factor(setting.scale_unit, "N·m")


def _wrench(tool: Tool, choice: Fitness, shown: float) -> SimulatedWrench:
    """Give the simulated wrench what is known of the real one: deviation, stiffness, angle."""
    wrench = SimulatedWrench()
    if choice.setting is not None:
        known = trust_when_showing(tool, shown, "cw").deviation or 0.0
        wrench = replace(wrench, deviation=known / 100.0)
    if tool.stiffness is not None:
        wrench = replace(wrench, stiffness=tool.stiffness)
    if tool.angle is not None and tool.angle.mode is not None:
        wrench = replace(wrench, angle_mode=tool.angle.mode)
    return wrench


def _told(tool: Tool, setting: Setting | None, pull: Pull) -> Answer:
    if tool.trace:
        return Answer(None, write_csv(pull.trace), tool.id)
    if setting is None:
        return Answer(DoneReading(done=True), None, tool.id)
    if tool.kind == "click":
        return Answer(
            ClickReading(
                pull.clicked, pull.moved, Decimal(f"{setting.value:g}"), setting.scale_unit
            ),
            None,
            tool.id,
        )
    scale = tool.scale(setting.scale_unit)
    value = convert(pull.reading, "N·m", scale.unit)
    return Answer(
        ValueReading(_rounded(value, tool.settable_step(scale)), scale.unit), None, tool.id
    )


def _rounded(value: float, step: float) -> Decimal:
    """Return the nearest graduation as a person would say it."""
    return Decimal(f"{round(value / step) * step:.6g}")
