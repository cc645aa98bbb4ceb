"""What can be seen in a trace: snug, slope, yield, final torque, turned angle, clamp load."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from clampwright.trace import signals
from clampwright.trace.curve import Curve, curve_of, local_slope
from clampwright.trace.given import Given, aimed_torque, expected_rate, yield_torque
from clampwright.trace.limits import limit
from clampwright.trace.model import Floats, Trace
from clampwright.trace.rate import drift_of
from clampwright.trace.relations import clamp_from_slope, nut_factor_from_slope
from clampwright.trace.strokes import Turned, turned


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty, in the same unit."""

    value: float
    u: float


@dataclass(frozen=True, slots=True)
class Yield:
    """Where the curve flattened for good.

    Parameters
    ----------
    angle : float
        Degrees turned since the first sample.
    torque : float
        N·m.
    clamp : Estimate or None
        Clamp load there, N; None without a clamp rate.
    u_angle : float
        Standard uncertainty of the angle, degrees.
    """

    angle: float
    torque: float
    clamp: Estimate | None
    u_angle: float


@dataclass(frozen=True, slots=True, eq=False)
class Features:
    """Everything the verdict rests on; None stands for "not determinable".

    Parameters
    ----------
    turned : Turned
        Strokes and the fastener's angle.
    curve : Curve
        Running torque over that angle.
    final_torque : Estimate or None
        Running torque at the end of the turning, N·m.
    peak_torque : float
        Highest torque of all, breakaway included, N·m.
    top_torque, last_torque : float
        Highest and last running torque, N·m; 0 where the fastener never ran.
    way_above : float
        Rotation since a share of the target was first passed that a sound thread takes only near
        the seat, degrees.
    restart_only : bool
        Whether the end was reached within the breakaway after a stop.
    snug_torque : float
        Torque from which rotation is counted, N·m.
    snug_angle : float or None
        Where it is passed, degrees since the first sample.
    u_snug_angle : float or None
        Standard uncertainty of that, degrees.
    after_snug : Estimate or None
        Rotation after that, degrees.
    total : Estimate
        Rotation in the whole trace, degrees; of a counter since it began to count.
    running_torque : float or None
        Torque before the seat, N·m.
    slope : Estimate or None
        Elastic slope, N·m/deg.
    early_slope, late_slope : float or None
        Slopes of the lower and of the upper part between snug and the end (or yield), N·m/deg.
    yielded : Yield or None
    plateau : float
        Rotation on the plateau, degrees.
    drop : float
        Largest fall below the highest running torque before it, as a share of that.
    drop_way : float
        Rotation from that highest torque to the end, degrees.
    end_slope : float or None
        Slope over the last part of the curve, N·m/deg.
    clamp : Estimate or None
        Clamp load at the end from slope and clamp rate, N.
    nut_factor : float or None
        K from slope and clamp rate.
    """

    turned: Turned
    curve: Curve
    final_torque: Estimate | None
    peak_torque: float
    top_torque: float
    last_torque: float
    way_above: float
    restart_only: bool
    snug_torque: float
    snug_angle: float | None
    u_snug_angle: float | None
    after_snug: Estimate | None
    total: Estimate
    running_torque: float | None
    slope: Estimate | None
    early_slope: float | None
    late_slope: float | None
    yielded: Yield | None
    plateau: float
    drop: float
    drop_way: float
    end_slope: float | None
    clamp: Estimate | None
    nut_factor: float | None


