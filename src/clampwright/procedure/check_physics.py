"""What the check reckons with: a fastener, a range of friction, and how sure a statement is.

Physics informs a question, it never answers it. Friction is what is known least, so every
statement is tried where it is hardest to make: with a stated surface at the middle of its range,
and with no stated surface at the end of all known ranges that speaks against it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import State, Step, follow
from clampwright.procedure.stage import Stage
from clampwright.standards import FrictionCondition, friction_conditions
from clampwright.words import Words, words

LOW, MIDDLE, HIGH = 0, 1, 2
"""Places in the arrays of friction and of what follows from it."""


@dataclass(frozen=True, slots=True)
class Surface:
    """The range of friction to reckon with.

    Parameters
    ----------
    low, high : float
        Friction coefficient of thread and bearing face.
    title : Words
        The condition in words.
    stated : bool
        False when nobody stated a condition and the range spans all known ones.
    source : str
    typical : float or None
        Where the source names one.
    """

    low: float
    high: float
    title: Words
    stated: bool
    source: str
    typical: float | None = None

    @property
    def middle(self) -> float:
        """The typical coefficient, or the middle of the range where the source names none."""
        return (self.low + self.high) / 2 if self.typical is None else self.typical

    @property
    def coefficients(self) -> NDArray[np.float64]:
        """Low, middle and high friction."""
        return np.array([self.low, self.middle, self.high])

    @property
    def where_it_holds(self) -> int:
        """Place of the friction at which "it yields" is judged: clamp load is small there."""
        return MIDDLE if self.stated else HIGH

    @property
    def where_it_clamps(self) -> int:
        """Place of the friction at which "it clamps too little" is judged: clamp is large there."""
        return MIDDLE if self.stated else LOW

    def words(self) -> Words:
        """Say which friction was reckoned with."""
        if self.stated:
            return words(
                "reckoned for: {title}; friction {low:.2f} to {high:.2f}",
                title=self.title,
                low=self.low,
                high=self.high,
            )
        return words(
            "no surface is stated: reckoned for every known one, friction {low:.2f} to {high:.2f}",
            low=self.low,
            high=self.high,
        )


def surface_of(condition: FrictionCondition | None) -> Surface:
    """Return the friction to reckon with.

    Parameters
    ----------
    condition : FrictionCondition or None
        None when nobody stated one: then the range spans all known conditions.

    Returns
    -------
    Surface

    Examples
    --------
    >>> nothing = surface_of(None)
    >>> nothing.low, nothing.high, nothing.stated
    (0.04, 0.35, False)
    """
    if condition is not None:
        return Surface(
            condition.low,
            condition.high,
            condition.title,
            stated=True,
            source=condition.source,
            typical=condition.typical,
        )
    known = friction_conditions()
    return Surface(
        min(one.low for one in known),
        max(one.high for one in known),
        words("surface not stated"),
        stated=False,
        source="all friction conditions of the table",
    )


class Reckoning:
    """Torque against clamp load, yield and proof load, for the three coefficients of a surface.

    Parameters
    ----------
    fastening : Fastening
    surface : Surface
    """

    def __init__(self, fastening: Fastening, surface: Surface) -> None:
        self.fastening = fastening
        self.surface = surface
        self.mu = surface.coefficients

    def driving(self, torque: float, *, plus_running: bool = False) -> float:
        """Return the part of a torque that clamps, N·m: what exceeds the prevailing torque.

        Parameters
        ----------
        torque : float
            N·m.
        plus_running : bool
            The running torque is added to this figure at the bench.
        """
        if plus_running:
            return torque
        return max(0.0, torque - self.fastening.prevailing_torque)

    def clamp(self, driving: float) -> NDArray[np.float64]:
        """Return the clamp load (N) of a driving torque (N·m), as if nothing yielded."""
        return np.atleast_1d(
            self.fastening.clamp_from_torque(
                driving + self.fastening.prevailing_torque, mu_thread=self.mu, mu_bearing=self.mu
            )
        )

    @cached_property
    def yield_torque(self) -> NDArray[np.float64] | None:
        """Driving torque at which the fastener begins to yield, N·m; None when not known."""
        if self.fastening.yield_stress is None:
            return None
        torque = self.fastening.yield_torque(mu_thread=self.mu, mu_bearing=self.mu)
        return np.atleast_1d(torque - self.fastening.prevailing_torque)

    @property
    def full_load(self) -> float | None:
        """Proof load, else yield load where the standard names no proof load, N."""
        if self.fastening.proof_load is not None:
            return self.fastening.proof_load
        if self.fastening.yield_stress is not None:
            return self.fastening.yield_stress * self.fastening.stress_area
        return None

    @property
    def strength_known(self) -> bool:
        """Whether both yield and a full load can be told."""
        return self.yield_torque is not None and self.full_load is not None

    def share(self, driving: float) -> NDArray[np.float64]:
        """Return the clamp load as a share of the full load; not a number without strength."""
        return self.clamp(driving) / (self.full_load or np.nan)

    def yields(self, driving: float) -> NDArray[np.bool_]:
        """Return whether a driving torque (N·m) yields the fastener; False without strength."""
        if self.yield_torque is None:
            return np.zeros(self.mu.shape, dtype=bool)
        return driving > self.yield_torque

    def yield_at(self, place: int) -> float:
        """Return the torque (N·m) at which it begins to yield, by place of the friction."""
        torque = self.yield_torque
        return self.fastening.prevailing_torque + (0.0 if torque is None else float(torque[place]))

    def friction_numbers(self) -> dict[str, tuple[float, str]]:
        """Return the coefficients as figures of a finding."""
        low, middle, high = (float(mu) for mu in self.mu)
        return {
            "friction_low": (low, ""),
            "friction_middle": (middle, ""),
            "friction_high": (high, ""),
        }

    def follow(self, steps: Sequence[Step]) -> tuple[State, ...]:
        """Return what each step leaves; raises as `clampwright.joint.torque_angle.follow`."""
        return follow(self.fastening, steps, mu_thread=self.mu, mu_bearing=self.mu)


def target_nm(stage: Stage) -> float | None:
    """Return the torque a stage aims at, N·m: its value, else the limit it states.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    float or None
    """
    return next(
        (one for one in (stage.torque_nm, stage.high_nm, stage.low_nm) if one is not None), None
    )


def peak_nm(stage: Stage) -> float | None:
    """Return the highest torque a stage allows, N·m.

    Parameters
    ----------
    stage : Stage

    Returns
    -------
    float or None
    """
    known = [one for one in (target_nm(stage), stage.high_nm) if one is not None]
    return max(known, default=None)
