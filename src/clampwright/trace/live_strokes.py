"""Strokes and what the fastener turned, sample by sample.

The rule is that of `strokes`: the fastener turns only while the torque is as high as it was when it
last stopped, and what the tool winds up is taken out. Here the tool's stiffness is the one given,
or the usual one; what the trace itself shows of it is left to the whole analysis at the end.
"""

from __future__ import annotations

import math
from collections import deque

from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode


class LiveStrokes:
    """Follows one pull.

    Parameters
    ----------
    mode : {"handle", "accumulated", "output"}
    stiffness : float or None
        Of the tool, N·m/deg.
    held : float
        Torque that the fastener holds already, N·m.
    target : float
        Expected torque, for the size of things, N·m; 0 if not known.
    sample_rate : float
        Hz, about.

    Attributes
    ----------
    torque : float
        Slightly smoothed, N·m.
    turned : float
        Degrees so far.
    running : bool
        Whether the fastener turns and is past the breakaway.
    loaded : bool
        Whether there ever was a torque to speak of.
    ended : int
        Strokes that have ended.
    slipped : bool
    speed : float
        Of the fastener, deg/s.
    noise : float
        Of the torque, N·m.
    """

    def __init__(
        self,
        mode: AngleMode,
        stiffness: float | None,
        held: float,
        target: float,
        sample_rate: float,
    ) -> None:
        self._mode, self._held, self._target = mode, held, target
        self._stiffness = stiffness
        width = max(1, round(0.02 * sample_rate))
        self._recent: deque[float] = deque(maxlen=width)
        self._past: deque[tuple[float, float, float]] = deque(
            maxlen=max(8, int(0.12 * sample_rate))
        )
        self.torque = self.turned = self.speed = self.noise = 0.0
        self.running = self.loaded = self.slipped = False
        self.ended = 0
        self._top = held
        self._base = 0.0
        self._zero: float | None = None
        self._zero_count = 0
        self._peak = 0.0
        self._in_stroke = True
        self._front = -math.inf
        self._first_angle: float | None = None
        self._foremost = -math.inf
        self._way = self._at_motion = self._resumed = self._still = 0.0
        self._let_go = False
        self._second: tuple[float, float] | None = None

    @property
    def _compliance(self) -> float:
        if self._mode == "output":
            return 0.0
        if self._stiffness:
            return 1.0 / self._stiffness
        scale = max(self._target, self._top)
        return limit("wind_up_deg") / scale if scale > 0 else 0.0

    def add(self, time: float, torque: float, angle: float) -> str | None:
        """Take a sample; return how a stroke ended, if one did."""
        self._smooth(torque)
        if self._first_angle is None:
            self._first_angle = angle
        self._past.append((time, torque, angle))
        self._top = max(self._top, self.torque)
        engaged = limit("engaged_share") * max(self._top, 0.3 * self._target)
        self._peak = max(self._peak, self.torque) if self._in_stroke else 0.0
        self.loaded = self.loaded or self.torque > max(engaged, 6.0 * self.noise)
        before = self.turned
        ended = self._slip() or self._release(engaged)
        if ended is None and self._in_stroke:
            x = angle - self._first_angle - self.torque * self._compliance
            if self._mode == "handle" or angle > self._foremost:
                self._turn(x)  # a counter that stands still has nothing to say of the fastener
        self._foremost = max(self._foremost, angle)
        if not self._in_stroke and ended is None and self._starts(engaged, angle):
            self._begin()
        self._pace(before)
        return ended

    def _smooth(self, torque: float) -> None:
        self._recent.append(torque)
        self.torque = sum(self._recent) / len(self._recent)
        if self._second is not None:
            bend = abs(torque - 2.0 * self._second[1] + self._second[0]) / 6.0**0.5
            self.noise += 0.02 * (
                min(1.25 * bend, 3.0 * self.noise + 0.01 * self._top) - self.noise
            )
            self._second = (self._second[1], torque)
        else:
            self._second = (torque, torque)

    def _turn(self, x: float) -> None:
        """Move the fastener on by what the handle went, less wind-up."""
        least = limit("held_share") * max(self._top, 0.3 * self._target)
        if self._held > least and self._peak < limit("restart_high") * self._held:
            if self.torque >= limit("restart_low") * self._held or self._zero is None:
                self._zero_count += 1
                zero = x if self._zero is None else self._zero
                self._zero = zero + (x - zero) / self._zero_count
            return
        if self._zero is None:
            self._zero = x
        if x - self._zero > self._way:
            self._way = x - self._zero
            self._at_motion = self.torque
        self.turned = self._base + self._way

    def _release(self, engaged: float) -> str | None:
        """See a stroke end: the torque is gone after it was there, or the handle goes back."""
        if not self._in_stroke:
            return None
        gone = self._peak > 2.0 * engaged and self.torque < engaged
        angle = self._past[-1][2]
        self._front = max(self._front, angle)
        back = self._mode == "handle" and self._front - angle > self._back_least()
        if not gone and not back:
            return None
        return self._end("released")

    def _back_least(self) -> float:
        return limit("back_swing_deg") + self._peak * self._compliance

    def _end(self, how: str) -> str:
        self._base = self.turned
        if self._way > 0.0:
            self._held = self._at_motion
        self._in_stroke, self._zero, self._zero_count = False, None, 0
        self._peak = self._way = self._resumed = 0.0
        self._front, self._let_go = math.inf, False
        self.ended += 1
        return how

    def _starts(self, engaged: float, angle: float) -> bool:
        """See the next stroke begin: torque again, or the handle going forward once more."""
        if self.torque <= engaged:
            self._let_go = True
        elif self._let_go:
            return True
        if self._mode != "handle":
            return False
        self._front = min(self._front, angle)
        return self._let_go and angle - self._front > limit("back_swing_deg")

    def _begin(self) -> None:
        self._in_stroke, self._front = True, -math.inf

    def _slip(self) -> str | None:
        """See a sudden loss of torque with the handle running on."""
        if not self._in_stroke or self._peak <= limit("slip_least") * max(self._top, self._target):
            return None
        now, torque, angle = self._past[-1]
        handle = self._mode == "handle"
        window, drop = (
            (limit("slip_time_s"), limit("slip_drop"))
            if handle
            else (limit("vanish_time_s"), limit("vanish_drop"))
        )
        for time, before, where in self._past:
            if now - time > max(window, 1.5 * self._gap) + 1e-9 or before < 0.8 * self._peak:
                continue
            lost = torque <= (1.0 - drop) * before
            fast = (angle - where) > limit("slip_speed_dps") * (now - time) * 0.5
            if lost and (fast or not handle):
                self.slipped = True
                self._past.clear()
                return self._end("slipped")
        return None

    @property
    def _gap(self) -> float:
        if len(self._past) < 2:
            return 0.0
        return (self._past[-1][0] - self._past[0][0]) / (len(self._past) - 1)

    def _pace(self, before: float) -> None:
        gap = self._gap
        if gap > 0:
            self.speed += min(1.0, gap / 0.1) * ((self.turned - before) / gap - self.speed)
        if self.turned <= before:
            self._still += gap
            self.running = False
            return
        if self._still >= limit("pause_s"):
            self._resumed = self._way
        self._still = 0.0
        past = self._way - self._resumed > limit("breakaway_deg")
        self.running = self._in_stroke and (past or self._held <= 0.0 == self._resumed)