def features_of(trace: Trace, given: Given) -> Features:
    """Find the features of a trace.

    Parameters
    ----------
    trace : Trace
    given : Given
        What is known of joint and tool.

    Returns
    -------
    Features
    """
    parts = turned(trace, given.tool_stiffness_Nm_per_deg, given.previous_torque_Nm or 0.0)
    drift = drift_of(trace)
    curve = curve_of(trace, parts)
    final, restart_only = _final_torque(trace, parts)
    final = _as_rough_as(curve.roughness, final)
    peak = float(trace.torque.max())
    snug_torque = _snug_torque(given, peak)
    snug = _snug_angle(trace, parts, curve, snug_torque)
    bend = _yield_place(curve, snug, parts.torque_noise)
    if bend is not None and _hardly_rose(curve, snug, bend, given):
        bend = None
    slope = _elastic_slope(curve, snug, snug_torque, bend, parts)
    if bend is not None and not _lacks(curve, bend, slope, parts.torque_noise):
        bend = None
        slope = _elastic_slope(curve, snug, snug_torque, bend, parts)
    if bend is not None and slope is not None:
        bend = _refined(curve, bend, slope)
        slope = _elastic_slope(curve, snug, snug_torque, bend, parts)
    if slope is None and not given.previous_torque_Nm:
        running = _never_seated(curve)
    else:
        running = _running_torque(curve, snug, slope, bend)
    early, late = _early_and_late(curve, snug, bend)
    flat, drop, way = _after_the_top(curve, slope)
    end = float(parts.angle[-1])
    top = final.value if final else peak
    play, first = _unloaded_starts(trace, parts), float(trace.time[0])
    u_end = _u_turned(parts, top, drift(first, end), play=play)
    after = u_snug_angle = None
    if snug is not None:
        since = float(trace.time[int(np.argmax(parts.angle >= snug))])
        wound = abs(top - snug_torque) + _wound_again(trace, parts, snug_torque)
        u_after = _u_turned(parts, wound, drift(since, end - snug))
        u_snug = _u_snug(curve, snug, snug_torque, parts.torque_noise)
        after = Estimate(end - snug, float(np.hypot(u_after, u_snug)))
        until = drift(first + float(trace.time[-1]) - since, snug)
        u_to = _u_turned(parts, snug_torque, until, play=play)
        u_snug_angle = float(np.hypot(u_to, u_snug))
    rate = given.nominal.clamp_rate_N_per_deg
    return Features(
        turned=parts,
        curve=curve,
        final_torque=final,
        peak_torque=peak,
        top_torque=float(curve.torque.max()) if len(curve) else 0.0,
        last_torque=float(curve.torque[-1]) if len(curve) else 0.0,
        way_above=_way_above(curve, given),
        restart_only=restart_only,
        snug_torque=snug_torque,
        snug_angle=snug,
        u_snug_angle=u_snug_angle,
        after_snug=after,
        total=Estimate(end, u_end),
        running_torque=running,
        slope=slope,
        early_slope=early,
        late_slope=late,
        yielded=_yield(curve, bend, running, slope, rate, u_turned=u_end),
        plateau=flat,
        drop=drop,
        drop_way=way,
        end_slope=_end_slope(curve),
        clamp=_clamp(final, running, slope, rate),
        nut_factor=_nut_factor(slope, rate, given.d_mm),
    )


def _way_above(curve: Curve, given: Given) -> float:
    """Rotation since the share of the target that tells a crossed thread was first passed."""
    above = curve.torque >= limit("cross_thread_share") * (aimed_torque(given) or 0.0)
    return float(curve.angle[-1] - curve.angle[int(above.argmax())]) if above.any() else 0.0


def _final_torque(trace: Trace, parts: Turned) -> tuple[Estimate | None, bool]:
    """Fit the running torque at the end over the last two degrees, breakaway kept apart."""
    if not parts.strokes:
        return None, False
    turning = [s for s in parts.strokes if s.turned_deg >= 0.5]
    last = turning[-1] if turning else max(parts.strokes, key=lambda s: s.torque_end)
    end = float(parts.angle[-1])
    u_floor, unsteady = max(parts.torque_noise, 1e-9), limit("restart_u_rel")
    recent = (trace.time >= last.t0_s) & (trace.time <= last.t1_s) & (parts.angle >= end - 2.0)
    running = recent & parts.moving & _before_the_release(trace, parts, recent)
    clean = running & ~parts.restarting
    restart_only = not clean.any()
    chosen = clean if clean.sum() >= 3 else running
    if last.turned_deg < 0.5 or chosen.sum() < 3:
        return Estimate(last.torque_end, max(u_floor, unsteady * abs(last.torque_end))), True
    value, u = _line_at_zero(parts.angle[chosen] - end, trace.torque[chosen])
    top = float(trace.torque[chosen].max())
    least = unsteady if restart_only else limit("torque_u_rel")
    return Estimate(min(value, top), max(u, least * abs(value))), restart_only


