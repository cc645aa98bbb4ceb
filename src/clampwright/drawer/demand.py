"""What a stage asks of a tool."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from clampwright.drawer.calibration import Direction
from clampwright.drawer.settings import Wanted
from clampwright.errors import Missing, OutOfRange
from clampwright.words import words

Action = Literal["torque", "angle", "loosen", "snug", "check"]
Check = Literal["rotating", "running", "re_check", "final_minimum", "ceiling"]


@dataclass(frozen=True, slots=True)
class Demand:
    """What a stage asks of a tool.

    Parameters
    ----------
    action : str
        ``torque``, ``angle``, ``loosen`` (fully or by an amount), ``snug`` or ``check``.
    torque : float or None
        Wanted at the fastener, N·m. For an angle: the torque expected at its end, where known.
    low, high : float or None
        Limits of the torque, N·m.
    angle_deg : float or None
        Angle to turn, degrees.
    unit : str
        Canonical name of the unit in which the procedure gives the torque.
    direction : str
        ``cw`` or ``ccw``: the way the fastener is turned in this stage.
    harm_level : int
        What happens if the joint fails: 1 life or limb, 2 breakdown, 3 annoyance.
    check : str or None
        Sort of `check`: ``rotating``, ``running``, ``re_check``, ``final_minimum`` or ``ceiling``.

    Raises
    ------
    Missing
        When a torque, an angle or anything to check against is needed and not given.
    OutOfRange
        When a value cannot be: not above zero, outside its own limits, no such harm level.

    Examples
    --------
    >>> Demand("torque", 45.0, 42.0, 48.0).reference_torque
    45.0
    >>> Demand("check", low=1.0, high=2.0, check="rotating").reference_torque
    1.5
    """

    action: Action
    torque: float | None = None
    low: float | None = None
    high: float | None = None
    angle_deg: float | None = None
    unit: str = "N·m"
    direction: Direction = "cw"
    harm_level: int = 2
    check: Check | None = None

    def __post_init__(self) -> None:
        if self.action == "torque" and self.torque is None:
            raise Missing(words("a torque stage needs its torque"), needed="torque")
        if self.action == "angle" and self.angle_deg is None:
            raise Missing(words("an angle stage needs its angle"), needed="angle_deg")
        if self.action == "check" and self.reference_torque is None:
            raise Missing(words("a torque check needs a value or a limit"), needed="torque")
        for value in (self.torque, self.high, self.angle_deg):
            if value is not None and not value > 0:
                raise OutOfRange(
                    words("{value:g} is asked for; it must be above zero", value=value),
                    value=value,
                    low=0.0,
                )
        self._check_limits()
        if self.harm_level not in {1, 2, 3}:
            raise OutOfRange(
                words("harm level {level} does not exist; it is 1, 2 or 3", level=self.harm_level),
                value=self.harm_level,
                low=1,
                high=3,
            )

    def _check_limits(self) -> None:
        known = [value for value in (self.low, self.torque, self.high) if value is not None]
        if known != sorted(known):
            raise OutOfRange(
                words(
                    "the torque {torque:g} N·m does not lie within its limits, {low:g} to "
                    "{high:g} N·m",
                    torque=known[0] if self.torque is None else self.torque,
                    low=known[0] if self.low is None else self.low,
                    high=known[-1] if self.high is None else self.high,
                ),
                value=known[0],
                low=self.low,
                high=self.high,
            )

    @property
    def reference_torque(self) -> float | None:
        """The torque to look at, N·m: the value, else the middle of the limits, else a limit."""
        if self.torque is not None:
            return self.torque
        if self.low is not None and self.high is not None:
            return (self.low + self.high) / 2
        return self.low if self.high is None else self.high

    def wanted(self) -> Wanted:
        """Return the torque as a wrench must give it; `Missing` when there is none."""
        torque = self.reference_torque
        if torque is None:
            raise Missing(words("this stage asks for no torque"), needed="torque")
        return Wanted(torque, self.low, self.high, self.unit, self.direction)
