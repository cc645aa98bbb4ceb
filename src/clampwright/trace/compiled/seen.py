"""What can be seen in a pull, as one row of numbers; see `clampwright.trace.features`."""

from __future__ import annotations

import math

import numpy as np

from clampwright.trace.compiled.course import Course, local_slope
from clampwright.trace.compiled.keep import compiled
from clampwright.trace.compiled.rows import interpolated, median, quantile, top_of
from clampwright.trace.compiled.stitch import Tool, Turned
from clampwright.trace.compiled.told import ACCUMULATED, HANDLE, Criteria, Known, Pull
from clampwright.trace.model import Floats

COLUMNS = (
    "final", "final_u", "restart_only", "peak", "top", "last", "way_above", "snug_torque",
    "snug_angle", "after", "after_u", "total", "total_u", "running", "slope", "slope_u", "early",
    "late", "yield_angle", "yield_torque", "yield_clamp", "yield_clamp_u", "plateau", "drop",
    "drop_way", "end_slope", "clamp", "clamp_u", "nut_factor", "roughness", "compliance", "tool_u",
    "source", "delay", "u_delay", "pauses", "slips", "u_angle", "u_late", "noise", "rate",
    "u_snug_angle", "u_yield_angle", "strokes", "before", "usable", "pattern", "fault", "verdict",
)  # fmt: skip
"""Names of the numbers in a row; NaN stands for "not determinable"."""
(
    FINAL, FINAL_U, RESTART_ONLY, PEAK, TOP, LAST, WAY_ABOVE, SNUG_TORQUE,
    SNUG_ANGLE, AFTER, AFTER_U, TOTAL, TOTAL_U, RUNNING, SLOPE, SLOPE_U, EARLY,
    LATE, YIELD_ANGLE, YIELD_TORQUE, YIELD_CLAMP, YIELD_CLAMP_U, PLATEAU, DROP,
    DROP_WAY, END_SLOPE, CLAMP, CLAMP_U, NUT_FACTOR, ROUGHNESS, COMPLIANCE, TOOL_U,
    SOURCE, DELAY, U_DELAY, PAUSES, SLIPS, U_ANGLE, U_LATE, NOISE, RATE,
    U_SNUG_ANGLE, U_YIELD_ANGLE, STROKES, BEFORE, USABLE, PATTERN, FAULT, VERDICT,
) = range(len(COLUMNS))  # fmt: skip


@compiled
def features(
    p: Pull, turned: Turned, course: Course, tool: Tool, known: tuple[Known, Criteria], row: Floats
) -> None:
    """Write what is seen into a row."""
    k, c = known
    row[:] = math.nan
    peak, n = p.peak, len(course.angle)
    row[PEAK], row[NOISE], row[RATE] = peak, p.torque_noise, p.rate
    row[TOP] = course.top
    row[LAST] = course.torque[-1] if n else 0.0
    row[WAY_ABOVE] = _way_above(course, c.cross_thread_share * (_or_zero(k.aimed)))
    row[ROUGHNESS], row[STROKES] = course.roughness, len(turned.strokes)
    row[PAUSES], row[SLIPS] = turned.pauses, turned.slips
    row[U_ANGLE], row[U_LATE] = turned.u_angle, turned.u_late
    row[COMPLIANCE], row[TOOL_U], row[SOURCE] = tool.compliance, tool.u_rel, tool.source
    row[DELAY], row[U_DELAY] = tool.delay, tool.u_delay
    row[FINAL], row[FINAL_U], row[RESTART_ONLY] = _final(p, turned, c)
    row[FINAL_U] = math.hypot(row[FINAL_U], course.roughness * row[FINAL])
    snug_torque = _snug_torque(k, c, peak)
    snug = _snug_angle(p, turned, course, snug_torque)
    row[SNUG_TORQUE], row[SNUG_ANGLE] = snug_torque, snug
    bend = _bend_and_slope(p, course, tool, known, row)
    if math.isnan(row[SLOPE]) and k.previous == 0.0:
        row[RUNNING] = _never_seated(course, c)
    else:
        row[RUNNING] = _running(course, snug, row[SLOPE], bend, c)
    _early_and_late(course, snug, bend, c, row)
    _after_the_top(course, c, row)
    _turned(p, turned, course, tool, known, row)
    _loads(course, bend, k, c, row)


