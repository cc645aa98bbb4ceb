"""What the fastener turned: strokes found, wind-up taken out, angle stitched together.

The angle column of a trace is not the fastener's angle. A handle also winds up wrench and
extension, goes back in a back swing and crosses the play of the ratchet; a counter that adds up
forward rotation counts the wind-up again in every stroke. The fastener itself turns only while the
torque is as high as it was when it last stopped.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from clampwright.trace import signals
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Trace

End = Literal["back_swing", "released", "paused", "slipped", "end_of_trace"]


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


@dataclass(frozen=True, slots=True)
class Stiffness:
    """Torque per degree of wind-up of the tool, and how it is known.

    Parameters
    ----------
    value : float or None
        N·m/deg; None where it is neither given nor determinable.
    u_rel : float
        Relative standard uncertainty.
    source : {"given", "trace", "given and trace", "output square", "not determinable"}
    """

    value: float | None
    u_rel: float
    source: str

    @property
    def compliance(self) -> float:
        """Degrees of wind-up per N·m; 0 where nothing is taken out."""
        return 1.0 / self.value if self.value else 0.0


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
    torque_noise = signals.noise(trace.torque)
    smooth = signals.moving_mean(trace.torque, _samples(trace, 0.02))
    swings = _swings(trace, smooth, torque_noise)
    tool = _stiffness(trace, smooth, swings, stiffness, held)
    return _Stitching(
        trace, smooth, swings, tool=tool, held=held, torque_noise=torque_noise
    ).result()


@dataclass(slots=True)
class _Swing:
    """Samples of one forward swing: start, end of the forward motion, end of its release."""

    start: int
    end: int
    released: int
    kind: End


def _samples(trace: Trace, seconds: float) -> int:
    return max(1, round(seconds * trace.sample_rate))


def _angle_tolerance(trace: Trace) -> float:
    return max(2.5 * signals.noise(trace.angle), 0.05)


def _swings(trace: Trace, torque: Floats, torque_noise: float) -> list[_Swing]:
    """Cut the trace where the torque is let go, and where the handle goes back."""
    top = float(torque.max())
    threshold = max(limit("release_share") * top, 6.0 * torque_noise, 1e-9)
    marks = signals.turning_points(torque, threshold)
    cuts: list[tuple[int, int, End]] = []
    for peak, valley in zip(marks[1::2], marks[2::2], strict=False):
        cut = _cut(trace, torque, peak, valley, threshold)
        if cut is not None:
            cuts.append(cut)
    if trace.angle_mode == "handle":
        cuts = _with_back_swings(trace, cuts)
    swings, start = [], 0
    for end, released, kind in cuts:
        if end > start:
            swings.append(_Swing(start, end, released, kind))
            start = released
    last = _last_forward(trace, start, len(trace) - 1)
    forward = trace.angle[last] - trace.angle[start] > 3.0 * _angle_tolerance(trace)
    pulled = float(torque[start:].max()) > threshold or not cuts
    if last > start and forward and pulled:
        swings.append(_Swing(start, last, len(trace) - 1, "end_of_trace"))
    return swings


def _last_forward(trace: Trace, first: int, last: int) -> int:
    """Return the first sample at which the angle stands as far forward as it will get."""
    part = trace.angle[first : last + 1]
    return first + int(np.argmax(part >= part.max() - _angle_tolerance(trace)))


def _cut(
    trace: Trace, torque: Floats, peak: int, valley: int, threshold: float
) -> tuple[int, int, End] | None:
    """Judge one fall of torque: slipped socket, release, or a fall while turning (None)."""
    slip = _slip(trace, peak, valley)
    if slip is not None:
        return slip, valley, "slipped"
    end = _last_forward(trace, peak, valley)
    if torque[end] - torque[valley] < threshold:
        return None
    unloaded = torque[valley] <= limit("engaged_share") * float(torque.max())
    return end, valley, "released" if unloaded else "paused"


def _slip(trace: Trace, peak: int, valley: int) -> int | None:
    """Return the last sample before a sudden loss of torque with the handle running on."""
    drop = trace.torque[peak : valley + 1]
    if drop[0] <= 0 or len(drop) < 2:
        return None
    lost = peak + int(np.argmax(drop <= (1.0 - limit("slip_drop")) * drop[0]))
    if lost == peak:
        return None
    held = np.flatnonzero(trace.torque[peak:lost] >= 0.9 * drop[0])
    before = peak + int(held[-1])
    gap = 1.5 / trace.sample_rate
    if trace.time[lost] - trace.time[before] > max(limit("slip_time_s"), gap):
        return None
    if trace.angle_mode != "handle" and _vanished(trace, before, valley, gap):
        return before
    after = int(np.searchsorted(trace.time, trace.time[before] + max(0.08, 2.0 * gap)))
    after = min(max(after, lost), len(trace) - 1)
    run = trace.angle[before : after + 1].max() - trace.angle[before]
    speed = run / (trace.time[after] - trace.time[before])
    return before if speed > limit("slip_speed_dps") and run > 5.0 else None


def _vanished(trace: Trace, before: int, valley: int, gap: float) -> bool:
    """Tell a slip by its time alone, where the handle's own rotation is not in the trace."""
    level = (1.0 - limit("vanish_drop")) * trace.torque[before]
    gone = before + int(np.argmax(trace.torque[before : valley + 1] <= level))
    seconds = trace.time[gone] - trace.time[before]
    return gone > before and bool(seconds <= max(limit("vanish_time_s"), gap))


