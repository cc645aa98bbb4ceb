"""What the fastener turned: strokes found, wind-up taken out, angle stitched together.

The angle column of a trace is not the fastener's angle. A handle also winds up wrench and
extension, goes back in a back swing and crosses the play of the ratchet; a counter that adds up
forward rotation counts the wind-up again in every stroke. The fastener itself turns only while the
torque is as high as it was when it last stopped.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Trace
from clampwright.trace.swings import End, Prepared, Swing, prepared, samples_in, swings_of
from clampwright.trace.wind_up import Stiffness, first_rise, stiffness_of


@dataclass(frozen=True, slots=True)
class Stroke:
    """One forward swing.

    Parameters
    ----------
    t0_s, t1_s : float
        From when to when the fastener turned, s (from the swing's start to its end where it did
        not turn).
    turned_deg : float
        What the fastener turned in it, degrees.
    end : {"back_swing", "released", "paused", "slipped", "end_of_trace"}
        How it ended.
    torque_end : float
        Torque when the turning ended, N·m.
    """

    t0_s: float
    t1_s: float
    turned_deg: float
    end: End
    torque_end: float


@dataclass(frozen=True, slots=True, eq=False)
class Turned:
    """The fastener's own angle over a trace.

    Parameters
    ----------
    angle : ndarray, shape (n,)
        Degrees turned by the fastener since the first sample; never falls.
    moving : ndarray of bool, shape (n,)
        Where it turns.
    restarting : ndarray of bool, shape (n,)
        Where it turns, but stood still less than a few degrees before (breakaway).
    strokes : tuple of Stroke
    stiffness : Stiffness
    pauses : tuple of float
        Angles at which it stood still under load without a back swing, degrees.
    slips : tuple of float
        Times at which the socket slipped off, s.
    u_angle : float
        Standard uncertainty of the angle turned in one stroke, degrees, apart from wind-up.
    torque_noise : float
        N·m.
    u_late : float
        Standard uncertainty of the whole angle from how late the torque signal comes, degrees; the
        same in every stroke, so that strokes do not average it out.
    """

    angle: Floats
    moving: NDArray[np.bool_]
    restarting: NDArray[np.bool_]
    strokes: tuple[Stroke, ...]
    stiffness: Stiffness
    pauses: tuple[float, ...]
    slips: tuple[float, ...]
    u_angle: float
    torque_noise: float
    u_late: float = 0.0


def turned(trace: Trace, stiffness: float | None = None, held: float = 0.0) -> Turned:
    """Find the strokes and what the fastener turned in them.

    Parameters
    ----------
    trace : Trace
    stiffness : float, optional
        Torque per degree of wind-up of the tool, N·m/deg; sought in the trace if not given.
    held : float
        Torque the fastener already holds at the first sample, N·m.

    Returns
    -------
    Turned

    Notes
    -----
    True rotation is the sum over strokes of handle angle less wind-up at the end, minus the same
    at the first motion (statics; see ``tests/published``). Where stiffness is neither given nor
    seen in the trace nothing is taken out and the uncertainty says so.

    Examples
    --------
    >>> pull = np.linspace(0.0, 40.0, 200)
    >>> trace = Trace(np.arange(200) / 100, pull, pull * 1.0 + pull / 20.0, "handle")
    >>> round(float(turned(trace, stiffness=20.0).angle[-1]), 1)
    40.0
    """
    it = prepared(trace)
    swings = swings_of(it)
    tool = stiffness_of(it, swings, stiffness, held)
    return _Stitching(it, swings, tool, held).result()


class _Stitching:
    """Walks through the swings and adds up what the fastener turned."""

    def __init__(self, it: Prepared, swings: list[Swing], tool: Stiffness, held: float) -> None:
        self.it, self.trace, self.torque = it, it.trace, it.torque
        self.swings, self.tool, self.held = swings, tool, held
        trace, torque = it.trace, it.torque
        if tool.delay:
            torque = torque + tool.delay * signals.rate_of_change(torque, trace.time)
        self.x = trace.angle - trace.angle[0] - torque * tool.compliance
        self.least = max(limit("held_share") * float(torque.max()), 5.0 * it.torque_noise)
        self.angle = np.zeros(len(trace))
        self.restart = np.zeros(len(trace), dtype=np.bool_)
        self.forward = np.zeros(len(trace), dtype=np.bool_)
        self.strokes: list[Stroke] = []
        self.base = 0.0
        self.speed = 0.0  # of the wind-up where each restart's level was read, summed, deg/s

    def result(self) -> Turned:
        slips = []
        for swing in self.swings:
            self._add(swing)
            if swing.kind == "slipped":
                slips.append(float(self.trace.time[swing.end]))
        moving, pauses = self._motion()
        return Turned(
            angle=self.angle,
            moving=moving,
            restarting=self.restart & moving,
            strokes=tuple(self.strokes),
            stiffness=self.tool,
            pauses=pauses,
            slips=tuple(slips),
            u_angle=max(self.it.angle_noise, limit(self._least_u())),
            torque_noise=self.it.torque_noise,
            u_late=self.tool.u_delay * self.speed,
        )

    def _least_u(self) -> str:
        """Name what a stroke is uncertain by; a counter counts a hand that gives, too."""
        return "counter_u_deg" if self.trace.angle_mode == "accumulated" else "angle_u_deg"

    def _add(self, swing: Swing) -> None:
        inside = slice(swing.start, swing.end + 1)
        x = self._before_the_slip(swing) if swing.kind == "slipped" else self.x[inside]
        holding = self.held > self.least
        width = samples_in(self.trace, 0.03)
        zero = self._resting_level(swing) if holding else self._close_to(x[:width], float(x[0]))
        way = np.maximum.accumulate(np.maximum(signals.moving_mean(x, width) - zero, 0.0))
        if holding:
            start = self._first_rise_length(swing)
            way = np.where(np.arange(len(way)) < start, 0.0, way)
        end = self._end_level(swing, x[-width:])
        total = max(end - zero, 0.0) if way[-1] > 0 else 0.0
        if holding and self.torque[inside].max() < limit("restart_low") * self.held:
            total = 0.0
        way = np.minimum(way, total)
        way[-1] = total
        self.angle[inside] = self.base + way
        self.angle[swing.end :] = self.base + total
        self.restart[inside] = (way < limit("breakaway_deg")) & holding
        # the smoothed torque begins to go a little after the true one
        late = 0 if swing.kind == "end_of_trace" else samples_in(self.trace, 0.02) // 2
        self.forward[swing.start : swing.end + 1 - late] = True
        first = swing.start + int(np.argmax(way > min(0.3, 0.5 * total)))
        self.strokes.append(
            Stroke(
                t0_s=float(self.trace.time[first]),
                t1_s=float(self.trace.time[swing.end]),
                turned_deg=total,
                end=swing.kind,
                torque_end=self._torque_at_the_end(swing),
            )
        )
        self.base += total
        if total > 0.0 or not holding:
            self.held = float(self.torque[swing.end])

    def _torque_at_the_end(self, swing: Swing) -> float:
        """Torque at the end of the turning; smoothing would mix a slip's loss into it."""
        if swing.kind == "slipped":
            return float(self.trace.torque[swing.end])
        return float(self.torque[swing.end])

    def _before_the_slip(self, swing: Swing) -> Floats:
        """Return angle less wind-up; the last torques as read, so that none after them mixes in."""
        half = samples_in(self.trace, 0.02) // 2
        x = self.x[swing.start : swing.end + 1].copy()
        last = slice(max(swing.end - half, swing.start), swing.end + 1)
        wind_up = self.trace.torque[last] * self.tool.compliance
        x[last.start - swing.start :] = self.trace.angle[last] - self.trace.angle[0] - wind_up
        return np.asarray(x)

    def _end_level(self, swing: Swing, before: Floats) -> float:
        """Level of angle less wind-up after the last motion; the release shows it once more."""
        if swing.kind == "slipped" or self.torque[swing.end] <= self.least:
            return self._close_to(before, float(before[-1]))
        after = slice(swing.end, swing.released + 1)
        if self.trace.angle_mode == "handle":
            still = self.x[after][self.torque[after] >= 0.6 * self.torque[swing.end]]
        else:  # the counter and the square stand still while the torque goes
            still = self.x[swing.end] + self.trace.angle[after] - self.trace.angle[swing.end]
        if len(still) < 3:
            return self._close_to(before, float(before[-1]))
        near = still[np.abs(still - np.median(still)) <= 2.0 * self.it.angle_tolerance]
        return float(near.mean()) if len(near) >= 3 else self._close_to(before, float(before[-1]))

    def _close_to(self, x: Floats, value: float) -> float:
        """Mean of the samples that differ from a value by no more than noise."""
        return float(x[np.abs(x - value) <= self.it.angle_tolerance].mean())

    def _first_rise_length(self, swing: Swing) -> int:
        rise = first_rise(self.torque, swing, limit("restart_low") * self.held)
        return int(rise.stop - rise.start)

    def _resting_level(self, swing: Swing) -> float:
        """Return the level of angle less wind-up while the fastener still stands."""
        rise = first_rise(self.torque, swing, limit("restart_high") * self.held)
        torque, x = self.torque[rise], self.x[rise]
        low = limit("restart_low") * self.held
        inside = torque >= low
        if torque[0] > low:  # never let go: all of it stands still
            return signals.middle(x)
        if inside.sum() >= 3:
            read = rise.start + np.flatnonzero(inside)[[0, -1]]
            seconds = float(self.trace.time[read[1]] - self.trace.time[read[0]])
            self.speed += float(torque[-1] - low) * self.tool.compliance / seconds
            return float(np.median(x[inside][:-1]))
        return float(np.interp(0.6 * self.held, np.maximum.accumulate(torque), x))

    def _motion(self) -> tuple[NDArray[np.bool_], tuple[float, ...]]:
        """Where the fastener turns, and at which angles it paused under load."""
        trace = self.trace
        half = max(1, samples_in(trace, 0.05) // 2)
        place = np.arange(len(trace))
        first, last = np.maximum(place - half, 0), np.minimum(place + half, len(trace) - 1)
        slowest = limit("rest_speed_dps") * (trace.time[last] - trace.time[first])
        moving = (self.angle[last] - self.angle[first] > slowest) & self.forward
        pauses = []
        loaded = self.torque > max(limit("engaged_share") * self.torque.max(), 1e-9)
        edges = np.flatnonzero(np.diff(moving.astype(np.int8)))
        for stop, start in pairwise(edges.tolist()):
            still = trace.time[start] - trace.time[stop]
            if moving[stop] and still >= limit("pause_s") and loaded[stop : start + 1].all():
                pauses.append(float(self.angle[stop]))
                way = self.angle - self.angle[stop]
                self.restart |= (place > start) & (way < limit("breakaway_deg"))
        return moving, tuple(pauses)
