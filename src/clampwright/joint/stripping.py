"""Stripping of engaged threads: shear areas, strength factors, which part gives way first.

Alexander's model: the bolt thread shears on the nut's minor diameter, the nut thread on the bolt's
outside diameter. ``C1`` weakens both because the nut widens; ``C2`` belongs to the **bolt** thread,
``C3`` to the **nut** thread. Use the weakest limits of size (`clampwright.joint.thread_limits`):
the tolerance costs about 21 % for an M10.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from clampwright.joint import _checks
from clampwright.joint._checks import Floats

ALEXANDER = "Alexander, SAE 770420 (1977)"

STEEL_SHEAR = 0.6
"""Shear strength over tensile strength of steel; wrought aluminium has about 0.7, grey iron more
(VDI 2230-1, from memory). The lowest of them is the careful choice where nothing is known."""

THIN, THICK = 1.4, 1.9
"""Width across flats over d between which a nut's dilation is known to matter."""

BENDING_HIGH, BENDING_LOW = 2.2, 0.4
"""Strength ratios at which C2 and C3 are held: beyond, the weaker thread simply shears."""

_FLANK = math.tan(math.radians(30.0))


def bolt_shear_area(length: ArrayLike, *, P: ArrayLike, D1: ArrayLike, d2: ArrayLike) -> Floats:
    """Area over which the bolt thread shears.

    ``A = π D1 (m/P) [P/2 + (d2 − D1) tan 30°]``

    Parameters
    ----------
    length : array_like
        Engaged length of full threads m, mm.
    P : array_like
        Pitch, mm.
    D1 : array_like
        Minor diameter of the nut thread, mm; its largest for the weakest pair.
    d2 : array_like
        Pitch diameter of the bolt thread, mm; its smallest for the weakest pair.

    Returns
    -------
    float or ndarray
        mm².

    Raises
    ------
    OutOfRange
        An argument is not positive, or D1 is as large as d2.

    References
    ----------
    Alexander, SAE 770420 (1977); VDI 2230-1; FED-STD-H28/2B has the same geometry. From memory.

    Examples
    --------
    >>> round(float(bolt_shear_area(8, P=1.5, D1=8.3762, d2=9.0257)), 1)
    157.9
    """
    long, pitch = _thread(length, P)
    inner, middle = _pair("D1", D1, "d2", d2)
    _checks.shapes_fit(length=long, P=pitch, D1=inner, d2=middle)
    return math.pi * inner * long / pitch * (pitch / 2.0 + (middle - inner) * _FLANK)


def nut_shear_area(length: ArrayLike, *, P: ArrayLike, d: ArrayLike, D2: ArrayLike) -> Floats:
    """Area over which the nut thread shears.

    ``A = π d (m/P) [P/2 + (d − D2) tan 30°]``

    Parameters
    ----------
    length : array_like
        Engaged length of full threads m, mm.
    P : array_like
        Pitch, mm.
    d : array_like
        Outside diameter of the bolt thread, mm; its smallest for the weakest pair.
    D2 : array_like
        Pitch diameter of the nut thread, mm; its largest for the weakest pair.

    Returns
    -------
    float or ndarray
        mm².

    Raises
    ------
    OutOfRange
        An argument is not positive, or D2 is as large as d.

    References
    ----------
    As `bolt_shear_area`.

    Examples
    --------
    >>> round(float(nut_shear_area(8, P=1.5, d=10, D2=9.0257)), 1)
    219.9
    """
    long, pitch = _thread(length, P)
    middle, outer = _pair("D2", D2, "d", d)
    _checks.shapes_fit(length=long, P=pitch, d=outer, D2=middle)
    return math.pi * outer * long / pitch * (pitch / 2.0 + (outer - middle) * _FLANK)


def nut_dilation_factor(width_ratio: ArrayLike) -> Floats:
    """Share of strength left because the nut widens under load, C1.

    ``C1 = 3.8 (s/d) − (s/d)² − 2.61`` from 1.4 to 1.9, 1 above

    Parameters
    ----------
    width_ratio : array_like
        Width across flats over nominal diameter s/d; 1.4 or more.

    Returns
    -------
    float or ndarray
        C1, 0.75 to 1. A tapped hole in a large part has 1.

    Raises
    ------
    OutOfRange
        The nut is thinner than the relation was fitted to.

    References
    ----------
    Alexander, SAE 770420 (1977), from memory.

    Examples
    --------
    >>> [round(float(C1), 2) for C1 in nut_dilation_factor([1.4, 1.6, 1.8, 2.0])]
    [0.75, 0.91, 0.99, 1.0]
    """
    ratio = _checks.within("width_ratio", width_ratio, low=THIN, high=math.inf, source=ALEXANDER)
    return np.where(ratio < THICK, 3.8 * ratio - ratio**2 - 2.61, 1.0)[()]


