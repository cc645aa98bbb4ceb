"""What the fastener turned in each swing; see `clampwright.trace.strokes`."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from clampwright.trace.compiled.cuts import END_OF_TRACE, SLIPPED, Places, samples_in
from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import interpolated, median, moving_mean
from clampwright.trace.compiled.told import ACCUMULATED, HANDLE, Criteria, Known, Pull
from clampwright.trace.compiled.tool import rise_end
from clampwright.trace.model import Floats

Flags = np.ndarray


class Tool(NamedTuple):
    """How the tool winds up and how late its torque comes."""

    compliance: float
    u_rel: float
    source: int
    delay: float
    u_delay: float


class Turned(NamedTuple):
    """The fastener's own angle; strokes as rows of start, end (s), degrees, kind and torque."""

    angle: Floats
    moving: Flags
    restarting: Flags
    strokes: Floats
    pauses: int
    slips: int
    u_angle: float
    u_late: float


@compiled
def stitched(p: Pull, swings: Places, tool: Tool, k: Known, c: Criteria) -> Turned:
    """Walk through the swings and add up what the fastener turned."""
    n = len(p.raw)
    x = _less_wind_up(p, tool)
    angle, restart, forward = np.zeros(n), np.zeros(n, np.bool_), np.zeros(n, np.bool_)
    strokes = np.empty((len(swings), 5))
    least = max(c.held_share * p.top, 5.0 * p.torque_noise)
    held, base, speed, slips = k.previous, 0.0, 0.0, 0
    for s in range(len(swings)):
        start, end, kind = swings[s, 0], swings[s, 1], swings[s, 3]
        holding = held > least
        way, more = _way(p, x, swings[s], tool, (held, least), k, c)
        speed += more
        total = way[-1]
        for i in range(len(way)):
            angle[start + i] = base + way[i]
            restart[start + i] = holding and way[i] < c.breakaway_deg
        angle[end:] = base + total
        late = 0 if kind == END_OF_TRACE else samples_in(0.02, p.rate) // 2
        forward[start : end + 1 - late] = True
        strokes[s, 0] = p.time[start + _begins(way, total)]
        strokes[s, 1], strokes[s, 2], strokes[s, 3] = p.time[end], total, kind
        strokes[s, 4] = p.raw[end] if kind == SLIPPED else p.torque[end]
        slips += kind == SLIPPED
        base += total
        if total > 0.0 or not holding:
            held = p.torque[end]
    moving, pauses = _motion(p, angle, forward, restart, c)
    floor = c.counter_u_deg if k.mode == ACCUMULATED else c.angle_u_deg
    u_angle = max(p.angle_noise, floor)
    return Turned(
        angle, moving, restart & moving, strokes, pauses, slips, u_angle, tool.u_delay * speed
    )


@compiled
def _less_wind_up(p: Pull, tool: Tool) -> Floats:
    """Return the angle less wind-up over the whole trace."""
    x = np.empty(len(p.angle))
    for i in range(len(x)):
        torque = p.torque[i] + tool.delay * p.change[i]
        x[i] = p.angle[i] - p.angle[0] - torque * tool.compliance
    return x


@compiled
def _begins(way: Floats, total: float) -> int:
    level = min(0.3, 0.5 * total)
    for i in range(len(way)):
        if way[i] > level:
            return i
    return 0


