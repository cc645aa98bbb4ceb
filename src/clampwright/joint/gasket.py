"""Gaskets as they are pressed and let go: soft and curved on the way in, stiff on the way out.

The shapes are those that Fukuoka and Takaki report for fibre and spiral-wound sheets: a polynomial
of the sixth degree in loading, an exponential in unloading (J. Pressure Vessel Technol. 125 (2003)
371; abstract seen). The abstract prints no coefficient and the standards for gaskets none that were
seen, so that the figures of a sheet must come from its maker or from a press.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.words import words

DEGREE = 6
"""Highest power of the polynomial of loading."""

MOST_STRAIN = 0.9
"""A sheet pressed to a tenth of its thickness is no sheet any more (ours)."""

SOURCE = "Fukuoka and Takaki 2003"


@dataclass(frozen=True, slots=True)
class GasketState:
    """A gasket at one compression.

    Parameters
    ----------
    stress : float or ndarray
        Pressure on the gasket, MPa.
    modulus : float or ndarray
        Slope of stress over strain there, MPa: what the joint feels of the gasket.
    """

    stress: Floats
    modulus: Floats


def gasket_loading(*, strain: ArrayLike, coefficients: ArrayLike) -> GasketState:
    """Pressure and modulus of a gasket that is pressed for the first time, ``σ = Σ a_i ε^i``.

    Parameters
    ----------
    strain : array_like
        Compression over thickness ε, 0 to 0.9.
    coefficients : array_like, shape (m,), m at most 6
        a_1 … a_m, MPa, as fitted to the sheet; a_1 is the modulus of the first touch.

    Returns
    -------
    GasketState
        Take its modulus for an angle.

    Raises
    ------
    OutOfRange
        The strain lies outside its range, there are more than 6 coefficients, or the polynomial
        falls somewhere on the way: it was fitted over less than this strain.

    References
    ----------
    Fukuoka and Takaki, J. Pressure Vessel Technol. 125 (2003) 371 (abstract): a polynomial of the
    sixth degree.

    Examples
    --------
    >>> sheet = gasket_loading(strain=[0.1, 0.2], coefficients=[50, 400, 0, 8000])
    >>> sheet.stress.round(2).tolist(), sheet.modulus.round(1).tolist()
    ([9.8, 38.8], [162.0, 466.0])
    """
    depth = _checks.within("strain", strain, low=0.0, high=MOST_STRAIN, source="limit ours")
    powers = _shapes.row("coefficients", coefficients)
    if len(powers) > DEGREE:
        raise OutOfRange(
            words(
                "coefficients: there are {count}, but the polynomial has at most {most} ({source})",
                count=len(powers),
                most=DEGREE,
                source=SOURCE,
            ),
            value=float(len(powers)),
            high=float(DEGREE),
            source=SOURCE,
        )
    line = np.polynomial.Polynomial([0.0, *powers.tolist()])
    slope = line.deriv()
    _rises(slope, float(np.max(depth, initial=0.0)))
    return GasketState(stress=line(depth), modulus=slope(depth))


def gasket_unloading(
    *,
    strain: ArrayLike,
    strain_reached: ArrayLike,
    stress_reached: ArrayLike,
    strain_left: ArrayLike,
    bend: ArrayLike,
) -> GasketState:
    """Pressure and modulus of a gasket that is let go again.

    ``σ = σ_0 (e^{b x} − 1)/(e^b − 1)`` with ``x = (ε − ε_r)/(ε_0 − ε_r)``

    Parameters
    ----------
    strain : array_like
        Compression over thickness ε, between the strain left and the strain reached.
    strain_reached, stress_reached : array_like
        Where it was let go: ε_0, and σ_0 in MPa.
    strain_left : array_like
        Compression that stays when all pressure is gone, ε_r.
    bend : array_like
        b, above 0: how much stiffer it is at the start than at the end, e^b times; see
        `gasket_unloading_bend`.

    Returns
    -------
    GasketState
        Take its modulus for what fasteners do to each other.

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or the strain outside what the curve runs over.

    References
    ----------
    Fukuoka and Takaki, J. Pressure Vessel Technol. 125 (2003) 371 (abstract): an exponential. That
    it runs through both ends of the way is derived here.

    Examples
    --------
    >>> sheet = gasket_unloading(strain=[0.2, 0.16], strain_reached=0.2, stress_reached=38.8,
    ...                          strain_left=0.15, bend=3)
    >>> sheet.stress.round(2).tolist(), sheet.modulus.round(0).tolist()
    ([38.8, 1.67], [2450.0, 222.0])
    """
    reached = _checks.within("strain_reached", strain_reached, low=0.0, high=MOST_STRAIN)
    left = _checks.within("strain_left", strain_left, low=0.0, high=MOST_STRAIN)
    depth = _checks.within("strain", strain, low=0.0, high=MOST_STRAIN)
    stress = _checks.above("stress_reached", stress_reached, unit="MPa")
    b = _checks.within("bend", bend, low=1e-6, high=50.0, source="limit ours")
    _checks.shapes_fit(
        strain=depth, strain_reached=reached, strain_left=left, stress_reached=stress, bend=b
    )
    _checks.above("strain_reached − strain_left", reached - left)
    way = (depth - left) / (reached - left)
    _checks.within("(ε − ε_r)/(ε_0 − ε_r)", way, low=0.0, high=1.0, source="the way back")
    whole = np.expm1(b)
    return GasketState(
        stress=stress * np.expm1(b * way) / whole,
        modulus=stress * b * np.exp(b * way) / (whole * (reached - left)),
    )


def gasket_unloading_bend(
    *, modulus: float, strain_reached: float, stress_reached: float, strain_left: float
) -> float:
    """How much the way back bends, from the modulus where it begins: b of `gasket_unloading`.

    ``b/(1 − e^{−b}) = E_u (ε_0 − ε_r)/σ_0``

    Parameters
    ----------
    modulus : float
        Slope E_u at the start of unloading, MPa.
    strain_reached, stress_reached, strain_left : float
        As `gasket_unloading`.

    Returns
    -------
    float

    Raises
    ------
    OutOfRange
        The modulus is not above that of a straight way back: then it does not bend like this.

    References
    ----------
    Derived from `gasket_unloading`.

    Examples
    --------
    >>> b = gasket_unloading_bend(modulus=2450, strain_reached=0.2, stress_reached=38.8,
    ...                           strain_left=0.15)
    >>> round(b, 2)
    3.0
    """
    steep = float(_checks.above("modulus", modulus, unit="MPa"))
    reached = float(_checks.within("strain_reached", strain_reached, low=0.0, high=MOST_STRAIN))
    left = float(_checks.within("strain_left", strain_left, low=0.0, high=MOST_STRAIN))
    stress = float(_checks.above("stress_reached", stress_reached, unit="MPa"))
    _checks.above("strain_reached − strain_left", reached - left)
    straight = stress / (reached - left)
    ratio = float(_checks.above("modulus", steep, low=straight, unit="MPa")) / straight
    low, high = 0.0, ratio
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle / -math.expm1(-middle) < ratio:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _rises(slope: np.polynomial.Polynomial, reach: float) -> None:
    """Refuse a curve of loading that falls before the strain asked for."""
    roots = np.asarray(slope.roots(), dtype=np.complex128)
    turns = roots.real[np.abs(roots.imag) < 1e-12]
    places = np.concatenate([[0.0, reach], turns[(turns > 0.0) & (turns < reach)]])
    between = np.sort(places)
    middles = np.concatenate([between, 0.5 * (between[1:] + between[:-1])])
    worst = float(slope(middles).min())
    if not worst >= -1e-9 * max(1.0, float(np.abs(slope(middles)).max())):
        raise OutOfRange(
            words(
                "the polynomial of loading falls before a strain of {reach:g}: its coefficients "
                "were fitted over less ({source})",
                reach=reach,
                source=SOURCE,
            ),
            value=reach,
            low=0.0,
            source=SOURCE,
        )
