"""Relations whose functions take pieces, steps or a fastening, with plain numbers in instead.

A form to fill in (command line, page) has one field per number; these functions put the numbers
together and call the relation itself. They add nothing of their own.
"""

from __future__ import annotations

from collections.abc import Sequence

from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError
from clampwright.joint._checks import Floats
from clampwright.joint.frusta import HALF_ANGLE, frusta
from clampwright.joint.rival_stiffness import exponential_halves
from clampwright.joint.stiffness import (
    STEEL,
    STEEL_SHEAR,
    Counterpart,
    HeadShape,
    bolt_resilience,
    bolt_segments,
    shank_twist,
)
from clampwright.joint.torque_tension import torque_shares
from clampwright.joint.uncertainty import nut_factor_u_rel
from clampwright.words import words


def bolt_resilience_from_lengths(
    *,
    d: ArrayLike,
    d3: ArrayLike,
    thread_length: ArrayLike,
    shank_length: ArrayLike | None = None,
    shank_diameter: ArrayLike | None = None,
    E: ArrayLike = STEEL,
    head: HeadShape = "hexagon",
    counterpart: Counterpart = "nut",
    E_tapped: ArrayLike | None = None,
) -> Floats:
    """Resilience of a bolt with one plain shank, see `clampwright.joint.stiffness.bolt_segments`.

    Parameters
    ----------
    d, d3 : array_like
        Nominal and root diameter, mm.
    thread_length : array_like
        Free loaded thread inside the grip, mm.
    shank_length : array_like, optional
        Unthreaded part inside the grip, mm; leave out for a screw threaded all the way.
    shank_diameter : array_like, optional
        Its diameter, mm; the nominal one if not given.
    E : array_like
        Young's modulus of the bolt, MPa.
    head : {"hexagon", "socket"}
    counterpart : {"nut", "tapped"}
    E_tapped : array_like, optional
        Young's modulus of the tapped part, MPa.

    Returns
    -------
    float or ndarray
        mm/N.

    Raises
    ------
    OutOfRange, Missing, ClampwrightError
        As `clampwright.joint.stiffness.bolt_segments`.

    References
    ----------
    VDI 2230-1, 5.1.1, from memory.

    Examples
    --------
    >>> value = bolt_resilience_from_lengths(d=10, d3=8.1597, shank_length=28, thread_length=17)
    >>> print(f"{value * 1e6:.4f}e-6 mm/N")
    4.3503e-6 mm/N
    """
    shank: list[tuple[ArrayLike, ArrayLike]] = []
    if shank_length is not None:
        shank = [(shank_length, d if shank_diameter is None else shank_diameter)]
    return bolt_resilience(
        bolt_segments(
            d=d,
            d3=d3,
            shank=shank,
            thread_length=thread_length,
            E=E,
            head=head,
            counterpart=counterpart,
            E_tapped=E_tapped,
        )
    )


def shank_twist_from_lengths(
    thread_torque: ArrayLike,
    *,
    lengths: Sequence[float],
    diameters: Sequence[float],
    G: ArrayLike = STEEL_SHEAR,
) -> Floats:
    """Twist of a shank in pieces, see `clampwright.joint.stiffness.shank_twist`.

    Parameters
    ----------
    thread_torque : array_like
        Torque in the shank, N·m.
    lengths, diameters : sequence of float
        Of each piece, mm; root diameter for threaded ones.
    G : array_like
        Shear modulus, MPa.

    Returns
    -------
    float or ndarray
        Degrees.

    Raises
    ------
    OutOfRange, Missing
        As `clampwright.joint.stiffness.shank_twist`.
    ClampwrightError
        Unequal numbers of lengths and diameters.

    References
    ----------
    Torsion of round bars.

    Examples
    --------
    >>> print(f"{shank_twist_from_lengths(21.6, lengths=[28, 22], diameters=[10, 8.1597]):.3f}")
    1.239
    """
    if len(lengths) != len(diameters):
        raise ClampwrightError(
            words(
                "each piece of the shank needs a length and a diameter, but there are {lengths}"
                " lengths and {diameters} diameters",
                lengths=len(lengths),
                diameters=len(diameters),
            )
        )
    return shank_twist(thread_torque, pieces=list(zip(lengths, diameters, strict=True)), G=G)


