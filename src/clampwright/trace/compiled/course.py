"""Torque over the fastener's own angle; see `clampwright.trace.curve`."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import median, stride, top_of
from clampwright.trace.compiled.stitch import Turned
from clampwright.trace.compiled.told import Criteria, Pull
from clampwright.trace.model import Floats


class Course(NamedTuple):
    """Running torque over rotation, in even steps."""

    angle: Floats
    torque: Floats
    slope: Floats
    roughness: float
    top: float


@compiled
def course_of(p: Pull, turned: Turned, c: Criteria) -> Course:
    """Average the torque of the samples in which the fastener runs."""
    step = c.grid_deg
    running = np.flatnonzero(turned.moving & ~turned.restarting)
    if len(running) == 0:
        none = np.empty(0)
        return Course(none, none, none, 0.0, 0.0)
    size = int(turned.angle[-1] / step) + 1
    counts, sums = np.zeros(size), np.zeros(size)
    for i in running:
        place = int(turned.angle[i] / step)
        counts[place] += 1.0
        sums[place] += p.raw[i]
    full = np.flatnonzero(counts)
    first, last = full[0], full[-1]
    angle = (np.arange(first, last + 1) + 0.5) * step
    torque = _filled(sums, counts, first, last)
    slope = local_slope(torque, step, c.slope_window_deg)
    roughness = _roughness(p, turned, running, angle, torque, c)
    return Course(angle, torque, slope, roughness, top_of(torque))


@compiled
def _filled(sums: Floats, counts: Floats, first: int, last: int) -> Floats:
    """Return the mean of each step; steps without a sample lie between their neighbours."""
    mean = np.empty(last + 1 - first)
    before = first
    for place in range(first, last + 1):
        if counts[place] == 0.0:
            continue
        here = sums[place] / counts[place]
        mean[place - first] = here
        if place > before + 1:
            start = mean[before - first]
            slope = (here - start) / (place - before)
            for between in range(before + 1, place):
                mean[between - first] = slope * (between - before) + start
        before = place
    return mean


@compiled
def local_slope(torque: Floats, step: float, window: float) -> Floats:
    """Return the slope of straight lines fitted over a window that moves along."""
    n = len(torque)
    half = min(int(window / step) // 2, (n - 1) // 2)
    out = np.zeros(n)
    if half < 1:
        return out
    norm = 0.0
    for w in range(-half, half + 1):
        norm += w * w
    norm *= step
    for i in range(half, n - half):
        total = 0.0
        for w in range(-half, half + 1):
            total += w * torque[i + w]
        out[i] = total / norm
    out[:half] = out[half]
    out[n - half :] = out[n - half - 1]
    return out


@compiled
def _smooth(mean: Floats, width: int) -> Floats:
    """Return the mean over a wide window; the ends continue point-symmetrically."""
    n, half = len(mean), width // 2
    padded = np.empty(n + 2 * half)
    padded[half : half + n] = mean
    for i in range(1, half + 1):
        padded[half - i] = 2.0 * mean[0] - mean[i]
        padded[half + n - 1 + i] = 2.0 * mean[n - 1] - mean[n - 1 - i]
    out = np.empty(n)
    for i in range(n):
        total = 0.0
        for w in range(width):
            total += padded[i + w]
        out[i] = total / width
    return out


@compiled
def _roughness(
    p: Pull, turned: Turned, running: np.ndarray, angle: Floats, torque: Floats, c: Criteria
) -> float:
    """Return the scatter about a course smoothed over a wide window, where the torque is high."""
    width = int(1.5 * c.slope_window_deg / c.grid_deg) | 1
    if len(torque) < width:
        return 0.0
    course = _smooth(torque, width)
    level, step = 0.5 * top_of(torque), c.grid_deg
    few = running[:: stride(len(running))]
    x, share, smooth = np.empty(len(few)), np.empty(len(few)), np.empty(len(few))
    n = 0
    for i in few:
        at = _on_grid(turned.angle[i], angle[0], step, course)
        if at > level:
            x[n], smooth[n] = turned.angle[i], at
            share[n] = (p.raw[i] - at) / at
            n += 1
    if n < c.rough_samples:
        return 0.0
    y = _bent_back(x[:n], share[:n])
    middle = median(y.copy())
    for i in range(n):
        y[i] = abs(y[i] - middle)
    spread = 1.4826 * median(y)
    own = p.torque_noise / median(smooth[:n])
    return max(spread**2 - own**2, 0.0) ** 0.5


@compiled
def _on_grid(x: float, first: float, step: float, course: Floats) -> float:
    """Return the value of a course in even steps, on the line between two of them."""
    place = (x - first) / step
    if place <= 0.0:
        return course[0]
    low = int(place)
    if low >= len(course) - 1:
        return course[-1]
    return (course[low + 1] - course[low]) * (place - low) + course[low]


@compiled
def _bent_back(x: Floats, y: Floats) -> Floats:
    """Take out the parabola that a smooth but curved and short course leaves behind."""
    n = len(x)
    middle, wide = x.mean(), max(x.max() - x.min(), 1e-9)
    left, right = np.zeros((3, 3)), np.zeros(3)
    for i in range(n):
        u = (x[i] - middle) / wide
        square = u * u
        left[0, 1] += u
        left[0, 2] += square
        left[1, 2] += u * square
        left[2, 2] += square * square
        right[0] += y[i]
        right[1] += u * y[i]
        right[2] += square * y[i]
    left[0, 0], left[1, 1] = float(n), left[0, 2]
    left[1, 0], left[2, 0], left[2, 1] = left[0, 1], left[0, 2], left[1, 2]
    for i in range(3):
        left[i, i] += 1e-9 * n
    a, b, d = _three(left, right)
    out = np.empty(n)
    for i in range(n):
        u = (x[i] - middle) / wide
        out[i] = y[i] - (a + b * u + d * u * u)
    return out


@compiled
def _three(left: Floats, right: Floats) -> tuple[float, float, float]:
    """Solve three equations by elimination; the matrix is symmetric and positive."""
    for i in range(2):
        for row in range(i + 1, 3):
            share = left[row, i] / left[i, i]
            for column in range(i, 3):
                left[row, column] -= share * left[i, column]
            right[row] -= share * right[i]
    d = right[2] / left[2, 2]
    b = (right[1] - left[1, 2] * d) / left[1, 1]
    a = (right[0] - left[0, 1] * b - left[0, 2] * d) / left[0, 0]
    return a, b, d
