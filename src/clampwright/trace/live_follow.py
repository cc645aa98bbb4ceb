"""Where a pull stands while it is being made: a fixed amount of work a sample, nothing is kept.

What is said on the way is a forecast from what is past; the verdict at the end is that of
`clampwright.trace.verdict.judge` on the whole trace.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from clampwright.errors import ClampwrightError
from clampwright.trace.compare import angle_limits, torque_limits
from clampwright.trace.given import Given, expected_rate
from clampwright.trace.limits import limit
from clampwright.trace.live_curve import LiveCurve
from clampwright.trace.live_strokes import LiveStrokes
from clampwright.trace.model import AngleMode
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Progress:
    """Where a pull stands after a sample.

    Parameters
    ----------
    time : float
        s.
    torque : float
        Slightly smoothed, N·m.
    turned : float
        What the fastener turned so far, degrees.
    after_snug : float or None
        Of that since the snug torque, degrees.
    share : float or None
        Of the way to the target, 0 to 1; None where there is no target.
    remaining : float or None
        Rotation to the target that is expected, degrees; None while it cannot be foreseen.
    say : {"turn", "slow_down", "stop", "back_off"}
        What the hand should do.
    event : str or None
        What happened with this sample: ``snug``, ``target``, ``yielded``, ``slipped`` or
        ``stroke_ended``.
    strokes : int
        Forward swings that have ended.
    """

    time: float
    torque: float
    turned: float
    after_snug: float | None
    share: float | None
    remaining: float | None
    say: str
    event: str | None
    strokes: int


SAYINGS: dict[str, Words] = {
    "turn": words("turn on"),
    "slow_down": words("slow down"),
    "stop": words("stop: the target is reached"),
    "back_off": words("stop: something went wrong"),
}
"""What `Progress.say` means."""

EVENTS: dict[str, Words] = {
    "snug": words("snug: the angle counts from here"),
    "target": words("the target is reached"),
    "yielded": words("the fastener yields"),
    "slipped": words("the socket slipped"),
    "stroke_ended": words("the stroke has ended"),
}
"""What `Progress.event` means."""


class Following:
    """Follows one pull, sample by sample, and says where it stands.

    Parameters
    ----------
    given : Given
        What is known beforehand.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is, where `given` does not say.
    sample_rate : float
        Hz, about; for smoothing.

    Examples
    --------
    >>> pull = Following(Given(target_torque_Nm=20.0, snug_torque_Nm=5.0), "output", 100.0)
    >>> now = pull.add(0.0, 1.0, 0.0)
    >>> now.say, now.share
    ('turn', 0.05)
    """

    def __init__(
        self, given: Given, angle_mode: AngleMode = "handle", sample_rate: float = 100.0
    ) -> None:
        self.given = given
        self.mode: AngleMode = given.angle_mode or angle_mode
        held, target = given.previous_torque_Nm or 0.0, given.target_torque_Nm or 0.0
        self._strokes = LiveStrokes(
            self.mode, given.tool_stiffness_Nm_per_deg, held, target, sample_rate
        )
        self._expected_slope = expected_rate(given)
        self._curve = LiveCurve(self._expected_slope)
        self._snug = given.snug_torque_Nm
        if self._snug is None:
            self._snug = limit("snug_share") * target if target else None
        self._snug_at: float | None = None
        self._low = self._wanted_low()
        self._done = self._yielded = False
        self.last: Progress | None = None

    def _wanted_low(self) -> float | None:
        """Return what must be reached: torque, or degrees after snug."""
        given = self.given
        if given.procedure == "torque":
            low, _ = torque_limits(given)
            return given.target_torque_Nm or low
        low, _ = angle_limits(given)
        return given.wanted_angle or low

    def add(self, time: float, torque: float, angle: float) -> Progress:
        """Take one sample.

        Parameters
        ----------
        time : float
            s; a sample that is not later than the one before is passed over.
        torque : float
            N·m.
        angle : float
            Degrees.

        Returns
        -------
        Progress

        Raises
        ------
        ClampwrightError
            For a value that is not a number.
        """
        if not (math.isfinite(time) and math.isfinite(torque) and math.isfinite(angle)):
            raise ClampwrightError(words("a sample must be three numbers: time, torque and angle"))
        if self.last is not None and time <= self.last.time:
            return replace(self.last, event=None)
        ended = self._strokes.add(time, torque, angle)
        strokes = self._strokes
        event = self._event(ended)
        if strokes.running:
            self._curve.add(strokes.turned, torque)
        self.last = self._progress(time, event)
        return self.last

    def _event(self, ended: str | None) -> str | None:
        strokes = self._strokes
        if ended is not None:
            return "slipped" if ended == "slipped" else "stroke_ended"
        if self._snug_at is None and self._snug is not None and strokes.torque >= self._snug:
            self._snug_at = strokes.turned
            self._curve.start()
            return "snug"
        if not self._yielded and self._curve.bent(strokes.noise):
            self._yielded = True
            return "yielded"
        reached = self._reached()
        if reached is not None and not self._done and reached >= 1.0:
            self._done = True
            return "target"
        return None

    def _reached(self) -> float | None:
        if self._low is None or self._low <= 0:
            return None
        if self.given.procedure == "torque":
            return max(self._strokes.torque, 0.0) / self._low
        return (self.after_snug or 0.0) / self._low

    @property
    def after_snug(self) -> float | None:
        """Rotation since the snug torque, degrees; None before."""
        return None if self._snug_at is None else self._strokes.turned - self._snug_at

    @property
    def yielded(self) -> bool:
        """Whether the curve has flattened for good."""
        return self._yielded

    @property
    def slipped(self) -> bool:
        """Whether the socket has slipped off."""
        return self._strokes.slipped

    def _remaining(self) -> float | None:
        if self._low is None:
            return None
        if self.given.procedure == "torque_angle":
            return None if self._snug_at is None else max(self._low - (self.after_snug or 0.0), 0.0)
        slope = self._curve.slope or self._expected_slope  # the joint's own, until one is measured
        if slope is None or slope <= 0.0:
            return None
        return max(self._low - self._strokes.torque, 0.0) / slope

    def _progress(self, time: float, event: str | None) -> Progress:
        strokes, reached, remaining = self._strokes, self._reached(), self._remaining()
        return Progress(
            time=time,
            torque=strokes.torque,
            turned=strokes.turned,
            after_snug=self.after_snug,
            share=None if reached is None else min(reached, 1.0),
            remaining=remaining,
            say=self._say(remaining),
            event=event,
            strokes=strokes.ended,
        )

    def _say(self, remaining: float | None) -> str:
        if self.slipped or (self._yielded and self.given.procedure == "torque"):
            return "back_off"
        if self._done:
            return "stop"
        reached = self._reached() or 0.0
        near = remaining is not None and remaining <= max(
            limit("slow_deg"), limit("slow_s") * self._strokes.speed
        )
        loaded = self._snug_at is not None
        return "slow_down" if loaded and (near or reached >= limit("slow_share")) else "turn"

    @property
    def loaded(self) -> bool:
        """Whether there ever was a torque to speak of."""
        return self._strokes.loaded

    @property
    def reached(self) -> float | None:
        """Share of the way to the target, also past it; None where there is no target."""
        return self._reached()
