"""A fastener that keeps its own state: what a pull does to clamp load, torque and stretch.

Simplifications, on purpose:

- Quasi-static. No inertia, no vibration; stick-slip is a saw-tooth laid on the friction.
- Bilinear: elastic up to the yield of combined tension and torsion, then one hardening slope.
  No Bauschinger effect, no time-dependent yield; unloading is elastic.
- The snug zone (parts coming together) is a parabola and comes back fully when loosened.
- Friction is constant in a pull except for breakaway; it does not change with use, speed or heat.
- One fastener alone: neighbours do not change its clamp load (see elastic interaction).
- Cross-threading, a bottomed bolt, stripping, necking and galling are simple laws chosen for the
  shape they give the curve, not models of the metal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint.model import Fastening
from clampwright.joint.stress import yield_clamp
from clampwright.joint.torque_tension import loosening_torque, thread_torque, torque_from_clamp
from clampwright.trace.model import Floats

_PLASTIC_MM = 20.0  # free thread that yields, where the drawing does not say
_STRIP_WAY_DEG = 25.0  # the thread loses 63 % of its hold over this rotation
_STRIP_REST = 0.08  # share of the hold that friction of the debris leaves
_NECK_RATE = 0.002  # share of clamp lost per degree of necking
_GAP_RATE = 0.25  # share of the clamp rate while a gap is being pulled shut
_BOTTOM_RATE = 4.0  # the bolt against its tip is stiffer than the joint by this factor
_LONG_WAY_DEG = 3000.0


@dataclass(frozen=True, slots=True)
class Condition:
    """What this one fastener is like, beyond what its drawing says.

    Parameters
    ----------
    mu_thread, mu_bearing : float
        Friction coefficients.
    prevailing_torque : float
        Torque of a locking feature or a burr, N·m, beside what the drawing has.
    run_down : float
        Rotation before the parts touch, degrees.
    snug_zone : float
        Rotation over which the parts come together, degrees.
    rate : float
        Factor on the clamp rate (a gasket, paint: below 1).
    gap : float
        Rotation spent on pulling a gap shut at low stiffness, degrees.
    yield_factor : float
        Factor on the yield strength (a soft bolt: below 1).
    breakaway : float
        Share by which the torque of a restart exceeds the running torque.
    breakaway_way : float
        Rotation over which that share falls to 37 %, degrees.
    roughness : float
        Irregularity of friction as a share of the torque.
    stick_slip : float
        Amplitude of a saw-tooth as a share of the torque.
    cross_thread_rate : float
        Torque per degree of a thread that cuts across, N·m/deg; 0 for a sound one.
    bottom_before : float or None
        Rotation before the seat at which the tip meets the bottom of the hole, degrees.
    strip_clamp : float or None
        Clamp load at which the thread strips, N.
    neck_after : float or None
        Plastic rotation after which the bolt necks, degrees.
    galling : float
        Share by which friction has grown when the clamp load is half of that at yield.
    """

    mu_thread: float = 0.12
    mu_bearing: float = 0.12
    prevailing_torque: float = 0.0
    run_down: float = 60.0
    snug_zone: float = 10.0
    rate: float = 1.0
    gap: float = 0.0
    yield_factor: float = 1.0
    breakaway: float = 0.04
    breakaway_way: float = 0.8
    roughness: float = 0.004
    stick_slip: float = 0.0
    cross_thread_rate: float = 0.0
    bottom_before: float | None = None
    strip_clamp: float | None = None
    neck_after: float | None = None
    galling: float = 0.0


@dataclass(frozen=True, slots=True)
class Course:
    """What would happen on turning on from here.

    Parameters
    ----------
    angle : ndarray, shape (n,)
        Rotation from where the parts touch, degrees.
    clamp : ndarray, shape (n,)
        Clamp load, N.
    torque : ndarray, shape (n,)
        Running torque, N·m (without breakaway).
    stretch : ndarray, shape (n,)
        Plastic stretch, expressed in degrees of rotation.
    """

    angle: Floats
    clamp: Floats
    torque: Floats
    stretch: Floats


class SimulatedFastener:
    """A fastener on the bench; see the module for what is simplified.

    Parameters
    ----------
    parts : Fastening
        Geometry, yield strength and clamp rate; `clamp_rate` and `yield_stress` must be known.
    condition : Condition
        What this one is like.
    seed : int
        Of its irregularities.

    Examples
    --------
    >>> from clampwright.joint.model import Fastening
    >>> m10 = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...                 bearing_inner=11.0, yield_stress=940, clamp_rate=829.66, plastic_length=22)
    >>> bolt = SimulatedFastener(m10, Condition(mu_thread=0.12, mu_bearing=0.10))
    >>> bolt.turn_to_torque(37.62)
    >>> print(f"{bolt.clamp / 1000:.1f} kN")
    25.0 kN
    """

    def __init__(self, parts: Fastening, condition: Condition | None = None, seed: int = 0) -> None:
        self.parts = parts
        self.condition = condition or Condition()
        self.angle = -self.condition.run_down
        self.stretch = 0.0
        self.settled = 0.0
        self.stripped_at: float | None = None
        self._waves = np.random.default_rng(seed).uniform(0.0, 360.0, 3)

    @property
    def clamp(self) -> float:
        """Clamp load now, N."""
        return float(self.course([self.angle]).clamp[0])

    @property
    def torque(self) -> float:
        """Torque that would keep it turning on from here, N·m."""
        return float(self.course([self.angle]).torque[0])

    @property
    def yield_clamp(self) -> float:
        """Clamp load at first yield under tension and torsion, N."""
        if self.parts.yield_stress is None:
            return math.inf
        clamp = yield_clamp(
            yield_stress=self.parts.yield_stress * self.condition.yield_factor,
            stress_area=self.parts.stress_area,
            P=self.parts.P,
            d2=self.parts.d2,
            mu_thread=self.condition.mu_thread,
        )
        return float(clamp)

    @property
    def yielded(self) -> bool:
        """Whether it was stretched for good."""
        return self.stretch > 0.0

    @property
    def stripped(self) -> bool:
        """Whether its thread has stripped."""
        return self.stripped_at is not None

    def course(self, angle: ArrayLike) -> Course:
        """Tell what would happen on turning on to these angles, without turning.

        Parameters
        ----------
        angle : array_like, shape (n,)
            Rising from the present angle on, degrees from where the parts touch.

        Returns
        -------
        Course
        """
        way = np.asarray(angle, dtype=np.float64)
        clamp, stretch = self._elastic_plastic(way)
        clamp = self._stripped(way, self._necked(clamp, stretch))
        return Course(way, clamp, self._running_torque(way, clamp), stretch)

    def turn_to(self, angle: float) -> None:
        """Turn on to an angle, degrees from where the parts touch; never back."""
        if angle <= self.angle:
            return
        way = np.linspace(self.angle, angle, max(2, int((angle - self.angle) / 0.1) + 2))
        course = self.course(way)
        strip = self.condition.strip_clamp
        if self.stripped_at is None and strip is not None:
            over = self._unstripped(way) >= strip
            self.stripped_at = float(way[np.argmax(over)]) if over.any() else None
        self.angle, self.stretch = float(angle), float(course.stretch[-1])

    def turn_to_torque(self, torque: float, *, most: float = 720.0) -> None:
        """Turn on until the running torque is reached, N·m, at most by `most` degrees."""
        way = self.angle + np.arange(0.0, most, 0.05)
        reached = self.course(way).torque >= torque
        self.turn_to(float(way[np.argmax(reached)] if reached.any() else way[-1]))

    def loosen(self, angle: float | None = None) -> float:
        """Turn back, fully or by an angle.

        Parameters
        ----------
        angle : float, optional
            Degrees; without it until it is free and a quarter turn more.

        Returns
        -------
        float
            Torque it took to start, N·m, as a positive number.
        """
        condition, clamp = self.condition, self.clamp
        start = loosening_torque(
            clamp,
            P=self.parts.P,
            d2=self.parts.d2,
            bearing_diameter=self.bearing_diameter,
            mu_thread=condition.mu_thread,
            mu_bearing=condition.mu_bearing,
            prevailing_torque=self.prevailing_torque,
        )
        free = self.stretch + self.settled - 90.0
        self.angle = min(self.angle, free) if angle is None else self.angle - angle
        return float(start) * (1.0 + condition.breakaway)

    def settle(self, share: float) -> None:
        """Lose a share of the clamp load to embedding, without turning."""
        curve_angle, curve_clamp = self._curve()
        now = float(np.interp(self.clamp, curve_clamp, curve_angle))
        then = float(np.interp(self.clamp * (1.0 - share), curve_clamp, curve_angle))
        self.settled += now - then

    def change(self, **condition: float | None) -> None:
        """Change what the fastener is like, such as ``yield_factor=0.6``."""
        self.condition = replace(self.condition, **condition)  # type: ignore[arg-type]  # replace() checks the names, all fields are numbers

    @property
    def prevailing_torque(self) -> float:
        """Torque that turns it before it clamps, N·m."""
        return self.parts.prevailing_torque + self.condition.prevailing_torque

    @property
    def bearing_diameter(self) -> float:
        """Effective diameter of the bearing face, mm."""
        return (self.parts.bearing_outer + self.parts.bearing_inner) / 2.0

    @property
    def clamp_rate(self) -> float:
        """Clamp load per degree of this fastener, N/deg."""
        if self.parts.clamp_rate is None:
            return math.nan
        return self.parts.clamp_rate * self.condition.rate

    def _curve(self) -> tuple[Floats, Floats]:
        """Elastic angle and clamp load: snug zone, gap, straight line."""
        rate, zone, gap = self.clamp_rate, self.condition.snug_zone, self.condition.gap
        angle, clamp = [0.0], [0.0]
        if zone > 0:
            part = np.linspace(0.0, zone, 41)[1:]
            first = rate * (_GAP_RATE if gap else 1.0)
            angle, clamp = [0.0, *part], [0.0, *(first * part**2 / (2.0 * zone))]
        if gap > 0:
            angle.append(angle[-1] + gap)
            clamp.append(clamp[-1] + gap * rate * _GAP_RATE)
        angle.append(angle[-1] + _LONG_WAY_DEG)
        clamp.append(clamp[-1] + rate * _LONG_WAY_DEG)
        return np.array(angle), np.array(clamp)

    def _elastic_plastic(self, way: Floats) -> tuple[Floats, Floats]:
        """Clamp load and plastic stretch by a bilinear law with memory (return mapping)."""
        curve_angle, curve_clamp = self._curve()
        rate, limit = self.clamp_rate, self.yield_clamp
        stretch = np.full(len(way), self.stretch)
        if math.isfinite(limit):
            line_zero = curve_angle[-1] - curve_clamp[-1] / rate
            trial = rate * (way - self.settled - line_zero)
            plastic = (trial - limit) / (rate + self._hardening)
            stretch = np.maximum(self.stretch, np.maximum.accumulate(plastic))
        clamp = np.interp(way - self.settled - stretch, curve_angle, curve_clamp)
        return clamp, stretch

    @property
    def _hardening(self) -> float:
        """Clamp load per degree of plastic stretch, N/deg (deformation theory, bilinear)."""
        plastic_modulus = 1.0 / (1.0 / self.parts.tangent_modulus - 1.0 / self.parts.modulus)
        strain = self.parts.P / (360.0 * (self.parts.plastic_length or _PLASTIC_MM))
        return plastic_modulus * strain * self.parts.stress_area

    def _necked(self, clamp: Floats, stretch: Floats) -> Floats:
        after = self.condition.neck_after
        if after is None:
            return clamp
        return np.asarray(
            clamp * np.maximum(1.0 - _NECK_RATE * np.maximum(stretch - after, 0), 0.3)
        )

    def _unstripped(self, way: Floats) -> Floats:
        clamp, stretch = self._elastic_plastic(way)
        return self._necked(clamp, stretch)

    def _stripped(self, way: Floats, clamp: Floats) -> Floats:
        start, strip = self.stripped_at, self.condition.strip_clamp
        if strip is None:
            return clamp
        if start is None:
            over = clamp >= strip
            start = float(way[np.argmax(over)]) if over.any() else math.inf
        hold = np.maximum(np.exp(-np.maximum(way - start, 0.0) / _STRIP_WAY_DEG), _STRIP_REST)
        return np.asarray(np.where(way > start, np.minimum(clamp, strip * hold), clamp))

    def _running_torque(self, way: Floats, clamp: Floats) -> Floats:
        condition, parts = self.condition, self.parts
        half_yield = 0.5 * self.yield_clamp if math.isfinite(self.yield_clamp) else math.inf
        friction = 1.0 + condition.galling * (clamp / half_yield) ** 2
        torque = torque_from_clamp(
            clamp,
            P=parts.P,
            d2=parts.d2,
            bearing_diameter=self.bearing_diameter,
            mu_thread=condition.mu_thread,
            mu_bearing=condition.mu_bearing,
            prevailing_torque=self.prevailing_torque,
        )
        torque = torque * friction + self._cross_thread(way) + self._bottom(way)
        return np.asarray(torque * self._irregular(way))

    def _irregular(self, way: Floats) -> Floats:
        """Wavy friction, and a saw-tooth where it sticks and slips."""
        a, b, c = self._waves
        waves = np.sin(np.radians(way * 7.0 + a)) + np.sin(np.radians(way * 17.0 + b))
        saw = 2.0 * np.abs(((way + c) / 1.6) % 1.0 - 0.5)
        rough, slip = 0.7 * self.condition.roughness, self.condition.stick_slip
        return np.asarray(1.0 + rough * waves + slip * (saw - 0.5))

    def _cross_thread(self, way: Floats) -> Floats:
        rate = self.condition.cross_thread_rate
        since = np.maximum(way + self.condition.run_down - 20.0, 0.0)
        rough = 1.0 + 0.06 * np.sin(np.radians(way * 23.0 + self._waves[0]))
        return np.asarray(rate * since * rough)

    def _bottom(self, way: Floats) -> Floats:
        before = self.condition.bottom_before
        if before is None:
            return np.zeros(len(way))
        force = _BOTTOM_RATE * self.clamp_rate * np.maximum(way + before, 0.0)
        return np.asarray(
            thread_torque(
                force, P=self.parts.P, d2=self.parts.d2, mu_thread=self.condition.mu_thread
            )
        )
