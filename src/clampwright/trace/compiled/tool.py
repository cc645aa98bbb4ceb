"""Stiffness of the tool and delay of its torque; see `clampwright.trace.wind_up`."""

from __future__ import annotations

import math

import numpy as np

from clampwright.trace.compiled.cuts import SLIPPED, Places
from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import first_at_least
from clampwright.trace.compiled.told import HANDLE, OUTPUT, Criteria, Known, Pull
from clampwright.trace.model import Floats

GIVEN, TRACE, BOTH, SQUARE, ASSUMED = range(5)
SOURCES = ("given", "trace", "given and trace", "output square", "assumed")
"""Names of the numbers above."""


@compiled
def stiffness_of(p: Pull, swings: Places, k: Known, c: Criteria) -> tuple[float, float, int]:
    """Return compliance (deg per N·m, 0 for none), its relative uncertainty, and the source."""
    if k.mode == OUTPUT:
        return 0.0, 0.0, SQUARE
    found, u_found = _pooled(_fits(p, swings, k, c))
    given = not math.isnan(k.stiffness)
    if found <= 0.0:
        if given:
            return 1.0 / k.stiffness, c.stiffness_given_u, GIVEN
        if p.top <= 0.0:
            return 0.0, 0.0, ASSUMED
        return c.wind_up_deg / p.top, c.wind_up_u_rel, ASSUMED
    u_found = math.hypot(u_found, c.stiffness_trace_u * found)
    if not given:
        return found, u_found / found, TRACE
    first, second = u_found**-2.0, (c.stiffness_given_u / k.stiffness) ** -2.0
    mean = (first * found + second / k.stiffness) / (first + second)
    return mean, (first + second) ** -0.5 / mean, BOTH


@compiled
def _pooled(fits: Floats) -> tuple[float, float]:
    """Return the weighted median of the compliances seen with its uncertainty; 0 for none."""
    good = np.empty(fits.shape)
    count = 0
    for i in range(len(fits)):
        if fits[i, 0] > 0 and fits[i, 1] < 0.25 * fits[i, 0]:
            good[count] = fits[i]
            count += 1
    if count == 0:
        return 0.0, 0.0
    values, weights = good[:count, 0].copy(), good[:count, 1] ** -2.0
    order = np.argsort(values)
    total = weights.sum()
    middle, share = values[order[count - 1]], 0.0
    for i in order:
        share += weights[i]
        if share / total >= 0.5:
            middle = values[i]
            break
    spread = 0.0
    for i in range(count):
        spread += weights[i] * (values[i] - middle) ** 2
    return middle, max(math.sqrt(spread / total / count), total**-0.5)


@compiled
def _fits(p: Pull, swings: Places, k: Known, c: Criteria) -> Floats:
    """Fit degrees per N·m and its error where the fastener stands still, one a row."""
    fits = np.zeros((2 * len(swings), 2))
    count, held = 0, k.previous
    for s in range(len(swings)):
        if held > c.held_share * p.top:
            low, high = c.restart_low * held, c.restart_high * held
            stop = rise_end(p.torque, swings[s, 0], swings[s, 1], high)
            fits[count, 0], fits[count, 1] = _fit(p, (swings[s, 0], stop), (low, high))
            count += 1
        if swings[s, 3] == SLIPPED:
            break
        held = p.torque[swings[s, 1]]
        if k.mode == HANDLE:
            fall = (swings[s, 1], swings[s, 2])
            fits[count, 0], fits[count, 1] = _fit(p, fall, (0.15 * held, 0.9 * held))
            count += 1
    return fits[:count]


@compiled
def rise_end(torque: Floats, start: int, end: int, level: float) -> int:
    """Return the first sample of a swing that reaches a torque, else its end."""
    if torque[start] >= level:
        return start
    stop = first_at_least(torque, start, end, level)
    return end if stop == start else stop


