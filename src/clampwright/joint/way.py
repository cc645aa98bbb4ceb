"""The way of a planned fastener over torque and angle, from stage to stage, for a chart.

Angles count from first contact of the parts. For every friction the fastener follows the same
bilinear line as the bands of the plan (`clampwright.joint.curve`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import Missing
from clampwright.joint._checks import Floats
from clampwright.joint.curve import Curve, curve
from clampwright.joint.friction_range import friction_range
from clampwright.joint.model import Fastening
from clampwright.joint.stiffness import FULL_TURN
from clampwright.joint.torque_angle import Step, Walk
from clampwright.words import words

N_MM = 1000.0  # in a newton metre
NINETY = 1.6448536
"""5 and 95 % points in standard deviations."""
GRID = 121

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Leg:
    """The way of one stage.

    Parameters
    ----------
    points : tuple of (float, float)
        Angle (deg) and torque (N·m) at median friction, from the start to the end of the stage.
    ends : tuple of (float, float)
        Where the stage ends at little, median and much friction (5, 50 and 95 %).
    back : bool
        It turns back.
    """

    points: tuple[Point, ...]
    ends: tuple[Point, ...]
    back: bool


@dataclass(frozen=True, slots=True)
class Way:
    """The way of a fastener through its stages.

    Parameters
    ----------
    legs : tuple of Leg
        One for each step.
    angle : ndarray, shape (m,)
        Angles from first contact to the furthest end, deg.
    low, high : ndarray, shape (m,)
        Torque at 5 and 95 % friction over those angles, N·m; turned once, without stops.
    yield_at : (float, float)
        Angle and torque at which the fastener begins to yield at median friction.
    """

    legs: tuple[Leg, ...]
    angle: Floats
    low: Floats
    high: Floats
    yield_at: Point


def way_of(fastening: Fastening, steps: Sequence[Step], friction: tuple[float, float]) -> Way:
    """Follow a fastener through its steps.

    Parameters
    ----------
    fastening : Fastening
        With clamp rate, yield stress and plastic length.
    steps : sequence of Step
    friction : (float, float)
        Range in the thread and under the head.

    Returns
    -------
    Way

    Raises
    ------
    Missing
        What a line over the angle needs is not known.

    References
    ----------
    As `clampwright.joint.torque_angle.follow`.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> way = way_of(bolt, [Step("torque", 30), Step("angle", 90)], (0.08, 0.16))
    >>> [(round(angle), round(torque)) for angle, torque in way.legs[-1].points]
    [(23, 30), (59, 76), (113, 78)]
    """
    _needed(fastening)
    mu = friction_range(friction).at(np.array([-NINETY, 0.0, NINETY]))
    line = curve(fastening, mu_thread=mu, mu_bearing=mu)
    walk = Walk(line, fastening.prevailing_torque)
    track = _Track(line, fastening, walk)
    legs = tuple(track.leg(step) for step in steps)
    furthest = max((end[0] for leg in legs for end in leg.ends), default=0.0)
    angle = np.linspace(0.0, furthest, GRID)
    once = curve(fastening, mu_thread=mu[:, None], mu_bearing=mu[:, None])
    turned = once.turned(np.zeros((3, 1)), once.yield_clamp, angle[None, :])
    torque = turned * once.arm / N_MM + fastening.prevailing_torque
    onset = float(line.yield_clamp[1])
    return Way(
        legs=legs,
        angle=angle,
        low=torque[0],
        high=torque[2],
        yield_at=track.at(1, onset, onset, 0.0),
    )


def _needed(fastening: Fastening) -> None:
    for name, sentence in (
        ("clamp_rate", words("a line over the angle needs the stiffness of the joint")),
        ("yield_stress", words("a line over the angle needs the strength class of the fastener")),
        ("plastic_length", words("a line over the angle needs the free thread of the fastener")),
    ):
        if getattr(fastening, name) is None:
            raise Missing(sentence, name)


class _Track:
    """A walk that remembers where it was."""

    def __init__(self, line: Curve, fastening: Fastening, walk: Walk) -> None:
        self.line, self.walk = line, walk
        self.pitch, self.prevailing = fastening.P, fastening.prevailing_torque

    def at(self, which: int, clamp: float, limit: float, gap: float) -> Point:
        """Angle and torque of one friction at a clamp load."""
        rate = float(np.broadcast_to(np.asarray(self.line.rate), (3,))[which])
        lasting = (self.line.stretch_rate or 0.0) * (limit - float(self.line.yield_clamp[which]))
        angle = clamp / rate - gap + FULL_TURN / self.pitch * lasting
        return angle, clamp * float(self.line.arm[which]) / N_MM + self.prevailing

    def leg(self, step: Step) -> Leg:
        clamp, limit, gap = self._state(1)
        self.walk.take(step)
        after, raised, left = self._state(1)
        points = [self.at(1, clamp, limit, gap)]
        if gap > left and after > 0.0:
            points.append(self.at(1, 0.0, limit, 0.0))
        if clamp < limit < after:
            points.append(self.at(1, limit, limit, 0.0))
        points.append(self.at(1, after, raised, left))
        ends = tuple(self.at(which, *self._state(which)) for which in range(3))
        return Leg(tuple(points), ends, step.kind == "loosen")

    def _state(self, which: int) -> tuple[float, float, float]:
        walk = self.walk
        parts = (walk.clamp, walk.limit, walk.gap)
        clamp, limit, gap = (float(np.broadcast_to(part, (3,))[which]) for part in parts)
        return clamp, limit, gap
