"""The hand on a simulated wrench: swings, rests, back swings and the slip of a socket."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from clampwright.trace.model import Floats
from clampwright.trace.simulated_fastener import Course, SimulatedFastener


@dataclass(frozen=True, slots=True)
class Handling:
    """How a wrench is handled: its spring, its ratchet, and the hand on it.

    Parameters
    ----------
    stiffness : float
        Torque per degree of wind-up, N·m/deg.
    stroke : float
        Room for the handle in one swing, degrees.
    tooth : float
        Angle between two ratchet teeth, degrees.
    speed : float
        Mean handle speed, deg/s.
    pauses : int
        How often the hand rests under load in one swing.
    sample_rate : float
        Hz.
    """

    stiffness: float = 20.0
    stroke: float = 70.0
    tooth: float = 5.0
    speed: float = 40.0
    pauses: int = 0
    sample_rate: float = 200.0


@dataclass(frozen=True, slots=True)
class Motion:
    """What happened at the handle, sample by sample.

    Parameters
    ----------
    handle : ndarray, shape (n,)
        Handle rotation, degrees.
    torque : ndarray, shape (n,)
        True torque at the square, N·m.
    fastener : ndarray, shape (n,)
        True angle of the fastener, degrees.
    """

    handle: Floats
    torque: Floats
    fastener: Floats


@dataclass(frozen=True, slots=True)
class Plan:
    """The way ahead on a fine grid of fastener angles, and where the person stops.

    Parameters
    ----------
    course : Course
        What turning on would do.
    stop, snug : float
        Angles at which the pull ends and from which its angle is counted, degrees.
    slip : bool
        Whether the socket slips off at the end.
    aim : float
        True torque at which the person would stop, N·m; infinite for an angle alone.
    setting : float
        True torque at which a click wrench set for this pull clicks, N·m.
    """

    course: Course
    stop: float
    snug: float
    slip: bool
    aim: float
    setting: float


class Hand:
    """Moves the handle swing by swing and writes down what happens."""

    def __init__(
        self,
        handling: Handling,
        fastener: SimulatedFastener,
        plan: Plan,
        rng: np.random.Generator,
    ) -> None:
        self.handling, self.fastener, self.plan, self.rng = handling, fastener, plan, rng
        self.handle: list[Floats] = []
        self.torque: list[Floats] = []
        self.nut: list[Floats] = []
        self.position = 0.0
        self.start = fastener.angle

    def pull(self) -> Motion:
        """Swing until the plan is fulfilled, or the room for the handle is too small for it."""
        self._hold(0.0, self.fastener.angle, 0.15)
        self._swing()
        while self.fastener.angle < self.plan.stop - 1e-9:
            before = self.fastener.angle
            self._let_go()
            self._swing_back()
            self._swing()
            if self.fastener.angle <= before:
                break
        if self.plan.slip:
            self._slip()
        else:
            self._let_go()
        return Motion(
            np.concatenate(self.handle), np.concatenate(self.torque), np.concatenate(self.nut)
        )

    def _swing(self) -> None:
        """One forward swing, as far as there is room, with the rests the hand takes."""
        handling, begin = self.handling, self.fastener.angle
        way, torque = self._way_ahead(begin)
        wind = np.maximum.accumulate(way - begin + torque / handling.stiffness)
        wind, way, torque = self._from_rest(wind, way, torque)
        end = min(handling.stroke, float(wind[-1]))
        first = 0.0
        for stop in [*self._rests(wind, torque, end), end]:
            self._forward(wind, way, torque, first, stop)
            first = stop
            if stop < end:
                self._hold(float(np.interp(stop, wind, torque)), self.fastener.angle, None)

    def _way_ahead(self, begin: float) -> tuple[Floats, Floats]:
        """Fastener angles from here to the stop with the torque they take, breakaway included."""
        condition, course = self.fastener.condition, self.plan.course
        inside = (course.angle > begin) & (course.angle < self.plan.stop)
        way = np.concatenate(([begin], course.angle[inside], [max(self.plan.stop, begin)]))
        running = np.interp(way, course.angle, course.torque)
        peak = condition.breakaway * np.exp(-(way - begin) / condition.breakaway_way)
        return way, running * (1.0 + peak)

    def _from_rest(
        self, wind: Floats, way: Floats, torque: Floats
    ) -> tuple[Floats, Floats, Floats]:
        """Put the wind-up with the fastener still at rest in front."""
        if self.plan.stop <= self.start + 1e-9 and math.isfinite(self.plan.aim):
            # the fastener holds more than is asked: the tool alone winds up
            reach = min(self.plan.aim, torque[0])
            wind, way, torque = (
                np.array([reach / self.handling.stiffness]),
                way[:1],
                np.array([reach]),
            )
        return (
            np.concatenate(([0.0], wind)),
            np.concatenate((way[:1], way)),
            np.concatenate(([0.0], torque)),
        )

    def _rests(self, wind: Floats, torque: Floats, end: float) -> list[float]:
        """Wind-up angles of a swing at which the hand rests, always under load."""
        highest = float(np.interp(end, wind, torque))
        if self.plan.slip or highest < 0.1 * min(self.plan.aim, highest * 10.0):
            return []
        levels = highest * self.rng.uniform(0.35, 0.85, self.handling.pauses)
        rising = np.maximum.accumulate(torque)
        return sorted(np.interp(levels, rising, wind).tolist())

    def _forward(
        self, wind: Floats, way: Floats, torque: Floats, first: float, last: float
    ) -> None:
        duration = max(1.5 * (last - first) / self.handling.speed, 0.1)
        x = self._steps(duration)
        handle = first + (last - first) * x * x * (3.0 - 2.0 * x)
        self._write(
            self.position + handle - first,
            np.interp(handle, wind, torque),
            np.interp(handle, wind, way),
        )
        self.position += last - first
        self.fastener.turn_to(float(np.interp(last, wind, way)))

    def _hold(self, torque: float, nut: float, seconds: float | None) -> None:
        """Keep still; under load the hand gives a little."""
        x = self._steps(self.rng.uniform(0.6, 1.2) if seconds is None else seconds)
        give = 0.03 * torque * x
        self._write(
            self.position - give / self.handling.stiffness, torque - give, np.full(len(x), nut)
        )

    def _let_go(self) -> None:
        end = float(self.torque[-1][-1])
        x = self._steps(self.rng.uniform(0.15, 0.3))
        fall = 0.5 * (1.0 + np.cos(np.pi * x))
        self._write(
            self.position - end / self.handling.stiffness * (1.0 - fall),
            end * fall,
            np.full(len(x), self.fastener.angle),
        )
        self.position -= end / self.handling.stiffness
        self._hold(0.0, self.fastener.angle, self.rng.uniform(0.1, 0.3))

    def _swing_back(self) -> None:
        """Back to the start of the stroke, then forward through the play of the ratchet."""
        play = self.rng.uniform(0.1, 1.0) * self.handling.tooth
        for way in (-self.handling.stroke - play, play):
            x = self._steps(abs(way) / (2.5 * self.handling.speed) + 0.05)
            self._write(
                self.position + way * x * x * (3.0 - 2.0 * x),
                np.zeros(len(x)),
                np.full(len(x), self.fastener.angle),
            )
            self.position += way

    def _slip(self) -> None:
        """Let the socket come off: the torque is gone and the handle runs on."""
        end = float(self.torque[-1][-1])
        seconds = self.rng.uniform(0.06, 0.1)
        run = self.rng.uniform(20.0, 45.0) + end / self.handling.stiffness
        count = max(2, round(seconds * self.handling.sample_rate))
        t = np.arange(1.0, count + 1.0) / self.handling.sample_rate
        self._write(
            self.position + run * np.minimum(t / seconds, 1.0),
            end * np.exp(-t / 0.006),
            np.full(len(t), self.fastener.angle),
        )
        self.position += run
        self._hold(0.0, self.fastener.angle, 0.4)

    def _steps(self, seconds: float) -> Floats:
        count = max(2, round(seconds * self.handling.sample_rate))
        return np.arange(1, count + 1) / count

    def _write(self, handle: Floats, torque: Floats, nut: Floats) -> None:
        self.handle.append(handle)
        self.torque.append(torque)
        self.nut.append(nut)