@compiled
def _or_zero(x: float) -> float:
    return 0.0 if math.isnan(x) else x


@compiled
def _way_above(course: Course, level: float) -> float:
    for i in range(len(course.torque)):
        if course.torque[i] >= level:
            return course.angle[-1] - course.angle[i]
    return 0.0


@compiled
def _final(p: Pull, turned: Turned, c: Criteria) -> tuple[float, float, float]:
    """Return torque at the end, its uncertainty, and whether it was reached after a stop only."""
    strokes = turned.strokes
    if len(strokes) == 0:
        return math.nan, math.nan, 0.0
    last = _last_turning(strokes)
    first = _two_degrees_before(p, turned, strokes[last, 0])
    high = _release_begins(p, turned, first, strokes[last, 1])
    x, y, clean = _running_out(p, turned, (first, high), strokes[last, 1])
    if strokes[last, 2] < 0.5 or len(x) < 3:
        unsteady = c.restart_u_rel * abs(strokes[last, 4])
        return strokes[last, 4], max(p.torque_noise, 1e-9, unsteady), 1.0
    value, u = _line_at_zero(x, y, c.grid_deg)
    least = c.torque_u_rel if clean else c.restart_u_rel
    return min(value, y.max()), max(u, least * abs(value)), 0.0 if clean else 1.0


@compiled
def _last_turning(strokes: Floats) -> int:
    """Return the last stroke that turned, else the one of the highest torque."""
    for s in range(len(strokes) - 1, -1, -1):
        if strokes[s, 2] >= 0.5:
            return s
    return int(np.argmax(strokes[:, 4]))


@compiled
def _two_degrees_before(p: Pull, turned: Turned, since: float) -> int:
    """Return the first sample after a time that is within two degrees of the end."""
    first, level = len(p.raw), turned.angle[-1] - 2.0
    while first > 0 and turned.angle[first - 1] >= level and p.time[first - 1] >= since:
        first -= 1
    return first


@compiled
def _release_begins(p: Pull, turned: Turned, first: int, until: float) -> int:
    """Return the last sample before the release smears over the last motion."""
    level, top = turned.angle[-1] - 0.5, -np.inf
    for i in range(first, len(p.raw)):
        if p.time[i] <= until and turned.angle[i] >= level:
            top = max(top, p.raw[i])
    high = len(p.raw) - 1
    for i in range(first, len(p.raw)):
        inside = p.time[i] <= until and turned.angle[i] >= level
        if inside and p.raw[i] >= top - 0.01 * abs(top):
            high = i
    return high


@compiled
def _running_out(
    p: Pull, turned: Turned, where: tuple[int, int], until: float
) -> tuple[Floats, Floats, int]:
    """Return angle less the last and torque while it ran, breakaway left out if enough is left."""
    first, high = where
    clean = 0
    for i in range(first, high + 1):
        if turned.moving[i] and p.time[i] <= until and not turned.restarting[i]:
            clean += 1
    x, y, n = np.empty(len(p.raw) - first), np.empty(len(p.raw) - first), 0
    for i in range(first, high + 1):
        chosen = turned.moving[i] and p.time[i] <= until
        if chosen and (clean < 3 or not turned.restarting[i]):
            x[n], y[n] = turned.angle[i] - turned.angle[-1], p.raw[i]
            n += 1
    return x[:n], y[:n], clean