def _as_rough_as(roughness: float, final: Estimate | None) -> Estimate | None:
    """Widen a torque that sticks and slips: two degrees see no more than one swing of it."""
    if final is None:
        return None
    return Estimate(final.value, float(np.hypot(final.u, roughness * final.value)))


def _before_the_release(
    trace: Trace, parts: Turned, recent: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """Leave out the first of the release, where a slow sensor smears it over the last motion."""
    end = recent & (parts.angle >= parts.angle[-1] - 0.5)
    if not end.any():
        return np.ones(len(trace), dtype=np.bool_)
    top = float(trace.torque[end].max())
    high = end & (trace.torque >= top - 0.01 * abs(top))
    return np.arange(len(trace)) <= int(np.flatnonzero(high)[-1])


def _line_at_zero(x: Floats, y: Floats) -> tuple[float, float]:
    """Value at zero of a straight line through points, and its standard error."""
    middle = float(x.mean())
    spread = float((x - middle) @ (x - middle))
    if np.ptp(x) < limit("grid_deg") or len(x) < 5:
        return signals.middle(y), float(y.std() / len(y) ** 0.5)
    slope = float((x - middle) @ y) / spread
    residual = y - y.mean() - slope * (x - middle)
    scatter = float(residual @ residual) / (len(x) - 2)
    return float(y.mean()) - slope * middle, (scatter * (1 / len(x) + middle**2 / spread)) ** 0.5


def _snug_torque(given: Given, peak: float) -> float:
    if given.snug_torque_Nm is not None:
        return given.snug_torque_Nm
    if given.procedure == "torque_angle" and given.previous_torque_Nm:
        return 0.5 * given.previous_torque_Nm  # passed before the fastener starts to turn again
    return limit("snug_share") * (given.target_torque_Nm or peak)


def _snug_angle(trace: Trace, parts: Turned, curve: Curve, torque: float) -> float | None:
    """Angle at which the torque passes snug for good, on its way to the top."""
    if float(trace.torque.max()) < torque:
        return None
    if len(curve) and curve.torque.max() >= torque:
        below = np.flatnonzero(curve.torque[: int(curve.torque.argmax()) + 1] < torque)
        if len(below):
            i = int(below[-1])
            x, y = curve.angle[i : i + 2], curve.torque[i : i + 2]
            return float(x[0] + (torque - y[0]) / (y[1] - y[0]) * (x[1] - x[0]))
    return float(parts.angle[int(np.argmax(trace.torque >= torque))])


def _running_torque(
    curve: Curve, snug: float | None, slope: Estimate | None, bend: int | None
) -> float | None:
    """Median torque 90 to 20 degrees before the seat, or what there is of that and is flat.

    The seat lies at the snug torque, or later where a locking feature alone takes more than that.
    """
    if snug is None or slope is None:
        return None
    flat = np.abs(curve.slope) < limit("flat_slope_ratio") * slope.value
    flat &= curve.torque < 0.5 * curve.torque.max()
    flat[bend if bend is not None else len(flat) :] = False  # a plateau is flat as well
    ends = np.flatnonzero(flat[:-1] & ~flat[1:])
    seat = max([snug, *(float(curve.angle[i]) + 20.0 for i in ends[-1:])])
    before = (curve.angle >= seat - 90.0) & (curve.angle <= seat - 20.0) & flat
    if before.sum() * limit("grid_deg") < limit("flat_deg"):
        return None
    low, middle, high = np.quantile(curve.torque[before], [0.1, 0.5, 0.9])
    if high - low > limit("running_share") * middle and middle > 0.1 * curve.torque.max():
        return None  # a slow rise: parts that come together
    return float(middle)


def _never_seated(curve: Curve) -> float | None:
    """Median torque of a curve that is flat from end to end, after its first degrees."""
    torque = curve.torque[curve.angle > curve.angle[0] + 5.0] if len(curve) else curve.torque
    if len(torque) * limit("grid_deg") < 5.0 * limit("flat_deg"):
        return None
    middle = signals.middle(torque)
    low, high = np.quantile(torque, [0.05, 0.95])
    return middle if high - low < limit("flat_share") * middle else None


def _yield_place(curve: Curve, snug: float | None, noise: float) -> int | None:
    """Index of the first step at which the slope stays under its share of the highest one."""
    if snug is None or len(curve) < 8:
        return None
    start = int(np.searchsorted(curve.angle, snug))
    slope = curve.slope[start:]
    confirm = int(limit("slope_window_deg") / limit("grid_deg"))
    if len(slope) < 2 * confirm:
        return None
    highest = np.maximum.accumulate(slope)
    low = slope < limit("yield_slope_ratio") * highest
    stays = np.flipud(np.logical_and.accumulate(np.flipud(low)))
    if not stays.any():
        return None
    first = int(np.argmax(stays))
    lacking = np.sum(highest[first] - slope[first:]) * limit("grid_deg")
    least = max(limit("yield_lacking") * float(curve.torque.max()), 4.0 * noise)
    return start + first if len(slope) - first >= confirm and lacking > least else None


def _hardly_rose(curve: Curve, snug: float | None, bend: int, given: Given) -> bool:
    """Tell a bolt that was stretched from one that cut its way in: its curve was never steep.

    A soft joint rises as slowly, but then the bolt bears what it should.
    """
    rate, wanted = expected_rate(given), yield_torque(given)
    if rate is None or snug is None:
        return False
    start = min(int(np.searchsorted(curve.angle, snug)), bend)
    way = float(curve.angle[bend] - curve.angle[start])
    rose = float(curve.torque[bend] - curve.torque[start])
    early = wanted is not None and float(curve.torque[bend]) < limit("yield_early") * wanted
    least = limit("yield_rise_early" if early else "yield_rise_least")
    return way > 0.0 and rose < least * rate * way


def _lacks(curve: Curve, bend: int, slope: Estimate | None, noise: float) -> bool:
    """Tell whether the torque since the bend lacks more of the straight line than waves explain."""
    if slope is None:
        return True
    top = float(curve.torque.max())
    lacking = float(np.sum(slope.value - curve.slope[bend:])) * limit("grid_deg")
    least = max(limit("yield_lacking"), limit("yield_rough") * curve.roughness) * top
    return lacking > max(least, 4.0 * noise)


def _refined(curve: Curve, bend: int, slope: Estimate) -> int:
    """Place the bend by slopes over a wider window, so that waves of friction do not shift it."""
    window = limit("yield_window_deg")
    half = int(window / limit("grid_deg")) // 2
    if bend < half or len(curve) - bend < 2 * half:
        return bend
    wide = local_slope(curve.torque, limit("grid_deg"), window)
    rising = int(np.argmax(curve.torque >= 0.35 * curve.torque[bend]))
    steepest = max(slope.value, float(wide[rising:bend].max(initial=0.0)))
    low = wide[bend - half :] < limit("yield_slope_ratio") * steepest
    stays = np.flipud(np.logical_and.accumulate(np.flipud(low)))
    return bend - half + int(np.argmax(stays)) if stays.any() else bend


def _elastic_slope(
    curve: Curve, snug: float | None, snug_torque: float, bend: int | None, parts: Turned
) -> Estimate | None:
    """Slope of the straight part between 60 and 90 % of the torque at the end or at yield."""
    if snug is None or len(curve) < 5:
        return None
    top = int(curve.torque.argmax()) if bend is None else bend
    most = float(curve.torque[top])
    part = slice(int(np.searchsorted(curve.angle, snug)), top + 1)
    x, y = curve.angle[part], curve.torque[part]
    floor = min(snug_torque, 0.8 * most)
    upper = _line(x, y, max(0.6 * most, floor), 0.9 * most)
    if upper is None:  # so stiff that there are few steps of rotation: all of them
        upper = _line(x, y, floor, 0.98 * most)
    if upper is None:
        return None
    slope, u = upper
    lower = _line(x, y, max(0.35 * most, floor), 0.6 * most)
    if lower is not None and abs(lower[0] / slope - 1.0) < limit("straight_rel"):
        slope, u = _line(x, y, max(0.35 * most, floor), 0.9 * most) or upper
    wind_up = slope * parts.stiffness.compliance * parts.stiffness.u_rel
    return Estimate(slope, float(np.hypot(u, slope * wind_up)))


def _line(x: Floats, y: Floats, low: float, high: float) -> tuple[float, float] | None:
    """Slope of a straight line through the points between two torques, and its standard error.

    What is left over is no white noise (friction comes in waves), so it counts as fewer points: one
    for each stretch of `slope_wave_deg`.
    """
    inside = (y >= low) & (y <= high)
    x, y = x[inside], y[inside]
    if len(x) < 4:
        return None
    centred = x - x.mean()
    slope = float(centred @ y) / float(centred @ centred)
    if slope <= 0:
        return None
    residual = y - y.mean() - slope * centred
    fewer = max(1.0, limit("slope_wave_deg") / limit("grid_deg"))
    u = (float(residual @ residual) / (len(x) - 2) / float(centred @ centred) * fewer) ** 0.5
    return slope, u


def _early_and_late(
    curve: Curve, snug: float | None, bend: int | None
) -> tuple[float | None, float | None]:
    """Slopes of the first and of the last third of the torque between snug and the top."""
    if snug is None or len(curve) < 12:
        return None, None
    top = int(curve.torque.argmax()) if bend is None else bend
    start = int(np.searchsorted(curve.angle, snug))
    angle, torque = curve.angle[start : top + 1], curve.torque[start : top + 1]
    if len(torque) < 9:
        return None, None
    low, high = float(torque[0]), float(torque[-1])
    if high - low < limit("slope_least") * high:
        return None, None
    marks = [low + share * (high - low) for share in (0.0, 1 / 3, 2 / 3, 1.0)]
    way = np.interp(marks, np.maximum.accumulate(torque), angle)
    third = (high - low) / 3.0
    return third / max(way[1] - way[0], 0.25), third / max(way[3] - way[2], 0.25)


def _after_the_top(curve: Curve, slope: Estimate | None) -> tuple[float, float, float]:
    """Rotation on a plateau, largest fall below the top (share), and rotation since the top."""
    if len(curve) < 3:
        return 0.0, 0.0, 0.0
    highest = np.maximum.accumulate(curve.torque)
    fall = np.where(highest > 0, (highest - curve.torque) / np.maximum(highest, 1e-12), 0.0)
    loaded = highest > 0.2 * highest[-1]
    fall = np.where(loaded, fall, 0.0)
    flat = 0.0
    if slope is not None:
        level = limit("plateau_slope_ratio") * slope.value
        on_top = loaded & (curve.slope < level) & (curve.torque > 0.7 * highest[-1])
        flat = float(on_top.sum()) * limit("grid_deg")
    top = int(curve.torque.argmax())
    return flat, float(fall.max()), float(curve.angle[-1] - curve.angle[top])


def _end_slope(curve: Curve) -> float | None:
    """Slope of the last 20 degrees."""
    last = curve.between(curve.angle[-1] - 20.0, np.inf) if len(curve) else curve
    if len(last) < 8:
        return None
    centred = last.angle - last.angle.mean()
    return float(centred @ last.torque / (centred @ centred))


def _clamp_at(
    torque: float, running: float | None, slope: Estimate, rate: float, u_torque: float
) -> Estimate:
    above = torque - (running or 0.0)
    value = float(clamp_from_slope(torque, slope.value, rate, running or 0.0))
    u_rel = np.hypot(
        np.hypot(limit("clamp_rate_u_rel"), slope.u / slope.value), u_torque / max(above, 1e-9)
    )
    return Estimate(value, float(u_rel) * abs(value))


def _clamp(
    final: Estimate | None, running: float | None, slope: Estimate | None, rate: float | None
) -> Estimate | None:
    if final is None or slope is None or rate is None:
        return None
    return _clamp_at(final.value, running, slope, rate, final.u)


def _yield(
    curve: Curve,
    bend: int | None,
    running: float | None,
    slope: Estimate | None,
    rate: float | None,
    *,
    u_turned: float,
) -> Yield | None:
    if bend is None or slope is None:
        return None
    torque = float(curve.torque[bend])
    clamp = None
    if rate is not None:
        clamp = _clamp_at(torque, running, slope, rate, limit("yield_u_rel") * torque)
    u_angle = float(np.hypot(u_turned, limit("yield_place_u_deg")))
    return Yield(float(curve.angle[bend]), torque, clamp, u_angle)


def _nut_factor(slope: Estimate | None, rate: float | None, d: float | None) -> float | None:
    if slope is None or not rate or not d:
        return None
    return float(nut_factor_from_slope(slope.value, rate, d))


def _u_turned(parts: Turned, torque: float, drift: float, play: int = 0) -> float:
    """Angle noise of every stroke, wind-up as uncertain as the stiffness, drift of a rate, play."""
    tool = parts.stiffness
    wind_up = abs(torque) * tool.compliance * tool.u_rel
    noise = parts.u_angle * max(1, len(parts.strokes)) ** 0.5
    play_deg = play * limit("play_deg")
    return float(np.linalg.norm([noise, wind_up, drift, play_deg, parts.u_late]))


def _u_snug(curve: Curve, snug: float, torque: float, noise: float) -> float:
    """How well the angle of the snug torque is known: noise and waves over the slope there."""
    if not len(curve):
        return 0.0
    place = min(int(np.searchsorted(curve.angle, snug)), len(curve) - 1)
    above = np.flatnonzero(curve.torque[place:] >= 1.2 * torque)
    slope = float(curve.slope[place])
    if curve.roughness > limit("waves_u_rel") and len(above) and above[0] > 0:
        # the local slope of a rough course says nothing about the next time it passes
        slope = 0.2 * torque / (float(above[0]) * limit("grid_deg"))
    slope = max(slope, limit("flat_slope_ratio") * float(curve.slope.max()), 1e-9)
    waves = max(limit("waves_u_rel"), 2.0 * curve.roughness) * torque
    return min(float(np.hypot(0.5 * noise, waves)) / slope, limit("snug_u_most_deg"))


def _wound_again(trace: Trace, parts: Turned, snug_torque: float) -> float:
    """Torque that a counter saw wound up once more, from where the nut's rest is found on, N·m."""
    if trace.angle_mode != "accumulated":
        return 0.0
    share = 1.0 - 0.5 * (limit("restart_low") + limit("restart_high"))
    return share * sum(s.torque_end for s in parts.strokes[:-1] if s.torque_end > snug_torque)


def _unloaded_starts(trace: Trace, parts: Turned) -> int:
    """Count the strokes that began without load: what the ratchet's play took is not seen there."""
    if trace.angle_mode != "handle":
        return 0
    least = limit("held_share") * float(trace.torque.max())
    return sum(stroke.torque_end <= least for stroke in parts.strokes[:-1])
