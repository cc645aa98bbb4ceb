"""Turning a fastener by an angle, with plain numbers in instead of a fastening and its steps.

As `clampwright.joint.plain_forms`: a form to fill in has one field per number; these functions put
the numbers together and add nothing of their own.
"""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from clampwright.errors import ClampwrightError
from clampwright.joint._checks import Floats
from clampwright.joint.hardening import GradientPoint, gradient_point, hardening_line
from clampwright.joint.model import Fastening
from clampwright.joint.stress_strain import RambergOsgood
from clampwright.joint.torque_angle import Step, follow
from clampwright.words import words


@dataclass(frozen=True, slots=True)
class Turned:
    """A fastener after a snug torque and an angle.

    Parameters
    ----------
    clamp : float or ndarray
        Clamp load, N.
    torque : float or ndarray
        Torque at which it would turn on, N·m.
    plastic_stretch : float or ndarray
        Lasting stretch, mm.
    yielded : bool or ndarray of bool
    snug_clamp : float or ndarray
        Clamp load after the snug torque alone, N.
    """

    clamp: Floats
    torque: Floats
    plastic_stretch: Floats
    yielded: object
    snug_clamp: Floats


def clamp_from_snug_and_angle(
    *,
    snug_torque: float,
    angle: float,
    d: float,
    P: float,
    d2: float,
    d3: float,
    stress_area: float,
    bearing_outer: float,
    bearing_inner: float,
    yield_stress: float,
    clamp_rate: float,
    plastic_length: float,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    tangent_modulus: float = 2050.0,
    prevailing_torque: float = 0.0,
) -> Turned:
    """Clamp load after a snug torque and an angle, see `clampwright.joint.torque_angle.follow`.

    Parameters
    ----------
    snug_torque : float
        N·m.
    angle : float
        Turned on from snug, degrees.
    d, P, d2, d3 : float
        Nominal diameter, pitch, pitch and root diameter, mm.
    stress_area : float
        mm².
    bearing_outer, bearing_inner : float
        Diameters of the bearing face, mm.
    yield_stress : float
        MPa.
    clamp_rate : float
        Clamp load per degree while elastic, N/deg.
    plastic_length : float
        Length that stretches plastically: free thread in the grip and half the diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    tangent_modulus : float
        Slope of the stress after yield, MPa.
    prevailing_torque : float
        N·m.

    Returns
    -------
    Turned

    Raises
    ------
    OutOfRange, Missing
        As `clampwright.joint.torque_angle.follow`.

    References
    ----------
    Derived, bilinear law; torsion as in VDI 2230-1 (plastic).

    Examples
    --------
    >>> found = clamp_from_snug_and_angle(
    ...     snug_torque=30, angle=90, d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99,
    ...     bearing_outer=14.63, bearing_inner=11, yield_stress=940, clamp_rate=829.66,
    ...     plastic_length=22, mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{found.clamp / 1000:.2f} kN, {found.torque:.2f} N·m")
    49.55 kN, 74.56 N·m
    """
    fastening = Fastening(
        d=d,
        P=P,
        d2=d2,
        d3=d3,
        stress_area=stress_area,
        bearing_outer=bearing_outer,
        bearing_inner=bearing_inner,
        yield_stress=yield_stress,
        clamp_rate=clamp_rate,
        plastic_length=plastic_length,
        prevailing_torque=prevailing_torque,
        tangent_modulus=tangent_modulus,
    )
    snug, last = follow(
        fastening,
        [Step("snug", snug_torque), Step("angle", angle)],
        mu_thread=mu_thread,
        mu_bearing=mu_bearing,
    )
    stretch = last.plastic_stretch
    if stretch is None:  # with yield stress and plastic length given there is always one
        raise ClampwrightError(words("the plastic stretch of this fastener is not known"))
    return Turned(last.clamp, last.torque, stretch, last.yielded, snug.clamp)


def clamp_at_angle_ramberg_osgood(
    angle: ArrayLike,
    *,
    d: float,
    P: float,
    d2: float,
    d3: float,
    stress_area: float,
    bearing_outer: float,
    bearing_inner: float,
    yield_stress: float,
    hardening_exponent: float,
    clamp_rate: float,
    plastic_length: float,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
) -> Floats:
    """Clamp load at an angle on a curve without a sharp onset of yield.

    Parameters
    ----------
    angle : array_like
        From the elastic origin, degrees.
    d, P, d2, d3, stress_area, bearing_outer, bearing_inner, yield_stress, clamp_rate : float
        As `clamp_from_snug_and_angle`.
    hardening_exponent : float
        n of Ramberg and Osgood.
    plastic_length : float
        mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange, Missing
        As `clampwright.joint.hardening.hardening_line`.

    References
    ----------
    Derived, see `clampwright.joint.hardening.hardening_line`.

    Examples
    --------
    >>> clamp = clamp_at_angle_ramberg_osgood(
    ...     60, d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...     bearing_inner=11, yield_stress=940, hardening_exponent=15, clamp_rate=829.66,
    ...     plastic_length=22, mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{clamp / 1000:.2f} kN")
    46.03 kN
    """
    line = hardening_line(
        Fastening(
            d=d,
            P=P,
            d2=d2,
            d3=d3,
            stress_area=stress_area,
            bearing_outer=bearing_outer,
            bearing_inner=bearing_inner,
            clamp_rate=clamp_rate,
            plastic_length=plastic_length,
        ),
        RambergOsgood(yield_stress, hardening_exponent),
        mu_thread=mu_thread,
        mu_bearing=mu_bearing,
    )
    return line.clamp_at(angle)


def gradient_point_ramberg_osgood(
    *,
    d: float,
    P: float,
    d2: float,
    d3: float,
    stress_area: float,
    bearing_outer: float,
    bearing_inner: float,
    yield_stress: float,
    hardening_exponent: float,
    clamp_rate: float,
    plastic_length: float,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    share: float = 0.5,
) -> GradientPoint:
    """Where yield-controlled tightening stops, see `clampwright.joint.hardening.gradient_point`.

    Parameters
    ----------
    d, P, d2, d3, stress_area, bearing_outer, bearing_inner, yield_stress, clamp_rate : float
        As `clamp_from_snug_and_angle`.
    hardening_exponent : float
        n of Ramberg and Osgood.
    plastic_length : float
        mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    share : float
        Share of the elastic slope at which it stops.

    Returns
    -------
    GradientPoint

    Raises
    ------
    OutOfRange, Missing
        As `clampwright.joint.hardening.gradient_point`.

    References
    ----------
    As `clampwright.joint.hardening.gradient_point`.

    Examples
    --------
    >>> point = gradient_point_ramberg_osgood(
    ...     d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63,
    ...     bearing_inner=11, yield_stress=940, hardening_exponent=15, clamp_rate=829.66,
    ...     plastic_length=22, mu_thread=0.12, mu_bearing=0.10)
    >>> print(f"{point.clamp / 1000:.2f} kN, {point.torque:.2f} N·m")
    45.37 kN, 68.27 N·m
    """
    return gradient_point(
        Fastening(
            d=d,
            P=P,
            d2=d2,
            d3=d3,
            stress_area=stress_area,
            bearing_outer=bearing_outer,
            bearing_inner=bearing_inner,
            clamp_rate=clamp_rate,
            plastic_length=plastic_length,
        ),
        RambergOsgood(yield_stress, hardening_exponent),
        mu_thread=mu_thread,
        mu_bearing=mu_bearing,
        share=share,
    )
