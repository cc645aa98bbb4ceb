"""What a pull must reach: the stage's own limits, or the workshop's where it states none."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from clampwright.procedure.stage import Stage
from clampwright.units import factor
from clampwright.words import Words, words
from clampwright.work.job import Rules

Quantity = Literal["torque", "angle", "stretch", "none"]
Origin = Literal["procedure", "workshop"]


@dataclass(frozen=True, slots=True)
class Limits:
    """Target and limits of one pull, in base units (N·m, degrees or mm).

    Parameters
    ----------
    quantity : str
        ``torque``, ``angle``, ``stretch``, or ``none`` for work that is only done or not.
    target, low, high : float or None
        None where open.
    origin : str
        ``procedure`` when the limits stand in the text, ``workshop`` when its rule filled them in.
    rechecks : bool
        A torque that was set before is checked by turning on, without slackening.
    approached : bool
        Reached in small steps: a reading that is short is the next step, not a doubt.
    """

    quantity: Quantity
    target: float | None = None
    low: float | None = None
    high: float | None = None
    origin: Origin = "procedure"
    rechecks: bool = False
    approached: bool = False

    def holds(self, value: float) -> bool:
        """Return whether a value lies within the limits."""
        return not self.below(value) and not self.above(value)

    def below(self, value: float) -> bool:
        """Return whether a value lies under the lower limit."""
        return self.low is not None and value < self.low

    def above(self, value: float) -> bool:
        """Return whether a value lies over the upper limit."""
        return self.high is not None and value > self.high

    @property
    def unit(self) -> str:
        """Base unit of the quantity."""
        return {"torque": "N·m", "angle": "deg", "stretch": "mm", "none": ""}[self.quantity]

    def words(self) -> Words:
        """Say where the limits come from."""
        if self.origin == "workshop":
            return words("limits by the workshop's rule; the procedure states none")
        return words("limits as the procedure states them")


def limits_of(stage: Stage, rules: Rules, *, extra_torque: float = 0.0) -> Limits:
    """Return what a pull of a stage must reach.

    Parameters
    ----------
    stage : Stage
    rules : Rules
        The workshop's limits for figures stated without any.
    extra_torque : float
        Running torque of the nut to add, N·m, where the stage asks for it.

    Returns
    -------
    Limits

    Examples
    --------
    >>> limits = limits_of(Stage("torque", 50.0, "N·m"), Rules(4.0, 5.0))
    >>> limits.low, limits.high, limits.origin
    (48.0, 52.0, 'workshop')
    """
    if stage.kind in {"torque", "torque_check"}:
        extra = extra_torque if stage.plus_running_torque else 0.0
        return _torque_limits(stage, rules, extra)
    if stage.kind in {"angle", "back_off_then"} and stage.angle_deg is not None:
        return _filled("angle", stage.angle_deg, stage.low_deg, stage.high_deg, rules.angle_deg)
    if stage.kind == "stretch":
        return _stretch_limits(stage, rules)
    return Limits("none")


def _torque_limits(stage: Stage, rules: Rules, extra: float) -> Limits:
    target, low, high = (
        None if value is None else value + extra
        for value in (stage.torque_nm, stage.low_nm, stage.high_nm)
    )
    if stage.check in {"re_check", "final_minimum"} and low is None and target is not None:
        return Limits("torque", target, target, high, rechecks=stage.check == "re_check")
    half = None if target is None else target * rules.torque_percent / 100
    found = _filled("torque", target, low, high, half)
    return replace(found, approached=True) if stage.check == "rotating" else found


def _filled(
    quantity: Quantity,
    target: float | None,
    low: float | None,
    high: float | None,
    half_width: float | None,
) -> Limits:
    if low is not None or high is not None or target is None or half_width is None:
        return Limits(quantity, target, low, high)
    return Limits(quantity, target, target - half_width, target + half_width, "workshop")


def _stretch_limits(stage: Stage, rules: Rules) -> Limits:
    scale = factor(stage.unit or "mm", "mm")
    target, low, high = (
        None if value is None else value * scale
        for value in (stage.value, stage.tolerance_low, stage.tolerance_high)
    )
    half = None if target is None else target * rules.torque_percent / 100
    return _filled("stretch", target, low, high, half)
