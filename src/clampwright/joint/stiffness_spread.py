"""The models of clamped parts side by side, and how far they lie apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from clampwright.joint import _checks
from clampwright.joint.cone import parts_resilience
from clampwright.joint.frusta import frusta
from clampwright.joint.rival_stiffness import exponential_stiffness

MODEL_U_REL = 0.08
"""Relative standard uncertainty of a stiffness of clamped parts from any of these models: they
spread by about ±15 % (ours)."""


@dataclass(frozen=True, slots=True)
class StiffnessSpread:
    """Stiffness of the same parts by three models, N/mm.

    Parameters
    ----------
    cone : float
        Deformation cone of VDI 2230-1.
    frusta : float
        30° frusta (Shigley).
    exponential : float
        Fit to finite elements (Wileman).
    """

    cone: float
    frusta: float
    exponential: float

    @property
    def mean(self) -> float:
        """Mean of the three, N/mm."""
        return float(np.mean([self.cone, self.frusta, self.exponential]))

    @property
    def spread(self) -> float:
        """Largest minus smallest, over the mean."""
        values = (self.cone, self.frusta, self.exponential)
        return (max(values) - min(values)) / self.mean


def stiffness_spread(
    *,
    d: float,
    grip: float,
    bearing_outer: float,
    hole: float,
    outside: float,
    E: float,
    material: str = "steel",
) -> StiffnessSpread:
    """Compare the three models on a through bolt in plain parts of one material.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    grip : float
        Grip, mm.
    bearing_outer, hole : float
        Bearing face and hole, mm (used by the deformation cone; the others take 1.5 d and d).
    outside : float
        Outside diameter of the parts, mm (deformation cone; the others take wide parts).
    E : float
        Young's modulus of the parts, MPa.
    material : str
        Name in the exponential fit.

    Returns
    -------
    StiffnessSpread

    Raises
    ------
    OutOfRange
        As the models; parts too narrow for the rival models (less than 1.5 d).
    ClampwrightError
        The material has no fit.

    References
    ----------
    See `clampwright.joint.cone`, `clampwright.joint.frusta` and
    `clampwright.joint.rival_stiffness`.

    Examples
    --------
    >>> found = stiffness_spread(d=10, grip=45, bearing_outer=14.63, hole=11, outside=60,
    ...                          E=205_000)
    >>> [round(k / 1000) for k in (found.cone, found.frusta, found.exponential)]
    [1488, 1673, 1856]
    >>> print(f"{found.spread:.0%} apart")
    22% apart
    """
    _checks.within(
        "outside",
        outside,
        low=1.5 * d,
        high=np.inf,
        unit="mm",
        source="the rival models take parts at least as wide as their washer face, 1.5 d",
    )
    cone = parts_resilience(grip=grip, bearing_outer=bearing_outer, hole=hole, outside=outside, E=E)
    return StiffnessSpread(
        cone=float(1.0 / cone.resilience),
        frusta=frusta([(grip, E)], d=d).stiffness,
        exponential=float(exponential_stiffness(d=d, grip=grip, E=E, material=material)),
    )