def _with_back_swings(trace: Trace, cuts: list[tuple[int, int, End]]) -> list[tuple[int, int, End]]:
    """Add back swings that show in the handle only, and tell them from mere releases."""
    threshold = max(limit("back_swing_deg"), 2.0 * _angle_tolerance(trace))
    marks = signals.turning_points(trace.angle, threshold)
    backs = list(zip(marks[1::2], marks[2::2], strict=False))
    found: list[tuple[int, int, End]] = []
    for end, released, kind in cuts:
        back = next((b for b in backs if b[0] - 3 <= released and b[1] >= end), None)
        if back is None or kind == "slipped":
            found.append((end, released, kind))
            continue
        unloaded = kind == "released" and _went_back(trace, end, back[1])
        found.append(
            (
                end,
                max(released, back[1]) if unloaded else released,
                "back_swing" if unloaded else kind,
            )
        )
    taken = [(end, released) for end, released, _ in found]
    for first, last in backs:
        if not any(end <= last and released >= first for end, released in taken):
            found.append((first, last, "back_swing"))
    return sorted(found)


def _went_back(trace: Trace, end: int, valley: int) -> bool:
    """Tell whether the handle went further back than a wrench can spring back."""
    rest = np.flatnonzero(
        trace.torque[end : valley + 1] <= limit("engaged_share") * trace.torque.max()
    )
    unloaded = end + int(rest[0]) if len(rest) else valley
    return bool(trace.angle[unloaded] - trace.angle[valley] > limit("back_swing_deg") / 2.0)


def _stiffness(
    trace: Trace, torque: Floats, swings: list[_Swing], given: float | None, held: float
) -> Stiffness:
    """Combine the stiffness given with what releases and restarts in the trace show."""
    if trace.angle_mode == "output":
        return Stiffness(None, 0.0, "output square")
    fits = list(_wind_up_fits(trace, torque, swings, held))
    found = _pooled(fits)
    if found is None:
        if given is None:
            return Stiffness(None, 0.0, "not determinable")
        return Stiffness(given, limit("stiffness_given_u"), "given")
    compliance, u_found = found
    u_found = float(np.hypot(u_found, limit("stiffness_trace_u") * compliance))
    if given is None:
        return Stiffness(1.0 / compliance, u_found / compliance, "trace")
    u_given = limit("stiffness_given_u") / given
    weights = np.array([u_found**-2, u_given**-2])
    mean = float(weights @ [compliance, 1.0 / given] / weights.sum())
    return Stiffness(1.0 / mean, float(weights.sum() ** -0.5) / mean, "given and trace")


def _pooled(fits: list[tuple[float, float]]) -> tuple[float, float] | None:
    """Weighted median of the compliances seen, with the uncertainty of their mean."""
    fits = [fit for fit in fits if fit[0] > 0 and fit[1] < 0.25 * fit[0]]
    if not fits:
        return None
    values = np.array([fit[0] for fit in fits])
    weights = np.array([fit[1] ** -2 for fit in fits])
    order = np.argsort(values)
    share = np.cumsum(weights[order]) / weights.sum()
    middle = float(values[order][np.searchsorted(share, 0.5)])
    spread = float(np.sqrt(weights @ (values - middle) ** 2 / weights.sum() / len(fits)))
    return middle, max(spread, float(weights.sum() ** -0.5))


def _wind_up_fits(
    trace: Trace, torque: Floats, swings: list[_Swing], held: float
) -> list[tuple[float, float]]:
    """Fit degrees per N·m where the fastener stands still: let go (handle only) and taken up."""
    fits = []
    low, high = limit("restart_low"), limit("restart_high")
    for swing in swings:
        if held > limit("held_share") * torque.max():
            rise = _first_rise(torque, swing, high * held)
            fits.append(_fit(trace, torque, rise, low * held, high * held))
        if swing.kind == "slipped":
            break
        held = float(torque[swing.end])
        if trace.angle_mode == "handle":
            fall = slice(swing.end, swing.released + 1)
            fits.append(_fit(trace, torque, fall, 0.15 * held, 0.9 * held))
    return [fit for fit in fits if fit is not None]


def _first_rise(torque: Floats, swing: _Swing, level: float) -> slice:
    part = torque[swing.start : swing.end + 1] >= level
    stop = int(np.argmax(part)) if part.any() else len(part) - 1
    return slice(swing.start, swing.start + stop + 1)


