"""How the hand moves the wrench: strokes, rests and slips."""

from __future__ import annotations

import math

import numpy as np

from other_maker.course import GRID, snug_angle
from other_maker.joint import Floats, Joint

FINE = 2000.0  # Hz


def stop_of(
    rng: np.random.Generator, pattern: str, joint: Joint, way: Floats, torque: Floats
) -> tuple[float, bool]:
    """Where the fastener stops turning, and whether the socket slips there."""
    snug = snug_angle(way, torque, joint.snug, int(np.argmax(torque)))
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


class Hand:
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