@compiled
def _way(
    p: Pull,
    x: Floats,
    swing: Places,
    tool: Tool,
    holds: tuple[float, float],
    k: Known,
    c: Criteria,
) -> tuple[Floats, float]:
    """Return what the fastener turned sample by sample, and the speed of the wind-up before."""
    (held, least), start, end = holds, swing[0], swing[1]
    part = x[start : end + 1].copy()
    if swing[3] == SLIPPED:
        first = max(end - samples_in(0.02, p.rate) // 2, start)
        for i in range(first, end + 1):
            part[i - start] = p.angle[i] - p.angle[0] - p.raw[i] * tool.compliance
    width = samples_in(0.03, p.rate)
    speed, rise = 0.0, 0
    if held > least:
        zero, speed = _resting_level(p, x, swing, tool, held, c)
        rise = rise_end(p.torque, start, end, c.restart_low * held) + 1 - start
    else:
        zero = _close_to(part[:width], part[0], p.tolerance)
    way = moving_mean(part, width)
    most = 0.0
    for i in range(len(way)):
        most = max(most, way[i] - zero)
        way[i] = most if i >= rise else 0.0
    level = _end_level(p, x, part[max(len(part) - width, 0) :], swing, least, k)
    total = max(level - zero, 0.0) if way[-1] > 0.0 else 0.0
    if held > least and p.torque[start : end + 1].max() < c.restart_low * held:
        total = 0.0
    for i in range(len(way)):
        way[i] = min(way[i], total)
    way[-1] = total
    return way, speed


@compiled
def _end_level(p: Pull, x: Floats, before: Floats, swing: Places, least: float, k: Known) -> float:
    end, released = swing[1], swing[2]
    here = _close_to(before, before[-1], p.tolerance)
    if swing[3] == SLIPPED or p.torque[end] <= least:
        return here
    still = np.empty(released + 1 - end)
    n = 0
    for i in range(end, released + 1):
        if k.mode != HANDLE:
            still[n] = x[end] + p.angle[i] - p.angle[end]
            n += 1
        elif p.torque[i] >= 0.6 * p.torque[end]:
            still[n] = x[i]
            n += 1
    if n < 3:
        return here
    middle = median(still[:n].copy())
    total, near = 0.0, 0
    for i in range(n):
        if abs(still[i] - middle) <= 2.0 * p.tolerance:
            total += still[i]
            near += 1
    return total / near if near >= 3 else here


@compiled
def _close_to(x: Floats, value: float, tolerance: float) -> float:
    total, near = 0.0, 0
    for i in range(len(x)):
        if abs(x[i] - value) <= tolerance:
            total += x[i]
            near += 1
    return total / near


@compiled
def _resting_level(
    p: Pull, x: Floats, swing: Places, tool: Tool, held: float, c: Criteria
) -> tuple[float, float]:
    """Return the level of angle less wind-up while the fastener stands, and the speed there."""
    torque, start = p.torque, swing[0]
    stop = rise_end(torque, start, swing[1], c.restart_high * held)
    low = c.restart_low * held
    level = np.empty(stop + 1 - start)
    if torque[start] > low:
        return median(x[start : stop + 1].copy()), 0.0
    n, first, last = 0, -1, -1
    for i in range(start, stop + 1):
        if torque[i] >= low:
            level[n] = x[i]
            n += 1
            first = i if first < 0 else first
            last = i
    if n >= 3:
        speed = (torque[stop] - low) * tool.compliance / (p.time[last] - p.time[first])
        return median(level[: n - 1].copy()), speed
    rising = torque[start : stop + 1].copy()
    for i in range(1, len(rising)):
        rising[i] = max(rising[i], rising[i - 1])
    return interpolated(0.6 * held, rising, x[start : stop + 1]), 0.0


@compiled
def _motion(
    p: Pull, angle: Floats, forward: Flags, restart: Flags, c: Criteria
) -> tuple[Flags, int]:
    """Return where the fastener turns, and how often it paused under load."""
    n, half = len(angle), max(1, samples_in(0.05, p.rate) // 2)
    moving = np.empty(n, np.bool_)
    for i in range(n):
        first, last = max(i - half, 0), min(i + half, n - 1)
        slowest = c.rest_speed_dps * (p.time[last] - p.time[first])
        moving[i] = (angle[last] - angle[first] > slowest) & forward[i]
    level = max(c.engaged_share * p.top, 1e-9)
    pauses, stop = 0, -1
    for i in range(n - 1):
        if moving[i] and not moving[i + 1]:
            stop = i
        elif moving[i + 1] and not moving[i] and stop >= 0:
            still = p.time[i] - p.time[stop]
            if still >= c.pause_s and p.torque[stop : i + 1].min() > level:
                pauses += 1
                _restarts(angle, restart, stop, i, c.breakaway_deg)
            stop = -1
    return moving, pauses


@compiled
def _restarts(angle: Floats, restart: Flags, stop: int, start: int, way: float) -> None:
    for i in range(start + 1, len(angle)):
        if angle[i] - angle[stop] >= way:
            break
        restart[i] = True
