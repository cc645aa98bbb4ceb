"""How far clamped parts give beside a fastener: beam, ring and plate on an elastic foundation.

The gasket, or the mating face, is taken as a bed of springs; the flange, head or cover bends over
it. Each relation gives the movement at one place for a unit clamp load at another. Fasteners that
influence each other are built on them: `clampwright.joint.flexibility`.

None of this knows flange rotation, contact opening, creep or a hub: treat what comes out as right
to about ±50 % (ours), and let measured passes overwrite it.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint.kelvin import kei


def beam_stiffness(*, E: ArrayLike, width: ArrayLike, height: ArrayLike) -> Floats:
    """Bending stiffness of a beam of rectangular section, ``EI = E b h³ / 12``.

    Parameters
    ----------
    E : array_like
        Young's modulus, MPa.
    width : array_like
        Width b, mm.
    height : array_like
        Height h in the direction of the fasteners, mm.

    Returns
    -------
    float or ndarray
        EI, N·mm².

    Raises
    ------
    OutOfRange
        An argument is not positive, or not finite.

    References
    ----------
    Beam theory.

    Examples
    --------
    >>> print(f"{beam_stiffness(E=205_000, width=60, height=20):.2e} N·mm²")
    8.20e+09 N·mm²
    """
    modulus = _checks.above("E", E, unit="MPa")
    wide = _checks.above("width", width, unit="mm")
    high = _checks.above("height", height, unit="mm")
    _checks.shapes_fit(E=modulus, width=wide, height=high)
    return modulus * wide * high**3 / 12.0


def plate_stiffness(*, E: ArrayLike, height: ArrayLike, poisson: ArrayLike = 0.3) -> Floats:
    """Bending stiffness of a plate, ``D = E h³ / [12 (1 − ν²)]``.

    Parameters
    ----------
    E : array_like
        Young's modulus, MPa.
    height : array_like
        Thickness h, mm.
    poisson : array_like
        Poisson's ratio ν, 0 to below 0.5; 0.3 for steel.

    Returns
    -------
    float or ndarray
        D, N·mm.

    Raises
    ------
    OutOfRange
        An argument is not positive, not finite, or ν lies outside its range.

    References
    ----------
    Theory of thin plates (Timoshenko), from memory.

    Examples
    --------
    >>> print(f"{plate_stiffness(E=205_000, height=20):.4e} N·mm")
    1.5018e+08 N·mm
    """
    modulus = _checks.above("E", E, unit="MPa")
    high = _checks.above("height", height, unit="mm")
    ratio = _checks.within(
        "poisson", poisson, low=0.0, high=0.499, source="elastic isotropic material"
    )
    _checks.shapes_fit(E=modulus, height=high, poisson=ratio)
    return modulus * high**3 / (12.0 * (1.0 - ratio**2))


def line_foundation(*, E_gasket: ArrayLike, width: ArrayLike, thickness: ArrayLike) -> Floats:
    """Stiffness of a gasket strip per length of flange, ``k = E_g b / t``.

    Parameters
    ----------
    E_gasket : array_like
        Modulus of the gasket, MPa; the *unloading* one, because a fastener that loses clamp load
        lets the gasket spring back.
    width : array_like
        Width of the strip b, mm.
    thickness : array_like
        Its thickness t, mm.

    Returns
    -------
    float or ndarray
        k, N/mm per mm of length (MPa).

    Raises
    ------
    OutOfRange
        An argument is not positive, or not finite.

    References
    ----------
    Winkler foundation; derived.

    Examples
    --------
    >>> float(line_foundation(E_gasket=60, width=60, thickness=2))
    1800.0
    """
    modulus = _checks.above("E_gasket", E_gasket, unit="MPa")
    wide = _checks.above("width", width, unit="mm")
    thick = _checks.above("thickness", thickness, unit="mm")
    _checks.shapes_fit(E_gasket=modulus, width=wide, thickness=thick)
    return modulus * wide / thick


def area_foundation(*, E_gasket: ArrayLike, thickness: ArrayLike) -> Floats:
    """Stiffness of a gasket per area, ``k_f = E_g / t``.

    Parameters
    ----------
    E_gasket : array_like
        Modulus of the gasket, MPa; the unloading one.
    thickness : array_like
        Its thickness t, mm.

    Returns
    -------
    float or ndarray
        k_f, N/mm³.

    Raises
    ------
    OutOfRange
        An argument is not positive, or not finite.

    Notes
    -----
    Metal on metal, ``E / (plate thickness)`` gives no more than a rough number.

    References
    ----------
    Winkler foundation; derived.

    Examples
    --------
    >>> float(area_foundation(E_gasket=60, thickness=2))
    30.0
    """
    modulus = _checks.above("E_gasket", E_gasket, unit="MPa")
    thick = _checks.above("thickness", thickness, unit="mm")
    _checks.shapes_fit(E_gasket=modulus, thickness=thick)
    return modulus / thick


def beam_wave(*, beam_stiffness: ArrayLike, foundation: ArrayLike) -> Floats:
    """Wave number of a beam on an elastic foundation, ``λ = (k / 4EI)^¼``.

    Parameters
    ----------
    beam_stiffness : array_like
        EI, N·mm².
    foundation : array_like
        k, N/mm per mm.

    Returns
    -------
    float or ndarray
        λ, 1/mm. The effect of a load has died away after about 3/λ.

    Raises
    ------
    OutOfRange
        An argument is not positive, or not finite.

    References
    ----------
    Hetényi, *Beams on Elastic Foundation*, from memory.

    Examples
    --------
    >>> round(float(beam_wave(beam_stiffness=8.2e9, foundation=1800)), 6)
    0.015306
    """
    EI = _checks.above("beam_stiffness", beam_stiffness, unit="N·mm²")
    k = _checks.above("foundation", foundation, unit="N/mm²")
    _checks.shapes_fit(beam_stiffness=EI, foundation=k)
    return (k / (4.0 * EI)) ** 0.25


def beam_deflection(
    distance: ArrayLike, *, beam_stiffness: ArrayLike, foundation: ArrayLike
) -> Floats:
    """Movement of a long beam on an elastic foundation beside a unit load.

    ``G(x) = λ/(2k) · e^{−λ|x|} (cos λ|x| + sin λ|x|)``

    Parameters
    ----------
    distance : array_like
        Distance from the load along the beam, mm; its sign does not matter.
    beam_stiffness : array_like
        EI, N·mm².
    foundation : array_like
        k, N/mm per mm.

    Returns
    -------
    float or ndarray
        Movement per load, mm/N.

    Raises
    ------
    OutOfRange
        An argument is not finite, a stiffness not positive.

    Notes
    -----
    The beam has no ends. Good for an end fastener only if the free end lies further away than
    about 2/λ; nearer ones: `clampwright.joint.finite_beam`.

    References
    ----------
    Hetényi, *Beams on Elastic Foundation*, from memory; checked against finite differences.

    Examples
    --------
    >>> G = beam_deflection([0, 80], beam_stiffness=8.2e9, foundation=1800)
    >>> [f"{value * 1e6:.5f}" for value in G]
    ['4.25155', '1.59962']
    """
    wave = beam_wave(beam_stiffness=beam_stiffness, foundation=foundation)
    away = np.abs(_checks.number("distance", distance))
    _checks.shapes_fit(distance=away, stiffnesses=wave)
    u = wave * away
    moved: Floats = wave / (2.0 * np.asarray(foundation)) * np.exp(-u) * (np.cos(u) + np.sin(u))
    return moved


def ring_deflection(
    arc: ArrayLike, *, radius: ArrayLike, beam_stiffness: ArrayLike, foundation: ArrayLike
) -> Floats:
    """Movement of a flange ring on its gasket, unrolled to a beam that closes on itself.

    ``G_ring(s) = Σ_m G(|s + 2πR m|)`` over all m, summed in closed form

    Parameters
    ----------
    arc : array_like
        Distance from the load along the circle of fasteners, mm; any number of turns.
    radius : array_like
        Radius R of the circle, mm.
    beam_stiffness : array_like
        EI of the ring's section, N·mm².
    foundation : array_like
        k, N/mm per mm of circumference.

    Returns
    -------
    float or ndarray
        Movement per load, mm/N.

    Raises
    ------
    OutOfRange
        An argument is not finite, a radius or stiffness not positive.

    Notes
    -----
    Curvature couples bending with twist; that is left out, so thin rings come out too stiff.

    References
    ----------
    Hetényi's infinite beam with periodic images, derived; a published model of this kind stands in
    J. Manuf. Sci. Eng. 143(12) (2021) 121006 (abstract seen).

    Examples
    --------
    >>> G = ring_deflection(0, radius=100, beam_stiffness=8.2e9, foundation=1800)
    >>> print(f"{G * 1e6:.4f}e-6 mm/N")
    4.2509e-6 mm/N
    """
    wave = beam_wave(beam_stiffness=beam_stiffness, foundation=foundation)
    around = 2.0 * math.pi * _checks.above("radius", radius, unit="mm")
    s = np.abs(_checks.number("arc", arc))
    _checks.shapes_fit(arc=s, radius=around, stiffnesses=wave)
    s = np.mod(s, around)
    # cos u + sin u = Re[(1 − i) e^{iu}], so that the images are two geometric series.
    rate = (1.0 - 1.0j) * wave
    images = (np.exp(-rate * s) + np.exp(-rate * (around - s))) / (1.0 - np.exp(-rate * around))
    moved: Floats = wave / (2.0 * np.asarray(foundation)) * ((1.0 - 1.0j) * images).real
    return moved


def plate_length(*, plate_stiffness: ArrayLike, foundation: ArrayLike) -> Floats:
    """Characteristic length of a plate on an elastic foundation, ``ℓ = (D / k_f)^¼``.

    Parameters
    ----------
    plate_stiffness : array_like
        D, N·mm.
    foundation : array_like
        k_f, N/mm³.

    Returns
    -------
    float or ndarray
        ℓ, mm. The effect of a load has died away after about 4 ℓ.

    Raises
    ------
    OutOfRange
        An argument is not positive, or not finite.

    References
    ----------
    Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory.

    Examples
    --------
    >>> round(float(plate_length(plate_stiffness=1.5018e8, foundation=30)), 2)
    47.3
    """
    D = _checks.above("plate_stiffness", plate_stiffness, unit="N·mm")
    k = _checks.above("foundation", foundation, unit="N/mm³")
    _checks.shapes_fit(plate_stiffness=D, foundation=k)
    return (D / k) ** 0.25


def plate_deflection(
    distance: ArrayLike, *, plate_stiffness: ArrayLike, foundation: ArrayLike
) -> Floats:
    """Movement of a wide plate on an elastic foundation beside a unit load.

    ``w(r) = −ℓ²/(2π D) · kei(r/ℓ)``, at the load ``ℓ²/(8 D)``

    Parameters
    ----------
    distance : array_like
        Distance from the load, mm; its sign does not matter.
    plate_stiffness : array_like
        D, N·mm.
    foundation : array_like
        k_f, N/mm³.

    Returns
    -------
    float or ndarray
        Movement per load, mm/N.

    Raises
    ------
    OutOfRange
        An argument is not finite, a stiffness not positive.

    Notes
    -----
    The plate has no edges; good where they lie further away than about 2 ℓ. A fastener at a free
    edge moves several times as far.

    References
    ----------
    Timoshenko and Woinowsky-Krieger, *Theory of Plates and Shells*, from memory; checked: the
    foundation carries the load, ∫ k_f w dA = 1.

    Examples
    --------
    >>> w = plate_deflection([0, 40, 80], plate_stiffness=1.50183e8, foundation=30)
    >>> [f"{value * 1e6:.3f}" for value in w]
    ['1.862', '1.304', '0.658']
    """
    length = plate_length(plate_stiffness=plate_stiffness, foundation=foundation)
    away = np.abs(_checks.number("distance", distance))
    _checks.shapes_fit(distance=away, stiffnesses=length)
    return -(length**2) / (2.0 * math.pi * np.asarray(plate_stiffness)) * kei(away / length)
