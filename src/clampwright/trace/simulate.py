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
from clampwright.trace.simulated_fastener import Condition, SimulatedFastener
from clampwright.trace.simulated_hand import Hand, Handling, Motion, Plan
from clampwright.words import words

__all__ = ["FAULTS", "Condition", "Fault", "Pull", "SimulatedFastener", "SimulatedWrench"]

Fault = Literal["slip", "yield", "strip", "wrong_unit", "stop_early", "cross_thread", "rehit"]
FAULTS: tuple[Fault, ...] = get_args(Fault)

COUNTED_FROM = 0.02
"""Share of the highest torque below which a counter of forward rotation does not count."""
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
class SimulatedWrench(Handling):
    """A wrench, its sensor and the hand on it.

    Parameters
    ----------
    stiffness, stroke, tooth, speed, pauses, sample_rate
        See `Handling`.
    deviation : float
        Relative deviation: shown less true, over true.
    overshoot : float
        Share of the target by which the hand usually stops late.
    graduation : float
        Of the scale a person reads, N·m.
    torque_noise, torque_step : float
        Standard deviation and rounding step of the torque signal, N·m.
    angle_noise, angle_step : float
        The same of the angle signal, degrees.
    angle_mode : {"handle", "accumulated", "output"}
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

    deviation: float = 0.0
    overshoot: float = 0.006
    graduation: float = 1.0
    torque_noise: float = 0.15
    torque_step: float = 0.1
    angle_noise: float = 0.1
    angle_step: float = 0.1
    angle_mode: AngleMode = "handle"
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
        start = fastener.angle
        motion = Hand(self, fastener, plan, rng).pull()
        shown = motion.torque * (1.0 + self.deviation)
        since = fastener.angle - plan.snug
        return Pull(
            trace=self._trace(motion, rng),
            reading=_rounded(float(shown.max()), self.graduation),
            clicked=torque is not None and float(motion.torque.max()) >= plan.setting,
            moved=fastener.angle - start >= 1.0,
            angle_reading=_rounded(since + rng.normal(0.0, 0.7), 1.0),
        )

    def _trace(self, motion: Motion, rng: np.random.Generator) -> Trace:
        count = len(motion.torque)
        torque = motion.torque * (1.0 + self.deviation) + rng.normal(0, self.torque_noise, count)
        if self.angle_mode == "accumulated":
            loaded = motion.torque > COUNTED_FROM * motion.torque.max()
            forward = np.maximum(np.diff(motion.handle, prepend=motion.handle[0]), 0.0)
            angle = np.cumsum(np.where(loaded, forward, 0.0))
        else:
            nut = motion.fastener - motion.fastener[0]
            angle = motion.handle if self.angle_mode == "handle" else nut
            angle = angle + rng.normal(0.0, self.angle_noise, count)
        return Trace(
            np.arange(count) / self.sample_rate,
            _rounded_all(torque, self.torque_step),
            _rounded_all(angle, self.angle_step),
            self.angle_mode,
            (Step("simulated", {"sample_rate_hz": self.sample_rate}),),
        )


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
        fastener.change(strip_clamp=max(hold, fastener.clamp * 1.003))
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


def _plan(
    wrench: SimulatedWrench,
    fastener: SimulatedFastener,
    rng: np.random.Generator,
    *,
    torque: float | None,
    angle: float | None,
    fault: Fault | None,
) -> Plan:
    late = 1.0 + wrench.overshoot * rng.uniform(0.0, 2.0)
    change = {"wrong_unit": _LBF_FT, "stop_early": rng.uniform(0.6, 0.85)}.get(fault or "", 1.0)
    way = fastener.angle + np.arange(0.0, _MOST_DEG, _GRID_DEG)
    course = fastener.course(way)
    snug = fastener.angle
    setting = math.inf if torque is None else torque / (1.0 + wrench.deviation)
    aim = setting
    if angle is None:
        aim *= late * change
        setting *= _LBF_FT if fault == "wrong_unit" else 1.0
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
    return Plan(course, stop, min(snug, stop), fault == "slip", aim, setting)


def _first(way: Floats, reached: np.typing.NDArray[np.bool_]) -> float:
    return float(way[np.argmax(reached)]) if reached.any() else float(way[-1])


def _patience_ends(way: Floats, torque: Floats, patience: float, aim: float) -> float:
    """Angle at which a person stops because the torque has not risen any more for too long."""
    highest = np.maximum.accumulate(torque)
    gain = np.interp(way, way - patience, highest) - highest
    scale = min(aim, float(highest[-1]))
    stuck = (highest > 0.25 * scale) & (gain < 0.05 * highest)
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


def _rounded(value: float, step: float) -> float:
    return round(value / step) * step if step else value


def _rounded_all(values: Floats, step: float) -> Floats:
    return np.round(values / step) * step if step else values
