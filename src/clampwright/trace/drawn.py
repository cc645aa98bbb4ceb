"""Pulls drawn at random with their truth, to measure the judge on: wider than it was tuned on.

Joint, friction, hand, wrench, sensor and fault are drawn from broad ranges, what the judge is told
about stiffness and clamp rate is off by as much as people are, and half of the traces are changed
in ways the simulator cannot make (another clock, filters, hum). The truth is for measuring and for
teaching; the judge never sees it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from clampwright.joint.model import Fastening
from clampwright.joint.torque_tension import torque_from_clamp
from clampwright.trace.expectation import expected
from clampwright.trace.given import Given
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.rate import angle_from_rate
from clampwright.trace.simulate import (
    COUNTED_FROM,
    Condition,
    Fault,
    Pull,
    SimulatedFastener,
    SimulatedWrench,
)

FAULTY = frozenset(
    {
        "cross_thread",
        "false_seat",
        "bottomed",
        "stick_slip",
        "stripped",
        "necking",
        "prevailing_high",
        "slope_out_of_band",
        "rehit",
        "slip_off",
        "galling",
    }
)
"""Patterns that are faults whatever the procedure."""
_SIZES = ((6, 1.0), (8, 1.25), (10, 1.5), (10, 1.25), (12, 1.75), (14, 2.0), (16, 2.0), (20, 2.5))
_CLASSES = ((640.0, 800.0), (940.0, 1040.0), (1100.0, 1220.0))  # R_p, R_m of 8.8, 10.9, 12.9
_MODES = ("handle", "handle", "accumulated", "output", "rate")


@dataclass(frozen=True, slots=True)
class Truth:
    """What truly happened to the fastener.

    Parameters
    ----------
    turned_after_snug, turned_total : float
        Degrees; in total what lies within reach of the angle column: a counter that adds up forward
        rotation under load sees nothing below its own threshold.
    clamp : float
        Clamp load at the end of the pull, N.
    yield_clamp : float or None
        Clamp load at first yield, N, where it yielded.
    clamp_rate : float
        Clamp load per degree, N/deg.
    snug_angle, yield_angle : float
        Where the snug torque was passed and where it began to yield, degrees turned since the
        first sample (of a counter since it began to count); NaN where they were not.
    final_torque : float
        Running torque at the end, N·m; where it sticks and slips, what it does so about.
    slope : float
        Elastic slope, N·m/deg; NaN where the fault leaves none.
    """

    turned_after_snug: float
    turned_total: float
    clamp: float
    yield_clamp: float | None
    clamp_rate: float
    snug_angle: float = math.nan
    yield_angle: float = math.nan
    final_torque: float = math.nan
    slope: float = math.nan


@dataclass(frozen=True, slots=True)
class Drawn:
    """One pull with its label, what is told to the judge, and the truth it never sees.

    Parameters
    ----------
    pattern : str
        What was simulated, one of `clampwright.trace.patterns.PATTERNS`.
    fault : bool
    column : {"handle", "accumulated", "output", "rate"}
        What the trace was recorded with.
    trace : Trace
    given : Given
    truth : Truth
    """

    pattern: str
    fault: bool
    column: str
    trace: Trace
    given: Given
    truth: Truth


@dataclass(frozen=True, slots=True)
class _Joint:
    """A joint with what is wanted of it."""

    parts: Fastening
    mu: float
    target: float
    snug: float
    rate: float
    share: float


@dataclass(frozen=True, slots=True)
class _Ranges:
    """Random numbers from ranges that can be narrowed about their middle."""

    own: np.random.Generator
    width: float

    def uniform(self, low: float, high: float) -> float:
        middle, half = 0.5 * (low + high), 0.5 * self.width * (high - low)
        return float(self.own.uniform(middle - half, middle + half))

    def random(self) -> float:
        return float(self.own.random())

    def integers(self, low: int, high: int | None = None) -> int:
        return int(self.own.integers(low, high))

    def choice(self, values: Sequence[Any]) -> Any:
        return values[int(self.own.integers(len(values)))]

    def noise(self, size: float, count: int | None = None) -> Any:
        return self.own.normal(0.0, size, count)


def drawn(seed: int, pattern: str, width: float = 1.0) -> Drawn:
    """Draw one pull.

    Parameters
    ----------
    seed : int
    pattern : str
        Which of `clampwright.trace.patterns.PATTERNS` to simulate.
    width : float
        Share of every range that is drawn from, about its middle.

    Returns
    -------
    Drawn
        The same for the same seed and pattern.

    Examples
    --------
    >>> one = drawn(1, "slip_off")
    >>> one.pattern, one.fault, len(one.trace) > 20
    ('slip_off', True, True)
    """
    rng = _Ranges(np.random.default_rng([seed, PATTERNS.index(pattern)]), width)
    joint = _joint(rng, pattern)
    angle = _angle(rng, pattern, joint)
    condition, fault = _condition(rng, pattern, joint, angle)
    fastener = SimulatedFastener(joint.parts, Condition(**condition), seed=seed)
    column = str(rng.choice(_MODES))
    wrench = _wrench(rng, pattern, joint, column)
    if pattern == "rehit":
        fastener.turn_to_torque(joint.target * rng.uniform(0.97, 1.06))
        fault = None
    begin, snug_at = fastener.angle, _snug_angle(fastener, joint.snug)
    aim: dict[str, float] = {"torque": joint.target} if angle is None else {"torque": joint.snug}
    if angle is not None:
        aim["angle"] = angle
    pull = wrench.pull(fastener, rng=rng.own, fault=fault, **aim)
    if fault == "cross_thread":  # its thread was spoilt by the pull only
        snug_at = _snug_angle(
            SimulatedFastener(joint.parts, fastener.condition, seed=seed), joint.snug
        )
    trace = _recorded(rng, pull, column, pattern)
    threshold = 0.0
    if column == "accumulated" and pattern != "rehit":
        threshold = COUNTED_FROM * float(pull.trace.torque.max())
    truth = _truth(fastener, seed, snug_at, begin, threshold)
    given = _given(rng, joint, wrench, angle, column)
    unwanted = pattern == "plastic" and given.procedure == "torque"
    return Drawn(pattern, pattern in FAULTY or unwanted, column, trace, given, truth)


def _truth(
    fastener: SimulatedFastener, seed: int, snug_at: float, begin: float, threshold: float
) -> Truth:
    """Tell what happened to a fastener; its own course, without the wrench, is turned again."""
    again = SimulatedFastener(fastener.parts, fastener.condition, seed=seed)
    way = np.arange(begin, fastener.angle, 0.02)
    course = again.course(way) if len(way) else again.course([begin])
    unseen = 0.02 * int(np.sum(course.torque <= threshold)) if threshold else 0.0
    bent = course.angle[course.stretch > 0.0]
    return Truth(
        turned_after_snug=fastener.angle - snug_at,
        turned_total=fastener.angle - begin - unseen,
        clamp=fastener.clamp,
        yield_clamp=fastener.yield_clamp if fastener.yielded else None,
        clamp_rate=fastener.clamp_rate,
        snug_angle=snug_at - begin - unseen,
        yield_angle=float(bent[0]) - begin - unseen if len(bent) else math.nan,
        final_torque=_without_sticking(fastener, seed).torque,
        slope=_elastic_slope(fastener),
    )


def _without_sticking(fastener: SimulatedFastener, seed: int) -> SimulatedFastener:
    if not fastener.condition.stick_slip:
        return fastener
    smooth = replace(fastener.condition, stick_slip=0.0)
    same = SimulatedFastener(fastener.parts, smooth, seed=seed)
    same.turn_to(fastener.angle)
    return same


def _elastic_slope(fastener: SimulatedFastener) -> float:
    """Torque per degree while it is stretched; NaN where a fault takes torque of its own."""
    condition, parts = fastener.condition, fastener.parts
    if condition.galling or condition.cross_thread_rate or condition.bottom_before is not None:
        return math.nan
    one_newton = torque_from_clamp(
        1.0,
        P=parts.P,
        d2=parts.d2,
        bearing_diameter=fastener.bearing_diameter,
        mu_thread=condition.mu_thread,
        mu_bearing=condition.mu_bearing,
    )
    return float(one_newton) * fastener.clamp_rate


def _joint(rng: _Ranges, pattern: str) -> _Joint:
    d, P = _SIZES[int(rng.integers(len(_SIZES)))]
    d2, d3 = d - 0.649519 * P, d - 1.226869 * P
    yield_stress, strength = _CLASSES[int(rng.integers(3))]
    area = math.pi / 4.0 * ((d2 + d3) / 2.0) ** 2
    grip = d * rng.uniform(1.5, 7.0)
    compliance = (grip + 0.8 * d) / (area * 205_000.0) * rng.uniform(1.12, 1.45)
    parts = Fastening(
        d=float(d),
        P=P,
        d2=d2,
        d3=d3,
        stress_area=area,
        bearing_outer=1.47 * d,
        bearing_inner=1.1 * d,
        yield_stress=yield_stress * rng.uniform(0.97, 1.08),
        clamp_rate=P / (360.0 * compliance),
        plastic_length=max(0.4 * grip, d) + 0.5 * d,
        tangent_modulus=(strength - yield_stress) / 0.06 * rng.uniform(0.7, 1.3),
    )
    mu = rng.uniform(0.08, 0.17)
    nominal = expected(parts, mu_thread=mu, mu_bearing=mu)
    rate = nominal.torque_rate_Nm_per_deg or math.nan
    at_yield = (nominal.combined_yield_clamp_N or math.nan) * (nominal.K or math.nan) * d / 1000.0
    low, high = {"galling": (0.55, 0.72), "slope_out_of_band": (0.4, 0.5)}.get(
        pattern, (0.45, 0.72)
    )
    share = rng.uniform(low, high)
    target = round(at_yield * share, 1)
    return _Joint(parts, mu, target, round(target * rng.uniform(0.2, 0.35), 1), rate, share)


def _condition(
    rng: _Ranges, pattern: str, joint: _Joint, angle: float | None
) -> tuple[dict[str, Any], Fault | None]:
    room = 0.03 if pattern == "slope_out_of_band" else 0.1
    friction = joint.mu * rng.uniform(1.0 - room, 1.0 + room)
    base: dict[str, Any] = {
        "mu_thread": friction,
        "mu_bearing": friction,
        "prevailing_torque": joint.target * float(rng.choice([0.0, 0.0, rng.uniform(0.0, 0.05)])),
        "run_down": rng.uniform(30.0, 260.0),
        "snug_zone": rng.uniform(3.0, 14.0),
        "rate": rng.uniform(0.95, 1.05) if rng.random() < 0.5 else 1.0,
        "breakaway": rng.uniform(0.01, 0.1),
        "breakaway_way": rng.uniform(0.4, 1.2),
        "roughness": rng.uniform(0.001, 0.008),
    }
    way = joint.target / joint.rate  # degrees to the target on a straight line
    extra: dict[str, Any] = {
        "soft_joint": {"rate": rng.uniform(0.25, 0.45)},
        "false_seat": {"gap": joint.snug / joint.rate * 4.0 + rng.uniform(0.6, 1.6) * way},
        "bottomed": {
            "bottom_before": 1.2 * way + rng.uniform(10.0, 30.0),
            "run_down": 1.2 * way + rng.uniform(70.0, 260.0),
        },
        "cross_thread": {"run_down": rng.uniform(700.0, 800.0)},
        "stick_slip": {"stick_slip": rng.uniform(0.16, 0.4)},
        "prevailing_high": {
            "prevailing_torque": joint.target * rng.uniform(0.14, 0.3),
            "run_down": rng.uniform(120.0, 300.0),
        },
        "galling": {"galling": rng.uniform(1.0, 1.8)},
        "necking": {"neck_after": rng.uniform(20.0, 50.0)},
    }.get(pattern, {})
    if pattern == "slope_out_of_band":
        factor = rng.uniform(1.42, 1.52) if rng.random() < 0.6 else rng.uniform(0.6, 0.68)
        extra = {"mu_thread": friction * factor, "mu_bearing": friction * factor}
    if pattern == "plastic" and angle is None:
        extra = {"yield_factor": joint.share * rng.uniform(0.6, 0.8)}
    fault: dict[str, Fault] = {
        "slip_off": "slip",
        "stripped": "strip",
        "cross_thread": "cross_thread",
    }
    return base | extra, fault.get(pattern)


def _wrench(rng: _Ranges, pattern: str, joint: _Joint, column: str) -> SimulatedWrench:
    mode: AngleMode = "handle" if column == "rate" else column  # type: ignore[assignment]  # the other columns are modes
    fast = pattern == "stick_slip"
    one_swing = rng.random() < 0.2
    tooth = float(rng.choice([4.0, 5.0, 6.0, 7.5, 10.0]))
    return SimulatedWrench(
        stiffness=joint.target / rng.uniform(1.5, 6.0),
        stroke=rng.uniform(300.0, 700.0) if one_swing else rng.uniform(35.0, 110.0),
        tooth=tooth,
        speed=rng.uniform(20.0, 70.0),
        pauses=int(rng.integers(1, 3)) if pattern == "pause" else 0,
        sample_rate=float(rng.choice([200, 500, 1000] if fast else [50, 100, 200, 500, 1000])),
        torque_noise=joint.target * rng.uniform(0.0003, 0.005),
        torque_step=float(rng.choice([0.01, 0.1, 0.1, 0.002 * joint.target])),
        angle_noise=0.0 if column == "rate" else rng.uniform(0.01, 0.2),
        angle_step=0.0 if column == "rate" else float(rng.choice([0.01, 0.1, 0.1, 0.5])),
        angle_mode=mode,
        overshoot=rng.uniform(0.0, 0.012),
        patience=400.0 if pattern == "prevailing_high" else 60.0,
    )


def _angle(rng: _Ranges, pattern: str, joint: _Joint) -> float | None:
    way = joint.target / joint.rate
    if pattern == "necking":
        return float(round(way * 2.0 + rng.uniform(200.0, 280.0)))
    if pattern == "plastic":
        beyond = float(round(way * 1.9 + rng.uniform(40.0, 110.0)))
        return beyond if rng.random() < 0.8 else None
    may_turn = {"normal", "pause", "slip_off", "stripped", "soft_joint", "prevailing_high"}
    if pattern in may_turn and rng.random() < 0.3:
        return float(max(15, round(way * rng.uniform(0.6, 0.9))))
    return None


def _snug_angle(fastener: SimulatedFastener, snug: float) -> float:
    """Angle at which the running torque passes snug for good; where it stands if it holds that."""
    way = fastener.angle + np.arange(0.0, 1400.0, 0.02)
    torque = fastener.course(way).torque
    below = np.flatnonzero(torque[: int(torque.argmax())] < snug)
    return float(way[below[-1] + 1]) if len(below) else fastener.angle


def _recorded(rng: _Ranges, pull: Pull, column: str, pattern: str) -> Trace:
    trace = pull.trace
    if column == "rate":
        trace = _by_gyro(rng, trace)
    if pattern == "stick_slip" or rng.random() < 0.5:
        return trace
    change = (_another_clock, _filtered, _humming, _other_unit)[int(rng.integers(4))]
    return change(rng, trace)


def _by_gyro(rng: _Ranges, trace: Trace) -> Trace:
    """Record the handle's rate with the bias, scale error and noise of a small sensor."""
    rate = np.gradient(trace.angle, trace.time) * (1.0 + rng.noise(0.004))
    rate = rate + rng.noise(0.4) + rng.noise(0.15, len(rate))
    angle, step = angle_from_rate(trace.time, np.round(rate, 2), trace.torque)
    return trace.after(step, angle=angle)