@compiled
def _fit(p: Pull, where: tuple[int, int], between: tuple[float, float]) -> tuple[float, float]:
    """Fit the angle against torque between two torques; zeros where there is too little."""
    (first, last), (low, high) = where, between
    angle, torque = p.angle, p.torque
    n, sx, sy = 0, 0.0, 0.0
    least, most = np.inf, -np.inf
    for i in range(first, last + 1):
        if low <= torque[i] <= high:
            n += 1
            sx += torque[i]
            sy += angle[i]
            least, most = min(least, torque[i]), max(most, torque[i])
    if n < 4 or most - least < max(0.5 * (high - low), 1e-9):
        return 0.0, 0.0
    mx, my = sx / n, sy / n
    xx, xy = 0.0, 0.0
    for i in range(first, last + 1):
        if low <= torque[i] <= high:
            xx += (torque[i] - mx) ** 2
            xy += (torque[i] - mx) * (angle[i] - my)
    slope, left = xy / xx, 0.0
    for i in range(first, last + 1):
        if low <= torque[i] <= high:
            left += (angle[i] - my - slope * (torque[i] - mx)) ** 2
    scatter = max(left / (n - 2), p.angle_noise**2, 1e-6)
    return slope, math.sqrt(scatter / xx)


@compiled
def delay_of(p: Pull, swings: Places, k: Known, c: Criteria) -> tuple[float, float]:
    """Return by how much the torque comes after the angle, s, and how certain that is."""
    if k.mode == OUTPUT:
        return 0.0, 0.0
    at = (p.torque, p.raw, p.change, p.angle)
    sums = np.zeros(7)  # xx, xz, zz, xy, zy, yy, count
    held = k.previous
    for s in range(len(swings)):
        if held > c.held_share * p.top:
            stop = rise_end(p.torque, swings[s, 0], swings[s, 1], 0.95 * held)
            _add_rest(sums, at, (swings[s, 0], stop), (0.03 * held, 0.95 * held))
        if swings[s, 3] == SLIPPED:
            break
        held = p.torque[swings[s, 1]]
        if k.mode == HANDLE:
            fall = (swings[s, 1], swings[s, 2])
            _add_rest(sums, at, fall, (0.05 * held, 0.95 * held))
    return _solved(sums, p.angle_noise, c)


@compiled
def _add_rest(
    sums: Floats,
    at: tuple[Floats, Floats, Floats, Floats],
    where: tuple[int, int],
    between: tuple[float, float],
) -> None:
    (torque, raw, change, angle), (low, high) = at, between
    n, mx, mz, my = 0, 0.0, 0.0, 0.0
    for i in range(where[0], where[1] + 1):
        if low <= torque[i] <= high:
            n += 1
            mx += raw[i]
            mz += change[i]
            my += angle[i]
    if n < 5:
        return
    mx, mz, my = mx / n, mz / n, my / n
    for i in range(where[0], where[1] + 1):
        if low <= torque[i] <= high:
            x, z, y = raw[i] - mx, change[i] - mz, angle[i] - my
            sums[0] += x * x
            sums[1] += x * z
            sums[2] += z * z
            sums[3] += x * y
            sums[4] += z * y
            sums[5] += y * y
    sums[6] += n - 1


@compiled
def _solved(sums: Floats, angle_noise: float, c: Criteria) -> tuple[float, float]:
    xx, xz, zz, xy = sums[0], sums[1], sums[2], sums[3]
    zy, yy, count = sums[4], sums[5], sums[6]
    usual, spread = 0.0, c.delay_spread_s
    determinant = xx * zz - xz**2
    if count < 6 or determinant <= 1e-12 * xx * zz:
        return usual, spread
    compliance = (zz * xy - xz * zy) / determinant
    product = (xx * zy - xz * xy) / determinant
    if compliance <= 0.0:
        return usual, spread
    scatter = max((yy - compliance * xy - product * zy) / (count - 2), 0.0)
    scatter = max(scatter, angle_noise**2)
    u = math.sqrt(scatter * xx / determinant) / compliance
    share = spread**2 / (spread**2 + u**2 + c.delay_u_s**2)
    return share * product / compliance, math.sqrt(1.0 - share) * spread