def _fit(
    trace: Trace, torque: Floats, where: slice, low: float, high: float
) -> tuple[float, float] | None:
    """Fit the angle against torque between two torques; slope and its standard error, deg/(N·m)."""
    x, y = torque[where], trace.angle[where]
    inside = (x >= low) & (x <= high)
    x, y = x[inside], y[inside]
    if len(x) < 4 or np.ptp(x) < max(0.5 * (high - low), 1e-9):
        return None
    x, y = x - x.mean(), y - y.mean()
    slope = float(x @ y / (x @ x))
    residual = y - slope * x
    scatter = max(
        float(residual @ residual) / (len(x) - 2),
        signals.rounding_step(trace.angle) ** 2 / 12,
        1e-6,
    )
    return slope, float(np.sqrt(scatter / (x @ x)))


class _Stitching:
    """Walks through the swings and adds up what the fastener turned."""

    def __init__(
        self,
        trace: Trace,
        torque: Floats,
        swings: list[_Swing],
        *,
        tool: Stiffness,
        held: float,
        torque_noise: float,
    ) -> None:
        self.trace, self.torque, self.swings, self.tool = trace, torque, swings, tool
        self.held, self.torque_noise = held, torque_noise
        self.x = trace.angle - trace.angle[0] - torque * tool.compliance
        self.least = max(limit("held_share") * float(torque.max()), 5.0 * torque_noise)
        self.angle = np.zeros(len(trace))
        self.restart = np.zeros(len(trace), dtype=np.bool_)
        self.forward = np.zeros(len(trace), dtype=np.bool_)
        self.strokes: list[Stroke] = []
        self.base = 0.0

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
            u_angle=max(signals.noise(self.trace.angle), 0.1),
            torque_noise=self.torque_noise,
        )

    def _add(self, swing: _Swing) -> None:
        inside = slice(swing.start, swing.end + 1)
        x = self.x[inside]
        holding = self.held > self.least
        width = _samples(self.trace, 0.03)
        zero = self._resting_level(swing) if holding else self._close_to(x[:width], float(x[0]))
        way = np.maximum.accumulate(np.maximum(signals.moving_mean(x, width) - zero, 0.0))
        if holding:
            start = self._first_rise_length(swing)
            way = np.where(np.arange(len(way)) < start, 0.0, way)
        end = self._close_to(x[-width:], float(x[-1]))
        total = max(end - zero, 0.0) if way[-1] > 0 else 0.0
        if holding and self.torque[inside].max() < limit("restart_low") * self.held:
            total = 0.0
        way = np.minimum(way, total)
        way[-1] = total
        self.angle[inside] = self.base + way
        self.angle[swing.end :] = self.base + total
        self.restart[inside] = (way < limit("breakaway_deg")) & holding
        self.forward[swing.start : swing.end + 1] = True
        first = swing.start + int(np.argmax(way > min(0.3, 0.5 * total)))
        self.strokes.append(
            Stroke(
                t0_s=float(self.trace.time[first]),
                t1_s=float(self.trace.time[swing.end]),
                turned_deg=total,
                end=swing.kind,
                torque_end=float(self.torque[swing.end]),
            )
        )
        self.base += total
        if total > 0.0 or not holding:
            self.held = float(self.torque[swing.end])

    def _close_to(self, x: Floats, value: float) -> float:
        """Mean of the samples that differ from a value by no more than noise."""
        return float(x[np.abs(x - value) <= _angle_tolerance(self.trace)].mean())

    def _first_rise_length(self, swing: _Swing) -> int:
        rise = _first_rise(self.torque, swing, limit("restart_low") * self.held)
        return int(rise.stop - rise.start)

    def _resting_level(self, swing: _Swing) -> float:
        """Return the level of angle less wind-up while the fastener still stands."""
        rise = _first_rise(self.torque, swing, limit("restart_high") * self.held)
        torque, x = self.torque[rise], self.x[rise]
        low = limit("restart_low") * self.held
        inside = torque >= low
        if torque[0] > low:  # never let go: all of it stands still
            return float(np.median(x))
        if inside.sum() >= 3:
            return float(np.median(x[inside][:-1]))
        return float(np.interp(0.6 * self.held, np.maximum.accumulate(torque), x))

    def _motion(self) -> tuple[NDArray[np.bool_], tuple[float, ...]]:
        """Where the fastener turns, and at which angles it paused under load."""
        trace = self.trace
        half = max(1, _samples(trace, 0.05) // 2)
        place = np.arange(len(trace))
        first, last = np.maximum(place - half, 0), np.minimum(place + half, len(trace) - 1)
        speed = (self.angle[last] - self.angle[first]) / (trace.time[last] - trace.time[first])
        moving = (speed > limit("rest_speed_dps")) & self.forward
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
