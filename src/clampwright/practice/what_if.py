"""What would happen if: the clamp load of every fastener of a joint, in two cases side by side.

Each case has its own friction, torque, angle, order and passes. Torque-controlled passes go through
the interaction matrix (`clampwright.joint.passes`); an angle turned afterwards shortens each
fastener by ``P θ/360`` and so adds ``C_jj P θ/360`` to it, ``C = (D + G)⁻¹``, and changes the
others by column j of the matrix, all of it elastic up to the onset of yield.

Taken so, and said on the page: half of the variance of friction is shared by all fasteners of a
joint (one lot, one lubricant) and half is each one's own; thread and bearing face go together; the
wrench's deviation is the same for all. Past the onset of yield the clamp load is taken as staying.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from clampwright.errors import OutOfRange
from clampwright.joint.friction_range import FrictionRange, friction_range
from clampwright.joint.interaction import influence
from clampwright.joint.model import Fastening
from clampwright.joint.passes import tighten
from clampwright.standards import FrictionCondition
from clampwright.trace.model import Floats
from clampwright.words import Words, words
from clampwright.work.layout import Layout

SAMPLES = 2000
SHARED = 0.5
"""Share of the variance of friction that all fasteners of a joint have in common (ours)."""
MOST_ANGLE = 360.0
"""Degrees; more is no tightening that a joint of bolts is made for."""
MOST_PASSES, MOST_PULLS = 20, 200
"""Of one question; more is a slip of the keyboard."""
_SEED = 20_261


@dataclass(frozen=True, slots=True)
class Setup:
    """How a joint is tightened.

    Parameters
    ----------
    condition : FrictionCondition
        Of threads and faces.
    torque : float
        Torque of the last pass, or snug torque where an angle follows, N·m.
    order : tuple of int
        Fastener numbers.
    angle : float
        Degrees turned after the last pass; 0 for none.
    shares : tuple of float
        Torque of each pass over that of the last one.
    torque_u_rel : float
        Relative standard uncertainty of the torque.
    """

    condition: FrictionCondition
    torque: float
    order: tuple[int, ...]
    angle: float = 0.0
    shares: tuple[float, ...] = (1.0,)
    torque_u_rel: float = 0.02

    def __post_init__(self) -> None:
        _within("the torque", self.torque, 0.0, 20_000.0, "N·m")
        if not 0.0 <= self.angle <= MOST_ANGLE:
            _within("the angle", self.angle, 0.0, MOST_ANGLE, "°")
        if not 0.0 <= self.torque_u_rel <= 0.2:
            _within("the wrench's uncertainty", 100.0 * self.torque_u_rel, 0.0, 20.0, "%")
        for share in self.shares:
            _within("the share of a pass", 100.0 * share, 0.0, 100.0, "%")
        if len(self.shares) > MOST_PASSES or len(self.order) > MOST_PULLS:
            _within("the number of passes", len(self.shares), 0.0, MOST_PASSES, "")
            _within("the number of pulls in a pass", len(self.order), 0.0, MOST_PULLS, "")
        if not self.shares or self.shares[-1] != 1.0 or sorted(self.shares) != list(self.shares):
            raise OutOfRange(
                words("the passes must rise and end with 100 %, such as 30,60,100"),
                value=math.nan,
            )

    @property
    def friction(self) -> FrictionRange:
        """Range of friction of the condition."""
        return friction_range((self.condition.low, self.condition.high))


def _within(what: str, value: float, low: float, high: float, unit: str) -> None:
    if math.isfinite(value) and low < value <= high:
        return
    raise OutOfRange(
        words(
            "{what} is {value:g} {unit}; it must lie above {low:g} and up to {high:g} {unit}",
            what=what,
            value=value,
            unit=unit,
            low=low,
            high=high,
        ),
        value=value,
        low=low,
        high=high,
    )


@dataclass(frozen=True, slots=True)
class JointParts:
    """The joint both cases are tightened on.

    Parameters
    ----------
    layout : Layout
    fastening : Fastening
        With a clamp rate.
    flexibility : ndarray, shape (n, n), or None
        Of the parts between the fasteners, mm/N; None where they do not influence each other.
    """

    layout: Layout
    fastening: Fastening
    flexibility: Floats | None = None

    def influence(self) -> Floats:
        """Return clamp load per shortening imposed, N/mm."""
        rate = self.fastening.clamp_rate
        if rate is None:
            raise OutOfRange(words("the fastener has no clamp rate"), value=math.nan)
        own = self.fastening.P / (360.0 * rate)
        count = self.layout.count
        G = np.zeros((count, count)) if self.flexibility is None else self.flexibility
        return influence(bolt_resilience=own, flexibility=G)


@dataclass(frozen=True, slots=True)
class Outcome:
    """Clamp load of every fastener in one case.

    Parameters
    ----------
    setup : Setup
    alone : float
        Clamp load of a fastener alone at middling friction, N: what the torque is chosen for.
    nominal, p05, p95 : ndarray, shape (n,)
        At middling friction without any error, and the 5 % and 95 % points, N.
    least_p05 : float
        5 % point of the loosest fastener of the joint, N.
    yielded : ndarray, shape (n,)
        Share of fasteners that begin to yield.
    slack : tuple of int
        Fasteners that lost all clamp load on the way, at middling friction.
    """

    setup: Setup
    alone: float
    nominal: Floats
    p05: Floats
    p95: Floats
    least_p05: float
    yielded: Floats
    slack: tuple[int, ...]

    @property
    def evenness(self) -> float:
        """Smallest clamp load over the largest, at middling friction."""
        most = float(self.nominal.max())
        return float(self.nominal.min()) / most if most > 0.0 else 0.0

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data; forces in N."""
        return {
            "friction": self.setup.condition.name,
            "torque_Nm": self.setup.torque,
            "angle_deg": self.setup.angle,
            "order": list(self.setup.order),
            "shares": list(self.setup.shares),
            "alone_N": self.alone,
            "clamp_N": self.nominal.tolist(),
            "clamp_p05_N": self.p05.tolist(),
            "clamp_p95_N": self.p95.tolist(),
            "least_p05_N": self.least_p05,
            "evenness": self.evenness,
            "yield_share": self.yielded.tolist(),
            "slack": list(self.slack),
        }


