"""The Kelvin function kei of order zero, which bends a plate on an elastic foundation.

No special-function library is needed at run time: near zero the ascending series, further out the
integral from which the asymptotic series comes, done once by Gauss-Hermite quadrature and kept as a
polynomial in 1/x. Against SciPy's complex Bessel function K₀ the absolute error is below 2e-14
everywhere (tests).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.polynomial import Polynomial
from numpy.polynomial.hermite import hermgauss
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats

SWITCH = 6.0
"""Below, the series (its terms have not yet grown so far that they cancel); from here on, the
integral, smooth in 1/x. At 6 the series still holds 12 digits."""

TERMS = 16
"""Terms of each series; at x = 6 the next one is below 1e-20."""

NODES = 30
"""Gauss-Hermite nodes of the integral, done once."""

DEGREE = 13
"""Degree in 6/x of the integral's smooth part, from values at Chebyshev points."""

TINY = 1e-300  # keeps the logarithm finite at zero, where it is multiplied by nothing

EULER = 0.577_215_664_901_532_9
"""Euler's constant γ, DLMF 5.2.3."""


def kei(x: ArrayLike) -> Floats:
    """Kelvin function kei of order zero.

    ``kei(x) = Im K₀(x e^{iπ/4})``

    Parameters
    ----------
    x : array_like
        Argument, 0 or more, without unit.

    Returns
    -------
    float or ndarray
        From −π/4 at 0 to 0 far out, a little above zero from 3.9 on.

    Raises
    ------
    OutOfRange
        An element is negative, NaN or infinite.

    Notes
    -----
    Up to 6, with ``w = (x/2)⁴``: ``kei x = −ln(x/2) bei x − (π/4) ber x + Σ (−1)ᵏ ψ(2k+2)
    (x²/4)^(2k+1) / ((2k+1)!)²``. Beyond, with ``z = x e^{iπ/4}``: ``K₀(z) = e^{−z} (2z)^{−1/2}
    ∫ e^{−s²} (1 + s²/2z)^{−1/2} ds``, whose expansion in 1/z is the asymptotic series.

    References
    ----------
    NIST Digital Library of Mathematical Functions, 10.61, 10.65 (series) and 10.32.8 (integral,
    with t = s²), from memory; checked against `scipy.special.kv(0, x e^{iπ/4})`.

    Examples
    --------
    >>> [round(float(value), 6) for value in kei([0.0, 1.0, 4.0])]
    [-0.785398, -0.494995, 0.002198]
    """
    given = _checks.not_negative("x", x)
    near = given <= SWITCH
    if near.all():
        return _series(given)[()]
    if not near.any():
        return _far(given)[()]
    result = np.empty_like(given)
    result[near] = _series(given[near])
    result[~near] = _far(given[~near])
    return result


def _series(x: Floats) -> Floats:
    quarter = 0.25 * x**2
    w = -(quarter**2)  # the sign of the alternating series stands in its variable
    ber, bei, psi = _coefficients()
    # bei x · ln(x/2) tends to zero with x, although the logarithm does not.
    logarithm = np.log(np.maximum(0.5 * x, TINY))
    odd = quarter * (_horner(psi, w) - logarithm * _horner(bei, w))
    return odd - math.pi / 4.0 * _horner(ber, w)


@lru_cache(maxsize=1)
def _coefficients() -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    """Return the coefficients of ber, of bei and of the sum with ψ, lowest power first."""
    ber, bei, psi = [], [], []
    harmonic = 1.0
    for k in range(TERMS):
        even, odd = 2 * k, 2 * k + 1
        ber.append(1.0 / math.factorial(even) ** 2)
        bei.append(1.0 / math.factorial(odd) ** 2)
        psi.append((harmonic - EULER) / math.factorial(odd) ** 2)
        harmonic += 1.0 / (odd + 1) + 1.0 / (odd + 2)
    return tuple(ber), tuple(bei), tuple(psi)


def _horner(coefficients: tuple[float, ...], w: Floats) -> Floats:
    total = np.full_like(w, coefficients[-1])
    for coefficient in reversed(coefficients[:-1]):
        total *= w
        total += coefficient
    return total


def _far(x: Floats) -> Floats:
    """Return kei from the smooth factor of K₀: its decay and its waves are known exactly."""
    real, imaginary = (_horner(part, SWITCH / x) for part in _smooth_factor())
    phase = math.sqrt(0.5) * x + math.pi / 8.0
    decay = np.exp(-math.sqrt(0.5) * x) / np.sqrt(2.0 * x)
    result: Floats = decay * (imaginary * np.cos(phase) - real * np.sin(phase))
    return result


@lru_cache(maxsize=1)
def _smooth_factor() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return polynomials in v = 6/x for the real and imaginary part of K₀(z) e^z √(2z)."""
    v = 0.5 + 0.5 * np.cos(math.pi * (np.arange(DEGREE + 1) + 0.5) / (DEGREE + 1))
    twice = 2.0 * SWITCH / v * complex(math.sqrt(0.5), math.sqrt(0.5))
    nodes, weights = hermgauss(NODES)
    factor = (weights / np.sqrt(1.0 + nodes**2 / twice[:, np.newaxis])).sum(axis=1)
    real = Polynomial.fit(v, factor.real, DEGREE).convert()
    imaginary = Polynomial.fit(v, factor.imag, DEGREE).convert()
    return tuple(real.coef.tolist()), tuple(imaginary.coef.tolist())