@compiled
def _line_at_zero(x: Floats, y: Floats, grid: float) -> tuple[float, float]:
    n = len(x)
    mx, my = x.mean(), y.mean()
    if x.max() - x.min() < grid or n < 5:
        return median(y.copy()), y.std() / n**0.5
    xx, xy = 0.0, 0.0
    for i in range(n):
        xx += (x[i] - mx) ** 2
        xy += (x[i] - mx) * y[i]
    slope, left = xy / xx, 0.0
    for i in range(n):
        left += (y[i] - my - slope * (x[i] - mx)) ** 2
    return my - slope * mx, math.sqrt(left / (n - 2) * (1.0 / n + mx**2 / xx))


@compiled
def _snug_torque(k: Known, c: Criteria, peak: float) -> float:
    if not math.isnan(k.snug):
        return k.snug
    if k.by_torque == 0.0 and k.previous > 0.0:
        return 0.5 * k.previous
    return c.snug_share * (peak if math.isnan(k.target) else k.target)


@compiled
def _snug_angle(p: Pull, turned: Turned, course: Course, torque: float) -> float:
    """Return the angle at which the torque passes snug for good, NaN if it does not."""
    if p.peak < torque:
        return math.nan
    if len(course.angle) and course.top >= torque:
        for i in range(int(np.argmax(course.torque)), -1, -1):
            y = course.torque[i]
            if y < torque:
                x = course.angle[i]
                step = course.angle[i + 1] - x
                return x + (torque - y) / (course.torque[i + 1] - y) * step
    for i in range(len(p.raw)):
        if p.raw[i] >= torque:
            return turned.angle[i]
    return math.nan


@compiled
def _bend_and_slope(
    p: Pull, course: Course, tool: Tool, known: tuple[Known, Criteria], row: Floats
) -> int:
    """Write the elastic slope, return the step at which the curve bends for good, or -1."""
    k, c = known
    snug = row[SNUG_ANGLE]
    bend = _yield_place(course, snug, p.torque_noise, c)
    if bend >= 0 and _hardly_rose(course, snug, bend, k, c):
        bend = -1
    _slope(course, bend, tool, c, row)
    if bend >= 0 and not math.isnan(row[SLOPE]):
        if _lacks(course, bend, row[SLOPE], p.torque_noise, c):
            bend = _refined(course, bend, row[SLOPE], c)
        else:
            bend = -1
        _slope(course, bend, tool, c, row)
    return bend


@compiled
def _yield_place(course: Course, snug: float, noise: float, c: Criteria) -> int:
    """Return the first step at which the slope stays under its share of the highest one, or -1."""
    n = len(course.angle)
    if math.isnan(snug) or n < 8:
        return -1
    start = int(np.searchsorted(course.angle, snug))
    confirm = int(c.slope_window_deg / c.grid_deg)
    if n - start < 2 * confirm:
        return -1
    steepest = np.empty(n)
    most = -np.inf
    for i in range(start, n):
        most = max(most, course.slope[i])
        steepest[i] = most
    first = n
    while first > start and course.slope[first - 1] < c.yield_slope_ratio * steepest[first - 1]:
        first -= 1
    if first == n:
        return -1
    lacking = 0.0
    for i in range(first, n):
        lacking += steepest[first] - course.slope[i]
    least = max(c.yield_lacking * course.top, 4.0 * noise)
    return first if n - first >= confirm and lacking * c.grid_deg > least else -1


@compiled
def _hardly_rose(course: Course, snug: float, bend: int, k: Known, c: Criteria) -> bool:
    if math.isnan(k.rate) or math.isnan(snug):
        return False
    start = min(int(np.searchsorted(course.angle, snug)), bend)
    way = course.angle[bend] - course.angle[start]
    rose = course.torque[bend] - course.torque[start]
    early = course.torque[bend] < c.yield_early * k.yield_torque  # never so for NaN
    least = c.yield_rise_early if early else c.yield_rise_least
    return way > 0.0 and rose < least * k.rate * way


@compiled
def _lacks(course: Course, bend: int, slope: float, noise: float, c: Criteria) -> bool:
    lacking = 0.0
    for i in range(bend, len(course.slope)):
        lacking += slope - course.slope[i]
    least = max(c.yield_lacking, c.yield_rough * course.roughness) * course.top
    return lacking * c.grid_deg > max(least, 4.0 * noise)


