"""Distributions of uncertain inputs, as the guides to uncertainty name them.

Each has a best estimate, a standard uncertainty and degrees of freedom for the law of propagation,
and draws samples for Monte Carlo.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from clampwright.joint import _checks
from clampwright.joint._checks import Floats


class Distribution(Protocol):
    """What an uncertain input offers."""

    @property
    def value(self) -> float:
        """Best estimate."""
        ...

    @property
    def u(self) -> float:
        """Standard uncertainty."""
        ...

    @property
    def dof(self) -> float:
        """Degrees of freedom of the standard uncertainty."""
        ...

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples."""
        ...


@dataclass(frozen=True, slots=True)
class Normal:
    """Normal distribution.

    Parameters
    ----------
    value : float
        Mean.
    u : float
        Standard deviation, 0 or more.
    dof : float
        Degrees of freedom; infinite if not given.

    Examples
    --------
    >>> Normal(1.234, 0.020).u
    0.02
    """

    value: float
    u: float
    dof: float = math.inf

    def __post_init__(self) -> None:
        _checks.number("value", self.value)
        _checks.not_negative("u", self.u)
        if self.dof != math.inf:
            _checks.above("dof", self.dof)

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples; with few degrees of freedom still from the normal distribution."""
        return rng.normal(self.value, self.u, count)

    def from_normal(self, z: Floats) -> Floats:
        """Turn standard normal values into values of this distribution."""
        return self.value + self.u * z


@dataclass(frozen=True, slots=True)
class LogNormal:
    """Log-normal distribution: a quantity that cannot be negative and varies by factors.

    Parameters
    ----------
    median : float
        Above 0.
    sigma : float
        Standard deviation of the logarithm, 0 to 1; about the relative standard uncertainty.

    Examples
    --------
    >>> friction = LogNormal(0.12, 0.10)
    >>> print(f"{friction.value:.4f} ± {friction.u:.4f}")
    0.1206 ± 0.0121
    """

    median: float
    sigma: float

    def __post_init__(self) -> None:
        _checks.above("median", self.median)
        _checks.within("sigma", self.sigma, low=0.0, high=1.0, source="ours")

    @property
    def value(self) -> float:
        """Mean."""
        return self.median * math.exp(0.5 * self.sigma**2)

    @property
    def u(self) -> float:
        """Standard deviation."""
        return self.value * math.sqrt(math.expm1(self.sigma**2))

    @property
    def dof(self) -> float:
        """Infinite."""
        return math.inf

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples."""
        return self.from_normal(rng.standard_normal(count))

    def from_normal(self, z: Floats) -> Floats:
        """Turn standard normal values into values of this distribution."""
        return self.median * np.exp(self.sigma * z)


@dataclass(frozen=True, slots=True)
class Rectangular:
    """Every value between two limits equally likely; ``u = (high − low)/√12``.

    Parameters
    ----------
    low, high : float

    Examples
    --------
    >>> round(Rectangular(-4, 4).u, 3)
    2.309
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        _limits(self.low, self.high)

    @property
    def value(self) -> float:
        """Middle."""
        return 0.5 * (self.low + self.high)

    @property
    def u(self) -> float:
        """Standard deviation."""
        return (self.high - self.low) / math.sqrt(12.0)

    @property
    def dof(self) -> float:
        """Infinite: the limits are taken as known."""
        return math.inf

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples."""
        return rng.uniform(self.low, self.high, count)


@dataclass(frozen=True, slots=True)
class Triangular:
    """Values near the middle more likely; ``u = (high − low)/√24``.

    Parameters
    ----------
    low, high : float

    Examples
    --------
    >>> round(Triangular(-1, 1).u, 4)
    0.4082
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        _limits(self.low, self.high)

    @property
    def value(self) -> float:
        """Middle."""
        return 0.5 * (self.low + self.high)

    @property
    def u(self) -> float:
        """Standard deviation."""
        return (self.high - self.low) / math.sqrt(24.0)

    @property
    def dof(self) -> float:
        """Infinite."""
        return math.inf

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples."""
        return rng.triangular(self.low, self.value, self.high, count)


@dataclass(frozen=True, slots=True)
class ArcSine:
    """A quantity that swings between two limits; ``u = (high − low)/√8``.

    Parameters
    ----------
    low, high : float

    Examples
    --------
    >>> round(ArcSine(-0.5, 0.5).u, 4)
    0.3536
    """

    low: float
    high: float

    def __post_init__(self) -> None:
        _limits(self.low, self.high)

    @property
    def value(self) -> float:
        """Middle."""
        return 0.5 * (self.low + self.high)

    @property
    def u(self) -> float:
        """Standard deviation."""
        return (self.high - self.low) / math.sqrt(8.0)

    @property
    def dof(self) -> float:
        """Infinite."""
        return math.inf

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples (JCGM 101, 6.4.6.4)."""
        swing = np.sin(rng.uniform(-math.pi, math.pi, count))
        return self.value + 0.5 * (self.high - self.low) * swing


@dataclass(frozen=True, slots=True)
class CurvilinearTrapezoid:
    """Rectangular, with limits that are themselves only known to ± `doubt`.

    Parameters
    ----------
    low, high : float
        Limits as stated.
    doubt : float
        Half width of the doubt about each; less than half of their distance.

    Examples
    --------
    >>> round(CurvilinearTrapezoid(-1, 1, 0.1).u, 4)
    0.5783
    """

    low: float
    high: float
    doubt: float

    def __post_init__(self) -> None:
        _limits(self.low, self.high)
        width = self.high - self.low
        _checks.within("doubt", self.doubt, low=0.0, high=0.5 * width, source="JCGM 101, 6.4.3")

    @property
    def value(self) -> float:
        """Middle."""
        return 0.5 * (self.low + self.high)

    @property
    def u(self) -> float:
        """Standard deviation, ``√[(high − low)²/12 + doubt²/9]``."""
        return math.sqrt((self.high - self.low) ** 2 / 12.0 + self.doubt**2 / 9.0)

    @property
    def dof(self) -> float:
        """Infinite."""
        return math.inf

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples (JCGM 101, 6.4.3.4)."""
        first = self.low - self.doubt + 2.0 * self.doubt * rng.random(count)
        last = self.low + self.high - first
        return first + (last - first) * rng.random(count)


@dataclass(frozen=True, slots=True)
class ScaledT:
    """Student's t, shifted and scaled: a mean of few readings.

    Parameters
    ----------
    value : float
        Mean.
    scale : float
        Standard uncertainty of the mean s/√n, above 0.
    dof : float
        Degrees of freedom, above 0.

    Notes
    -----
    For the law of propagation its standard uncertainty is the scale, with its degrees of freedom.

    Examples
    --------
    >>> ScaledT(215, 6, 24).u
    6
    """

    value: float
    scale: float
    dof: float

    def __post_init__(self) -> None:
        _checks.number("value", self.value)
        _checks.above("scale", self.scale)
        _checks.above("dof", self.dof)

    @property
    def u(self) -> float:
        """Standard uncertainty as GUM takes it: the scale."""
        return self.scale

    def sample(self, rng: np.random.Generator, count: int) -> Floats:
        """Draw samples (JCGM 101, 6.4.9.5)."""
        return self.value + self.scale * rng.standard_t(self.dof, count)


def _limits(low: float, high: float) -> None:
    _checks.number("low", low)
    _checks.above("high", high, low=low)
