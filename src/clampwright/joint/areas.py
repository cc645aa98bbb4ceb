"""Stress area of a thread: metric and inch rules differ, and stay apart."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats

DEPTH_INCH = 0.9743
"""ASME B1.1 tensile stress area: diameter d − 0.9743 P. The metric area follows
from (d2 + d3)/2 instead, which is d − 0.9382 P: another constant."""


def metric_stress_area(*, d2: ArrayLike, d3: ArrayLike) -> Floats:
    """Stress area of an ISO metric thread, ``A_S = π/4 [(d2 + d3)/2]²``.

    Parameters
    ----------
    d2 : array_like
        Pitch diameter, mm.
    d3 : array_like
        Root diameter, mm.

    Returns
    -------
    float or ndarray
        Area, mm².

    Raises
    ------
    OutOfRange
        A diameter is not positive, or the root is as large as the pitch diameter.

    References
    ----------
    ISO 898-1.

    Examples
    --------
    >>> round(float(metric_stress_area(d2=9.0257, d3=8.1597)), 2)
    57.99
    """
    pitch = _checks.above("d2", d2, unit="mm")
    root = _checks.above("d3", d3, unit="mm")
    _checks.smaller("d3", root, "d2", pitch)
    return math.pi / 4.0 * ((pitch + root) / 2.0) ** 2


def inch_stress_area(*, d: ArrayLike, P: ArrayLike) -> Floats:
    """Tensile stress area of a unified inch thread, ``A_t = π/4 (d − 0.9743 P)²``.

    Parameters
    ----------
    d : array_like
        Nominal diameter, mm.
    P : array_like
        Pitch, mm (25.4 divided by the threads per inch).

    Returns
    -------
    float or ndarray
        Area, mm².

    Raises
    ------
    OutOfRange
        A length is not positive, or nothing is left of the diameter.

    References
    ----------
    ASME B1.1, from memory; Shigley, 9th ed., Table 8-2.

    Examples
    --------
    >>> area = inch_stress_area(d=0.5 * 25.4, P=25.4 / 13)
    >>> round(float(area / 25.4**2), 4)
    0.1419
    """
    nominal = _checks.above("d", d, unit="mm")
    pitch = _checks.above("P", P, unit="mm")
    _checks.smaller("P", pitch, "d", nominal)
    return math.pi / 4.0 * (nominal - DEPTH_INCH * pitch) ** 2