def _another_clock(rng: _Ranges, trace: Trace) -> Trace:
    rate = max(50.0, trace.sample_rate * rng.uniform(0.6, 0.95))
    span = np.arange(trace.time[0], trace.time[-1], 1.0 / rate)
    time = span + rng.own.uniform(-0.25, 0.25, len(span)) / rate
    torque, angle = (np.interp(time, trace.time, x) for x in (trace.torque, trace.angle))
    return trace.after(Step("another clock"), time=time, torque=torque, angle=angle)


def _filtered(rng: _Ranges, trace: Trace) -> Trace:
    """Send torque and angle through the same short mean, as many loggers do."""
    width = max(1, round(rng.uniform(0.005, 0.02) * trace.sample_rate))
    return trace.after(
        Step("filtered"), torque=_mean(trace.torque, width), angle=_mean(trace.angle, width)
    )


def _humming(rng: _Ranges, trace: Trace) -> Trace:
    size = 0.003 * float(trace.torque.max())
    hum = size * np.sin(2.0 * np.pi * rng.choice([50.0, 60.0]) * trace.time + rng.uniform(0, 6))
    return trace.after(Step("hum"), torque=trace.torque + hum)


def _other_unit(rng: _Ranges, trace: Trace) -> Trace:
    """Round torque in the unit of another display, and start the angle counter anywhere."""
    factor = float(rng.choice([1.3558179483314004, 0.1129848290276167]))
    step = factor * (0.1 if factor > 1.0 else 1.0)
    start = rng.uniform(-1e4, 1e4)
    return trace.after(
        Step("other display"),
        torque=np.round(trace.torque / step) * step,
        angle=trace.angle + start,
    )


def _mean(values: Floats, width: int) -> Floats:
    if width < 2:
        return values
    padded = np.pad(values, (width // 2, width - 1 - width // 2), mode="edge")
    return np.convolve(padded, np.ones(width) / width, mode="valid")


def _given(
    rng: _Ranges,
    joint: _Joint,
    wrench: SimulatedWrench,
    angle: float | None,
    column: str,
) -> Given:
    """Tell what a person would know: stiffness off by up to 15 %, or not known."""
    nominal = expected(
        joint.parts, mu_thread=joint.mu, mu_bearing=joint.mu, target=joint.target, snug=joint.snug
    )
    stiffness = wrench.stiffness * rng.uniform(0.85, 1.15) if rng.random() < 0.7 else None
    return Given(
        procedure="torque" if angle is None else "torque_angle",
        target_torque_Nm=joint.target,
        snug_torque_Nm=joint.snug,
        angle_steps_deg=() if angle is None else (angle,),
        d_mm=joint.parts.d,
        P_mm=joint.parts.P,
        nominal=nominal,
        tool_stiffness_Nm_per_deg=stiffness,
        angle_mode="handle" if column == "rate" else column,  # type: ignore[arg-type]  # the other columns are modes
    )
