"""Running torque and clamp load over the angle of the nut, with the faults of each pattern."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from other_maker.joint import Floats, Joint

GRID = 0.02  # degrees


def course(
    rng: np.random.Generator, pattern: str, joint: Joint
) -> tuple[Floats, Floats, Floats, float | None]:
    """Running torque and clamp load over the nut's angle; the load at which it yields."""
    elastic = joint.target / joint.rate
    seat = rng.uniform(40.0, 300.0)
    if pattern == "cross_thread":
        seat = 900.0
    way = np.arange(0.0, seat + 8.0 * elastic + 500.0, GRID)
    factor = {"soft_joint": rng.uniform(0.22, 0.52)}.get(pattern, 1.0)
    soft = rng.uniform(1.0, 4.0)  # degrees over which the parts come together
    close = np.logaddexp(0.0, (way - seat) / soft) * soft
    if pattern == "false_seat":
        close = _gap(rng, joint, way, seat, soft)
    load = joint.clamp_rate * factor * close
    limit = joint.yield_clamp * rng.uniform(0.98, 1.07)
    if pattern == "plastic" and joint.angle is None:
        limit = joint.target / (joint.nut_factor * joint.d / 1000.0) * rng.uniform(0.55, 0.8)
    clamp, bend = _yielding(rng, joint, load, limit, factor)
    if pattern == "necking":
        past = np.maximum(way - way[np.argmax(clamp >= 0.99 * limit)] - rng.uniform(30, 70), 0.0)
        clamp = clamp * np.maximum(1.0 - rng.uniform(0.0012, 0.0024) * past, 0.3)
    torque = joint.nut_factor * joint.d * clamp / 1000.0
    torque, clamp = _faulty(rng, pattern, joint, _Course(way, torque, clamp, seat))
    torque = _rubbing(rng, pattern, joint, way, torque)
    return way, np.maximum(torque, 0.0), clamp, bend


@dataclass
class _Course:
    """Torque and clamp load over the nut's angle, and where the parts touch."""

    way: Floats
    torque: Floats
    clamp: Floats
    seat: float


def _faulty(
    rng: np.random.Generator, pattern: str, joint: Joint, it: _Course
) -> tuple[Floats, Floats]:
    """Torque and clamp load with other friction, or with the fault."""
    friction = rng.uniform(0.92, 1.08)
    if pattern == "slope_out_of_band":
        friction = rng.uniform(1.33, 1.46) if rng.random() < 0.6 else rng.uniform(0.62, 0.74)
    it.torque = it.torque * friction
    if pattern == "galling":
        grown = rng.uniform(0.9, 2.0) * (it.torque / joint.target) ** 2.5
        return it.torque * (1.0 + grown), it.clamp
    if pattern == "bottomed":
        return _bottomed(rng, joint, it)
    if pattern == "cross_thread":
        return _crossed(rng, joint, it.way), np.zeros(len(it.way))
    if pattern == "stripped":
        return _stripped(rng, joint, it)
    return it.torque, it.clamp


def _rubbing(
    rng: np.random.Generator, pattern: str, joint: Joint, way: Floats, torque: Floats
) -> Floats:
    """Torque with what turning takes before the seat, and with friction that wanders."""
    running = joint.target * float(rng.choice([0.0, 0.004, rng.uniform(0.01, 0.06)]))
    if pattern == "prevailing_high":
        running = min(joint.target * rng.uniform(0.13, 0.33), 0.8 * joint.snug)
    engaged = 1.0 - np.exp(-way / rng.uniform(2.0, 15.0))
    torque = torque + running * engaged * (1.0 + 0.06 * np.sin(np.radians(way + 50.0)))
    torque = torque * (1.0 + rng.uniform(0.001, 0.006) * _wandering(rng, way))
    return torque * (1.0 + _saw(rng, way)) if pattern == "stick_slip" else torque


def _gap(rng: np.random.Generator, joint: Joint, way: Floats, seat: float, soft: float) -> Floats:
    """Parts that are pulled together at low stiffness until they meet."""
    weak = rng.uniform(0.12, 0.3)
    met = joint.target * rng.uniform(0.45, 0.62) / joint.rate  # in degrees of full stiffness
    first = np.logaddexp(0.0, (way - seat) / soft) * soft
    turn = seat + met / weak
    return weak * first + (1.0 - weak) * np.logaddexp(0.0, (way - turn) / 1.5) * 1.5


