"""The clamp-angle line of a tightened bolt: elastic, then yielded.

The bolt follows a bilinear law (deformation theory is exact here, because tension and torsion grow
together while friction stays the same): up to ``F_y = R_p A / q`` a degree adds ``c`` newtons; past
it the plastic stretch of ``l_p`` is added, and a degree adds far less:

``θ = F/c + (360/P) (l_p/A) (1/E_t − 1/E) max(0, F − F_y)``

A bilinear curve never falls. So every torque is reached on it, however far the bolt would have to
stretch; only a tensile strength, where known, ends the curve at ``F_m = R_m A / q``. Necking,
stripping and the sinking-in of the head are not in it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import Missing
from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.joint.model import Fastening
from clampwright.joint.stiffness import FULL_TURN
from clampwright.joint.stress import factor_from_arm, linear_arm
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class Curve:
    """The clamp-angle line of one fastener for each friction sample; made by `curve`.

    Parameters
    ----------
    arm : ndarray
        Torque per clamp load, mm.
    yield_clamp : ndarray
        Onset of yield, N; infinite where the yield stress is not known.
    largest_clamp : ndarray
        End of the curve, N; infinite where the tensile strength is not known.
    rate : ndarray or None
        N per degree while elastic.
    plastic_rate : ndarray or None
        N per degree after yield.
    stretch_rate : float or None
        Plastic stretch per newton above yield, mm/N.
    """

    arm: Floats
    yield_clamp: Floats
    largest_clamp: Floats
    rate: Floats | None
    plastic_rate: Floats | None
    stretch_rate: float | None

    def turned(self, clamp: Floats, limit: Floats, angle: Floats) -> Floats:
        """Return the clamp load (N) after turning on by an angle (deg).

        Parameters
        ----------
        clamp : ndarray
            Clamp load before, N.
        limit : ndarray
            Clamp load from which it yields (again), N.
        angle : ndarray
            Angle, degrees.

        Returns
        -------
        ndarray
            N, not beyond the end of the curve.

        Raises
        ------
        Missing
            No clamp rate, or no plastic length where it yields.
        """
        if self.rate is None:
            raise Missing(
                words("an angle needs the clamp rate of the joint (N per degree), or its geometry"),
                "clamp_rate",
            )
        if not np.isfinite(self.yield_clamp).all():
            raise Missing(
                words("an angle needs the yield stress of the fastener; give its strength class"),
                "yield_stress",
            )
        elastic = clamp + self.rate * angle
        beyond = np.maximum(elastic - limit, 0.0)
        if self.plastic_rate is None:
            if np.any(beyond > 0.0):
                raise Missing(
                    words(
                        "this angle turns the fastener past yield: the length that stretches"
                        " plastically is needed (free thread in the grip + half the diameter)"
                    ),
                    "plastic_length",
                )
            return elastic
        return np.minimum(elastic, limit) + beyond * (self.plastic_rate / self.rate)


def curve(
    fastening: Fastening,
    *,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    rate_factor: ArrayLike = 1.0,
    yield_factor: ArrayLike = 1.0,
) -> Curve:
    """Return the bilinear line of a fastening for given friction.

    Parameters
    ----------
    fastening : Fastening
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    rate_factor, yield_factor : array_like
        What clamp rate and yield stress are multiplied by (for studies of their scatter).

    Returns
    -------
    Curve

    Raises
    ------
    OutOfRange
        Friction outside 0 to 1, or a factor not above zero.

    References
    ----------
    Derived; torsion as in VDI 2230-1 (plastic), thread torque by the long form.

    Examples
    --------
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> line = curve(bolt, mu_thread=0.12, mu_bearing=0.10)
    >>> round(float(line.yield_clamp)), round(float(line.plastic_rate), 1)
    (48311, 22.1)
    """
    _, _, mu = _arms.checked_thread(fastening.P, fastening.d2, mu_thread)
    under = _checks.friction("mu_bearing", mu_bearing)
    rate_by = _checks.above("rate_factor", rate_factor)
    yield_by = _checks.above("yield_factor", yield_factor)
    _checks.shapes_fit(mu_thread=mu, mu_bearing=under, rate_factor=rate_by, yield_factor=yield_by)
    return trusted_curve(fastening, mu, under, rate_by=rate_by, yield_by=yield_by)


def trusted_curve(
    fastening: Fastening, mu: Floats, under: Floats, *, rate_by: Floats, yield_by: Floats
) -> Curve:
    """Return `curve` from arguments that need no check (the bands make their own samples).

    Parameters
    ----------
    fastening : Fastening
    mu, under : ndarray
        Friction in the thread and under the head.
    rate_by, yield_by : ndarray
        Factors on clamp rate and yield stress.

    Returns
    -------
    Curve

    References
    ----------
    As `curve`.

    Examples
    --------
    >>> import numpy as np
    >>> bolt = Fastening(d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...                  bearing_outer=14.63, bearing_inner=11, yield_stress=940,
    ...                  clamp_rate=829.66, plastic_length=22)
    >>> one = np.ones(1)
    >>> line = trusted_curve(bolt, 0.12 * one, 0.10 * one, rate_by=one, yield_by=one)
    >>> line.yield_clamp.round().tolist()
    [48311.0]
    """
    P, d2, area = (np.asarray(x) for x in (fastening.P, fastening.d2, fastening.stress_area))
    bearing = np.asarray(fastening.bearing_diameter)
    arm = _arms.torque_arm(P, d2, bearing, mu, under)
    section = area / factor_from_arm(linear_arm(P, d2, mu), area)
    onset = np.full_like(section, np.inf)
    if fastening.yield_stress is not None:
        onset = fastening.yield_stress * yield_by * section
    end = np.full_like(section, np.inf)
    if fastening.tensile_strength is not None:
        # A sample that yields late still breaks no earlier than it yields.
        end = np.maximum(fastening.tensile_strength * section, onset)
    rate = None if fastening.clamp_rate is None else fastening.clamp_rate * rate_by
    stretch = plastic = None
    if fastening.yield_stress is not None and fastening.plastic_length is not None:
        softening = 1.0 / fastening.tangent_modulus - 1.0 / fastening.modulus
        stretch = fastening.plastic_length * softening / fastening.stress_area
        if rate is not None:
            plastic = 1.0 / (1.0 / rate + FULL_TURN / fastening.P * stretch)
    return Curve(arm, onset, end, rate, plastic, stretch)
