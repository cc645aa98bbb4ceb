"""The uncertain inputs of a list of steps, each a standard normal variable, and what they do."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np

from clampwright.joint._checks import Floats
from clampwright.joint.curve import trusted_curve
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import Step, Walk

MOST_FRICTION = 1.0


class Distribution(Protocol):
    """A quantity as a function of a standard normal variable."""

    def at(self, z: Floats) -> Floats:
        """Return the quantity at z."""
        ...


@dataclass(frozen=True, slots=True)
class Axis:
    """One independent input.

    Parameters
    ----------
    group : str
        friction, torque, angle, stiffness or strength; the name under which it is reported.
    part : int
        Tells inputs of one group apart: thread and bearing friction, the steps of an angle.
    """

    group: str
    part: int = 0


THREAD, BEARING = Axis("friction", 0), Axis("friction", 1)
TORQUE, RATE, STRENGTH = Axis("torque"), Axis("stiffness"), Axis("strength")


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that a band depends on, checked.

    Parameters
    ----------
    fastening : Fastening
    steps : tuple of Step
    thread, bearing : Distribution
        Friction in the thread and under the head.
    correlation : float
        Between the two.
    torque_u_rel : tuple of float
        Relative standard uncertainty of torque for each step.
    angle_u : float
        Standard uncertainty of each angle, degrees.
    rate_u_rel, yield_u_rel : float
        Relative standard uncertainties of clamp rate and yield stress.
    """

    fastening: Fastening
    steps: tuple[Step, ...]
    thread: Distribution
    bearing: Distribution
    correlation: float
    torque_u_rel: tuple[float, ...]
    angle_u: float
    rate_u_rel: float
    yield_u_rel: float

    def until(self, count: int) -> Inputs:
        """Return the same for the first steps only."""
        return replace(self, steps=self.steps[:count], torque_u_rel=self.torque_u_rel[:count])

    def axes(self) -> tuple[Axis, ...]:
        """Return the inputs that vary here."""
        angles = [k for k, step in enumerate(self.steps) if self._by_angle(step)]
        axes = [THREAD]
        if self.correlation < 1.0:
            axes.append(BEARING)
        wrenches = zip(self.steps, self.torque_u_rel, strict=True)
        if any(u > 0.0 and self._by_torque(step) for step, u in wrenches):
            axes.append(TORQUE)
        if self.angle_u > 0.0:
            axes += [Axis("angle", k) for k in angles]
        if self.rate_u_rel > 0.0 and angles:
            axes.append(RATE)
        if self.yield_u_rel > 0.0 and self.fastening.yield_stress is not None:
            axes.append(STRENGTH)
        return tuple(axes)

    def rises_or_falls(self, axis: Axis) -> bool:
        """Tell whether clamp and torque surely go one way all along this input.

        A stiffer joint gains more when turned on, and loses more when turned back.
        """
        turned_back = any(step.kind == "loosen" and step.value is not None for step in self.steps)
        return axis.group != "stiffness" or not turned_back

    def walk(self, samples: Mapping[Axis, Floats]) -> list[dict[str, Floats]]:
        """Do all steps for samples of the inputs; an input without samples stays at its middle.

        Parameters
        ----------
        samples : mapping of Axis to ndarray
            Standard normal values; shapes that fit together.

        Returns
        -------
        list of dict
            For each step: clamp (N), torque (N·m), demand and overload (load asked for, over the
            onset of yield and over the end of the curve).
        """
        zero = np.zeros(())
        at = {axis: samples.get(axis, zero) for axis in self.axes()}
        z = at[THREAD]
        under = z
        if BEARING in at:
            rest = math.sqrt(1.0 - self.correlation**2)
            under = self.correlation * z + rest * at[BEARING]
        line = trusted_curve(
            self.fastening,
            np.minimum(self.thread.at(z), MOST_FRICTION),
            np.minimum(self.bearing.at(under), MOST_FRICTION),
            rate_by=1.0 + self.rate_u_rel * at.get(RATE, zero),
            yield_by=1.0 + self.yield_u_rel * at.get(STRENGTH, zero),
        )
        walk = Walk(line, self.fastening.prevailing_torque)
        found = []
        for k, step in enumerate(self.steps):
            walk.go(
                step,
                torque_by=1.0 + self.torque_u_rel[k] * at.get(TORQUE, zero),
                angle_plus=self.angle_u * at.get(Axis("angle", k), zero),
            )
            found.append(
                {
                    "clamp": walk.clamp,
                    "torque": walk.torque,
                    "demand": walk.demand,
                    "overload": walk.overload,
                }
            )
        return found

    def _by_torque(self, step: Step) -> bool:
        return step.value is not None and step.kind in ("torque", "snug")

    def _by_angle(self, step: Step) -> bool:
        return step.value is not None and step.kind in ("angle", "loosen")
