"""Loops over rows of numbers; their meaning stands in `clampwright.trace.signals`."""

from __future__ import annotations

import math

import numpy as np

from clampwright.trace.compiled.keep import compiled, compiled_loosely
from clampwright.trace.model import Floats


@compiled
def selected(row: Floats, k: int) -> float:
    """Return the k-th smallest value of a row, which is left in another order."""
    left, right = 0, len(row) - 1
    while left < right:
        middle = row[(left + right) // 2]
        i, j = left, right
        while i <= j:
            while row[i] < middle:
                i += 1
            while middle < row[j]:
                j -= 1
            if i <= j:
                row[i], row[j] = row[j], row[i]
                i += 1
                j -= 1
        if k <= j:
            right = j
        elif k >= i:
            left = i
        else:
            break
    return row[k]


@compiled
def median(row: Floats) -> float:
    """Return the median of a row, which is left in another order."""
    half = len(row) // 2
    upper = selected(row, half)
    if len(row) % 2:
        return upper
    return (row[:half].max() + upper) / 2.0


@compiled
def quantile(ordered: Floats, share: float) -> float:
    """Return a quantile of a row in rising order, on the line between its neighbours."""
    place = share * (len(ordered) - 1)
    low = math.floor(place)
    high = min(low + 1, len(ordered) - 1)
    part = place - low
    step = ordered[high] - ordered[low]
    return ordered[high] - step * (1.0 - part) if part >= 0.5 else ordered[low] + step * part


@compiled_loosely
def rounding_step(row: Floats) -> float:
    """Return the rounding step of a row, or 0 where it is not rounded noticeably."""
    least, real = np.inf, 0
    for i in range(len(row) - 1):
        change = abs(row[i + 1] - row[i])
        real += change > 1e-9
        least = min(least, change if change > 1e-9 else np.inf)
    return 0.0 if real == 0 or real > 0.95 * (len(row) - 1) else least


@compiled_loosely
def lowest(row: Floats) -> float:
    """Return the lowest value of a row without NaN."""
    low = row[0]
    for i in range(len(row)):
        low = row[i] if row[i] < low else low  # noqa: FURB136 - a comparison is all it takes here
    return low


@compiled_loosely
def top_of(row: Floats) -> float:
    """Return the highest value of a row without NaN."""
    top = row[0]
    for i in range(len(row)):
        top = row[i] if row[i] > top else top  # noqa: FURB136 - same
    return top


@compiled_loosely
def steps_between(row: Floats) -> tuple[float, float]:
    """Return the smallest and the largest difference of neighbours in a row without NaN."""
    least = most = row[1] - row[0]
    for i in range(1, len(row)):
        step = row[i] - row[i - 1]
        least = step if step < least else least  # noqa: FURB136 - same
        most = step if step > most else most  # noqa: FURB136 - same
    return least, most


@compiled
def all_finite(row: Floats) -> bool:
    """Tell whether every value is a number: one that is not spoils four sums."""
    a = b = c = d = 0.0
    n = len(row) - len(row) % 4
    for i in range(0, n, 4):
        a, b, c, d = a + row[i], b + row[i + 1], c + row[i + 2], d + row[i + 3]
    for i in range(n, len(row)):
        a += row[i]
    return math.isfinite(a + b + c + d)


@compiled
def stride(count: int) -> int:
    """Return how far apart samples may be taken where some hundred tell as much as all."""
    return max(1, count // 256)


@compiled
def noise(row: Floats, rounding: float) -> float:
    """Estimate the noise of a smooth row from its second differences and its rounding step."""
    n = len(row)
    if n < 4:
        return 0.0
    step = stride(n - 2)
    second = np.empty((n - 2 + step - 1) // step)
    for k in range(len(second)):
        i = k * step
        second[k] = abs((row[i + 2] - row[i + 1]) - (row[i + 1] - row[i]))
    spread = 1.4826 * median(second) / 6.0**0.5
    return max(spread, rounding / 12.0**0.5)


@compiled
def usual_step(time: Floats) -> float:
    """Return the median time step, of a long trace of some hundred steps."""
    n = len(time) - 1
    step = stride(n)
    few = np.empty((n + step - 1) // step)
    for k in range(len(few)):
        few[k] = time[k * step + 1] - time[k * step]
    return median(few)


@compiled
def moving_mean(row: Floats, width: int) -> Floats:
    """Return the centred mean over a number of samples; shorter windows at the ends."""
    n, half = len(row), max(width, 1) // 2
    if half == 0 or n == 0:
        return row.copy()
    level = row[0]
    sums = np.empty(n + 1)
    sums[0] = 0.0
    for i in range(n):
        sums[i + 1] = sums[i] + (row[i] - level)
    mean, full = np.empty(n), 2 * half + 1
    for i in range(half, n - half):
        mean[i] = (sums[i + half + 1] - sums[i - half]) / full + level
    for k in range(min(half, n)):  # the ends, where the window is cut off
        for i in (k, n - 1 - k):
            first, last = max(i - half, 0), min(i + half + 1, n)
            mean[i] = (sums[last] - sums[first]) / (last - first) + level
    return mean


@compiled
def rate_of_change(row: Floats, time: Floats) -> Floats:
    """Return the slope between the neighbours of each sample."""
    n = len(row)
    out = np.empty(n)
    for i in range(1, n - 1):
        out[i] = (row[i + 1] - row[i - 1]) / (time[i + 1] - time[i - 1])
    out[0] = (row[1] - row[0]) / (time[1] - time[0])
    out[n - 1] = (row[n - 1] - row[n - 2]) / (time[n - 1] - time[n - 2])
    return out


@compiled
def interpolated(x: float, xs: Floats, ys: Floats) -> float:
    """Return the value of a broken line; at its ends the end values."""
    n = len(xs)
    if x >= xs[n - 1]:
        return ys[n - 1]
    if x < xs[0]:
        return ys[0]
    low, high = 0, n - 1
    while high - low > 1:
        middle = (low + high) // 2
        if xs[middle] <= x:
            low = middle
        else:
            high = middle
    return (ys[low + 1] - ys[low]) / (xs[low + 1] - xs[low]) * (x - xs[low]) + ys[low]


@compiled
def turning_points(row: Floats, threshold: float) -> np.ndarray:
    """Return where a row turns round by at least a threshold, lowest and highest in turn."""
    n = len(row)
    found = np.empty(n + 2, np.int64)
    count, at, low = 0, 0, 0
    rising = True
    while True:
        place, best = at, -np.inf
        end = n
        for i in range(at, n):
            x = row[i] if rising else -row[i]
            if x > best:
                best = x
                place = i
            if x < best - threshold:
                end = i
                break
        if rising:
            found[count], found[count + 1] = low, place
            count += 2
            if end == n:
                return found[:count]
        else:
            low = place
            if end == n:
                found[count] = low
                return found[: count + 1]
        at = end
        rising = not rising


@compiled
def first_at_least(row: Floats, first: int, last: int, level: float) -> int:
    """Return the first place from `first` to `last` that reaches a level, else `first`."""
    for i in range(first, last + 1):
        if row[i] >= level:
            return i
    return first


@compiled
def last_at_least(row: Floats, first: int, last: int, level: float) -> int:
    """Return the last place from `first` to `last` that reaches a level, else -1."""
    for i in range(last, first - 1, -1):
        if row[i] >= level:
            return i
    return -1


@compiled
def first_at_most(row: Floats, first: int, last: int, level: float) -> int:
    """Return the first place from `first` to `last` at or below a level, else `first`."""
    for i in range(first, last + 1):
        if row[i] <= level:
            return i
    return first


@compiled
def highest(row: Floats, first: int, last: int) -> float:
    """Return the highest value from `first` to `last`."""
    top = row[first]
    for i in range(first + 1, last + 1):
        top = max(top, row[i])
    return top
