"""A simulated hand pull: what the sensor records and what a person would read.

The trace and the readings are all that leave a pull; what the fastener truly did stays with the
`SimulatedFastener`, where tests and teaching may look and the judge may not.

Simplifications, on purpose: the hand moves the handle smoothly and stops at what it sees; the pull
is square and steady; release and back swing always look alike; the sensor has white noise, rounding
and one scale error; ratchet teeth cost a random play within one tooth. Those of the fastener stand
in its own module.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from clampwright.errors import ClampwrightError, Missing
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.simulated_fastener import Condition, Course, SimulatedFastener
from clampwright.words import words

__all__ = ["FAULTS", "Condition", "Fault", "Pull", "SimulatedFastener", "SimulatedWrench"]

Fault = Literal["slip", "yield", "strip", "wrong_unit", "stop_early", "cross_thread", "rehit"]
FAULTS: tuple[Fault, ...] = get_args(Fault)

_GRID_DEG = 0.05
_MOST_DEG = 1440.0
_LBF_FT = 1.3558179483314004  # N·m per ft·lbf


@dataclass(frozen=True, slots=True)
class Pull:
    """What comes out of one pull.

    Parameters
    ----------
    trace : Trace
        What an electronic wrench records.
    reading : float
        What a person reads from a beam, dial or display at the highest point, N·m.
    clicked : bool
        Whether a click wrench set to the target torque would have clicked.
    moved : bool
        Whether the fastener was seen to turn (a degree or more).
    angle_reading : float
        What an angle gauge shows: degrees turned since the snug torque (or the start).
    """

    trace: Trace
    reading: float
    clicked: bool
    moved: bool
    angle_reading: float


@dataclass(frozen=True, slots=True)
class SimulatedWrench:
    """A wrench, its sensor and the hand on it.

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
    deviation : float
        Relative deviation: shown less true, over true.
    overshoot : float
        Share of the target by which the hand usually stops late.
    graduation : float
        Of the scale a person reads, N·m.
    sample_rate : float
        Hz.
    torque_noise, torque_step : float
        Standard deviation and rounding step of the torque signal, N·m.
    angle_noise, angle_step : float
        The same of the angle signal, degrees.
    angle_mode : {"handle", "accumulated", "output"}
    pauses : int
        How often the hand rests under load in one pull.
    patience : float
        Rotation without rising torque after which the person gives up, degrees.

    Examples
    --------
    >>> from clampwright.joint.model import Fastening
    >>> m10 = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...                 bearing_inner=11.0, yield_stress=940, clamp_rate=829.66, plastic_length=22)
    >>> bolt = SimulatedFastener(m10, Condition(mu_thread=0.12, mu_bearing=0.10))
    >>> pull = SimulatedWrench().pull(bolt, torque=40.0, rng=np.random.default_rng(1))
    >>> pull.clicked, pull.moved, 39 <= pull.reading <= 42
    (True, True, True)
    """

    stiffness: float = 20.0
    stroke: float = 70.0
    tooth: float = 5.0
    speed: float = 40.0
    deviation: float = 0.0
    overshoot: float = 0.006
    graduation: float = 1.0
    sample_rate: float = 200.0
    torque_noise: float = 0.15
    torque_step: float = 0.1
    angle_noise: float = 0.1
    angle_step: float = 0.1
    angle_mode: AngleMode = "handle"
    pauses: int = 0
    patience: float = 45.0

    def pull(
        self,
        fastener: SimulatedFastener,
        *,
        rng: np.random.Generator,
        torque: float | None = None,
        angle: float | None = None,
        fault: Fault | None = None,
    ) -> Pull:
        """Pull once on a fastener and change its state.

        Parameters
        ----------
        fastener : SimulatedFastener
            Is turned.
        rng : numpy.random.Generator
        torque : float, optional
            Torque to stop at, N·m; with an angle as well, the snug torque from which it counts.
        angle : float, optional
            Degrees to turn, from `torque` or from the start.
        fault : str, optional
            What goes wrong: one of `FAULTS`.

        Returns
        -------
        Pull

        Raises
        ------
        Missing
            Without a torque or an angle there is nothing to stop at.
        ClampwrightError
            For a fault that is not known.
        """
        if torque is None and angle is None:
            raise Missing(
                words("a pull needs a torque or an angle to stop at"), needed="torque or angle"
            )
        if fault is not None and fault not in FAULTS:
            raise ClampwrightError(
                words(
                    "the fault {fault!r} is not known; it is one of {known}",
                    fault=str(fault),
                    known=", ".join(FAULTS),
                )
            )
        _afflict(fastener, fault, torque, rng)
        if fault == "rehit":
            fastener.turn_to(
                _plan(self, fastener, rng, torque=torque, angle=angle, fault=None).stop
            )
            angle = None if torque is not None else angle
        plan = _plan(self, fastener, rng, torque=torque, angle=angle, fault=fault)
        return _Hand(self, fastener, plan, rng).pull(torque)


def _afflict(
    fastener: SimulatedFastener,
    fault: Fault | None,
    torque: float | None,
    rng: np.random.Generator,
) -> None:
    """Give the fastener itself the fault, where it is one of the fastener."""
    condition = fastener.condition
    if fault == "yield":
        fastener.change(
            yield_factor=condition.yield_factor * rng.uniform(0.42, 0.5),
            mu_thread=condition.mu_thread * 0.85,
            mu_bearing=condition.mu_bearing * 0.85,
        )
    elif fault == "strip":
        hold = min(_clamp_at(fastener, torque), fastener.yield_clamp) * rng.uniform(0.5, 0.85)
        fastener.change(strip_clamp=max(hold, fastener.clamp * 1.02))
    elif fault == "cross_thread":
        rate = (torque or _torque_scale(fastener)) / rng.uniform(350.0, 500.0)
        fastener.change(cross_thread_rate=rate, run_down=max(condition.run_down, 700.0))
        fastener.angle = -fastener.condition.run_down


def _clamp_at(fastener: SimulatedFastener, torque: float | None) -> float:
    """Clamp load a torque would make, N; infinite without one."""
    if torque is None:
        return math.inf
    course = fastener.course(fastener.angle + np.arange(0.0, _MOST_DEG, 0.5))
    return float(course.clamp[np.argmax(course.torque >= torque)]) or math.inf


def _torque_scale(fastener: SimulatedFastener) -> float:
    return float(fastener.course(fastener.angle + np.arange(0.0, 360.0, 0.5)).torque.max())


@dataclass(frozen=True, slots=True)
class _Plan:
    """The way ahead on a fine grid of fastener angles, and where the person stops."""

    course: Course
    stop: float
    snug: float
    slip: bool
    aim: float


def _plan(
    wrench: SimulatedWrench,
    fastener: SimulatedFastener,
    rng: np.random.Generator,
    *,
    torque: float | None,
    angle: float | None,
    fault: Fault | None,
) -> _Plan:
    late = 1.0 + wrench.overshoot * rng.uniform(0.0, 2.0)
    change = {"wrong_unit": _LBF_FT, "stop_early": rng.uniform(0.6, 0.85)}.get(fault or "", 1.0)
    way = fastener.angle + np.arange(0.0, _MOST_DEG, _GRID_DEG)
    course = fastener.course(way)
    snug = fastener.angle
    aim = math.inf if torque is None else torque / (1.0 + wrench.deviation)
    if angle is None:
        aim *= late * change
        stop = _first(way, course.torque >= aim)
    else:
        if torque is not None:
            snug = _first(way, course.torque >= aim)
        stop = snug + angle * change + rng.normal(0.0, 0.7)
    if angle is None:
        stop = min(stop, _patience_ends(way, course.torque, wrench.patience, aim))
    else:
        stop = min(stop, _torque_lost(way, course.torque, wrench.patience))
    if fault == "slip":
        stop = _slip_at(way, course.torque, stop, rng)
    return _Plan(course, stop, min(snug, stop), fault == "slip", aim)


def _first(way: Floats, reached: np.typing.NDArray[np.bool_]) -> float:
    return float(way[np.argmax(reached)]) if reached.any() else float(way[-1])


def _patience_ends(way: Floats, torque: Floats, patience: float, aim: float) -> float:
    """Angle at which a person stops because the torque has not risen any more for too long."""
    highest = np.maximum.accumulate(torque)
    gain = np.interp(way, way - patience, highest) - highest
    scale = min(aim, float(highest[-1]))
    stuck = (highest > 0.25 * scale) & (gain < 0.02 * highest)
    return float(way[np.argmax(stuck)]) + patience if stuck.any() else float(way[-1])


def _torque_lost(way: Floats, torque: Floats, patience: float) -> float:
    """Angle at which a person who turns an angle notices that the torque is going."""
    lost = (torque < 0.7 * np.maximum.accumulate(torque)) & (torque > 0)
    return float(way[np.argmax(lost)]) + 0.5 * patience if lost.any() else float(way[-1])


def _slip_at(way: Floats, torque: Floats, stop: float, rng: np.random.Generator) -> float:
    """Angle at which the socket slips off: somewhere on the way up."""
    ahead = way <= stop
    level = rng.uniform(0.45, 0.9) * float(torque[ahead].max())
    return max(_first(way, torque >= level), float(way[0]))


class _Hand:
    """Moves the handle swing by swing and writes down what happens."""

    def __init__(
        self,
        wrench: SimulatedWrench,
        fastener: SimulatedFastener,
        plan: _Plan,
        rng: np.random.Generator,
    ) -> None:
        self.wrench, self.fastener, self.plan, self.rng = wrench, fastener, plan, rng
        self.handle: list[Floats] = []
        self.torque: list[Floats] = []
        self.nut: list[Floats] = []
        self.position = 0.0
        self.start = fastener.angle

    def pull(self, target: float | None) -> Pull:
        self._hold(0.0, self.fastener.angle, 0.15)
        while self.fastener.angle < self.plan.stop - 1e-9 or not self.handle[1:]:
            self._swing()
        if self.plan.slip:
            self._slip()
        else:
            self._let_go()
        return self._result(target)

    def _swing(self) -> None:
        """One forward swing, as far as there is room, with the rests the hand takes."""
        wrench, begin = self.wrench, self.fastener.angle
        way, torque = self._way_ahead(begin)
        wind = np.maximum.accumulate(way - begin + torque / wrench.stiffness)
        wind, way, torque = self._from_rest(wind, way, torque)
        end = min(wrench.stroke, float(wind[-1]))
        first = 0.0
        for stop in [*self._rests(end), end]:
            self._forward(wind, way, torque, first, stop)
            first = stop
            if stop < end:
                self._hold(float(np.interp(stop, wind, torque)), self.fastener.angle, None)
        if self.fastener.angle < self.plan.stop - 1e-9:
            self._let_go()
            self._swing_back()

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
                np.array([reach / self.wrench.stiffness]),
                way[:1],
                np.array([reach]),
            )
        return (
            np.concatenate(([0.0], wind)),
            np.concatenate((way[:1], way)),
            np.concatenate(([0.0], torque)),
        )

    def _rests(self, end: float) -> list[float]:
        if self.plan.slip or not self.wrench.pauses:
            return []
        return sorted((end * self.rng.uniform(0.35, 0.85, self.wrench.pauses)).tolist())

    def _forward(
        self, wind: Floats, way: Floats, torque: Floats, first: float, last: float
    ) -> None:
        duration = max(1.5 * (last - first) / self.wrench.speed, 0.1)
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
            self.position - give / self.wrench.stiffness, torque - give, np.full(len(x), nut)
        )

    def _let_go(self) -> None:
        end = float(self.torque[-1][-1])
        x = self._steps(self.rng.uniform(0.15, 0.3))
        fall = 0.5 * (1.0 + np.cos(np.pi * x))
        self._write(
            self.position - end / self.wrench.stiffness * (1.0 - fall),
            end * fall,
            np.full(len(x), self.fastener.angle),
        )
        self.position -= end / self.wrench.stiffness
        self._hold(0.0, self.fastener.angle, self.rng.uniform(0.1, 0.3))

    def _swing_back(self) -> None:
        """Back to the start of the stroke, then forward through the play of the ratchet."""
        play = self.rng.uniform(0.1, 1.0) * self.wrench.tooth
        for way in (-self.wrench.stroke - play, play):
            x = self._steps(abs(way) / (2.5 * self.wrench.speed) + 0.05)
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
        run = self.rng.uniform(20.0, 45.0) + end / self.wrench.stiffness
        count = max(2, round(seconds * self.wrench.sample_rate))
        t = np.arange(1.0, count + 1.0) / self.wrench.sample_rate
        self._write(
            self.position + run * np.minimum(t / seconds, 1.0),
            end * np.exp(-t / 0.006),
            np.full(len(t), self.fastener.angle),
        )
        self.position += run
        self._hold(0.0, self.fastener.angle, 0.4)

    def _steps(self, seconds: float) -> Floats:
        count = max(2, round(seconds * self.wrench.sample_rate))
        return np.arange(1, count + 1) / count

    def _write(self, handle: Floats, torque: Floats, nut: Floats) -> None:
        self.handle.append(handle)
        self.torque.append(torque)
        self.nut.append(nut)

    def _result(self, target: float | None) -> Pull:
        wrench, rng = self.wrench, self.rng
        torque, nut = np.concatenate(self.torque), np.concatenate(self.nut)
        shown = torque * (1.0 + wrench.deviation)
        peak = float(shown.max())
        turned = self.fastener.angle - self.start
        since = self.fastener.angle - self.plan.snug
        return Pull(
            trace=self._trace(shown, nut),
            reading=_rounded(peak, wrench.graduation),
            clicked=target is not None and peak >= target * (1.0 - 1e-9),
            moved=turned >= 1.0,
            angle_reading=_rounded(since + rng.normal(0.0, 0.7), 1.0),
        )

    def _trace(self, torque: Floats, nut: Floats) -> Trace:
        wrench, rng = self.wrench, self.rng
        count = len(torque)
        seen = _rounded_all(
            torque + rng.normal(0.0, wrench.torque_noise, count), wrench.torque_step
        )
        handle = np.concatenate(self.handle)
        if wrench.angle_mode == "handle":
            angle = handle
        elif wrench.angle_mode == "output":
            angle = nut - nut[0]
        else:
            forward = np.maximum(np.diff(handle, prepend=handle[0]), 0.0)
            angle = np.cumsum(np.where(torque > 0.02 * torque.max(), forward, 0.0))
        noisy = angle + rng.normal(0.0, wrench.angle_noise, count)
        if wrench.angle_mode == "accumulated":
            noisy = np.maximum.accumulate(angle)
        time = np.arange(count) / wrench.sample_rate
        step = Step("simulated", {"sample_rate_hz": wrench.sample_rate})
        return Trace(time, seen, _rounded_all(noisy, wrench.angle_step), wrench.angle_mode, (step,))


def _rounded(value: float, step: float) -> float:
    return round(value / step) * step if step else value


def _rounded_all(values: Floats, step: float) -> Floats:
    return np.round(values / step) * step if step else values