@dataclass(frozen=True, slots=True)
class WhatIf:
    """Two cases of one joint.

    Parameters
    ----------
    parts : JointParts
    planned, changed : Outcome
    """

    parts: JointParts
    planned: Outcome
    changed: Outcome

    def says(self) -> tuple[Words, ...]:
        """Tell what the change does, the gravest first."""
        before, after = self.planned, self.changed
        lines = [
            words(
                "The loosest fastener goes from {before:.1f} to {after:.1f} kN; with bad luck (5 %)"
                " from {worse:.1f} to {worst:.1f} kN.",
                before=float(before.nominal.min()) / 1000.0,
                after=float(after.nominal.min()) / 1000.0,
                worse=before.least_p05 / 1000.0,
                worst=after.least_p05 / 1000.0,
            ),
            words(
                "The smallest clamp load is {before:.0%} of the largest as planned, {after:.0%} "
                "with the change.",
                before=before.evenness,
                after=after.evenness,
            ),
        ]
        most = float(after.yielded.max())
        if most > 0.01:
            lines.insert(
                0, words("With the change up to {share:.0%} of the fasteners yield.", share=most)
            )
        if after.slack:
            numbers = ", ".join(str(number) for number in after.slack)
            lines.append(
                words("Gone slack on the way, so reckoned too well: {numbers}.", numbers=numbers)
            )
        return tuple(lines)

    def as_json(self) -> dict[str, Any]:
        """Return it as plain data; forces in N."""
        return {
            "positions_mm": [list(place) for place in self.parts.layout.positions],
            "interaction": self.parts.flexibility is not None,
            "planned": self.planned.as_json(),
            "changed": self.changed.as_json(),
            "says": [str(line) for line in self.says()],
        }


def what_if(parts: JointParts, planned: Setup, changed: Setup) -> WhatIf:
    """Tighten a joint in two ways.

    Parameters
    ----------
    parts : JointParts
    planned, changed : Setup

    Returns
    -------
    WhatIf

    Raises
    ------
    OutOfRange
        An order does not fit the joint.
    """
    return WhatIf(parts, outcome(parts, planned), outcome(parts, changed))


