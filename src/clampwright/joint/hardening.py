"""The clamp-angle curve past yield for any law of hardening, and where the gradient method trips.

Tension and torsion grow together while friction stays the same, so deformation theory is exact:

``θ = (360/P) [F (δ_S + δ_P) + l_p ε_p(q F/A) / q]``, ``q = √(1 + 3 k²)``

with the law's plastic strain ε_p (`clampwright.joint.stress_strain`). `clampwright.joint.curve` is
the same for the bilinear law alone, made for many samples.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.joint.curve import Curve, curve
from clampwright.joint.model import Fastening
from clampwright.joint.stiffness import FULL_TURN
from clampwright.joint.stress_strain import Law
from clampwright.joint.torque_angle import State, Step, Walk, refuse_idle_torque
from clampwright.words import words

CLOSE = 1e-12
"""Share of itself to which a clamp load is found for an angle."""

MOST_STEPS = 100  # Newton steps; on a curve that bends one way they end in a dozen


@dataclass(frozen=True, slots=True)
class HardeningLine(Curve):
    """The curve of one fastener under a law of hardening; made by `hardening_line`.

    Parameters
    ----------
    arm, yield_clamp, largest_clamp, rate, plastic_rate, stretch_rate
        As `clampwright.joint.curve.Curve`; the last two are not used.
    law : Law
        Stress to plastic strain.
    stress_per_clamp : ndarray
        Equivalent stress per clamp load q/A, 1/mm².
    stretch_per_strain : ndarray
        Plastic stretch along the axis per equivalent plastic strain l_p/q, mm.
    pitch : float
        mm.
    """

    rate: Floats
    law: Law
    stress_per_clamp: Floats
    stretch_per_strain: Floats
    pitch: float

    def plastic_stretch(self, clamp: ArrayLike) -> Floats:
        """Return the lasting stretch (mm) of a bolt that has borne a clamp load (N) at most."""
        stress = self.stress_per_clamp * np.asarray(clamp, dtype=np.float64)
        return self.stretch_per_strain * self.law.plastic_strain(stress)

    def angle(self, clamp: ArrayLike) -> Floats:
        """Return the angle (degrees, from the elastic origin) at a clamp load (N)."""
        force = np.asarray(clamp, dtype=np.float64)
        return force / self.rate + FULL_TURN / self.pitch * self.plastic_stretch(force)

    def gradient(self, clamp: ArrayLike) -> Floats:
        """Return clamp load per angle (N per degree) at a clamp load (N)."""
        return 1.0 / self._compliance(np.asarray(clamp, dtype=np.float64))

    def clamp_at(self, angle: ArrayLike) -> Floats:
        """Return the clamp load (N) at an angle (degrees) from the elastic origin.

        Parameters
        ----------
        angle : array_like
            Degrees, 0 or more.

        Returns
        -------
        float or ndarray
            N.

        Raises
        ------
        OutOfRange
            The angle lies beyond the end of the curve: the bolt necks or breaks before.
        """
        turned = _checks.not_negative("angle", angle, unit="deg")
        _checks.shapes_fit(angle=turned, friction=self.arm)
        zero = np.zeros(np.broadcast_shapes(turned.shape, self.arm.shape))
        found = self.turned(zero, zero, turned + zero)
        if np.any(found > self.largest_clamp):
            last = float(np.min(self.angle(self.largest_clamp)))
            raise OutOfRange(
                words(
                    "angle is {value:g} deg; the curve ends at {last:.0f} deg, where the bolt"
                    " necks or breaks",
                    value=float(np.max(turned)),
                    last=last,
                ),
                value=float(np.max(turned)),
                high=last,
                source="uniform strain of the law, or tensile strength",
            )
        return found[()]

    def turned(self, clamp: Floats, limit: Floats, angle: Floats) -> Floats:
        """Return the clamp load (N) after turning on by an angle (deg).

        Parameters
        ----------
        clamp : ndarray
            Clamp load before, N.
        limit : ndarray
            Largest clamp load borne so far, N: up to it the bolt is elastic.
        angle : ndarray
            Angle, degrees.

        Returns
        -------
        ndarray
            N; above `largest_clamp` where the angle asks for more than the bolt can give.
        """
        elastic = clamp + self.rate * angle
        past = elastic > limit
        # Lay the angle that is left on the curve of a first loading, from where it was left.
        wanted = self.angle(limit) + (angle - (limit - clamp) / self.rate)
        end = self.angle(np.where(np.isfinite(self.largest_clamp), self.largest_clamp, 0.0))
        beyond = np.isfinite(self.largest_clamp) & (wanted > end)
        inside = np.where(past & ~beyond, wanted, self.angle(limit))
        plastic = self._on_curve(np.maximum(elastic, limit), limit, inside)
        over = self.largest_clamp * np.nextafter(1.0, 2.0)
        return np.where(past, np.where(beyond, over, plastic), elastic)

    def _compliance(self, force: Floats) -> Floats:
        softness = self.law.softness(self.stress_per_clamp * force)
        plastic = self.stretch_per_strain * self.stress_per_clamp * softness
        return 1.0 / self.rate + FULL_TURN / self.pitch * plastic

    def _on_curve(self, high: Floats, low: Floats, angle: Floats) -> Floats:
        """Return the clamp load at an angle; the curve bends over, so Newton comes from above."""
        top = np.minimum(high, self.largest_clamp)
        force = top + np.zeros_like(angle)
        for _ in range(MOST_STEPS):
            step = (self.angle(force) - angle) / self._compliance(force)
            force = np.minimum(np.maximum(force - step, low), top)
            if np.all(np.abs(step) <= CLOSE * np.maximum(force, 1.0)):
                break
        return force


def hardening_line(
    fastening: Fastening, law: Law, *, mu_thread: ArrayLike, mu_bearing: ArrayLike
) -> HardeningLine:
    """Return the clamp-angle curve of a fastening for a law of hardening.

    Parameters
    ----------
    fastening : Fastening
        With `clamp_rate` and `plastic_length`; its own yield stress and tangent modulus are not
        used, its tensile strength ends the curve where known.
    law : Law
        `Bilinear`, `RambergOsgood` or `Hollomon`.
    mu_thread, mu_bearing : array_like
        Friction coefficients, 0 to 1.

    Returns
    -------
    HardeningLine

    Raises
    ------
    Missing
        The fastening has no clamp rate or no plastic length.
    OutOfRange
        Friction outside 0 to 1.
    ClampwrightError
        The law's yield stress lies above the tensile strength.

    References
    ----------
    Derived; flow rule 1/q because axial over equivalent strain is σ/σ_eq. Torsion as in VDI 2230-1
    (plastic).

    Examples
    --------
    >>> from clampwright.joint.stress_strain import RambergOsgood
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, clamp_rate=829.66,
    ...                  plastic_length=22)
    >>> line = hardening_line(bolt, RambergOsgood(940, 15), mu_thread=0.12, mu_bearing=0.10)
    >>> [round(float(clamp)) for clamp in line.clamp_at([20, 60, 120])]
    [16593, 46026, 54333]
    """
    if fastening.clamp_rate is None:
        raise Missing(
            words("an angle needs the clamp rate of the joint (N per degree), or its geometry"),
            "clamp_rate",
        )
    if fastening.plastic_length is None:
        raise Missing(
            words(
                "the length that stretches plastically is needed"
                " (free thread in the grip + half the diameter)"
            ),
            "plastic_length",
        )
    strength = fastening.tensile_strength
    if strength is not None and strength < law.yield_stress:
        raise ClampwrightError(
            words(
                "the law yields at {stress:.0f} MPa, above the tensile strength of {limit:.0f} MPa",
                stress=law.yield_stress,
                limit=strength,
            )
        )
    plain = replace(fastening, yield_stress=law.yield_stress)
    base = curve(plain, mu_thread=mu_thread, mu_bearing=mu_bearing)
    per_clamp = law.yield_stress / base.yield_clamp
    end = np.minimum(law.largest_stress / per_clamp, base.largest_clamp)
    return HardeningLine(
        arm=base.arm,
        yield_clamp=base.yield_clamp,
        largest_clamp=end,
        rate=np.asarray(base.rate, dtype=np.float64),
        plastic_rate=None,
        stretch_rate=None,
        law=law,
        stress_per_clamp=per_clamp,
        stretch_per_strain=fastening.plastic_length / (per_clamp * fastening.stress_area),
        pitch=fastening.P,
    )


def follow_hardening(
    fastening: Fastening,
    law: Law,
    steps: Sequence[Step],
    *,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> tuple[State, ...]:
    """Clamp load, torque and plastic stretch after each step, for a law of hardening.

    Parameters
    ----------
    fastening : Fastening
        As `hardening_line`.
    law : Law
        `Bilinear`, `RambergOsgood` or `Hollomon`.
    steps : sequence of Step
        As `clampwright.joint.torque_angle.follow`.
    mu_thread, mu_bearing : array_like
        Friction coefficients, the same through all steps.

    Returns
    -------
    tuple of State
        `yielded` means that the law's yield stress (0.2 % for a power law) was passed; `reached`
        is False from the step on at which the bolt necks or breaks.

    Raises
    ------
    Missing
        As `hardening_line`.
    OutOfRange
        As `hardening_line`, or a torque that does not exceed the prevailing torque.
    ClampwrightError
        As `hardening_line`.

    Notes
    -----
    A bolt that was loosened is elastic up to the largest clamp load it has borne, then goes on
    along its curve.

    References
    ----------
    Derived, see `hardening_line`.

    Examples
    --------
    >>> from clampwright.joint.stress_strain import RambergOsgood
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, clamp_rate=829.66,
    ...                  plastic_length=22)
    >>> for state in follow_hardening(bolt, RambergOsgood(940, 15),
    ...                               [Step("snug", 30), Step("angle", 90)],
    ...                               mu_thread=0.12, mu_bearing=0.10):
    ...     print(f"{state.clamp / 1000:.2f} kN, {state.plastic_stretch * 1000:.0f} µm for good")
    19.94 kN, 0 µm for good
    53.95 kN, 204 µm for good
    """
    line = hardening_line(fastening, law, mu_thread=mu_thread, mu_bearing=mu_bearing)
    for step in steps:
        refuse_idle_torque(fastening, step)
    walk = _HardeningWalk(line, fastening.prevailing_torque)
    return tuple(walk.take(step) for step in steps)


class _HardeningWalk(Walk):
    """A fastener on its way through the steps, on a curve without a sharp onset."""

    def __init__(self, line: HardeningLine, prevailing_torque: float) -> None:
        super().__init__(line, prevailing_torque)
        self.hardening = line
        self.limit = np.zeros_like(self.limit)  # plastic strain begins at once, if little

    def _state(self, step: Step) -> State:
        plain = super()._state(step)
        return replace(plain, plastic_stretch=self.hardening.plastic_stretch(self.limit)[()])


@dataclass(frozen=True, slots=True)
class GradientPoint:
    """Where the slope of the tightening curve has fallen to a share of its largest.

    Parameters
    ----------
    clamp : float or ndarray
        N.
    angle : float or ndarray
        From the elastic origin, degrees.
    torque : float or ndarray
        N·m, with the prevailing torque.
    stress_share : float or ndarray
        Equivalent stress over the law's yield stress.
    axial_plastic_strain : float or ndarray
        Lasting strain along the axis of the length that yields.
    """

    clamp: Floats
    angle: Floats
    torque: Floats
    stress_share: Floats
    axial_plastic_strain: Floats


def gradient_point(
    fastening: Fastening,
    law: Law,
    *,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    share: float = 0.5,
) -> GradientPoint:
    """Point at which yield-controlled tightening stops: slope fallen to a share of its largest.

    Parameters
    ----------
    fastening : Fastening
        As `hardening_line`.
    law : Law
        `Bilinear`, `RambergOsgood` or `Hollomon`.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    share : float
        Share of the elastic slope, 0.05 to 0.95; 1/3 to 2/3 is usual.

    Returns
    -------
    GradientPoint

    Raises
    ------
    Missing
        As `hardening_line`.
    OutOfRange
        As `hardening_line`; a share outside its limits, or a bolt that necks or breaks before.

    Notes
    -----
    At 1/2 the plastic compliance equals the elastic one, which in an ordinary hard joint comes
    before the 0.2 % stress; a softer joint delays it.

    References
    ----------
    Share: common practice, no source; idea of the method: Junker and Wallace, Proc. IMechE 198B
    (1984), from memory.

    Examples
    --------
    >>> from clampwright.joint.stress_strain import RambergOsgood
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, clamp_rate=829.66,
    ...                  plastic_length=22)
    >>> point = gradient_point(bolt, RambergOsgood(940, 15), mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{point.clamp / 1000:.2f} kN, {point.angle:.2f} deg, {point.torque:.2f} N·m")
    45.37 kN, 58.33 deg, 68.27 N·m
    """
    part = float(_checks.within("share", share, low=0.05, high=0.95, source="ours"))
    line = hardening_line(fastening, law, mu_thread=mu_thread, mu_bearing=mu_bearing)
    steepest = line.gradient(np.zeros_like(line.arm))
    # Past the yield stress no law grows stiffer again, so that bisection finds the one place.
    low = np.zeros_like(line.arm)
    high = np.where(np.isfinite(line.largest_clamp), line.largest_clamp, 2.0 * line.yield_clamp)
    if np.any(line.gradient(high) > part * steepest):
        raise OutOfRange(
            words(
                "the slope does not fall to {share:.0%} before the bolt necks or breaks", share=part
            ),
            value=part,
            source="law of hardening",
        )
    for _ in range(200):
        middle = 0.5 * (low + high)
        steep = line.gradient(middle) > part * steepest
        low, high = np.where(steep, middle, low), np.where(steep, high, middle)
    stress = line.stress_per_clamp * high
    return GradientPoint(
        clamp=high[()],
        angle=line.angle(high)[()],
        torque=(high * line.arm / _arms.N_MM_PER_N_M + fastening.prevailing_torque)[()],
        stress_share=(stress / law.yield_stress)[()],
        axial_plastic_strain=(
            law.plastic_strain(stress) / (line.stress_per_clamp * fastening.stress_area)
        )[()],
    )