@compiled
def _refined(course: Course, bend: int, slope: float, c: Criteria) -> int:
    n, half = len(course.angle), int(c.yield_window_deg / c.grid_deg) // 2
    if bend < half or n - bend < 2 * half:
        return bend
    wide = local_slope(course.torque, c.grid_deg, c.yield_window_deg)
    rising = 0
    while course.torque[rising] < 0.35 * course.torque[bend]:
        rising += 1
    steepest = slope
    for i in range(rising, bend):
        steepest = max(steepest, wide[i])
    first = n
    while first > bend - half and wide[first - 1] < c.yield_slope_ratio * steepest:
        first -= 1
    return first if first < n else bend


@compiled
def _slope(course: Course, bend: int, tool: Tool, c: Criteria, row: Floats) -> None:
    """Write the slope of the straight part between two shares of the torque at the end."""
    row[SLOPE], row[SLOPE_U] = math.nan, math.nan
    snug, snug_torque = row[SNUG_ANGLE], row[SNUG_TORQUE]
    if math.isnan(snug) or len(course.angle) < 5:
        return
    top = int(np.argmax(course.torque)) if bend < 0 else bend
    most = course.torque[top]
    start = int(np.searchsorted(course.angle, snug))
    x, y = course.angle[start : top + 1], course.torque[start : top + 1]
    floor = min(snug_torque, 0.8 * most)
    slope, u = _line(x, y, max(0.6 * most, floor), 0.9 * most, c)
    if slope <= 0.0:
        slope, u = _line(x, y, floor, 0.98 * most, c)
    if slope <= 0.0:
        return
    lower, _ = _line(x, y, max(0.35 * most, floor), 0.6 * most, c)
    if lower > 0.0 and abs(lower / slope - 1.0) < c.straight_rel:
        both, u_both = _line(x, y, max(0.35 * most, floor), 0.9 * most, c)
        if both > 0.0:
            slope, u = both, u_both
    wind_up = slope * tool.compliance * tool.u_rel
    row[SLOPE], row[SLOPE_U] = slope, math.hypot(u, slope * wind_up)


@compiled
def _line(x: Floats, y: Floats, low: float, high: float, c: Criteria) -> tuple[float, float]:
    """Return slope and error of the line through points between two torques; zeros for none."""
    n, mx, my = 0, 0.0, 0.0
    for i in range(len(x)):
        if low <= y[i] <= high:
            n += 1
            mx += x[i]
            my += y[i]
    if n < 4:
        return 0.0, 0.0
    mx, my = mx / n, my / n
    xx, xy = 0.0, 0.0
    for i in range(len(x)):
        if low <= y[i] <= high:
            xx += (x[i] - mx) ** 2
            xy += (x[i] - mx) * y[i]
    slope = xy / xx
    if slope <= 0.0:
        return 0.0, 0.0
    left = 0.0
    for i in range(len(x)):
        if low <= y[i] <= high:
            left += (y[i] - my - slope * (x[i] - mx)) ** 2
    fewer = max(1.0, c.slope_wave_deg / c.grid_deg)
    return slope, math.sqrt(left / (n - 2) / xx * fewer)


@compiled
def _running(course: Course, snug: float, slope: float, bend: int, c: Criteria) -> float:
    """Return the median torque 90 to 20 degrees before the seat, where it is flat."""
    if math.isnan(snug) or math.isnan(slope):
        return math.nan
    n = len(course.angle)
    flat = np.zeros(n, np.bool_)
    for i in range(n if bend < 0 else bend):
        level = abs(course.slope[i]) < c.flat_slope_ratio * slope
        flat[i] = level and course.torque[i] < 0.5 * course.top
    seat = snug
    for i in range(n - 2, -1, -1):
        if flat[i] and not flat[i + 1]:
            seat = max(seat, course.angle[i] + 20.0)
            break
    before, count = np.empty(n), 0
    for i in range(n):
        if flat[i] and seat - 90.0 <= course.angle[i] <= seat - 20.0:
            before[count] = course.torque[i]
            count += 1
    if count * c.grid_deg < c.flat_deg:
        return math.nan
    ordered = np.sort(before[:count])
    low, middle = quantile(ordered, 0.1), quantile(ordered, 0.5)
    wide = quantile(ordered, 0.9) - low > c.running_share * middle
    return math.nan if wide and middle > 0.1 * course.top else middle


