"""Clamp load along a list of steps: torque, angle, loosening; elastic, then yielded.

The line that the clamp load follows stands in `clampwright.joint.curve`: bilinear, so that every
torque is reached on it unless the tensile strength is known and ends it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.joint.curve import Curve, curve
from clampwright.joint.model import Fastening
from clampwright.words import words

Kind = Literal["torque", "angle", "loosen", "snug"]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a procedure, as far as the joint feels it.

    Parameters
    ----------
    kind : {"torque", "angle", "loosen", "snug"}
        ``torque``  turn until the torque is reached; a fastener already tighter does not move
        ``angle``   turn on by an angle from where it stands
        ``loosen``  turn back by an angle, or all the way
        ``snug``    bring the parts into contact, to a torque or by feel
    value : float or None
        Torque in N·m for torque and snug; degrees for angle and loosen. None for loosening all the
        way, and for a snug step by feel (contact, no clamp load counted).

    Raises
    ------
    ClampwrightError
        The kind is not one of those named.
    Missing
        A torque or angle step without value.
    OutOfRange
        A value that is not above zero.

    Examples
    --------
    >>> [Step("snug", 30.0), Step("angle", 90.0)]
    [Step(kind='snug', value=30.0), Step(kind='angle', value=90.0)]
    """

    kind: Kind
    value: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in _UNITS:
            raise ClampwrightError(
                words(
                    "a step is {given}; it must be one of: {known}",
                    given=repr(self.kind),
                    known=", ".join(_UNITS),
                )
            )
        if self.value is not None:
            _checks.above(f"{self.kind} step", self.value, unit=_UNITS[self.kind])
        elif self.kind in ("torque", "angle"):
            raise Missing(
                words(
                    "a step of kind {kind} needs a value in {unit}",
                    kind=self.kind,
                    unit=_UNITS[self.kind],
                ),
                "value",
            )


_UNITS = {"torque": "N·m", "angle": "deg", "loosen": "deg", "snug": "N·m"}


@dataclass(frozen=True, slots=True)
class State:
    """What a step has left behind. Arrays have the shape of the friction given.

    Parameters
    ----------
    step : Step
    clamp : float or ndarray
        Clamp load, N.
    torque : float or ndarray
        Torque at which the fastener would turn on from here, N·m.
    plastic_stretch : float or ndarray or None
        Lasting stretch so far, mm; None where the yield stress or the plastic length is not known.
    yielded : bool or ndarray of bool or None
        Whether it has yielded so far; None where the yield stress is not known.
    reached : bool or ndarray of bool
        False from the step on that asks for more than the curve can give (tensile strength): the
        fastener breaks before, and `clamp` is the most it bore.
    """

    step: Step
    clamp: Floats
    torque: Floats
    plastic_stretch: Floats | None
    yielded: Flags | None
    reached: Flags


