"""The plan of a job: for every stage its order, wrench, setting, and the clamp to expect."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from clampwright.drawer.assignment import Told, assign_ranked
from clampwright.drawer.calibration import Direction
from clampwright.drawer.demand import Action, Demand
from clampwright.drawer.fit import Fitness
from clampwright.drawer.ranking import Choices, Ranker
from clampwright.drawer.tools import Drawer
from clampwright.errors import Ambiguous, Missing
from clampwright.joint.band import ClampBand, clamp_bands
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step
from clampwright.procedure.stage import Stage
from clampwright.words import words
from clampwright.work.describe import describe
from clampwright.work.fold import PullKey
from clampwright.work.job import Job, Joint, Procedure
from clampwright.work.limits import Limits, limits_of
from clampwright.work.sequence import LOOSENING, WHOLE_JOINT, StageOrder, pull_keys, stage_order

_ACTIONS: dict[str, Action] = {
    "torque": "torque",
    "torque_check": "check",
    "angle": "angle",
    "loosen": "loosen",
    "back_off_then": "loosen",
    "snug": "snug",
}
"""What a tool must be able to do for a kind of stage; kinds that need no wrench are absent."""


@dataclass(frozen=True, slots=True)
class StagePlan:
    """One stage of a joint, planned.

    Parameters
    ----------
    number : int
        Counted from 1.
    stage : Stage
    order : StageOrder
    limits : Limits
    choices : sequence of Fitness
        Every tool with its reasons: first the one to take, then the others, best first.
    clamp : ClampBand or None
        Clamp load after this stage, where it can be computed.
    counted : tuple of float
        Relative uncertainty of torque and standard uncertainty of angle (degrees) behind `clamp`.
    """

    number: int
    stage: Stage
    order: StageOrder
    limits: Limits
    choices: Sequence[Fitness]
    clamp: ClampBand | None = None
    counted: tuple[float, float] = (0.0, 0.0)

    @property
    def choice(self) -> Fitness | None:
        """The tool to take; None where none is needed or none fits."""
        if isinstance(self.choices, Choices):
            return self.choices.best
        return next((one for one in self.choices if one.usable), None)

    @property
    def pulls(self) -> int:
        """Number of pulls; a wait is none."""
        return 0 if self.stage.kind in WHOLE_JOINT else len(self.order.fasteners)


@dataclass(frozen=True, slots=True)
class JointPlan:
    """One joint, planned.

    Parameters
    ----------
    joint : Joint
    stages : tuple of StagePlan
    """

    joint: Joint
    stages: tuple[StagePlan, ...]

    def sequence(self) -> Iterator[PullKey]:
        """Yield the pulls in working order."""
        yield from pull_keys(
            self.joint.id,
            [planned.stage for planned in self.stages],
            [planned.order.fasteners for planned in self.stages],
        )


@dataclass(frozen=True, slots=True)
class Plan:
    """A whole job, planned.

    Parameters
    ----------
    job : Job
    joints : tuple of JointPlan
    drawer : Drawer
        The tools it was planned with.
    today : datetime.date
        The day it was planned for.
    """

    job: Job
    joints: tuple[JointPlan, ...]
    drawer: Drawer
    today: date

    def sequence(self) -> Iterator[PullKey]:
        """Yield the pulls of all joints in working order."""
        for joint in self.joints:
            yield from joint.sequence()

    def stage(self, key: PullKey) -> StagePlan:
        """Return the planned stage of a pull."""
        return self.joint(key.joint).stages[key.stage - 1]

    def joint(self, joint_id: str) -> JointPlan:
        """Return the planned joint of an id."""
        self.job.joint(joint_id)
        return next(one for one in self.joints if one.joint.id == joint_id)

    @property
    def pulls(self) -> int:
        """Number of pulls."""
        return sum(stage.pulls for joint in self.joints for stage in joint.stages)


def plan_job(job: Job, drawer: Drawer, *, today: date) -> Plan:
    """Plan a job with the tools of a drawer.

    Parameters
    ----------
    job : Job
    drawer : Drawer
    today : datetime.date
        For the dates of calibrations.

    Returns
    -------
    Plan

    Raises
    ------
    Ambiguous
        When a procedure can be read in two ways and nobody has chosen.
    Missing
        When a procedure names fasteners the joint does not have.
    """
    ranker = Ranker(drawer, today)
    joints = tuple(_plan_joint(joint, job, ranker) for joint in job.joints)
    return Plan(job, joints, drawer, today)


def _plan_joint(joint: Joint, job: Job, ranker: Ranker) -> JointPlan:
    _settled(joint)
    stages = joint.procedure.stages
    limits = [limits_of(stage, job.rules) for stage in stages]
    demands = [demand_of(stage, one, joint) for stage, one in zip(stages, limits, strict=True)]
    adapter = ranker.drawer.adapter(joint.adapter) if joint.adapter else None
    choices = ranker.choose_all(demands, adapter)
    planned = [
        StagePlan(number, stage, stage_order(joint, stage), one, tools)
        for number, (stage, one, tools) in enumerate(zip(stages, limits, choices, strict=True), 1)
    ]
    return joint_plan(joint, planned)


def joint_plan(joint: Joint, stages: Sequence[StagePlan]) -> JointPlan:
    """Return a joint's plan from its stages: the tool of each, and the clamp load that follows.

    Parameters
    ----------
    joint : Joint
    stages : sequence of StagePlan
        With all choices, best first.

    Returns
    -------
    JointPlan
    """
    taken = assign_ranked(
        [one.choices if isinstance(one.choices, Choices) else Told(one.choices) for one in stages]
    )
    planned = [
        replace(one, choices=_first(one.choices, place))
        for one, place in zip(stages, taken, strict=True)
    ]
    bands, counted = _clamps(joint, planned)
    return JointPlan(
        joint,
        tuple(
            replace(one, clamp=band, counted=counted)
            for one, band in zip(planned, bands, strict=True)
        ),
    )


def _first(choices: Sequence[Fitness], place: int | None) -> Sequence[Fitness]:
    if not place:
        return choices
    if isinstance(choices, Choices):
        return choices.with_first(place)
    return (choices[place], *choices[:place], *choices[place + 1 :])


def _settled(joint: Joint) -> None:
    procedure = joint.procedure
    if procedure.stages:
        return
    reading = procedure.reading
    if reading is not None and reading.candidates:
        raise Ambiguous(
            words(
                "{joint}: {why} Choose a reading: write its number as choice in the job file",
                joint=joint.id,
                why=_why(procedure),
            ),
            tuple(
                f"{number}: " + "; ".join(str(describe(stage)) for stage in candidate)
                for number, candidate in enumerate(reading.candidates, 1)
            ),
        )
    raise Missing(
        words(
            "{joint}: {why} Write the missing figure into the procedure; where there is "
            "none, stop, and say: clampwright nofigure",
            joint=joint.id,
            why=_why(procedure) or "it has no stages.",
        ),
        needed="procedure",
    )


def _why(procedure: Procedure) -> str:
    return " ".join(str(sentence) for sentence in procedure.questions)


def demand_of(stage: Stage, limits: Limits, joint: Joint) -> Demand | None:
    """Return what a tool must be able to do for a stage; None where no tool is needed.

    Parameters
    ----------
    stage : Stage
    limits : Limits
    joint : Joint

    Returns
    -------
    Demand or None
    """
    return demand_for(
        stage, limits, direction=direction_of(stage, joint), harm_level=joint.harm_level
    )


def demand_for(
    stage: Stage, limits: Limits, *, direction: Direction, harm_level: int
) -> Demand | None:
    """Return what a tool must be able to do for a stage of no joint yet; as `demand_of`.

    Parameters
    ----------
    stage : Stage
    limits : Limits
    direction : str
        ``cw`` or ``ccw``.
    harm_level : int

    Returns
    -------
    Demand or None
    """
    action = _ACTIONS.get(stage.kind)
    if action is None:
        return None
    torque = limits.quantity == "torque"
    if action == "check" and _aim(limits) is None:
        return None  # nothing to choose by: the running torque is not known before it is measured
    return Demand(
        action=action,
        torque=_aim(limits) if torque else None,
        low=limits.low if torque else None,
        high=limits.high if torque else None,
        angle_deg=stage.angle_deg,
        unit=stage.unit if torque and stage.unit else "N·m",
        direction=direction,
        harm_level=harm_level,
        check=stage.check,
    )


def _aim(limits: Limits) -> float | None:
    if limits.target is not None:
        return limits.target
    return limits.low if limits.low is not None else limits.high


def direction_of(stage: Stage, joint: Joint) -> Direction:
    """Return which way a stage turns its fasteners: ``cw`` or ``ccw``."""
    return turning_direction(stage, left_hand=joint.left_hand)


def turning_direction(stage: Stage, *, left_hand: bool = False) -> Direction:
    """Return which way a stage turns: ``cw`` or ``ccw``; as `direction_of`."""
    left = left_hand or stage.direction == "ccw"
    loosening = _ACTIONS.get(stage.kind) == "loosen"
    return "ccw" if left != loosening else "cw"


def _clamps(
    joint: Joint, planned: list[StagePlan]
) -> tuple[list[ClampBand | None], tuple[float, float]]:
    """Clamp load after each stage, where geometry, material and surface are stated."""
    bands: list[ClampBand | None] = [None] * len(planned)
    friction = joint.friction
    if joint.fastening is None or friction is None:
        return bands, (0.0, 0.0)
    steps, indexes = _steps(joint.fastening, planned)
    if not steps:
        return bands, (0.0, 0.0)
    counted = (
        max((_u_torque(planned[index]) for index in indexes), default=0.0),
        max((_u_angle(planned[index]) for index in indexes), default=0.0),
    )
    found = clamp_bands(
        joint.fastening,
        steps,
        friction=(friction.low, friction.high),
        torque_u_rel=counted[0],
        angle_u_deg=counted[1],
    )
    for index, band in zip(indexes, found, strict=True):
        bands[index] = band
    return bands, counted


def _steps(fastening: Fastening, planned: list[StagePlan]) -> tuple[list[Step], list[int]]:
    """Return what the joint feels of the stages, up to the first whose effect is not known."""
    steps: list[Step] = []
    indexes: list[int] = []
    for index, one in enumerate(planned):
        stage = one.stage
        if stage.kind == "torque" and one.limits.target is not None:
            step = Step("torque", one.limits.target)
        elif stage.kind == "angle" and stage.angle_deg and fastening.clamp_rate:
            step = Step("angle", stage.angle_deg)
        elif stage.kind in LOOSENING and (stage.angle_deg is None or fastening.clamp_rate):
            step = Step("loosen", stage.angle_deg)
        elif stage.kind == "snug":
            step = Step("snug")
        elif stage.kind in {"wait", "torque_check"}:
            continue
        else:
            break
        steps.append(step)
        indexes.append(index)
    return steps, indexes


def _u_torque(planned: StagePlan) -> float:
    choice = planned.choice
    return (choice.u_rel or 0.0) if choice else 0.0


def _u_angle(planned: StagePlan) -> float:
    choice = planned.choice
    return (choice.u_angle or 0.0) if choice else 0.0
