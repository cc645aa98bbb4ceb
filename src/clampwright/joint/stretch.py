"""Clamp load from measured stretch: rod bolts, studs, anything whose two ends can be reached.

No friction is in it, which makes it the best hand method there is, as long as the bolt stays
elastic and the two readings are taken at the same temperature.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.words import words

STEEL_EXPANSION = 11.5e-6
"""Thermal expansion of bolt steel, 1/K (usual value, from memory)."""


def clamp_from_stretch(
    stretch: ArrayLike, *, bolt_resilience: ArrayLike, yield_clamp: ArrayLike | None = None
) -> Floats:
    """Clamp load from the stretch of an elastic bolt, ``F = ΔL / δ_S``.

    Parameters
    ----------
    stretch : array_like
        Length under load minus length before ΔL, mm; 0 or more.
    bolt_resilience : array_like
        Resilience δ_S of what lies between the measured ends, mm/N
        (`clampwright.joint.stiffness.bolt_resilience`).
    yield_clamp : array_like, optional
        Clamp load at the onset of yield, N.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange
        An argument is negative, or the stretch lies past yield: then it holds lasting stretch too,
        and the clamp load cannot be told from it.

    Notes
    -----
    Shank torsion does not lengthen the bolt; bending does, on one side: take the mean of two sides.

    References
    ----------
    Hooke's law; VDI 2230-1, 5.1.1 for the resilience.

    Examples
    --------
    >>> round(float(clamp_from_stretch(0.120, bolt_resilience=4.3503e-6)))
    27584
    """
    longer = _checks.not_negative("stretch", stretch, unit="mm")
    bolt = _checks.above("bolt_resilience", bolt_resilience, unit="mm/N")
    _checks.shapes_fit(stretch=longer, bolt_resilience=bolt)
    clamp = longer / bolt
    if yield_clamp is not None:
        limit = _checks.above("yield_clamp", yield_clamp, unit="N")
        _checks.shapes_fit(stretch=np.asarray(clamp), yield_clamp=limit)
        past = np.broadcast_to(clamp > limit, np.broadcast_shapes(np.shape(clamp), limit.shape))
        if past.any():
            most = np.broadcast_to(limit * bolt, past.shape)[past]
            value = np.broadcast_to(longer, past.shape)[past]
            raise OutOfRange(
                words(
                    "stretch is {value:.3f} mm; from {limit:.3f} mm on the bolt yields and the"
                    " stretch no longer tells the clamp load",
                    value=float(value[0]),
                    limit=float(most[0]),
                ),
                value=float(value[0]),
                low=0.0,
                high=float(most[0]),
                source="onset of yield",
            )
    return clamp


def stretch_from_clamp(clamp: ArrayLike, *, bolt_resilience: ArrayLike) -> Floats:
    """Stretch of an elastic bolt under a clamp load, ``ΔL = F δ_S``.

    Parameters
    ----------
    clamp : array_like
        Clamp load, N; 0 or more, below the onset of yield.
    bolt_resilience : array_like
        Resilience between the measured ends, mm/N.

    Returns
    -------
    float or ndarray
        mm.

    Raises
    ------
    OutOfRange
        An argument is negative.

    References
    ----------
    As `clamp_from_stretch`.

    Examples
    --------
    >>> print(f"{stretch_from_clamp(25_000, bolt_resilience=4.3503e-6):.4f} mm")
    0.1088 mm
    """
    force = _checks.not_negative("clamp", clamp, unit="N")
    bolt = _checks.above("bolt_resilience", bolt_resilience, unit="mm/N")
    _checks.shapes_fit(clamp=force, bolt_resilience=bolt)
    return force * bolt


def stretch_clamp_u_rel(
    stretch: ArrayLike, *, reading_u: ArrayLike, resilience_u_rel: ArrayLike
) -> Floats:
    """Relative standard uncertainty of a clamp load from two length readings.

    ``(u_F/F)² = 2 (u/ΔL)² + u_δ²``

    Parameters
    ----------
    stretch : array_like
        ΔL, mm; above 0.
    reading_u : array_like
        Standard uncertainty of one reading, mm.
    resilience_u_rel : array_like
        Relative standard uncertainty of the resilience.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument is negative, or the stretch not above 0.

    References
    ----------
    JCGM 100:2008, 5.1 (from memory).

    Examples
    --------
    >>> print(f"{stretch_clamp_u_rel(0.120, reading_u=0.003, resilience_u_rel=0.03):.1%}")
    4.6%
    """
    longer = _checks.above("stretch", stretch, unit="mm")
    reading = _checks.not_negative("reading_u", reading_u, unit="mm")
    bolt = _checks.not_negative("resilience_u_rel", resilience_u_rel)
    _checks.shapes_fit(stretch=longer, reading_u=reading, resilience_u_rel=bolt)
    return np.hypot(math.sqrt(2.0) * reading / longer, bolt)


def thermal_length_change(
    length: ArrayLike, temperature_change: ArrayLike, *, expansion: ArrayLike = STEEL_EXPANSION
) -> Floats:
    """Change of length from a change of temperature between two readings, ``α L ΔT``.

    Parameters
    ----------
    length : array_like
        Length of the bolt, mm.
    temperature_change : array_like
        Temperature at the second reading minus that at the first, K.
    expansion : array_like
        α, 1/K; steel if not given.

    Returns
    -------
    float or ndarray
        mm; take it from the measured stretch. For a bolt under load in parts of the same steel
        that warm with it, it is not a change of clamp load.

    Raises
    ------
    OutOfRange
        A length or expansion is not positive, or a number not finite.

    References
    ----------
    Definition of thermal expansion.

    Examples
    --------
    >>> print(f"{thermal_length_change(60, 10) * 1000:.1f} µm")
    6.9 µm
    """
    long = _checks.above("length", length, unit="mm")
    change = _checks.number("temperature_change", temperature_change)
    alpha = _checks.above("expansion", expansion, unit="1/K")
    _checks.shapes_fit(length=long, temperature_change=change, expansion=alpha)
    return alpha * long * change
