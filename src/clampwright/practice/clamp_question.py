"""Estimate-the-clamp: torque, thread and friction are told, the learner gives an interval.

The answer is held against every fastener the joint's model can bring, not against one drawn by
chance: chance would now and then reward a bad interval and punish a good one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from clampwright.distributions import normal_quantile
from clampwright.errors import Missing, OutOfRange
from clampwright.joint.band import ClampBand, clamp_bands
from clampwright.joint.friction_range import FrictionRange, friction_range
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step
from clampwright.practice.score import interval_score, points
from clampwright.standards import FrictionCondition
from clampwright.trace.model import Floats
from clampwright.words import Words, words
from clampwright.work.fastener import Named, fastening_of

TORQUE_U_REL = 0.02
"""Relative standard uncertainty of the torque in every question: a wrench within ±4 % taken as two
standard deviations (ISO 6789-1:2017 gives the ±4 %, from memory; the reading is ours)."""

_FRICTION_NODES, _TORQUE_NODES = 401, 41
_THREADS = ("M6", "M8", "M10", "M12", "M14", "M16")
_STRENGTHS = ("8.8", "10.9")
_FRICTIONS = ("oiled", "as_delivered", "dry", "solid_lubricant_paste", "zinc_dry")
_HEAD = "ISO 4014/4017"
_SHARES = (0.55, 0.75)
"""Of the torque at which the fastener begins to yield at little friction."""


@dataclass(frozen=True, slots=True)
class ClampQuestion:
    """What the learner is told.

    Parameters
    ----------
    named : Named
        Thread, strength class, head, hole and friction condition; the condition is needed.
    torque : float
        N·m.

    Raises
    ------
    Missing
        Thread, head or friction is not named.
    OutOfRange
        The torque is not above 0, or the fastener would yield.
    """

    named: Named
    torque: float

    def __post_init__(self) -> None:
        if not self.named.thread or not self.named.friction:
            lacking = "friction" if self.named.thread else "thread"
            raise Missing(
                words("a question about clamp load needs {what}", what=lacking), needed=lacking
            )
        limit = yield_torque(self.fastening, self.friction)
        if not 0.0 < self.torque <= limit:
            raise OutOfRange(
                words(
                    "{torque:g} N·m: the torque of a question must lie above 0 and up to "
                    "{limit:.3g} N·m, where this fastener may begin to yield",
                    torque=self.torque,
                    limit=limit,
                ),
                value=self.torque,
                low=0.0,
                high=limit,
            )

    @property
    def fastening(self) -> Fastening:
        """The fastener for the mechanics."""
        found = fastening_of(self.named)
        if found is None:
            raise Missing(
                words("a question about clamp load needs {what}", what="thread"), "thread"
            )
        return found

    @property
    def condition(self) -> FrictionCondition:
        """The surface condition."""
        found = self.named.condition()
        if found is None:
            raise Missing(
                words("a question about clamp load needs {what}", what="friction"), "friction"
            )
        return found

    @property
    def friction(self) -> FrictionRange:
        """Range of friction of the condition."""
        return friction_range((self.condition.low, self.condition.high))

    def told(self) -> tuple[tuple[Words, str], ...]:
        """Return what the learner is told, as labels and values."""
        rows = (
            (words("Thread"), self.named.thread or ""),
            (words("Strength class"), self.named.strength or "–"),
            (words("Head or nut turned"), self.named.head or "–"),
            (words("Torque"), f"{self.torque:g} N·m"),
        )
        return tuple(rows)

    def band(self) -> ClampBand:
        """Return the band that the joint's model computes."""
        return clamp_bands(
            self.fastening,
            [Step("torque", self.torque)],
            friction=self.friction,
            torque_u_rel=TORQUE_U_REL,
        )[0]

    def fasteners(self) -> Floats:
        """Return clamp loads that stand for all fasteners there may be, N; not random.

        Returns
        -------
        ndarray, shape (n,)
            At equally likely values of friction and of the wrench's deviation; friction is the
            same in thread and under the head.
        """
        z, w = (
            np.array([normal_quantile((i + 0.5) / count) for i in range(count)])
            for count in (_FRICTION_NODES, _TORQUE_NODES)
        )
        return self._clamp(np.repeat(z, len(w)), np.tile(w, len(z)))

    def drawn(self, count: int, seed: int) -> Floats:
        """Return the clamp loads of fasteners drawn by chance, N, to be looked at.

        Parameters
        ----------
        count, seed : int

        Returns
        -------
        ndarray, shape (count,)
            The same for the same seed.
        """
        rng = np.random.default_rng(seed)
        return self._clamp(rng.normal(size=count), rng.normal(size=count))

    def _clamp(self, z: Floats, w: Floats) -> Floats:
        mu = self.friction.at(z)
        torque = self.torque * (1.0 + TORQUE_U_REL * w)
        return np.asarray(
            self.fastening.clamp_from_torque(torque, mu_thread=mu, mu_bearing=mu), dtype=np.float64
        )


