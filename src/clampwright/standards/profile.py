"""Diameters and stress areas from the basic profile of 60° threads.

Metric and unified threads share the profile but not the rule for the stress area; each has its own
function, and the two are never exchanged.
"""

from __future__ import annotations

import math

MM_PER_INCH = 25.4


def pitch_diameter(d: float, P: float) -> float:
    """Return the basic pitch diameter, d2 = d - 3/4 H with H = √3/2 P.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    P : float
        Pitch, mm.

    Returns
    -------
    float
        d2, mm.

    Notes
    -----
    ISO 68-1 and ISO 724; ASME B1.1 has the same profile (0.649519 P).

    Examples
    --------
    >>> round(pitch_diameter(10, 1.5), 3)
    9.026
    """
    return d - 3 * math.sqrt(3) / 8 * P


def minor_diameter(d: float, P: float) -> float:
    """Return the basic minor diameter of the internal thread, d1 = d - 5/4 H.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    P : float
        Pitch, mm.

    Returns
    -------
    float
        d1, mm.

    Notes
    -----
    ISO 68-1 and ISO 724; ASME B1.1 has the same profile (1.082532 P).

    Examples
    --------
    >>> round(minor_diameter(10, 1.5), 3)
    8.376
    """
    return d - 5 * math.sqrt(3) / 8 * P


def metric_root_diameter(d: float, P: float) -> float:
    """Return the root diameter of a metric bolt thread, d3 = d - 17/12 H.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    P : float
        Pitch, mm.

    Returns
    -------
    float
        d3, mm.

    Notes
    -----
    ISO 898-1, definition of the nominal stress area (d3 = d1 - H/6; 1.226869 P).

    Examples
    --------
    >>> round(metric_root_diameter(10, 1.5), 3)
    8.16
    """
    return d - 17 * math.sqrt(3) / 24 * P


def unified_root_diameter(d: float, P: float) -> float:
    """Return the root diameter of a unified bolt thread, d - 3/2 H.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    P : float
        Pitch, mm.

    Returns
    -------
    float
        mm.

    Notes
    -----
    The diameter under ASME B1.1's minor-diameter area, pi/4 (d - 1.299038/n)²; also Shigley
    Table 8-2.

    Examples
    --------
    >>> round(unified_root_diameter(0.375 * 25.4, 25.4 / 16) / 25.4, 4)
    0.2938
    """
    return d - 3 * math.sqrt(3) / 4 * P


def metric_stress_area(d: float, P: float) -> float:
    """Return the nominal stress area of a metric bolt thread, pi/4 ((d2 + d3)/2)².

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    P : float
        Pitch, mm.

    Returns
    -------
    float
        mm².

    Notes
    -----
    ISO 898-1; the same as pi/4 (d - 0.9382 P)².

    Examples
    --------
    >>> round(metric_stress_area(10, 1.5), 1)
    58.0
    """
    return math.pi / 4 * ((pitch_diameter(d, P) + metric_root_diameter(d, P)) / 2) ** 2


def unified_stress_area(d: float, threads_per_inch: float) -> float:
    """Return the tensile stress area of a unified thread, pi/4 (d - 0.9743/n)².

    Parameters
    ----------
    d : float
        Nominal diameter, inch.
    threads_per_inch : float
        n, 1/inch.

    Returns
    -------
    float
        Square inches.

    Notes
    -----
    ASME B1.1; for steel up to 100 ksi tensile and used for all grades of SAE J429 (from memory).

    Examples
    --------
    >>> round(unified_stress_area(0.375, 16), 4)
    0.0775
    """
    return math.pi / 4 * (d - 0.9743 / threads_per_inch) ** 2
