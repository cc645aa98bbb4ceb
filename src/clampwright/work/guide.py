"""What comes next at the bench: fastener, stage, tool, setting and target."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.drawer.fit import Fitness
from clampwright.units import convert, format_quantity
from clampwright.words import Words, words
from clampwright.work.adjusting import for_fastener
from clampwright.work.describe import shown
from clampwright.work.fold import JobState, Pull, PullKey
from clampwright.work.job import Joint
from clampwright.work.plan import Plan, StagePlan


@dataclass(frozen=True, slots=True)
class Guidance:
    """The next pull, ready to be shown.

    Parameters
    ----------
    key : PullKey
    joint : Joint
    planned : StagePlan
    place : Words
        Where the fastener sits.
    choice : Fitness or None
        The tool to take.
    target : Words
        What to do, in the unit of the tool in hand.
    last : Pull or None
        The last pull at this place, when it did not come right.
    left_in_stage, left : int
        Pulls left in this stage and in the job, this one included.
    """

    key: PullKey
    joint: Joint
    planned: StagePlan
    place: Words
    choice: Fitness | None
    target: Words
    last: Pull | None
    left_in_stage: int
    left: int


def next_pull(plan: Plan, state: JobState, in_hand: str | None = None) -> Guidance | None:
    """Return the next pull, or None when all are settled.

    Parameters
    ----------
    plan : Plan
    state : JobState
    in_hand : str or None
        Id of the tool the person chose; the planned one if not given or not usable here.

    Returns
    -------
    Guidance or None
    """
    open_keys = [key for key in plan.sequence() if not state.settled(key)]
    if not open_keys:
        return None
    return guidance(plan, open_keys[0], open_keys, in_hand, state)


def guidance(
    plan: Plan,
    key: PullKey,
    open_keys: list[PullKey],
    in_hand: str | None = None,
    state: JobState | None = None,
) -> Guidance:
    """Describe one pull.

    Parameters
    ----------
    plan : Plan
    key : PullKey
    open_keys : list of PullKey
        The pulls not yet settled.
    in_hand : str or None
        Id of the tool the person chose.
    state : JobState or None
        What was done before, for what is left of an angle.

    Returns
    -------
    Guidance
    """
    state = state or JobState()
    planned = for_fastener(plan, state, key)
    joint = plan.joint(key.joint).joint
    place = joint.layout.place(key.fastener) if key.fastener else words("the whole joint")
    choice = next(
        (one for one in planned.choices if one.usable and one.tool.id == in_hand), planned.choice
    )
    same = sum((one.joint, one.stage) == (key.joint, key.stage) for one in open_keys)
    return Guidance(
        key,
        joint,
        planned,
        place,
        choice,
        target_words(planned, choice, already=state.turned_already(key)),
        state.latest.get(key),
        same,
        sum(one.fastener != 0 for one in open_keys),
    )


def target_words(planned: StagePlan, choice: Fitness | None, *, already: float = 0.0) -> Words:
    """Say what a pull must reach, in the unit of the tool in hand.

    Parameters
    ----------
    planned : StagePlan
    choice : Fitness or None
        The tool in hand.
    already : float
        Angle turned by earlier, short pulls, degrees.

    Returns
    -------
    Words
    """
    stage, limits = planned.stage, planned.limits
    match stage.kind:
        case "torque" | "torque_check" if limits.target is not None:
            return words("{torque}", torque=_in_hand(planned, choice, limits.target))
        case "torque_check" if limits.low is None and limits.high is None:
            return words("measure and note it")
        case "torque" | "torque_check":
            return words(
                "{low} to {high}",
                low=_in_hand(planned, choice, limits.low),
                high=_in_hand(planned, choice, limits.high),
            )
        case "angle" if already:
            whole = stage.angle_deg or 0.0
            return words(
                "turn {rest:.3g}° more ({whole:g}° in all)", rest=whole - already, whole=whole
            )
        case "angle":
            return words("turn {angle:g}° further", angle=stage.angle_deg or 0.0)
        case "back_off_then":
            return words("turn back {angle:g}°", angle=stage.angle_deg or 0.0)
        case "loosen":
            return words("loosen fully")
        case "snug":
            return words("run down by hand until the parts touch")
        case "wait":
            return words(
                "wait: {amount}", amount=format_quantity(stage.value or 0.0, stage.unit or "min")
            )
        case _:
            return words(
                "stretch to {amount}",
                amount=format_quantity(stage.value or 0.0, stage.unit or "mm"),
            )


def _in_hand(planned: StagePlan, choice: Fitness | None, torque: float | None) -> str:
    if torque is None:
        return "…"
    setting = choice.setting if choice else None
    unit = setting.scale_unit if setting else (planned.stage.unit or "N·m")
    return shown(convert(torque, "N·m", unit), unit)
