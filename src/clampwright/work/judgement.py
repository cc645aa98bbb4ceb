"""A judgement, and the plain comparisons every kind of reading shares."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from clampwright.drawer.belongings import StretchGauge
from clampwright.drawer.readings import Received
from clampwright.joint.model import Fastening
from clampwright.units import convert
from clampwright.words import Words
from clampwright.work.describe import shown
from clampwright.work.limits import Limits
from clampwright.work.measured import Measured
from clampwright.work.recovery import advise

WITHIN, SHORT, OVER, DOUBTFUL, VOID, NOT_KNOWN = (
    "within",
    "short",
    "over",
    "doubtful",
    "void",
    "not known",
)
VERDICTS = (WITHIN, SHORT, OVER, DOUBTFUL, VOID, NOT_KNOWN)


@dataclass(frozen=True, slots=True)
class Judgement:
    """What a pull is judged to be.

    Parameters
    ----------
    verdict : str
        One of `VERDICTS`.
    reasons : tuple of Words
    next : Words or None
        What trade practice offers; None after ``within``.
    source : str
        Where that advice comes from.
    received : Received or None
        Torque at the fastener with its uncertainty, N·m, where a torque was read.
    measured : Measured or None
        Angle or stretch with its uncertainty, where one was measured.
    """

    verdict: str
    reasons: tuple[Words, ...]
    next: Words | None = None
    source: str = ""
    received: Received | None = None
    measured: Measured | None = None


@dataclass(frozen=True, slots=True)
class InHand:
    """What a pull was done and measured with, besides the wrench.

    Parameters
    ----------
    u_angle : float or None
        Standard uncertainty of one reading of the angle gauge or wrench in hand, degrees.
    stretch_gauge : StretchGauge or None
        The gauge a stretch was read from.
    fastening : Fastening or None
        The fastener, for the clamp load that belongs to a stretch.
    """

    u_angle: float | None = None
    stretch_gauge: StretchGauge | None = None
    fastening: Fastening | None = None


BY_HAND = InHand()
"""Nothing is known of it."""


def judgement(
    verdict: str,
    reasons: Sequence[Words],
    quantity: str,
    received: Received | None = None,
) -> Judgement:
    """Return a judgement with what trade practice advises.

    Parameters
    ----------
    verdict : str
    reasons : sequence of Words
    quantity : str
        What the advice is looked up by.
    received : Received or None

    Returns
    -------
    Judgement
    """
    advice = advise(verdict, quantity)
    if advice is None:
        return Judgement(verdict, tuple(reasons), received=received)
    return Judgement(verdict, tuple(reasons), advice.advice, advice.source, received)


def compared(value: float, limits: Limits) -> str:
    """Return ``short``, ``within`` or ``over``."""
    if limits.below(value):
        return SHORT
    return OVER if limits.above(value) else WITHIN


def reaches_past(value: float, u: float, limits: Limits) -> bool:
    """Whether two standard uncertainties reach past a limit."""
    return limits.below(value - 2 * u) or limits.above(value + 2 * u)


def chance_inside(value: float, u: float, limits: Limits) -> float:
    """Probability that a quantity lies within the limits (JCGM 106:2012, 7.2, from memory)."""

    def phi(limit: float) -> float:
        return 0.5 * math.erfc((value - limit) / (u * math.sqrt(2)))

    if u == 0:
        return float(limits.holds(value))
    upper = 1.0 if limits.high is None else phi(limits.high)
    lower = 0.0 if limits.low is None else phi(limits.low)
    return upper - lower


def limit_text(value: float | None, base: str, unit: str | None = None, *, figures: int = 3) -> str:
    """Write a limit given in a base unit in another unit; three dots where it is open."""
    if value is None:
        return "…"
    wanted = unit or base
    return shown(convert(value, base, wanted), wanted, figures=figures)