def follow(
    fastening: Fastening,
    steps: Sequence[Step],
    *,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> tuple[State, ...]:
    """Clamp load, torque and plastic stretch after each step.

    Parameters
    ----------
    fastening : Fastening
        An angle step needs its `clamp_rate`, its `yield_stress` and, past yield, `plastic_length`.
    steps : sequence of Step
        In the order in which they are done; the fastener starts run down to first contact.
    mu_thread, mu_bearing : array_like
        Friction coefficients, the same through all steps; arrays of samples are welcome.

    Returns
    -------
    tuple of State
        One for each step.

    Raises
    ------
    Missing
        Something that a step needs is not in the fastening.
    OutOfRange
        Friction outside 0 to 1, or a torque that does not exceed the prevailing torque.

    Notes
    -----
    A bolt that has yielded and is loosened yields again only above the clamp load it had reached.
    Friction that changes from one tightening to the next is not in it. After loosening all the way
    an angle is counted from first contact again; after loosening by an angle beyond the point where
    it is loose, turning on must first make up the gap.

    References
    ----------
    Derived (see the head of this module); checked by bisection of the angle equation.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> for state in follow(bolt, [Step("snug", 30), Step("angle", 90)],
    ...                     mu_thread=0.12, mu_bearing=0.10):
    ...     print(f"{state.clamp / 1000:.2f} kN  {state.torque:.2f} N·m  yielded {state.yielded}")
    19.94 kN  30.00 N·m  yielded False
    49.55 kN  74.56 N·m  yielded True
    """
    line = curve(fastening, mu_thread=mu_thread, mu_bearing=mu_bearing)
    for step in steps:
        refuse_idle_torque(fastening, step)
    walk = Walk(line, fastening.prevailing_torque)
    return tuple(walk.take(step) for step in steps)


def refuse_idle_torque(fastening: Fastening, step: Step) -> None:
    """Refuse a torque that would not even turn the fastener.

    Parameters
    ----------
    fastening : Fastening
    step : Step

    Raises
    ------
    OutOfRange
        The step's torque does not exceed the prevailing torque.

    References
    ----------
    Derived: torque that only overcomes the locking leaves no clamp load.

    Examples
    --------
    >>> nut = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...                 bearing_inner=11, prevailing_torque=3)
    >>> refuse_idle_torque(nut, Step("torque", 45))
    """
    if step.kind in ("torque", "snug") and step.value is not None:
        _checks.above("torque step", step.value, low=fastening.prevailing_torque, unit="N·m")


class Walk:
    """A fastener on its way through the steps; holds the clamp load of every sample.

    Parameters
    ----------
    line : Curve
    prevailing_torque : float
        N·m.
    """

    def __init__(self, line: Curve, prevailing_torque: float) -> None:
        self.line = line
        self.prevailing = prevailing_torque
        zero = np.zeros(np.broadcast_shapes(line.arm.shape, line.yield_clamp.shape))
        self.clamp: Floats = zero
        self.gap: Floats = zero  # degrees to turn before the parts touch again
        self.limit: Floats = zero + line.yield_clamp  # clamp load from which it yields (again)
        self.demand: Floats = zero  # most asked so far, as if elastic, over the onset of yield
        self.overload: Floats = zero  # most asked so far over the end of the curve
        self.reached: Flags = zero == 0.0

    def take(self, step: Step, *, torque_by: ArrayLike = 1.0, angle_plus: ArrayLike = 0.0) -> State:
        """Do one step and return what it left.

        Parameters
        ----------
        step : Step
        torque_by : array_like
            What the step's torque is multiplied by (deviation of the wrench).
        angle_plus : array_like
            What is added to the step's angle (turned on or back), degrees.

        Returns
        -------
        State

        Raises
        ------
        Missing
            Something that the step needs is not known.
        """
        self.go(step, torque_by=torque_by, angle_plus=angle_plus)
        return self._state(step)

    def go(self, step: Step, *, torque_by: ArrayLike = 1.0, angle_plus: ArrayLike = 0.0) -> None:
        """Do one step, as `take` does; what it left stands in the walk."""
        if step.kind == "loosen":
            self._loosen(None if step.value is None else step.value + np.asarray(angle_plus))
        elif step.value is None:
            self.gap = np.zeros_like(self.gap)
        elif step.kind == "angle":
            self._angle(np.maximum(step.value + np.asarray(angle_plus), 0.0))
        else:
            self._torque(step.value * np.asarray(torque_by))

    @property
    def torque(self) -> Floats:
        """Torque at which the fastener would turn on, N·m."""
        return self.clamp * (self.line.arm / _arms.N_MM_PER_N_M) + self.prevailing

    def _torque(self, torque: Floats) -> None:
        driving = (torque - self.prevailing) * _arms.N_MM_PER_N_M / self.line.arm
        self.gap = np.where(driving > 0.0, 0.0, self.gap)
        self._ask(driving)
        self._load(np.maximum(driving, self.clamp))

    def _angle(self, angle: Floats) -> None:
        turn = np.maximum(angle - self.gap, 0.0)
        self.gap = np.maximum(self.gap - angle, 0.0)
        after = self.line.turned(self.clamp, self.limit, turn)
        self._ask(self.clamp + np.asarray(self.line.rate) * turn)
        self._load(after)

    def _ask(self, elastic: Floats) -> None:
        self.demand = np.maximum(self.demand, elastic / self.line.yield_clamp)

    def _load(self, clamp: Floats) -> None:
        self.overload = np.maximum(self.overload, clamp / self.line.largest_clamp)
        self.reached = self.overload <= 1.0
        self.clamp = np.minimum(clamp, self.line.largest_clamp)
        self.limit = np.maximum(self.limit, self.clamp)

    def _loosen(self, angle: Floats | None) -> None:
        if angle is None:
            self.clamp, self.gap = np.zeros_like(self.clamp), np.zeros_like(self.gap)
            return
        if self.line.rate is None:
            raise Missing(
                words("loosening by an angle needs the clamp rate of the joint (N per degree)"),
                "clamp_rate",
            )
        loose = self.clamp - self.line.rate * angle
        self.gap = self.gap + np.maximum(-loose, 0.0) / self.line.rate
        self.clamp = np.maximum(loose, 0.0)

    def _state(self, step: Step) -> State:
        known = bool(np.isfinite(self.line.yield_clamp).all())
        stretch = None
        if self.line.stretch_rate is not None:
            stretch = self.line.stretch_rate * (self.limit - self.line.yield_clamp)
        return State(
            step=step,
            clamp=self.clamp[()],
            torque=self.torque[()],
            plastic_stretch=None if stretch is None else stretch[()],
            yielded=(self.limit > self.line.yield_clamp)[()] if known else None,
            reached=self.reached[()],
        )
