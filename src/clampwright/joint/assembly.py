"""Assembly preload and torque at a share of the yield stress, as printed tables give them."""

from __future__ import annotations

from dataclasses import dataclass

from numpy.typing import ArrayLike

from clampwright.joint import _arms, _checks
from clampwright.joint._checks import Floats
from clampwright.joint.stress import EDITION, ThreadForm, Torsion, checked_arm, yield_clamp

TABLE_UTILISATION = 0.9
"""Share of the yield stress used by the assembly tables (VDI 2230-1, Table A1)."""


@dataclass(frozen=True, slots=True)
class Assembly:
    """Preload and torque that use a given share of the yield stress.

    Parameters
    ----------
    clamp : float or ndarray
        Clamp load, N.
    torque : float or ndarray
        Torque, N·m.
    edition : str
        Which reading of the torsion they belong to.
    """

    clamp: Floats
    torque: Floats
    edition: str


def assembly(
    *,
    yield_stress: ArrayLike,
    stress_area: ArrayLike,
    P: ArrayLike,
    d2: ArrayLike,
    bearing_diameter: ArrayLike,
    mu_thread: ArrayLike,
    mu_bearing: ArrayLike,
    utilisation: ArrayLike = TABLE_UTILISATION,
    prevailing_torque: ArrayLike = 0.0,
    torsion: Torsion = "plastic",
    thread_form: ThreadForm = "power_screw",
) -> Assembly:
    """Preload and torque at a share of the yield stress, as the assembly tables give them.

    Parameters
    ----------
    yield_stress : array_like
        R_p0.2, MPa.
    stress_area : array_like
        Smallest loaded section, mm²; the tables use the unrounded area from (d2 + d3)/2.
    P, d2, bearing_diameter : array_like
        Pitch, pitch diameter, effective bearing diameter, mm.
    mu_thread, mu_bearing : array_like
        Friction coefficients.
    utilisation : array_like
        Share of the yield stress, above 0 to 1.
    prevailing_torque : array_like
        Prevailing torque, N·m.
    torsion : {"plastic", "elastic"}
        Reading of the torsion, that is, edition of the table.
    thread_form : {"linear", "power_screw"}
        The tables follow the power-screw form; the linear one is within 1 % of it.

    Returns
    -------
    Assembly
        Clamp load in N, torque in N·m, and the edition they belong to.

    Raises
    ------
    OutOfRange
        An argument is NaN, negative or impossible.

    References
    ----------
    VDI 2230-1 (2001, 2003, 2015), Table A1.

    Examples
    --------
    >>> at90 = assembly(yield_stress=940, stress_area=61.199, P=1.25, d2=9.1881,
    ...                 bearing_diameter=12.815, mu_thread=0.12, mu_bearing=0.12)
    >>> print(f"{at90.clamp / 1000:.1f} kN, {at90.torque:.1f} N·m: {at90.edition}")
    46.4 kN, 74.7 N·m: VDI 2230-1, 2001 and later (plastic torsion, factor 3/2)
    """
    clamp = yield_clamp(
        yield_stress=yield_stress,
        stress_area=stress_area,
        P=P,
        d2=d2,
        mu_thread=mu_thread,
        utilisation=utilisation,
        torsion=torsion,
        thread_form=thread_form,
    )
    thread = checked_arm(P, d2, mu_thread, thread_form)
    head = _arms.checked_bearing_arm(bearing_diameter, mu_bearing)
    prevailing = _checks.not_negative("prevailing_torque", prevailing_torque, unit="N·m")
    _checks.shapes_fit(clamp=clamp, bearing=head, prevailing_torque=prevailing)
    torque = clamp * (thread + head) / _arms.N_MM_PER_N_M + prevailing
    return Assembly(clamp, torque, EDITION[torsion])
