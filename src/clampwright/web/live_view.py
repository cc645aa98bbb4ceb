"""What a pull is to reach while it goes on, and what the pages show of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from clampwright.drawer.calibration import Direction
from clampwright.drawer.fit import Fitness
from clampwright.trace.given import Given
from clampwright.trace.live_follow import EVENTS, SAYINGS, Following, Progress
from clampwright.trace.model import AngleMode
from clampwright.units import convert
from clampwright.web.step_view import plain
from clampwright.words import Words, words
from clampwright.work.corrected import live_factor
from clampwright.work.fold import JobState, PullKey
from clampwright.work.given import given_for
from clampwright.work.plan import Plan, direction_of


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a pull is to reach, and how the wrench is read.

    Parameters
    ----------
    given : Given
    mode : {"handle", "accumulated", "output"}
        What the wrench's angle is.
    unit : str
        Unit of torque in which people are told, that of the wrench's scale.
    factor : float
        From what the wrench shows to the torque at the fastener.
    direction : {"cw", "ccw"}
    """

    given: Given
    mode: AngleMode
    unit: str
    factor: float
    direction: Direction

    @property
    def by_angle(self) -> bool:
        """Whether the stage ends at an angle."""
        return self.given.procedure == "torque_angle"

    @property
    def worth_telling(self) -> frozenset[str]:
        """Events that people are told; a target that is reached is told as what to do."""
        calm = {"target"} if self.by_angle else {"target", "snug"}
        return frozenset(EVENTS) - calm

    def share(self, torque: float) -> float | None:
        """Return the share of the way by the torque alone, before the pull is followed."""
        target = self.given.target_torque_Nm
        if self.by_angle or not target:
            return None
        return max(torque * self.factor, 0.0) / target


def wanted_of(plan: Plan, state: JobState, key: PullKey, choice: Fitness) -> Wanted:
    """Return what a pull is to reach with a wrench.

    Parameters
    ----------
    plan : Plan
    state : JobState
        For what earlier, short pulls have turned already.
    key : PullKey
    choice : Fitness
        The wrench.

    Returns
    -------
    Wanted
    """
    whole, tool = plan.joint(key.joint), choice.tool
    given = given_for(whole.joint, whole.stages, key.stage, tool, already=state.turned_already(key))
    direction = direction_of(plan.stage(key).stage, whole.joint)
    expected = given.target_torque_Nm or given.previous_torque_Nm or 0.0
    return Wanted(
        given=given,
        mode=tool.angle.mode if tool.angle and tool.angle.mode else "handle",
        unit=choice.setting.scale_unit if choice.setting else tool.scales[0].unit,
        factor=live_factor(expected, tool, adapter=choice.adapter, direction=direction),
        direction=direction,
    )


class Signs:
    """Turns the signs of a counter-clockwise pull over, as `corrected` does with the whole.

    Parameters
    ----------
    direction : {"cw", "ccw"}

    Examples
    --------
    >>> signs = Signs("ccw")
    >>> signs.forward(-2.0, -5.0), signs.forward(1.0, -4.0)
    ((2.0, 5.0), (-1.0, 4.0))
    """

    def __init__(self, direction: Direction) -> None:
        self._counter = direction == "ccw"
        self._most = self._least = 0.0

    def forward(self, torque: float, angle: float) -> tuple[float, float]:
        """Return torque and angle of a sample, positive in the direction of turning."""
        if not self._counter:
            return torque, angle
        self._most, self._least = max(self._most, torque), min(self._least, torque)
        return (-torque, -angle) if -self._least > self._most else (torque, angle)


def live_view(
    key: PullKey,
    entry: str,
    wanted: Wanted,
    following: Following | None,
    *,
    torque: float,
    happened: list[str],
) -> dict[str, Any]:
    """Return what the pages show of a pull that goes on.

    Parameters
    ----------
    key : PullKey
    entry : str
    wanted : Wanted
    following : Following or None
        None before the first samples.
    torque : float
        As the wrench shows it last, N·m.
    happened : list of str
        Names of events that were not told yet.

    Returns
    -------
    dict
        Its sentences are still `Words`: every page is told in its own language.
    """
    now = following.last if following else None
    turned = 0.0 if now is None else now.turned
    after = 0.0 if now is None else now.after_snug or 0.0
    reached = following.reached if following else wanted.share(torque)
    return {
        "joint": key.joint,
        "stage": key.stage,
        "fastener": key.fastener,
        "entry": entry,
        "torque": plain(convert(torque, "N·m", wanted.unit), 1),
        "unit": wanted.unit,
        "angle": plain(after if wanted.by_angle else turned, 0),
        "quantity": "angle" if wanted.by_angle else "torque",
        "part": round(min(reached or 0.0, 1.5), 3),
        "say": now.say if now else "turn",
        "told": SAYINGS[now.say if now else "turn"],
        "rest": "" if now is None else _rest(now) or "",
        "remaining": None if now is None or now.remaining is None else round(now.remaining, 1),
        "events": [name for name in happened if name in wanted.worth_telling],
        "happened": [EVENTS[name] for name in happened if name in wanted.worth_telling],
        "strokes": now.strokes if now else 0,
    }


def _rest(now: Progress) -> Words | None:
    """Say how far it still is; nothing once the hand is to stop."""
    if now.remaining is None or now.say in {"stop", "back_off"}:
        return None
    return words("about {angle:.0f}° to go", angle=now.remaining)


def answer_view(now: Progress | None, happened: list[str]) -> dict[str, Any]:
    """Return where a pull stands as figures, for the program that sends its samples.

    Parameters
    ----------
    now : Progress or None
        None before enough samples came.
    happened : list of str
        Names of events since the answer before.

    Returns
    -------
    dict
        Degrees, seconds, N·m; empty before enough samples came.
    """
    if now is None:
        return {}
    return {
        "t": now.time,
        "say": now.say,
        "events": happened,
        "share": _short(now.share),
        "remaining_deg": _short(now.remaining),
        "turned_deg": _short(now.turned),
        "after_snug_deg": _short(now.after_snug),
        "strokes": now.strokes,
    }


def _short(value: float | None) -> float | None:
    return None if value is None else round(value, 3)