def parts_stiffness_from_layers(
    *,
    thicknesses: Sequence[float],
    moduli: Sequence[float],
    d: float,
    face: float | None = None,
    half_angle: float = HALF_ANGLE,
) -> float:
    """Stiffness of clamped layers by frusta, see `clampwright.joint.frusta.frusta`.

    Parameters
    ----------
    thicknesses : sequence of float
        Of the layers from head to nut, mm; washers too.
    moduli : sequence of float
        Young's modulus of each layer, MPa.
    d : float
        Nominal diameter of the bolt, mm.
    face : float, optional
        Diameter of the bearing face at both ends, mm; 1.5 d if not given.
    half_angle : float
        Half angle of the cones, deg.

    Returns
    -------
    float
        N/mm.

    Raises
    ------
    OutOfRange, Missing
        As `clampwright.joint.frusta.frusta`.
    ClampwrightError
        Unequal numbers of thicknesses and moduli.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., section 8-5, from memory.

    Examples
    --------
    >>> k = parts_stiffness_from_layers(thicknesses=[20, 25], moduli=[207_000, 100_000], d=12)
    >>> print(f"{k / 1000:.0f} kN/mm")
    1379 kN/mm
    """
    if len(thicknesses) != len(moduli):
        raise ClampwrightError(
            words(
                "each layer needs a thickness and a modulus, but there are {thicknesses}"
                " thicknesses and {moduli} moduli",
                thicknesses=len(thicknesses),
                moduli=len(moduli),
            )
        )
    layers = list(zip(thicknesses, moduli, strict=True))
    return frusta(layers, d=d, face=face, half_angle=half_angle).stiffness


def parts_stiffness_of_halves(
    *, d: float, grip: float, E: float, material: str, E_other: float, material_other: str
) -> float:
    """Stiffness of two equally thick parts by the exponential fit.

    See `clampwright.joint.rival_stiffness.exponential_halves`.

    Parameters
    ----------
    d : float
        Nominal diameter, mm.
    grip : float
        Whole grip, mm.
    E, E_other : float
        Young's moduli of the two parts, MPa.
    material, material_other : str
        Their names in the fit.

    Returns
    -------
    float
        N/mm.

    Raises
    ------
    OutOfRange, ClampwrightError
        As `clampwright.joint.rival_stiffness.exponential_stiffness`.

    References
    ----------
    Solutions manual to Shigley, 8th ed., Prob. 8-19.

    Examples
    --------
    >>> k = parts_stiffness_of_halves(d=16, grip=40, E=100_000, material="grey iron",
    ...                               E_other=207_000, material_other="steel")
    >>> print(f"{k / 1000:.0f} kN/mm")
    2161 kN/mm
    """
    return exponential_halves(d=d, grip=grip, halves=((E, material), (E_other, material_other)))


def nut_factor_u_rel_from_friction(
    *,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    mu_thread_u_rel: ArrayLike,
    mu_bearing_u_rel: ArrayLike,
    correlation: ArrayLike = 1.0,
) -> Floats:
    """Relative uncertainty of K, see `clampwright.joint.uncertainty.nut_factor_u_rel`.

    Parameters
    ----------
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    mu_thread_u_rel, mu_bearing_u_rel : array_like
        Their relative standard uncertainties.
    correlation : array_like
        Between the two, −1 to 1.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    JCGM 100:2008, 5.2 (from memory).

    Examples
    --------
    >>> u = nut_factor_u_rel_from_friction(
    ...     P=1.5, d2=9.0257, bearing_diameter=12.815, mu_thread=0.12, mu_bearing=0.10,
    ...     mu_thread_u_rel=0.1, mu_bearing_u_rel=0.1)
    >>> print(f"{u:.2%}")
    8.41%
    """
    shares = torque_shares(
        P=P, d2=d2, bearing_diameter=bearing_diameter, mu_thread=mu_thread, mu_bearing=mu_bearing
    )
    return nut_factor_u_rel(
        shares,
        mu_thread_u_rel=mu_thread_u_rel,
        mu_bearing_u_rel=mu_bearing_u_rel,
        correlation=correlation,
    )