@compiled
def _never_seated(course: Course, c: Criteria) -> float:
    """Return the median torque of a curve that is flat from end to end."""
    n = len(course.angle)
    first = 0
    while first < n and course.angle[first] <= course.angle[0] + 5.0:
        first += 1
    if (n - first) * c.grid_deg < 5.0 * c.flat_deg:
        return math.nan
    ordered = np.sort(course.torque[first:])
    middle = quantile(ordered, 0.5)
    wide = quantile(ordered, 0.95) - quantile(ordered, 0.05)
    return middle if wide < c.flat_share * middle else math.nan


@compiled
def _early_and_late(course: Course, snug: float, bend: int, c: Criteria, row: Floats) -> None:
    if math.isnan(snug) or len(course.angle) < 12:
        return
    top = int(np.argmax(course.torque)) if bend < 0 else bend
    start = int(np.searchsorted(course.angle, snug))
    if top + 1 - start < 9:
        return
    angle, rising = course.angle[start : top + 1], course.torque[start : top + 1].copy()
    low, high = rising[0], rising[-1]
    if high - low < c.slope_least * high:
        return
    for i in range(1, len(rising)):
        rising[i] = max(rising[i], rising[i - 1])
    first = interpolated(low + 0.0 * (high - low), rising, angle)
    second = interpolated(low + 1 / 3 * (high - low), rising, angle)
    third = interpolated(low + 2 / 3 * (high - low), rising, angle)
    last = interpolated(low + 1.0 * (high - low), rising, angle)
    part = (high - low) / 3.0
    row[EARLY] = part / max(second - first, 0.25)
    row[LATE] = part / max(last - third, 0.25)


@compiled
def _after_the_top(course: Course, c: Criteria, row: Floats) -> None:
    """Write rotation on a plateau, largest fall, rotation since the top, and slope at the end."""
    row[PLATEAU], row[DROP], row[DROP_WAY] = 0.0, 0.0, 0.0
    n = len(course.angle)
    if n < 3:
        return
    flat, fall, highest = 0.0, 0.0, course.torque[0]
    level = c.plateau_slope_ratio * row[SLOPE]  # never reached for NaN
    for i in range(n):
        highest = max(highest, course.torque[i])
        if highest <= 0.2 * course.top:
            continue
        fall = max(fall, (highest - course.torque[i]) / max(highest, 1e-12))
        if course.slope[i] < level and course.torque[i] > 0.7 * course.top:
            flat += c.grid_deg
    row[PLATEAU], row[DROP] = flat, fall
    row[DROP_WAY] = course.angle[-1] - course.angle[int(np.argmax(course.torque))]
    first = n
    while first > 0 and course.angle[first - 1] >= course.angle[-1] - 20.0:
        first -= 1
    if n - first >= 8:
        xx, xy, mx = 0.0, 0.0, course.angle[first:].mean()
        for i in range(first, n):
            xx += (course.angle[i] - mx) ** 2
            xy += (course.angle[i] - mx) * course.torque[i]
        row[END_SLOPE] = xy / xx


