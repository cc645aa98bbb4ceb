"""Laws of hardening: how much a bolt's steel stretches for good at a given equivalent stress.

Three rival laws with one shape of interface. The bilinear one has a sharp onset; the two power laws
bend over gradually and are the same curve with different constants:

=================  =============================  ================================================
law                plastic strain                 constants come from
=================  =============================  ================================================
`Bilinear`         (σ − R_p)(1/E_t − 1/E)         yield stress and a slope
`RambergOsgood`    0.002 (σ/R_p)ⁿ                 the 0.2 % stress and an exponent
`Hollomon`         (σ/H)^(1/m)                    a fit to a tensile test
=================  =============================  ================================================

None knows necking: a power law ends at its uniform strain (m, or 1/n), where the neck begins.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from clampwright.joint import _checks
from clampwright.joint._checks import Floats

PROOF_STRAIN = 0.002
"""Plastic strain at R_p0.2 (its definition)."""

SHARPEST = 200.0
"""Largest exponent taken; beyond, the law is the bilinear one without hardening (ours)."""


class Law(Protocol):
    """What a law of hardening offers; stresses in MPa, strains without unit."""

    @property
    def yield_stress(self) -> float:
        """Stress that counts as the onset of yield."""
        ...

    @property
    def largest_stress(self) -> float:
        """Stress at which the law ends; infinite where it has no end."""
        ...

    def plastic_strain(self, stress: Floats) -> Floats:
        """Return the plastic strain at an equivalent stress."""
        ...

    def softness(self, stress: Floats) -> Floats:
        """Return the plastic strain per stress, 1/MPa: the slope of `plastic_strain`."""
        ...


@dataclass(frozen=True, slots=True)
class Bilinear:
    """Elastic, then straight with a smaller slope.

    Parameters
    ----------
    yield_stress : float
        R_p, MPa.
    tangent_modulus : float
        Slope after yield E_t, MPa; below the modulus.
    modulus : float
        Young's modulus E, MPa.

    Raises
    ------
    OutOfRange
        A number is not positive, or E_t not below E.

    References
    ----------
    Usual simplification, from memory.

    Examples
    --------
    >>> round(float(Bilinear(940, 2050, 205_000).plastic_strain(960.5)), 4)
    0.0099
    """

    yield_stress: float
    tangent_modulus: float
    modulus: float

    def __post_init__(self) -> None:
        _checks.above("yield_stress", self.yield_stress, unit="MPa")
        _checks.above("tangent_modulus", self.tangent_modulus, unit="MPa")
        _checks.above("modulus", self.modulus, low=self.tangent_modulus, unit="MPa")

    @property
    def largest_stress(self) -> float:
        """The law has no end, MPa."""
        return math.inf

    def plastic_strain(self, stress: Floats) -> Floats:
        """Return the plastic strain at an equivalent stress (MPa)."""
        beyond: Floats = np.maximum(stress - self.yield_stress, 0.0)
        return beyond * (1.0 / self.tangent_modulus - 1.0 / self.modulus)

    def softness(self, stress: Floats) -> Floats:
        """Return the plastic strain per stress, 1/MPa."""
        softer = 1.0 / self.tangent_modulus - 1.0 / self.modulus
        return np.where(np.asarray(stress) >= self.yield_stress, softer, 0.0)


@dataclass(frozen=True, slots=True)
class Hollomon:
    """Power law ``σ = H ε_pᵐ``.

    Parameters
    ----------
    coefficient : float
        H, MPa.
    exponent : float
        m, above 0 and below 1; also the plastic strain at which the neck begins.

    Raises
    ------
    OutOfRange
        A number is not positive, or m not below 1.

    References
    ----------
    Hollomon 1945, from memory; uniform strain by Considère.

    Examples
    --------
    >>> law = Hollomon(coefficient=1200, exponent=0.07)
    >>> print(f"R_p0.2 {law.yield_stress:.0f} MPa, ends at {law.largest_stress:.0f} MPa")
    R_p0.2 777 MPa, ends at 996 MPa
    """

    coefficient: float
    exponent: float

    def __post_init__(self) -> None:
        _checks.above("coefficient", self.coefficient, unit="MPa")
        _checks.within("exponent", self.exponent, low=1.0 / SHARPEST, high=0.999, source="ours")

    @property
    def yield_stress(self) -> float:
        """Stress at 0.2 % plastic strain, MPa."""
        return float(self.coefficient * PROOF_STRAIN**self.exponent)

    @property
    def largest_stress(self) -> float:
        """Stress at the uniform strain, MPa."""
        return float(self.coefficient * self.exponent**self.exponent)

    def plastic_strain(self, stress: Floats) -> Floats:
        """Return the plastic strain at an equivalent stress (MPa)."""
        strain: Floats = (np.asarray(stress) / self.coefficient) ** (1.0 / self.exponent)
        return strain

    def softness(self, stress: Floats) -> Floats:
        """Return the plastic strain per stress, 1/MPa."""
        ratio = np.asarray(stress) / self.coefficient
        slope: Floats = ratio ** (1.0 / self.exponent - 1.0) / (self.exponent * self.coefficient)
        return slope


@dataclass(frozen=True, slots=True)
class RambergOsgood:
    """Power law through the 0.2 % stress, ``ε_p = 0.002 (σ/R_p)ⁿ``.

    Parameters
    ----------
    yield_stress : float
        R_p0.2, MPa.
    exponent : float
        n, above 1 and up to 200; 1/n is the plastic strain at which the neck begins.

    Raises
    ------
    OutOfRange
        The stress is not positive, or n outside its range.

    References
    ----------
    Ramberg and Osgood, NACA TN 902 (1943), from memory; uniform strain by Considère.

    Examples
    --------
    >>> law = RambergOsgood(yield_stress=940, exponent=15)
    >>> [f"{strain:.3%}" for strain in law.plastic_strain([800, 940, 1000])]
    ['0.018%', '0.200%', '0.506%']
    """

    yield_stress: float
    exponent: float

    def __post_init__(self) -> None:
        _checks.above("yield_stress", self.yield_stress, unit="MPa")
        _checks.above("exponent", self.exponent, low=1.0)
        _checks.within("exponent", self.exponent, low=1.0, high=SHARPEST, source="ours")

    @property
    def largest_stress(self) -> float:
        """Stress at the uniform strain, MPa."""
        return float(
            self.yield_stress * (1.0 / (self.exponent * PROOF_STRAIN)) ** (1 / self.exponent)
        )

    def plastic_strain(self, stress: Floats) -> Floats:
        """Return the plastic strain at an equivalent stress (MPa)."""
        strain: Floats = PROOF_STRAIN * (np.asarray(stress) / self.yield_stress) ** self.exponent
        return strain

    def softness(self, stress: Floats) -> Floats:
        """Return the plastic strain per stress, 1/MPa."""
        ratio = np.asarray(stress) / self.yield_stress
        scale = PROOF_STRAIN * self.exponent / self.yield_stress
        slope: Floats = scale * ratio ** (self.exponent - 1.0)
        return slope