def bolt_bending_factor(strength_ratio: ArrayLike) -> Floats:
    """Factor on the strength of the **bolt** thread because threads bend, C2.

    ``C2 = 5.594 − 13.682 R + 14.107 R² − 6.057 R³ + 0.9353 R⁴`` for 1 < R < 2.2, 0.897 below

    Parameters
    ----------
    strength_ratio : array_like
        R, strength of the nut thread over that of the bolt thread, see `strength_ratio`; above 0.

    Returns
    -------
    float or ndarray
        C2. Above R = 2.2 the value at 2.2.

    Raises
    ------
    OutOfRange
        R is not positive.

    References
    ----------
    Alexander, SAE 770420 (1977), from memory; at R = 1 it joins C3 within 0.0003.

    Examples
    --------
    >>> [round(float(C2), 4) for C2 in bolt_bending_factor([0.8, 1.2, 1.6, 2.0])]
    [0.897, 0.9626, 1.1368, 1.1668]
    """
    R = np.minimum(_checks.above("strength_ratio", strength_ratio), BENDING_HIGH)
    fit = 5.594 - 13.682 * R + 14.107 * R**2 - 6.057 * R**3 + 0.9353 * R**4
    return np.where(R > 1.0, fit, 0.897)[()]


def nut_bending_factor(strength_ratio: ArrayLike) -> Floats:
    """Factor on the strength of the **nut** thread because threads bend, C3.

    ``C3 = 0.728 + 1.769 R − 2.896 R² + 1.296 R³`` for 0.4 < R < 1, 0.897 above

    Parameters
    ----------
    strength_ratio : array_like
        R, strength of the nut thread over that of the bolt thread; above 0.

    Returns
    -------
    float or ndarray
        C3. Below R = 0.4 the value at 0.4.

    Raises
    ------
    OutOfRange
        R is not positive.

    References
    ----------
    Alexander, SAE 770420 (1977), from memory.

    Examples
    --------
    >>> [round(float(C3), 4) for C3 in nut_bending_factor([0.5, 0.7, 0.9, 1.2])]
    [1.0505, 0.9918, 0.9191, 0.897]
    """
    R = np.maximum(_checks.above("strength_ratio", strength_ratio), BENDING_LOW)
    fit = 0.728 + 1.769 * R - 2.896 * R**2 + 1.296 * R**3
    return np.where(R < 1.0, fit, 0.897)[()]


def strength_ratio(
    *, bolt_area: ArrayLike, nut_area: ArrayLike, bolt_strength: ArrayLike, nut_strength: ArrayLike
) -> Floats:
    """Strength of the nut thread over that of the bolt thread, ``R = R_m,n A_n / (R_m,b A_b)``.

    Parameters
    ----------
    bolt_area, nut_area : array_like
        Shear areas, mm².
    bolt_strength, nut_strength : array_like
        Tensile strengths, MPa.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument is not positive.

    References
    ----------
    Alexander, SAE 770420 (1977), from memory.

    Examples
    --------
    >>> round(float(strength_ratio(bolt_area=124.64, nut_area=171.82, bolt_strength=800,
    ...                            nut_strength=700)), 4)
    1.2062
    """
    bolt = _checks.above("bolt_area", bolt_area, unit="mm²")
    nut = _checks.above("nut_area", nut_area, unit="mm²")
    of_bolt = _checks.above("bolt_strength", bolt_strength, unit="MPa")
    of_nut = _checks.above("nut_strength", nut_strength, unit="MPa")
    _checks.shapes_fit(bolt_area=bolt, nut_area=nut, bolt_strength=of_bolt, nut_strength=of_nut)
    return of_nut * nut / (of_bolt * bolt)


@dataclass(frozen=True, slots=True)
class Stripping:
    """What a threaded pair bears, and which part gives way first.

    Parameters
    ----------
    strength_ratio : float or ndarray
        R.
    dilation, bolt_bending, nut_bending : float or ndarray
        C1, C2 and C3.
    bolt_thread, nut_thread, bolt : float or ndarray
        Loads at which the bolt thread strips, the nut thread strips, and the bolt breaks, N.
    first : str or ndarray of str
        What gives way first: "bolt", "bolt thread" or "nut thread". "bolt" is what one wishes for:
        it is seen at once.
    """

    strength_ratio: Floats
    dilation: Floats
    bolt_bending: Floats
    nut_bending: Floats
    bolt_thread: Floats
    nut_thread: Floats
    bolt: Floats
    first: NDArray[np.str_]

    @property
    def weakest(self) -> Floats:
        """Load at which the first part gives way, N."""
        return np.minimum(np.minimum(self.bolt_thread, self.nut_thread), self.bolt)


