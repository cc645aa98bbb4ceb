"""Pulls of a second maker, written apart from the simulator of the package to check the judge.

Nothing of the package's simulator is used, and where a form could be chosen it is another one:

- The joint comes in by a smooth logarithm of an exponential, not by a parabola, and yields by a
  power law (Ramberg and Osgood) or by a rounded corner; clamp load by the power-screw form.
- Friction wanders (a first-order random course over the angle), its static excess grows with the
  time of rest and dies in a straight line.
- The hand moves at a speed that wanders and trembles, slows down before the target, lets its grip
  give way in steps, and leaves a drag of the pawl in the back swing.
- Torque and angle go through filters of their own (one pole, median or none), are rounded, lose
  samples, and their clock is rounded.
- Faults follow the list of signs in the field's own words (cross-threading as a power of the way,
  stripping in steps, slip as a fall in a straight line, and so on).

What is given is the plain object that a person would write, with nulls and missing keys.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from clampwright.trace.model import Trace
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.rate import angle_from_rate

Floats = NDArray[np.float64]
GRID = 0.02  # degrees
FINE = 2000.0  # Hz
SIZES = ((6.0, 1.0), (8.0, 1.25), (10.0, 1.5), (12.0, 1.75), (12.0, 1.25), (16.0, 2.0), (18.0, 2.5))
FAULTS = frozenset(PATTERNS) - {"normal", "pause", "soft_joint", "plastic"}
BOTH = ("normal", "pause", "soft_joint", "slip_off", "stripped", "prevailing_high")


@dataclass
class Joint:
    """A joint as it is, with what its drawing says of it."""

    d: float
    pitch: float
    grip: float
    strength: float
    nut_factor: float
    clamp_rate: float  # N/deg
    yield_clamp: float  # N, by the drawing
    target: float  # N·m
    snug: float  # N·m
    angle: float | None

    @property
    def rate(self) -> float:
        """Torque per degree, N·m/deg."""
        return self.nut_factor * self.d * self.clamp_rate / 1000.0


@dataclass
class OtherPull:
    """One pull with its truth.

    `yield_clamp` is the load at which the clamp load's own gradient has fallen to half; `motion`
    holds times and the fastener's angles at them.
    """

    pattern: str
    fault: bool
    column: str
    trace: Trace
    given: dict[str, Any]
    after_snug: float | None
    total: float
    yield_clamp: float | None
    clamp: float
    motion: tuple[Floats, Floats] = field(default_factory=lambda: (np.empty(0), np.empty(0)))


def other_pull(seed: int, pattern: str, *, exact: bool = True, slip_dps: float = 0.0) -> OtherPull:
    """Make one pull; `exact` gives clamp rate and stiffness as they are, else off by 5 and 15 %."""
    rng = np.random.default_rng([seed, PATTERNS.index(pattern), 77])
    joint = _joint(rng, pattern)
    way, torque, clamp, bend = _course(rng, pattern, joint)
    stop, slip = _stop(rng, pattern, joint, way, torque)
    column = str(rng.choice(["handle", "handle", "accumulated", "output", "rate"]))
    stiffness = joint.target / rng.uniform(1.2, 6.5)
    hand = _Hand(rng, pattern, joint, stiffness, way=way, torque=torque, stop=stop)
    if slip:
        hand.slips_at(slip_dps or rng.uniform(260.0, 700.0))
    time, handle, pull, nut = hand.moved()
    trace, rate = _recorded(rng, pattern, joint, column, (time, handle, pull, nut))
    end = float(nut[-1])
    begin = float(nut[0])
    after = _after_snug(way, torque, joint.snug, begin, end)
    loaded = clamp[: int(np.searchsorted(way, end)) + 1]
    yielded = bend is not None and float(loaded.max()) >= bend
    if column == "accumulated":  # a counter does not see what turns without load
        counted = torque >= 0.04 * joint.target
        begin = max(begin, float(way[np.argmax(counted)]))
    given = _given(rng, joint, stiffness, rate, column, exact=exact)
    unwanted = pattern == "plastic" and joint.angle is None
    return OtherPull(
        pattern=pattern,
        fault=pattern in FAULTS or unwanted,
        column=column,
        trace=trace,
        given=given,
        after_snug=after,
        total=end - begin,
        yield_clamp=bend if yielded else None,
        clamp=float(np.interp(end, way, clamp)),
        motion=(time, nut),
    )


def _after_snug(way: Floats, torque: Floats, snug: float, begin: float, end: float) -> float | None:
    """Rotation since the running torque passed snug for good on its way to the top."""
    turned = way <= end
    top = int(np.argmax(np.where(turned, torque, -1.0)))
    if torque[top] < snug:
        return None
    return end - max(_snug_angle(way, torque, snug, top), begin)


def _snug_angle(way: Floats, torque: Floats, snug: float, top: int) -> float:
    below = np.flatnonzero(torque[:top] < snug)
    return float(way[below[-1] + 1]) if len(below) else 0.0


def _joint(rng: np.random.Generator, pattern: str) -> Joint:
    d, pitch = SIZES[rng.integers(len(SIZES))]
    mu = rng.uniform(0.085, 0.16)
    d2 = d - 0.6495 * pitch
    area = math.pi / 4.0 * (d - 0.9382 * pitch) ** 2
    lead = pitch / (math.pi * d2)
    slide = mu * 1.155
    thread = 0.5 * d2 * (lead + slide) / (1.0 - lead * slide)
    nut_factor = (thread + 0.65 * d * mu) / d
    grip = d * rng.uniform(1.8, 6.0)
    bolt = area * 205e3 / (grip + 0.9 * d)
    plates = 205e3 * d * 0.787 * math.exp(0.629 * d / grip)
    clamp_rate = pitch / 360.0 / (1.0 / bolt + 1.0 / plates)
    strength = float(rng.choice([640.0, 940.0, 1100.0]))
    torsion = 1.5 * d2 / (d - 0.9382 * pitch) * (lead + slide)
    yield_clamp = strength * area / math.sqrt(1.0 + 3.0 * torsion**2)
    share = rng.uniform(0.4, 0.5) if pattern == "slope_out_of_band" else rng.uniform(0.45, 0.7)
    if pattern == "galling":
        share = rng.uniform(0.55, 0.7)
    target = float(np.round(share * yield_clamp * nut_factor * d / 1000.0, 1))
    low = 0.2 if pattern == "prevailing_high" else 0.15
    snug = float(np.round(target * rng.uniform(low, 0.35), 1))
    way = target / (nut_factor * d * clamp_rate / 1000.0)
    angle: float | None = None
    if pattern == "necking":
        angle = float(np.round(way * 2.0 + rng.uniform(180.0, 260.0)))
    elif pattern == "plastic" and rng.random() < 0.8:
        angle = float(np.round(way * 2.0 + rng.uniform(45.0, 120.0)))
    elif pattern in BOTH and rng.random() < 0.3:
        angle = float(max(14.0, np.round(way * rng.uniform(0.6, 0.9))))
    return Joint(d, pitch, grip, strength, nut_factor, clamp_rate, yield_clamp, target, snug, angle)


def _course(
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


def _stop(
    rng: np.random.Generator, pattern: str, joint: Joint, way: Floats, torque: Floats
) -> tuple[float, bool]:
    """Where the fastener stops turning, and whether the socket slips there."""
    snug = _snug_angle(way, torque, joint.snug, int(np.argmax(torque)))
    aim = joint.target * rng.uniform(0.995, 1.015)
    if pattern == "stripped":
        top = int(np.argmax(torque))
        return float(way[top]) + rng.uniform(45.0, 110.0), False
    if joint.angle is not None:
        stop = snug + joint.angle + rng.uniform(-1.5, 2.0)
    elif torque.max() >= aim:
        stop = float(way[np.argmax(torque >= aim)])
    else:  # it yields and will not get there: the hand gives up
        stop = float(way[np.argmax(torque >= 0.9 * torque.max())]) + rng.uniform(40.0, 110.0)
    if pattern == "slip_off":
        begin = float(way[np.argmax(torque >= 0.45 * min(aim, np.interp(stop, way, torque)))])
        return begin + rng.uniform(0.0, 0.9) * max(stop - begin, 0.0), True
    return stop, False


class _Hand:
    """Speed over time to handle angle, torque and nut angle."""

    def __init__(
        self,
        rng: np.random.Generator,
        pattern: str,
        joint: Joint,
        stiffness: float,
        *,
        way: Floats,
        torque: Floats,
        stop: float,
    ) -> None:
        self.rng, self.joint, self.k = rng, joint, stiffness
        self.way, self.torque, self.stop = way, torque, stop
        self.nut = 0.0
        if pattern == "rehit":
            held = joint.target * rng.uniform(0.98, 1.06)
            self.nut = self.stop = float(way[np.argmax(torque >= held)])
            more = joint.target * rng.uniform(1.0, 1.1)
            if rng.random() < 0.4:
                self.stop = max(self.stop, float(way[np.argmax(torque >= more)]))
        self.rests = int(rng.integers(1, 4)) if pattern == "pause" else 0
        self.speed = rng.uniform(15.0, 80.0)
        if pattern == "stick_slip":
            self.speed = rng.uniform(15.0, 45.0)
        self.room = rng.uniform(250.0, 900.0) if rng.random() < 0.25 else rng.uniform(30.0, 120.0)
        self.tooth = float(rng.choice([4.0, 5.0, 6.0, 7.2, 10.0]))
        self.excess, self.dies = rng.uniform(0.005, 0.09), rng.uniform(0.5, 2.5)
        self.drag = joint.target * rng.uniform(0.0, 0.006)
        self.slip: float | None = None
        self.at = 0.0  # handle
        self.rested = 0.3
        self.parts: list[tuple[Floats, Floats, Floats]] = []

    def slips_at(self, speed: float) -> None:
        """Let the socket come off at the end, the handle running on at this speed, deg/s."""
        self.slip = speed

    def moved(self) -> tuple[Floats, Floats, Floats, Floats]:
        self._still(self.rng.uniform(0.2, 0.7))
        for _ in range(60):
            self._forward()
            if self.nut >= self.stop - 1e-6 or self.joint.target <= 0:
                break
            self._let_go()
            self._back()
        if self.slip is not None:
            self._slipped(self.slip)
        else:
            self._let_go()
        self._still(self.rng.uniform(0.2, 0.6))
        handle, torque, nut = (np.concatenate(p) for p in zip(*self.parts, strict=True))
        return np.arange(len(handle)) / FINE, handle, torque, nut

    def _forward(self) -> None:
        """Turn the handle until the nut stands at the stop or there is no more room."""
        nut = np.arange(self.nut, max(self.stop, self.nut) + 0.5 * GRID, GRID)
        nut = np.append(nut[nut < self.stop], max(self.stop, self.nut))
        resist = np.interp(nut, self.way, self.torque)
        excess = self.excess * (1.0 + 0.25 * math.log(max(self.rested, 0.1)))
        resist = resist * (1.0 + excess * np.clip(1.0 - (nut - self.nut) / self.dies, 0.0, 1.0))
        wind = np.maximum.accumulate(nut - self.nut + resist / self.k)
        end = min(self.room, float(wind[-1]))
        marks = [end]
        top = float(np.interp(end, wind, resist))
        if self.rests and top > 0.3 * self.joint.target:
            levels = self.rng.uniform(0.3, 0.9, self.rests) * top
            places = np.interp(levels, np.maximum.accumulate(resist), wind)
            marks = [*sorted(p for p in places if p < end - 0.5), end]
            self.rests = 0
        first = 0.0
        wind, nut, resist = (
            np.concatenate(([0.0], wind)),
            np.concatenate((nut[:1], nut)),
            np.concatenate(([0.0], resist)),
        )
        base = self.at
        for mark in marks:
            x = self._path(mark - first) + first
            self._write(base + x, np.interp(x, wind, resist), np.interp(x, wind, nut))
            first = mark
            if mark != end:
                self._hold(base + mark, float(np.interp(mark, wind, resist)))
        self.at, self.nut = base + end, float(np.interp(end, wind, nut))
        self.load = float(np.interp(end, wind, resist))

    def _path(self, way: float) -> Floats:
        """Handle angle over time: a speed that wanders, trembles and slows down at the end."""
        way = max(way, 0.01)
        seconds = max(way / self.speed, 0.12) * self.rng.uniform(0.9, 1.6)
        t = np.linspace(0.0, 1.0, max(3, int(seconds * FINE)))
        speed = np.clip(t / 0.15, 0.15, 1.0) * np.clip((1.0 - t) / 0.35, 0.2, 1.0)
        knots = self.rng.uniform(0.6, 1.3, 6)
        speed = speed * np.interp(t, np.linspace(0, 1, 6), knots)
        tremble = self.rng.uniform(0.0, 0.25)
        hertz, phase = self.rng.uniform(4.0, 9.0), self.rng.uniform(0, 6)
        speed = speed * (1.0 + tremble * np.sin(2 * np.pi * hertz * seconds * t + phase))
        path = np.cumsum(speed)
        return np.asarray(way * (path - path[0]) / (path[-1] - path[0]))

    def _hold(self, at: float, load: float) -> None:
        """Rest under load; the grip gives in one or two steps."""
        n = int(self.rng.uniform(0.5, 1.8) * FINE)
        steps = self.rng.uniform(0.0, 0.03, 2)
        x = np.linspace(0.0, 1.0, n)
        give = steps[0] / (1.0 + np.exp(-(x - 0.3) * 40)) + steps[1] / (
            1.0 + np.exp(-(x - 0.7) * 30)
        )
        self._write(at - give * load / self.k, load * (1.0 - give), np.full(n, self._nut_now()))
        n = int(0.1 * FINE)
        back = np.linspace(float(give[-1]), 0.0, n)
        self._write(at - back * load / self.k, load * (1.0 - back), np.full(n, self._nut_now()))

    def _nut_now(self) -> float:
        return float(self.parts[-1][2][-1])

    def _let_go(self) -> None:
        load, n = self.load, int(self.rng.uniform(0.12, 0.4) * FINE)
        left = (1.0 - np.linspace(0.0, 1.0, n)) ** self.rng.uniform(1.0, 2.5)
        self._write(self.at - load / self.k * (1.0 - left), load * left, np.full(n, self.nut))
        self.at -= load / self.k
        n = int(self.rng.uniform(0.05, 0.3) * FINE)
        self._write(np.full(n, self.at), np.zeros(n), np.full(n, self.nut))

    def _back(self) -> None:
        play = self.rng.uniform(0.05, 1.0) * self.tooth
        way = self.room + play
        n = int(max(way / (2.0 * self.speed), 0.25) * FINE)
        x = 0.5 - 0.5 * np.cos(np.pi * np.linspace(0.0, 1.0, n))
        self._write(self.at - way * x, np.full(n, -self.drag), np.full(n, self.nut))
        n = int(self.rng.uniform(0.06, 0.25) * FINE)
        self._write(self.at - way + play * np.linspace(0, 1, n), np.zeros(n), np.full(n, self.nut))
        self.at += play - way
        self.rested = self.rng.uniform(0.3, 2.0)

    def _slipped(self, speed: float) -> None:
        falls = self.rng.uniform(0.004, 0.03)
        if speed < 200.0:
            falls = self.rng.uniform(0.02, 0.08)
        run = self.rng.uniform(15.0, 40.0) + self.load / self.k
        n = int(run / speed * FINE)
        t = np.arange(1, n + 1) / FINE
        left = np.clip(1.0 - t / falls, self.rng.uniform(0.0, 0.06), 1.0)
        self._write(self.at + run * t / t[-1], self.load * left, np.full(n, self.nut))
        n = int(0.3 * FINE)
        self._write(np.full(n, self.at + run), np.zeros(n), np.full(n, self.nut))

    def _still(self, seconds: float) -> None:
        n = int(seconds * FINE)
        at = self.parts[-1][0][-1] if self.parts else self.at
        self._write(np.full(n, at), np.zeros(n), np.full(n, self.nut))

    def _write(self, handle: Floats, torque: Floats, nut: Floats) -> None:
        self.parts.append((np.asarray(handle), np.asarray(torque), np.asarray(nut)))


def _recorded(
    rng: np.random.Generator,
    pattern: str,
    joint: Joint,
    column: str,
    motion: tuple[Floats, Floats, Floats, Floats],
) -> tuple[Trace, float]:
    """Put the motion through sensors, filters, rounding and a clock."""
    time, handle, torque, nut = motion
    rates = (
        [100.0, 200.0, 400.0, 1000.0]
        if pattern == "stick_slip"
        else [
            50.0,
            80.0,
            100.0,
            200.0,
            250.0,
            500.0,
            1000.0,
        ]
    )
    rate = float(rng.choice(rates))
    angle = {"output": nut - nut[0]}.get(column, handle)
    if column == "accumulated":
        over = torque > joint.target * rng.uniform(0.02, 0.06)
        step = np.diff(handle, prepend=handle[0])
        angle = np.cumsum(np.where(over, np.maximum(step, 0.0), 0.0))
    seen = torque * rng.uniform(0.996, 1.004)
    if pattern != "stick_slip" and rng.random() < 0.4:
        seen = _one_pole(seen, rng.uniform(20.0, 80.0))
    at = np.arange(time[0] + rng.uniform(0, 1.0 / rate), time[-1], 1.0 / rate)
    if rng.random() < 0.3:
        at = at + rng.uniform(-0.2, 0.2, len(at)) / rate
    if rng.random() < 0.3:
        at = at[rng.random(len(at)) > 0.006]
    seen, angle = np.interp(at, time, seen), np.interp(at, time, angle)
    seen = seen + joint.target * rng.uniform(0.0003, 0.005) * rng.normal(size=len(at))
    digit = float(rng.choice([0.01, 0.05, 0.1, 0.001 * joint.target, 0.0025 * joint.target]))
    seen = np.round(seen / digit) * digit
    places = 3 if rate <= 500 and rng.random() < 0.5 else 5
    stamps = np.asarray(np.round(at, places), dtype=np.float64)
    if column == "rate":
        speed = np.gradient(angle, at) * (1.0 + rng.normal(0.0, 0.004))
        speed = speed + rng.normal(0.0, 0.5) + rng.normal(0.0, rng.uniform(0.05, 0.2), len(at))
        speed = np.asarray(np.round(speed / 0.0625) * 0.0625, dtype=np.float64)
        turned, told = angle_from_rate(stamps, speed, seen)
        return Trace(stamps, seen, turned, "handle", (told,)), rate
    angle = angle + rng.uniform(0.0, 0.15) * rng.normal(size=len(at))
    grid = float(rng.choice([0.01, 0.1, 0.1, 0.25, 0.5, 1.0], p=[0.2, 0.25, 0.2, 0.15, 0.15, 0.05]))
    angle = np.round((angle + rng.uniform(-200, 200)) / grid) * grid
    return Trace(stamps, seen, angle, column), rate  # type: ignore[arg-type]  # the columns are modes


def _one_pole(values: Floats, hertz: float) -> Floats:
    keep = math.exp(-2.0 * math.pi * hertz / FINE)
    taps = (1.0 - keep) * keep ** np.arange(int(8.0 * FINE / hertz / 6.28) + 1)
    padded = np.pad(values, (len(taps) - 1, 0), mode="edge")
    return np.convolve(padded, taps / taps.sum(), mode="valid")


def _given(
    rng: np.random.Generator,
    joint: Joint,
    stiffness: float,
    rate: float,
    column: str,
    *,
    exact: bool,
) -> dict[str, Any]:
    off = 0.0 if exact else rng.uniform(-0.05, 0.05)
    stiff = stiffness * (1.0 if exact else rng.uniform(0.85, 1.15))
    known: float | None = None if rng.random() < 0.3 else round(stiff, 2)
    clamp_rate = joint.clamp_rate * (1.0 + off)
    torque_angle = joint.angle is not None
    nominal: dict[str, float | None] = {
        "K": round(joint.nut_factor, 4),
        "clamp_rate_N_per_deg": round(clamp_rate, 2),
        "torque_rate_Nm_per_deg": round(joint.nut_factor * joint.d * clamp_rate / 1000.0, 4),
        "clamp_at_target_N": round(joint.target / joint.nut_factor / joint.d * 1000.0),
        "angle_snug_to_target_deg": round((joint.target - joint.snug) / joint.rate, 1),
        "combined_yield_clamp_N": round(joint.yield_clamp),
    }
    given: dict[str, Any] = {
        "d_mm": joint.d,
        "P_mm": joint.pitch,
        "grip_mm": round(joint.grip, 1),
        "Rp_MPa": joint.strength,
        "target_torque_Nm": joint.target,
        "snug_torque_Nm": joint.snug,
        "procedure": "torque_angle" if torque_angle else "torque",
        "angle_steps_deg": [joint.angle] if torque_angle else [],
        "nominal": nominal,
        "tool_stiffness_Nm_per_deg": known,
        "sample_rate_hz": rate,
        "angle_mode": "handle" if column == "rate" else column,
    }
    if torque_angle and rng.random() < 0.3:
        # a torque-angle stage often states no torque but the one it counts from
        given["target_torque_Nm"] = float(joint.snug) if rng.random() < 0.5 else None
        nominal["angle_snug_to_target_deg"] = None
        nominal["clamp_at_target_N"] = None
    return given
