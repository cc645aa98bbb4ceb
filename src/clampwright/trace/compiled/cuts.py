"""Where a trace is cut into forward swings; see `clampwright.trace.swings`."""

from __future__ import annotations

import numpy as np

from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import (
    first_at_least,
    first_at_most,
    highest,
    last_at_least,
    median,
    moving_mean,
    noise,
    rate_of_change,
    rounding_step,
    top_of,
    turning_points,
    usual_step,
)
from clampwright.trace.compiled.told import ACCUMULATED, HANDLE, Criteria, Known, Pull
from clampwright.trace.model import Floats
from clampwright.trace.swings import End

BACK_SWING, RELEASED, PAUSED, SLIPPED, END_OF_TRACE = range(5)
ENDS: tuple[End, ...] = ("back_swing", "released", "paused", "slipped", "end_of_trace")
"""Names of the kinds above."""
Places = np.ndarray


@compiled
def samples_in(seconds: float, rate: float) -> int:
    """Return how many samples a time takes, at least one."""
    return max(1, int(np.rint(seconds * rate)))


@compiled
def prepared(time: Floats, raw: Floats, angle: Floats) -> Pull:
    """Smooth the torque a little and find the noise of a trace."""
    rate = 1.0 / usual_step(time)
    torque = moving_mean(raw, samples_in(0.02, rate))
    rounding = rounding_step(angle)
    angle_noise, torque_noise = noise(angle, rounding), noise(raw, rounding_step(raw))
    tolerance = max(2.5 * angle_noise, 1.05 * rounding, 0.05)
    change = rate_of_change(torque, time)
    top, peak = top_of(torque), top_of(raw)
    return Pull(
        time, raw, angle, torque, change, rate, torque_noise, angle_noise, tolerance, top, peak
    )