def outcome(parts: JointParts, setup: Setup) -> Outcome:
    """Tighten a joint.

    Parameters
    ----------
    parts : JointParts
    setup : Setup

    Returns
    -------
    Outcome
        The same every time it is asked: the random numbers are always the same ones.

    Raises
    ------
    OutOfRange
        The order does not fit the joint.

    References
    ----------
    Passes as `clampwright.joint.passes`; the angle derived from ``(D + G) F = u``.

    Examples
    --------
    >>> from clampwright.work.fastener import Named, fastening_of
    >>> from clampwright.work.layout import circle
    >>> m10 = Named("M10", "8.8", "ISO 4014/4017", friction="oiled")
    >>> bolt = fastening_of(m10).with_simple_joint(grip=40, shank_length=20, outside=40,
    ...                                            E_parts=205_000)
    >>> oiled = Setup(m10.condition(), 40.0, (1, 3, 2, 4))
    >>> done = outcome(JointParts(circle(4, 100.0), bolt), oiled)
    >>> print(f"{done.p05[0] / 1000:.0f} to {done.p95[0] / 1000:.0f} kN")
    20 to 33 kN
    """
    bench = _Bench.of(parts, setup)
    rng = np.random.default_rng(_SEED)
    count = parts.layout.count
    z = math.sqrt(SHARED) * rng.normal(size=(SAMPLES, 1))
    z = z + math.sqrt(1.0 - SHARED) * rng.normal(size=(SAMPLES, count))
    done = bench.tightened(z, setup.torque_u_rel * rng.normal(size=(SAMPLES, 1)))
    middle = bench.tightened(np.zeros((1, count)), np.zeros((1, 1)))
    low, high = np.quantile(done.clamp, (0.05, 0.95), axis=0)
    return Outcome(
        setup=setup,
        alone=bench.alone,
        nominal=middle.clamp[0],
        p05=low,
        p95=high,
        least_p05=float(np.quantile(done.clamp.min(axis=1), 0.05)),
        yielded=done.yielded.mean(axis=0),
        slack=tuple((np.flatnonzero(middle.slack[0]) + 1).tolist()),
    )


@dataclass(frozen=True, slots=True)
class _Done:
    """Clamp loads, which fasteners yield, and which went slack, for each sample."""

    clamp: Floats
    yielded: NDArray[np.bool_]
    slack: NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class _Bench:
    """A joint ready to be tightened.

    Parameters
    ----------
    matrix : ndarray, shape (n, n)
        Interaction matrix.
    own : ndarray, shape (n,)
        Clamp load of each fastener per shortening, N/mm.
    alone : float
        Clamp load of one alone at middling friction, N.
    """

    fastening: Fastening
    setup: Setup
    matrix: Floats
    own: Floats
    alone: float

    @classmethod
    def of(cls, parts: JointParts, setup: Setup) -> _Bench:
        C = parts.influence()
        own = np.diag(C).copy()
        middle = setup.friction.at(np.zeros(1))
        alone = float(_clamp(parts.fastening, setup.torque, middle)[0])
        return cls(parts.fastening, setup, C / own, own, alone)

    def tightened(self, z: Floats, w: Floats) -> _Done:
        """Tighten at deviates of friction (samples, n) and errors of the torque (samples, 1)."""
        mu = self.setup.friction.at(z)
        onset = _onset(self.fastening, mu)
        got = _clamp(self.fastening, self.setup.torque * (1.0 + w), mu)
        yielded, gain = got >= onset, np.minimum(got, onset) / self.alone
        clamp: Floats = np.zeros_like(z)
        slack = np.zeros(z.shape, dtype=bool)
        for share in self.setup.shares:
            aim = share * self.alone
            done = tighten(self.matrix, self.setup.order, aim, start=clamp, gain=gain)
            clamp, slack = done.clamp.copy(), slack | done.slack
        if self.setup.angle:
            clamp = self._turned(clamp, onset, yielded)
        return _Done(np.maximum(clamp, 0.0), yielded, slack)

    def _turned(self, clamp: Floats, onset: Floats, yielded: NDArray[np.bool_]) -> Floats:
        """Turn every fastener by the angle, in order; marks in `yielded` those that yield."""
        for number in self.setup.order:
            j = number - 1
            wanted = self.own[j] * self.fastening.P * self.setup.angle / 360.0
            room = np.maximum(onset[:, j] - clamp[:, j], 0.0)
            yielded[:, j] |= wanted >= room
            clamp = clamp + np.minimum(wanted, room)[:, None] * self.matrix[:, j]
        return clamp


def _clamp(fastening: Fastening, torque: Any, mu: Floats) -> Floats:
    return np.asarray(
        fastening.clamp_from_torque(torque, mu_thread=mu, mu_bearing=mu), dtype=np.float64
    )


def _onset(fastening: Fastening, mu: Floats) -> Floats:
    if fastening.yield_stress is None:
        return np.full_like(mu, math.inf)
    return np.asarray(fastening.yield_clamp(mu_thread=mu), dtype=np.float64)