def _yielding(
    rng: np.random.Generator, joint: Joint, load: Floats, limit: float, factor: float
) -> tuple[Floats, float]:
    """Clamp load from the elastic one, by a power law or a rounded corner; load at half slope."""
    rate = joint.clamp_rate * factor
    top = float(load[-1])
    force = np.linspace(0.0, 2.5 * limit, 20_000)
    if rng.random() < 0.5:
        n = rng.uniform(14.0, 35.0)
        # 0.2 % over the free thread, in degrees of turning
        spent = 0.002 * (0.5 * joint.grip + 0.5 * joint.d) / joint.pitch * 360.0
        elastic = force + rate * spent * (force / limit) ** n
    else:
        hard = rng.uniform(0.01, 0.05)
        width = rng.uniform(0.005, 0.03) * limit
        past = np.logaddexp(0.0, (force - limit) / width) * width
        elastic = force + past * (1.0 / hard - 1.0)
    clamp = np.interp(load, elastic, force)
    half = np.gradient(force, elastic) < 0.5
    bend = float(force[np.argmax(half)]) if half.any() and top > 0 else math.inf
    return clamp, bend


def _bottomed(rng: np.random.Generator, joint: Joint, it: _Course) -> tuple[Floats, Floats]:
    early = min(joint.target / joint.rate * 1.3 + rng.uniform(8.0, 50.0), it.seat - 5.0)
    steep = joint.rate * rng.uniform(1.7, 3.2)
    tip = steep * np.logaddexp(0.0, it.way - (it.seat - early))
    return it.torque + tip, 0.0 * it.clamp


def _crossed(rng: np.random.Generator, joint: Joint, way: Floats) -> Floats:
    start, long = rng.uniform(0.0, 40.0), rng.uniform(330.0, 800.0)
    power = rng.uniform(0.8, 1.4)
    rise = joint.target * np.clip((way - start) / long, 0.0, 3.0) ** power
    return rise * (1.0 + rng.uniform(0.03, 0.07) * _wandering(rng, way, 3.0))


def _stripped(rng: np.random.Generator, joint: Joint, it: _Course) -> tuple[Floats, Floats]:
    """Fall after a peak, smoothly or in steps, to what the debris leaves."""
    peak = joint.target * rng.uniform(0.55, 0.92)
    if joint.angle is not None:
        peak = joint.snug + (joint.target - joint.snug) * rng.uniform(0.3, 0.55)
    at = int(np.argmax(it.torque >= peak))
    past = it.way[at:] - it.way[at]
    rest, long = rng.uniform(0.08, 0.35), rng.uniform(12.0, 35.0)
    if rng.random() < 0.5:
        hold = rest + (1.0 - rest) * np.exp(-((past / long) ** 1.3))
    else:
        marks = np.sort(rng.uniform(0.0, 2.2 * long, 6))
        levels = np.concatenate(([1.0], np.linspace(0.85, rest, 6)))
        hold = levels[np.searchsorted(marks, past)]
        hold = np.convolve(np.pad(hold, 150, mode="edge"), np.ones(301) / 301.0, "valid")
    torque, clamp = it.torque.copy(), it.clamp.copy()
    torque[at:], clamp[at:] = torque[at] * hold, clamp[at] * hold
    return torque, clamp


def _wandering(rng: np.random.Generator, way: Floats, long: float = 0.0) -> Floats:
    """First-order random course over the angle with unit spread."""
    long = long or rng.uniform(1.5, 8.0)
    coarse = np.arange(0.0, way[-1] + 1.0, 0.25)
    keep = math.exp(-0.25 / long)
    steps = rng.normal(0.0, math.sqrt(1.0 - keep**2), len(coarse))
    course = np.empty(len(coarse))
    level = rng.normal()
    for i, step in enumerate(steps):
        level = keep * level + step
        course[i] = level
    return np.interp(way, coarse, course)


def _saw(rng: np.random.Generator, way: Floats) -> Floats:
    """Slow sticking and sudden slipping, of uneven length and height."""
    long = rng.uniform(1.2, 3.0)
    edges = np.cumsum(rng.uniform(0.7, 1.3, int(way[-1] / (0.6 * long)) + 2) * long)
    which = np.searchsorted(edges, way)
    start = np.concatenate(([0.0], edges))[which]
    phase = (way - start) / (edges[which] - start)
    size = rng.uniform(0.14, 0.3) * rng.uniform(0.8, 1.2, len(edges) + 1)[which]
    return size * np.where(phase < 0.85, phase / 0.85 - 0.5, (1.0 - phase) / 0.15 - 0.5)


def snug_angle(way: Floats, torque: Floats, snug: float, top: int) -> float:
    below = np.flatnonzero(torque[:top] < snug)
    return float(way[below[-1] + 1]) if len(below) else 0.0