def stripping(
    *,
    bolt_area: ArrayLike,
    nut_area: ArrayLike,
    stress_area: ArrayLike,
    bolt_strength: ArrayLike,
    nut_strength: ArrayLike,
    width_ratio: ArrayLike | None = None,
    bolt_shear: ArrayLike = STEEL_SHEAR,
    nut_shear: ArrayLike = STEEL_SHEAR,
) -> Stripping:
    """Tell at which loads threads strip and the bolt breaks, and which comes first.

    ``F_bolt thread = C1 C2 τ_b A_b``, ``F_nut thread = C1 C3 τ_n A_n``, ``F_bolt = R_m A_S``

    Parameters
    ----------
    bolt_area, nut_area : array_like
        Shear areas, mm², see `bolt_shear_area` and `nut_shear_area`.
    stress_area : array_like
        Stress area of the bolt A_S, mm².
    bolt_strength, nut_strength : array_like
        Tensile strengths R_m of bolt and of nut or tapped part, MPa.
    width_ratio : array_like, optional
        Width across flats of the nut over d; leave out for a tapped hole in a large part.
    bolt_shear, nut_shear : array_like
        Shear strength over tensile strength τ/R_m; 0.6 for steel.

    Returns
    -------
    Stripping

    Raises
    ------
    OutOfRange
        An argument is not positive, a shear ratio above 2, or the nut too thin.

    References
    ----------
    Alexander, SAE 770420 (1977); VDI 2230-1. From memory.

    Examples
    --------
    >>> found = stripping(bolt_area=124.64, nut_area=171.815, stress_area=57.99,
    ...                   bolt_strength=800, nut_strength=700, width_ratio=1.6)
    >>> print(f"{found.bolt_thread / 1e3:.2f} {found.nut_thread / 1e3:.2f} {found.bolt / 1e3:.2f}")
    52.57 58.90 46.39
    >>> str(found.first)
    'bolt'
    """
    R = strength_ratio(
        bolt_area=bolt_area,
        nut_area=nut_area,
        bolt_strength=bolt_strength,
        nut_strength=nut_strength,
    )
    section = _checks.above("stress_area", stress_area, unit="mm²")
    Rm_bolt, Rm_nut = np.asarray(bolt_strength, float), np.asarray(nut_strength, float)
    dilation = np.ones(()) if width_ratio is None else nut_dilation_factor(width_ratio)
    of_bolt, of_nut = _shear("bolt_shear", bolt_shear), _shear("nut_shear", nut_shear)
    _checks.shapes_fit(
        strengths_and_areas=np.asarray(R),
        stress_area=section,
        width_ratio=np.asarray(dilation),
        bolt_shear=of_bolt,
        nut_shear=of_nut,
    )
    C2, C3 = bolt_bending_factor(R), nut_bending_factor(R)
    loads = np.broadcast_arrays(
        Rm_bolt * section,
        dilation * C2 * of_bolt * Rm_bolt * np.asarray(bolt_area, float),
        dilation * C3 * of_nut * Rm_nut * np.asarray(nut_area, float),
    )
    bolt, bolt_thread, nut_thread = (load[()] for load in loads)
    names = np.array(["bolt", "bolt thread", "nut thread"])
    return Stripping(
        strength_ratio=R,
        dilation=dilation[()],
        bolt_bending=C2,
        nut_bending=C3,
        bolt_thread=bolt_thread,
        nut_thread=nut_thread,
        bolt=bolt,
        first=names[np.argmin(loads, axis=0)],
    )


def _thread(length: ArrayLike, P: ArrayLike) -> tuple[Floats, Floats]:
    return _checks.above("length", length, unit="mm"), _checks.above("P", P, unit="mm")


def _pair(
    small_name: str, small: ArrayLike, large_name: str, large: ArrayLike
) -> tuple[Floats, Floats]:
    inner = _checks.above(small_name, small, unit="mm")
    outer = _checks.above(large_name, large, unit="mm")
    _checks.smaller(small_name, inner, large_name, outer)
    return inner, outer


def _shear(name: str, value: ArrayLike) -> Floats:
    _checks.above(name, value)
    # Grey iron, the highest, has about 1.4 (VDI 2230-1, from memory).
    return _checks.within(name, value, low=0.0, high=2.0, source="limit ours")
