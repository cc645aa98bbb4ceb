"""One pull with its truth."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from clampwright.trace.model import Trace
from clampwright.trace.patterns import PATTERNS
from other_maker.course import course, snug_angle
from other_maker.hand import Hand, stop_of
from other_maker.joint import Floats, drawn_joint
from other_maker.recorder import given_of, recorded

FAULTS = frozenset(PATTERNS) - {"normal", "pause", "soft_joint", "plastic"}


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
    joint = drawn_joint(rng, pattern)
    way, torque, clamp, bend = course(rng, pattern, joint)
    stop, slip = stop_of(rng, pattern, joint, way, torque)
    column = str(rng.choice(["handle", "handle", "accumulated", "output", "rate"]))
    stiffness = joint.target / rng.uniform(1.2, 6.5)
    hand = Hand(rng, pattern, joint, stiffness, way=way, torque=torque, stop=stop)
    if slip:
        hand.slips_at(slip_dps or rng.uniform(260.0, 700.0))
    time, handle, pull, nut = hand.moved()
    trace, rate = recorded(rng, pattern, joint, column, (time, handle, pull, nut))
    end = float(nut[-1])
    begin = float(nut[0])
    after = _after_snug(way, torque, joint.snug, begin, end)
    loaded = clamp[: int(np.searchsorted(way, end)) + 1]
    yielded = bend is not None and float(loaded.max()) >= bend
    if column == "accumulated":  # a counter does not see what turns without load
        counted = torque >= 0.04 * joint.target
        begin = max(begin, float(way[np.argmax(counted)]))
    given = given_of(rng, joint, stiffness, rate, column, exact=exact)
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
    return end - max(snug_angle(way, torque, snug, top), begin)