@dataclass(frozen=True, slots=True)
class ClampScore:
    """How good an estimate was.

    Parameters
    ----------
    low, high : float
        What was said, N.
    band : ClampBand
    score, best : float
        Mean interval score of what was said and of the band, N.
    points : int
        0 to 100.
    held : float
        Share of all fasteners that the interval holds; it was to hold 90 %.
    """

    low: float
    high: float
    band: ClampBand
    score: float
    best: float
    points: int
    held: float

    def says(self) -> tuple[Words, ...]:
        """Tell what was good and what was not."""
        width, wide = self.high - self.low, self.band.p95 - self.band.p05
        lines = [
            words(
                "The interval holds {held:.0%} of the fasteners there may be; it was to hold 90 %.",
                held=self.held,
            )
        ]
        if self.held < 0.8 and width < 0.8 * wide:
            lines.append(
                words("It is too narrow: it promises more than anybody can know from torque.")
            )
        elif width > 1.4 * wide:
            lines.append(
                words("It is too wide: it is safe to say, but helps nobody to decide anything.")
            )
        if self.low > self.band.nominal or self.high < self.band.nominal:
            side = words("high") if self.low > self.band.nominal else words("low")
            lines.append(
                words(
                    "All of it lies too {side}: the middle is {middle:.1f} kN.",
                    side=side,
                    middle=self.band.nominal / 1000.0,
                )
            )
        return tuple(lines)


def scored(question: ClampQuestion, low: float, high: float) -> ClampScore:
    """Score an interval.

    Parameters
    ----------
    question : ClampQuestion
    low, high : float
        Ends of the interval that is meant to hold 90 % of the fasteners, N.

    Returns
    -------
    ClampScore

    Raises
    ------
    OutOfRange
        The interval runs backward, or reaches below 0.

    References
    ----------
    See `clampwright.practice.score`.

    Examples
    --------
    >>> asked = ClampQuestion(Named("M10", "8.8", "ISO 4014/4017", friction="oiled"), 40.0)
    >>> scored(asked, 19e3, 34e3).points, scored(asked, 26e3, 27e3).points
    (97, 29)
    """
    if not (math.isfinite(low) and math.isfinite(high) and low >= 0.0):
        raise OutOfRange(
            words("a clamp load lies at 0 or above; the interval begins at {low:g} N", low=low),
            value=low,
            low=0.0,
        )
    band, every = question.band(), question.fasteners()
    score = float(interval_score(low, high, every).mean())
    best = float(interval_score(band.p05, band.p95, every).mean())
    held = float(((every >= low) & (every <= high)).mean())
    return ClampScore(low, high, band, score, best, points(score, best), held)


def yield_torque(fastening: Fastening, friction: FrictionRange) -> float:
    """Return the torque up to which a question goes, N·m: where it yields at little friction."""
    if fastening.yield_stress is None:
        return math.inf
    mu = friction.low
    return float(fastening.yield_torque(mu_thread=mu, mu_bearing=mu))


@lru_cache(maxsize=256)
def clamp_question(seed: int) -> ClampQuestion:
    """Make a question.

    Parameters
    ----------
    seed : int
        0 or more.

    Returns
    -------
    ClampQuestion
        The same for the same seed.

    Examples
    --------
    >>> clamp_question(7) == clamp_question(7)
    True
    """
    rng = np.random.default_rng([seed, 2])
    thread, strength, friction = (
        str(rng.choice(names)) for names in (_THREADS, _STRENGTHS, _FRICTIONS)
    )
    named = Named(thread, strength, _HEAD, friction=friction)
    fastening, condition = fastening_of(named), named.condition()
    if fastening is None or condition is None:  # every name above is in the tables
        raise Missing(words("a question about clamp load needs {what}", what="thread"), "thread")
    limit = yield_torque(fastening, friction_range((condition.low, condition.high)))
    return ClampQuestion(named, _round(limit * float(rng.uniform(*_SHARES))))


def _round(torque: float) -> float:
    """Return a torque as it would stand in a manual."""
    step = 1.0 if torque < 40.0 else 5.0
    return max(step, round(torque / step) * step)