@compiled
def _turned(
    p: Pull, turned: Turned, course: Course, tool: Tool, known: tuple[Known, Criteria], row: Floats
) -> None:
    """Write the rotation in total and after snug, each with its uncertainty."""
    k, c = known
    end, snug, snug_torque = turned.angle[-1], row[SNUG_ANGLE], row[SNUG_TORQUE]
    top = row[PEAK] if math.isnan(row[FINAL]) else row[FINAL]
    strokes = turned.strokes
    play, again, least = 0, 0.0, c.held_share * row[PEAK]
    share = 1.0 - 0.5 * (c.restart_low + c.restart_high)
    for s in range(len(strokes) - 1):
        play += k.mode == HANDLE and strokes[s, 4] <= least
        if k.mode == ACCUMULATED and strokes[s, 4] > snug_torque:
            again += share * strokes[s, 4]
    for s in range(len(strokes)):
        if strokes[s, 2] >= c.breakaway_deg:
            row[BEFORE] = strokes[s, 4]
    row[TOTAL], row[TOTAL_U] = end, _u_turned(turned, tool, top, float(play), c)
    if math.isnan(snug):
        return
    u_after = _u_turned(turned, tool, abs(top - snug_torque) + again, 0.0, c)
    u_snug = _u_snug(course, snug, snug_torque, p.torque_noise, c)
    row[AFTER], row[AFTER_U] = end - snug, math.hypot(u_after, u_snug)
    row[U_SNUG_ANGLE] = math.hypot(_u_turned(turned, tool, snug_torque, float(play), c), u_snug)


@compiled
def _u_turned(turned: Turned, tool: Tool, torque: float, play: float, c: Criteria) -> float:
    wind_up = abs(torque) * tool.compliance * tool.u_rel
    noise = turned.u_angle * max(1, len(turned.strokes)) ** 0.5
    return math.sqrt(noise**2 + wind_up**2 + (play * c.play_deg) ** 2 + turned.u_late**2)


@compiled
def _u_snug(course: Course, snug: float, torque: float, noise: float, c: Criteria) -> float:
    n = len(course.angle)
    if n == 0:
        return 0.0
    place = min(int(np.searchsorted(course.angle, snug)), n - 1)
    above = place
    while above < n and course.torque[above] < 1.2 * torque:
        above += 1
    slope = course.slope[place]
    if course.roughness > c.waves_u_rel and place < above < n:
        slope = 0.2 * torque / ((above - place) * c.grid_deg)
    slope = max(slope, c.flat_slope_ratio * top_of(course.slope), 1e-9)
    waves = max(c.waves_u_rel, 2.0 * course.roughness) * torque
    return min(math.hypot(0.5 * noise, waves) / slope, c.snug_u_most_deg)


@compiled
def _loads(course: Course, bend: int, k: Known, c: Criteria, row: Floats) -> None:
    """Write clamp load at yield and at the end, and the nut factor."""
    slope = row[SLOPE]
    if math.isnan(slope):
        return
    if bend >= 0:
        torque = course.torque[bend]
        row[YIELD_ANGLE], row[YIELD_TORQUE] = course.angle[bend], torque
        row[U_YIELD_ANGLE] = math.hypot(row[TOTAL_U], c.yield_place_u_deg)
        row[YIELD_CLAMP], row[YIELD_CLAMP_U] = _clamp(torque, c.yield_u_rel * torque, k, c, row)
    if not math.isnan(row[FINAL]):
        row[CLAMP], row[CLAMP_U] = _clamp(row[FINAL], row[FINAL_U], k, c, row)
    if k.clamp_rate > 0.0 and k.d > 0.0:
        row[NUT_FACTOR] = 1000.0 * slope / (k.clamp_rate * k.d)


@compiled
def _clamp(
    torque: float, u_torque: float, k: Known, c: Criteria, row: Floats
) -> tuple[float, float]:
    """Return clamp load by slope and clamp rate with its uncertainty; NaN without a rate."""
    above, slope = torque - _or_zero(row[RUNNING]), row[SLOPE]
    value = k.clamp_rate * above / slope
    u = math.hypot(
        math.hypot(c.clamp_rate_u_rel, row[SLOPE_U] / slope), u_torque / max(above, 1e-9)
    )
    return value, u * abs(value)
