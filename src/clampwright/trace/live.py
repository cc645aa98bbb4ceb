"""A pull while it is being made: the same analysis sample by sample, in constant memory.

Each sample costs a fixed amount of work and the answer says where the pull stands. What is said on
the way is a forecast from what is past; the verdict at the end is that of `verdict.judge` on the
whole trace, which is kept in a store of fixed size until then. A wrench that lies still before the
pull does not fill it: half full without a pull it keeps only the last seconds.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from clampwright.errors import ClampwrightError
from clampwright.trace.compare import angle_limits, torque_limits
from clampwright.trace.given import Given, expected_rate
from clampwright.trace.limits import limit
from clampwright.trace.live_curve import LiveCurve
from clampwright.trace.live_strokes import LiveStrokes
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.verdict import TraceVerdict, judge
from clampwright.words import Words, words

MOST = 600_000
"""Samples of one pull that are kept: ten minutes at 1000 Hz."""
_REST_S, _REST_DEG = 2.0, 2.0  # so much of lying still before a pull is kept


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


class LivePull:
    """One pull, fed sample by sample.

    Parameters
    ----------
    given : Given
        What is known beforehand.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is, where `given` does not say.
    sample_rate : float
        Hz, about; for smoothing.
    most : int
        Samples that are kept; the store is made once, at this size.

    Examples
    --------
    >>> pull = LivePull(Given(target_torque_Nm=20.0, snug_torque_Nm=5.0), "output", 100.0)
    >>> for i in range(200):
    ...     now = pull.add(i / 100, 0.1 * i, 0.08 * i)
    ...     if now.event == "snug":
    ...         print(f"counting at {now.torque:.0f} N·m")
    counting at 5 N·m
    >>> now.say, round(now.share, 1), pull.finish().verdict
    ('slow_down', 1.0, 'within')
    """

    def __init__(
        self,
        given: Given,
        angle_mode: AngleMode = "handle",
        sample_rate: float = 100.0,
        most: int = MOST,
    ) -> None:
        self.given = given
        self.mode: AngleMode = given.angle_mode or angle_mode
        self._rows: Floats = np.empty((most, 3))
        self._count = 0
        self._lost = 0
        self._left_out = 0
        held, target = given.previous_torque_Nm or 0.0, given.target_torque_Nm or 0.0
        self._strokes = LiveStrokes(
            self.mode, given.tool_stiffness_Nm_per_deg, held, target, sample_rate
        )
        self._curve = LiveCurve(expected_rate(given))
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
        if not (np.isfinite(time) and np.isfinite(torque) and np.isfinite(angle)):
            raise ClampwrightError(words("a sample must be three numbers: time, torque and angle"))
        if self.last is not None and time <= self.last.time:
            self._lost += 1
            return replace(self.last, event=None)
        self._keep(time, torque, angle)
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
        slope = self._curve.slope
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

    def _keep(self, time: float, torque: float, angle: float) -> None:
        if self._count == len(self._rows):
            self._left_out += 1
            return
        self._rows[self._count] = time, torque, angle
        self._count += 1
        if self._strokes.loaded or self._count < len(self._rows) // 2:
            return
        rows = self._rows[: self._count]
        first = int(np.searchsorted(rows[:, 0], time - _REST_S))
        still = float(np.ptp(rows[:, 2])) < _REST_DEG
        if still and first > self._count // 2:
            kept = self._count - first
            self._rows[:kept] = rows[first:].copy()
            self._count = kept

    def trace(self) -> Trace:
        """Return what was kept, as a trace.

        Returns
        -------
        Trace

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        steps = []
        if self._lost:
            steps.append(Step("repeated time stamps dropped", {"count": self._lost}))
        if self._left_out:
            steps.append(Step("samples left out at the end", {"count": self._left_out}))
        time, torque, angle = self._rows[: self._count].T
        return Trace(time, torque, angle, self.mode, tuple(steps))

    def finish(self) -> TraceVerdict:
        """Judge the pull as a whole.

        Returns
        -------
        TraceVerdict
            What `clampwright.trace.verdict.judge` says of the trace that was kept.

        Raises
        ------
        ClampwrightError
            For fewer than two samples.
        """
        return judge(self.trace(), self.given)
