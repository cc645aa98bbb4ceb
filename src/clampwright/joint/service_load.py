"""What a working load does to a tightened joint: who takes how much of it, and what is in hand.

The load acts along the bolt at the faces of the joint. Loads off the axis, and loads introduced
within the parts, need more than this.
"""

from __future__ import annotations

from numpy.typing import ArrayLike

from clampwright.joint import _checks
from clampwright.joint._checks import Floats


def joint_constant(*, bolt_stiffness: ArrayLike, parts_stiffness: ArrayLike) -> Floats:
    """Share of a working load that the bolt feels, ``C = k_b / (k_b + k_m)``.

    Parameters
    ----------
    bolt_stiffness, parts_stiffness : array_like
        k_b and k_m, N/mm.

    Returns
    -------
    float or ndarray
        Between 0 and 1.

    Raises
    ------
    OutOfRange
        A stiffness is not positive.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-24).

    Examples
    --------
    >>> round(float(joint_constant(bolt_stiffness=6.50, parts_stiffness=13.8)), 4)
    0.3202
    """
    bolt = _checks.above("bolt_stiffness", bolt_stiffness, unit="N/mm")
    parts = _checks.above("parts_stiffness", parts_stiffness, unit="N/mm")
    _checks.shapes_fit(bolt_stiffness=bolt, parts_stiffness=parts)
    return bolt / (bolt + parts)


def bolt_load(clamp: ArrayLike, *, load: ArrayLike, joint_constant: ArrayLike) -> Floats:
    """Load in the bolt while the parts still touch, ``F_b = F + C P``.

    Parameters
    ----------
    clamp : array_like
        Clamp load F, N; 0 or more.
    load : array_like
        Working load P pulling the parts apart, N; below the separating load F/(1 − C).
    joint_constant : array_like
        C, 0 to 1.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange
        An argument is negative, C above 1, or the parts come apart.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-24).

    Examples
    --------
    >>> round(float(bolt_load(25.0, load=6.0, joint_constant=0.32)), 2)
    26.92
    """
    force, pull, share = _inputs(clamp, load, joint_constant)
    left = force - (1.0 - share) * pull
    _checks.not_negative("clamp load left between the parts", left, unit="N")
    return force + share * pull


def parts_load(clamp: ArrayLike, *, load: ArrayLike, joint_constant: ArrayLike) -> Floats:
    """Clamp load left between the parts, ``F_m = F − (1 − C) P``.

    Parameters
    ----------
    clamp, load, joint_constant : array_like
        As `bolt_load`.

    Returns
    -------
    float or ndarray
        N.

    Raises
    ------
    OutOfRange
        As `bolt_load`.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-25).

    Examples
    --------
    >>> round(float(parts_load(25.0, load=6.0, joint_constant=0.32)), 2)
    20.92
    """
    force, pull, share = _inputs(clamp, load, joint_constant)
    return _checks.not_negative(
        "clamp load left between the parts", force - (1.0 - share) * pull, unit="N"
    )


def separation_factor(clamp: ArrayLike, *, load: ArrayLike, joint_constant: ArrayLike) -> Floats:
    """How many times the working load would part the joint, ``n_0 = F / [P (1 − C)]``.

    Parameters
    ----------
    clamp : array_like
        F, N; 0 or more.
    load : array_like
        P, N; above 0.
    joint_constant : array_like
        C, 0 to below 1.

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument lies outside its range.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-30).

    Examples
    --------
    >>> round(float(separation_factor(14.4, load=6.0, joint_constant=0.368)), 2)
    3.8
    """
    force, pull, share = _inputs(clamp, load, joint_constant)
    _checks.above("load", pull, unit="N")
    rest = _checks.above("1 − joint_constant", 1.0 - share)
    return force / (pull * rest)


def load_factor(
    clamp: ArrayLike,
    *,
    load: ArrayLike,
    joint_constant: ArrayLike,
    proof_stress: ArrayLike,
    stress_area: ArrayLike,
) -> Floats:
    """How many times the working load would bring the bolt to proof, ``n_L = (S_p A_t − F)/(C P)``.

    Parameters
    ----------
    clamp : array_like
        F, N; below the proof load.
    load : array_like
        P per bolt, N; above 0.
    joint_constant : array_like
        C, above 0 up to 1.
    proof_stress : array_like
        S_p, MPa.
    stress_area : array_like
        A_t, mm².

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or the clamp load exceeds the proof load.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-29).

    Examples
    --------
    >>> n = load_factor(37_900, load=10_600, joint_constant=0.253, proof_stress=600,
    ...                 stress_area=84.3)
    >>> round(float(n), 2)
    4.73
    """
    force, pull, share = _inputs(clamp, load, joint_constant)
    strength = _proof(proof_stress, stress_area)
    _checks.shapes_fit(load_and_clamp=force + pull + share, proof=strength)
    spare = _checks.not_negative("proof load − clamp", strength - force, unit="N")
    _checks.above("load", pull, unit="N")
    _checks.above("joint_constant", share)
    return spare / (share * pull)


def yield_factor(
    clamp: ArrayLike,
    *,
    load: ArrayLike,
    joint_constant: ArrayLike,
    proof_stress: ArrayLike,
    stress_area: ArrayLike,
) -> Floats:
    """Proof load over the load in the bolt, ``n_p = S_p A_t / (C P + F)``.

    Parameters
    ----------
    clamp, load, joint_constant : array_like
        As `load_factor`.
    proof_stress : array_like
        S_p, MPa.
    stress_area : array_like
        A_t, mm².

    Returns
    -------
    float or ndarray

    Raises
    ------
    OutOfRange
        An argument lies outside its range, or neither clamp nor working load is there.

    References
    ----------
    Shigley's Mechanical Engineering Design, 9th ed., Eq. (8-28).

    Examples
    --------
    >>> n = yield_factor(14.4, load=6.0, joint_constant=0.368, proof_stress=85, stress_area=0.226)
    >>> round(float(n), 2)
    1.16
    """
    force, pull, share = _inputs(clamp, load, joint_constant)
    strength = _proof(proof_stress, stress_area)
    _checks.shapes_fit(load_and_clamp=force + pull + share, proof=strength)
    return strength / _checks.above("load in the bolt", force + share * pull, unit="N")


def _inputs(
    clamp: ArrayLike, load: ArrayLike, joint_constant: ArrayLike
) -> tuple[Floats, Floats, Floats]:
    force = _checks.not_negative("clamp", clamp, unit="N")
    pull = _checks.not_negative("load", load, unit="N")
    share = _checks.within(
        "joint_constant", joint_constant, low=0.0, high=1.0, source="share of the load"
    )
    _checks.shapes_fit(clamp=force, load=pull, joint_constant=share)
    return force, pull, share


def _proof(proof_stress: ArrayLike, stress_area: ArrayLike) -> Floats:
    stress = _checks.above("proof_stress", proof_stress, unit="MPa")
    area = _checks.above("stress_area", stress_area, unit="mm²")
    _checks.shapes_fit(proof_stress=stress, stress_area=area)
    return stress * area
