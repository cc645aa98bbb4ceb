"""Limits of size of a metric thread, 6g on the bolt and 6H in the nut, where it is weakest.

Only the four limits that matter to stripping are here: thinnest bolt, widest nut.
"""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.errors import OutOfRange
from clampwright.joint import _checks
from clampwright.joint._tables import rows
from clampwright.standards.profile import minor_diameter, pitch_diameter
from clampwright.words import words

_MM_PER_UM = 1e-3
_SAME_PITCH = 1e-6


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of size at which a metric thread is weakest, mm.

    Parameters
    ----------
    d_min : float
        Smallest outside diameter of the bolt thread.
    d2_min : float
        Smallest pitch diameter of the bolt thread.
    D1_max : float
        Largest minor diameter of the nut thread.
    D2_max : float
        Largest pitch diameter of the nut thread.
    source : str
    """

    d_min: float
    d2_min: float
    D1_max: float
    D2_max: float
    source: str


def weakest_limits(*, d: float, P: float) -> ThreadLimits:
    """Limits of size of a 6g bolt thread and a 6H nut thread at which both are weakest.

    Parameters
    ----------
    d : float
        Nominal diameter, mm; above 2.8 and up to 45.
    P : float
        Pitch, mm; one that the table has for this diameter.

    Returns
    -------
    ThreadLimits

    Raises
    ------
    OutOfRange
        The table has no such thread, or a number is not positive.

    Notes
    -----
    Before coating; plated and other tolerance fields differ.

    References
    ----------
    ISO 965-1, from memory; each tolerance lies within one step of preferred numbers of the
    standard's formula, and M10 agrees with printed limits.

    Examples
    --------
    >>> weak = weakest_limits(d=10, P=1.5)
    >>> [round(size, 3) for size in (weak.d_min, weak.d2_min, weak.D1_max, weak.D2_max)]
    [9.732, 8.862, 8.676, 9.206]
    """
    nominal = float(_checks.above("d", d, unit="mm"))
    pitch = float(_checks.above("P", P, unit="mm"))
    for row in rows("thread_tolerances"):
        fits = float(row["over_mm"]) < nominal <= float(row["up_to_mm"])
        if fits and abs(float(row["P_mm"]) - pitch) < _SAME_PITCH:
            break
    else:
        raise OutOfRange(
            words(
                "there are no thread limits for d {d:g} mm with P {P:g} mm;"
                " give the limits of size yourself",
                d=nominal,
                P=pitch,
            ),
            value=nominal,
            low=2.8,
            high=45.0,
            source="ISO 965-1, from memory",
        )
    es, Td, Td2, TD2, TD1 = (
        float(row[name]) * _MM_PER_UM for name in ("es_um", "Td_um", "Td2_um", "TD2_um", "TD1_um")
    )
    # ISO 724 rounds the basic diameters to the micrometre before tolerances are applied.
    d2 = round(pitch_diameter(nominal, pitch), 3)
    D1 = round(minor_diameter(nominal, pitch), 3)
    return ThreadLimits(
        d_min=nominal - es - Td,
        d2_min=d2 - es - Td2,
        D1_max=D1 + TD1,
        D2_max=d2 + TD2,
        source=row["source"],
    )