@compiled
def swings_of(p: Pull, k: Known, c: Criteria) -> Places:
    """Return start, end, released and kind of each forward swing, one a row."""
    threshold = max(c.release_share * p.top, 6.0 * p.torque_noise, 1e-9)
    marks = turning_points(p.torque, threshold)
    cuts = np.empty((len(marks) // 2 + 1, 3), np.int64)
    count = 0
    for i in range(1, len(marks) - 1, 2):
        end, kind = _cut(p, marks[i], marks[i + 1], threshold, k, c)
        if end >= 0:
            cuts[count, 0], cuts[count, 1], cuts[count, 2] = end, marks[i + 1], kind
            count += 1
    cuts = cuts[:count]
    if k.mode == HANDLE:
        cuts = _with_back_swings(p, cuts, c)
    return _between(p, cuts, threshold)


@compiled
def _between(p: Pull, cuts: Places, threshold: float) -> Places:
    """Return the swings between the cuts, and the one after the last."""
    swings = np.empty((len(cuts) + 1, 4), np.int64)
    count, start = 0, 0
    for i in range(len(cuts)):
        if cuts[i, 0] > start:
            swings[count, 0] = start
            swings[count, 1:] = cuts[i]
            count += 1
            start = cuts[i, 1]
    n = len(p.torque)
    last = _last_forward(p, start, n - 1)
    forward = p.angle[last] - p.angle[start] > 3.0 * p.tolerance
    pulled = highest(p.torque, start, n - 1) > threshold or len(cuts) == 0
    if last > start and forward and pulled:
        swings[count, 0], swings[count, 1] = start, last
        swings[count, 2], swings[count, 3] = n - 1, END_OF_TRACE
        count += 1
    return swings[:count]


@compiled
def _last_forward(p: Pull, first: int, last: int) -> int:
    return first_at_least(p.angle, first, last, highest(p.angle, first, last) - p.tolerance)


@compiled
def _still_held(torque: Floats, end: int, valley: int, share: float) -> int:
    top = highest(torque, end, valley)
    return last_at_least(torque, end, valley, top - (1.0 - share) * abs(top))


@compiled
def _end_of_motion(p: Pull, peak: int, valley: int, k: Known, c: Criteria) -> int:
    torque = p.torque
    if k.mode == HANDLE:
        return _still_held(torque, _last_forward(p, peak, valley), valley, c.held_until)
    gone = torque[valley] + c.gone_share * (torque[peak] - torque[valley])
    first = first_at_most(torque, peak, valley, gone)
    unloaded = torque[valley] <= c.engaged_share * p.top
    still = p.angle[first : valley + (samples_in(0.05, p.rate) if unloaded else 1)].copy()
    end = first_at_least(p.angle, peak, valley, median(still) - p.tolerance)
    return _still_held(torque, end, valley, c.held_until)


@compiled
def _cut(
    p: Pull, peak: int, valley: int, threshold: float, k: Known, c: Criteria
) -> tuple[int, int]:
    """Judge one fall of torque: where it ends the motion (-1 if not) and its kind."""
    slip = _slip(p, peak, valley, k, c)
    if slip >= 0:
        return slip, SLIPPED
    end = _end_of_motion(p, peak, valley, k, c)
    if p.torque[end] - p.torque[valley] < threshold:
        return -1, PAUSED
    if p.torque[valley] <= c.engaged_share * p.top:
        return end, RELEASED
    if p.time[valley] - p.time[end] < c.hand_s:
        return -1, PAUSED
    return end, PAUSED


@compiled
def _slip(p: Pull, peak: int, valley: int, k: Known, c: Criteria) -> int:
    """Return the last sample before a sudden loss of torque with the handle running on, or -1."""
    time, raw, angle = p.time, p.raw, p.angle
    if raw[peak] <= c.slip_least * p.peak or valley == peak:
        return -1
    lost = first_at_most(raw, peak, valley, (1.0 - c.slip_drop) * raw[peak])
    if lost == peak:
        return -1
    before = last_at_least(raw, peak, lost - 1, 0.9 * raw[peak])
    start = _still_held(raw, max(peak - 1, 0), before, c.slip_from)
    gap = 1.5 / p.rate
    if time[lost] - time[before] > max(c.slip_time_s, gap):
        return -1
    if k.mode != HANDLE and _vanished(p, before, valley, c):
        return start
    if k.mode == ACCUMULATED:
        return start if angle[lost] - angle[before] > c.slip_counted_deg else -1
    after = int(np.searchsorted(time, time[before] + max(0.08, 2.0 * gap)))
    after = min(max(after, lost), len(time) - 1)
    run = highest(angle, before, after) - angle[before]
    fast = run / (time[after] - time[before]) > c.slip_slow_dps
    return start if fast and run > c.slip_run_deg else -1


@compiled
def _vanished(p: Pull, before: int, valley: int, c: Criteria) -> bool:
    gone = first_at_most(p.raw, before, valley, (1.0 - c.vanish_drop) * p.raw[before])
    few = c.vanish_samples / p.rate
    return gone > before and p.time[gone] - p.time[before] <= max(c.vanish_time_s, few)


@compiled
def _with_back_swings(p: Pull, cuts: Places, c: Criteria) -> Places:
    """Add back swings that show in the handle only, and tell them from mere releases."""
    marks = turning_points(p.angle, max(c.back_swing_deg, 2.0 * p.tolerance))
    backs = (len(marks) - 1) // 2
    found = np.empty((len(cuts) + backs, 3), np.int64)
    for i in range(len(cuts)):
        found[i] = cuts[i]
        back = _back_of(marks, backs, cuts[i, 0], cuts[i, 1])
        if back < 0 or cuts[i, 2] == SLIPPED:
            continue
        if cuts[i, 2] == RELEASED and _went_back(p, cuts[i, 0], back, c):
            found[i, 1] = max(cuts[i, 1], back)
            found[i, 2] = BACK_SWING
    count = len(cuts)
    for b in range(backs):
        first, last = marks[2 * b + 1], marks[2 * b + 2]
        if not _taken(found, len(cuts), first, last):
            found[count, 0], found[count, 1], found[count, 2] = first, last, BACK_SWING
            count += 1
    return _sorted(found[:count])


@compiled
def _taken(found: Places, count: int, first: int, last: int) -> bool:
    for i in range(count):  # noqa: SIM110 - the compiler takes no generator here
        if found[i, 0] <= last and found[i, 1] >= first:
            return True
    return False


@compiled
def _back_of(marks: Places, backs: int, end: int, released: int) -> int:
    """Return where the back swing of a release ends, or -1."""
    for k in range(backs):
        if marks[2 * k + 1] - 3 <= released and marks[2 * k + 2] >= end:
            return marks[2 * k + 2]
    return -1


@compiled
def _went_back(p: Pull, end: int, valley: int, c: Criteria) -> bool:
    level = c.engaged_share * p.peak
    unloaded = valley
    for i in range(end, valley + 1):
        if p.raw[i] <= level:
            unloaded = i
            break
    return p.angle[unloaded] - p.angle[valley] > c.back_swing_deg / 2.0


@compiled
def _sorted(cuts: Places) -> Places:
    """Put cuts in the order of their ends."""
    for i in range(1, len(cuts)):
        k = i
        while k > 0 and (cuts[k, 0], cuts[k, 1]) < (cuts[k - 1, 0], cuts[k - 1, 1]):
            for j in range(3):
                cuts[k, j], cuts[k - 1, j] = cuts[k - 1, j], cuts[k, j]
            k -= 1
    return cuts
