"""Published and derived relations of torque, angle and the tool between hand and fastener."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.trace.model import Floats


def clamp_from_slope(
    torque: ArrayLike, slope: ArrayLike, clamp_rate: ArrayLike, prevailing: ArrayLike = 0.0
) -> Floats:
    """Clamp load from torque, elastic slope and clamp rate: no friction needed.

    ``F = c (T − T_p) / (dT/dθ)``

    Parameters
    ----------
    torque : array_like
        Running torque T, N·m.
    slope : array_like
        Elastic slope dT/dθ, N·m/deg.
    clamp_rate : array_like
        Clamp load per degree c, N/deg.
    prevailing : array_like
        Torque before the seat T_p, N·m.

    Returns
    -------
    ndarray
        Clamp load, N.

    Notes
    -----
    After yield the elastic slope is kept: the final torque is laid back onto the elastic line,
    which assumes unchanged friction.

    References
    ----------
    ASM Handbook vol. 8, testing of threaded fasteners: tangent projection; the formula is derived.

    Examples
    --------
    >>> round(float(clamp_from_slope(45.0, 1.40, 829.66, 2.0)))
    25482
    """
    return _row(clamp_rate) * (_row(torque) - _row(prevailing)) / _row(slope)


def nut_factor_from_slope(slope: ArrayLike, clamp_rate: ArrayLike, d: ArrayLike) -> Floats:
    """Nut factor from the elastic slope: ``K = (dT/dθ) / (c d)``.

    Parameters
    ----------
    slope : array_like
        N·m/deg.
    clamp_rate : array_like
        N/deg.
    d : array_like
        Nominal diameter, mm.

    Returns
    -------
    ndarray
        K, without unit.

    Examples
    --------
    >>> round(float(nut_factor_from_slope(1.40, 829.66, 10.0)), 5)
    0.16874
    """
    return 1000.0 * _row(slope) / (_row(clamp_rate) * _row(d))


def bar_stiffness(diameter: ArrayLike, length: ArrayLike, shear_modulus: ArrayLike) -> Floats:
    """Torque per degree of twist of a solid round bar, such as an extension.

    ``k = G π d⁴ / (32 L) · π/180``

    Parameters
    ----------
    diameter, length : array_like
        mm.
    shear_modulus : array_like
        MPa.

    Returns
    -------
    ndarray
        N·m/deg.

    References
    ----------
    Torsion of a round bar, any textbook on strength of materials.

    Examples
    --------
    >>> round(float(bar_stiffness(16.0, 250.0, 80_000.0)), 3)
    35.934
    """
    polar = math.pi * _row(diameter) ** 4 / 32.0
    return polar * _row(shear_modulus) / _row(length) * math.pi / 180.0 / 1000.0


def in_series(*stiffness: ArrayLike) -> Floats:
    """Stiffness of parts one behind the other: the compliances add up.

    Parameters
    ----------
    *stiffness : array_like
        N·m/deg each.

    Returns
    -------
    ndarray
        N·m/deg.

    Examples
    --------
    >>> round(float(in_series(35.934, 60.0, 150.0)), 3)
    19.546
    """
    compliance = sum((1.0 / _row(k) for k in stiffness), start=np.zeros(()))
    return 1.0 / compliance


def true_slope(measured: ArrayLike, stiffness: ArrayLike) -> Floats:
    """Slope over the fastener's angle from the slope over the handle's: ``1/m = 1/m' − 1/k``.

    Parameters
    ----------
    measured : array_like
        N·m/deg of handle rotation.
    stiffness : array_like
        Of the tool, N·m/deg.

    Returns
    -------
    ndarray
        N·m/deg of fastener rotation.

    Examples
    --------
    >>> round(float(true_slope(1.1765, 20.0)), 3)
    1.25
    """
    return 1.0 / (1.0 / _row(measured) - 1.0 / _row(stiffness))


def rate_bias_uncertainty(noise: ArrayLike, samples: ArrayLike) -> Floats:
    """Give the standard uncertainty of a rate bias taken as the mean of samples at rest.

    Parameters
    ----------
    noise : array_like
        Standard deviation of one sample, deg/s.
    samples : array_like
        How many samples of rest.

    Returns
    -------
    ndarray
        deg/s.

    Examples
    --------
    >>> round(float(rate_bias_uncertainty(0.15, 100)), 3)
    0.015
    """
    return _row(noise) / np.sqrt(_row(samples))


def rate_angle_uncertainty(
    *, u_bias: ArrayLike, noise: ArrayLike, seconds: ArrayLike, sample_rate: ArrayLike
) -> Floats:
    """Give the standard uncertainty of an angle integrated from a rate.

    ``√[(u_b t)² + (N √(t/f))²]``

    Parameters
    ----------
    u_bias : array_like
        Standard uncertainty of the bias, deg/s.
    noise : array_like
        Standard deviation of one sample, deg/s.
    seconds : array_like
        Time integrated over, s.
    sample_rate : array_like
        Hz.

    Returns
    -------
    ndarray
        Degrees. The scale error comes on top, in proportion to the angle.

    Examples
    --------
    >>> u = rate_angle_uncertainty(u_bias=0.015, noise=0.15, seconds=25, sample_rate=100)
    >>> round(float(u), 3)
    0.382
    """
    drift = _row(u_bias) * _row(seconds)
    walk = _row(noise) * np.sqrt(_row(seconds) / _row(sample_rate))
    return np.hypot(drift, walk)


def _row(value: ArrayLike) -> Floats:
    return np.asarray(value, dtype=np.float64)
