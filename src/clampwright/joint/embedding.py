"""Embedding: rough faces flatten after tightening, and clamp load is lost.

Two published figures for the amount disagree by a factor of about 1.7: the table of newer editions
and the closed form of 1986. The table is the one to use; the closed form is a lower bound.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from clampwright.joint import _checks, _shapes
from clampwright.joint._checks import Floats
from clampwright.joint._tables import rows

Load = Literal["tension", "shear"]

_MM_PER_UM = 1e-3
TABLE = "VDI 2230-1, Table 5, from memory"
OLD_FORM = "VDI 2230:1986, from memory; range ours"


def embedding_amount(
    *, roughness: ArrayLike, load: Load, faces: int = 2, interfaces: int = 1, threads: int = 1
) -> Floats:
    """Amount by which a joint settles, from the table.

    Parameters
    ----------
    roughness : array_like
        Roughness Rz of the faces, µm; above 0 and below 160.
    load : {"tension", "shear"}
        How the joint is loaded in service.
    faces : int
        Faces under head and nut; 1 for a screw in a tapped hole, 2 for a bolt with nut.
    interfaces : int
        Faces between the clamped parts, counted as pairs.
    threads : int
        Threads under load; 1 for a bolt, 2 for a stud with nut.

    Returns
    -------
    float or ndarray
        f_Z, mm.

    Raises
    ------
    OutOfRange
        A roughness outside the table, or a number below 0.
    ClampwrightError
        `load` is not one of those named.

    Notes
    -----
    Hard metal faces only: coatings, paint and gaskets settle more; measure.

    References
    ----------
    VDI 2230-1, Table 5, from memory. It could not be reconciled with `embedding_amount_1986`.

    Examples
    --------
    >>> print(f"{embedding_amount(roughness=6.3, load='tension') * 1000:.1f} µm")
    9.5 µm
    """
    Rz = _checks.above("roughness", roughness, unit="µm")
    table = [row for row in rows("embedding") if row["load"] == load]
    _shapes.one_of("load", load, sorted({row["load"] for row in rows("embedding")}))
    ends = [float(row["rz_below_um"]) for row in table]
    below = np.nextafter(ends[-1], 0.0)
    _checks.within("roughness", Rz, low=0.0, high=float(below), unit="µm", source=TABLE)
    counts = {
        "thread_um": _shapes.whole("threads", threads, low=0),
        "face_um": _shapes.whole("faces", faces, low=0),
        "interface_um": _shapes.whole("interfaces", interfaces, low=0),
    }
    sums = [sum(number * float(row[part]) for part, number in counts.items()) for row in table]
    return np.array(sums)[np.searchsorted(ends, Rz, side="right")] * _MM_PER_UM


def embedding_amount_1986(*, grip: ArrayLike, d: ArrayLike) -> Floats:
    """Amount by which a joint settles, by the closed form of 1986: a lower bound.

    ``f_Z = 3.29 (l_K/d)^0.34`` µm

    Parameters
    ----------
    grip : array_like
        Clamped length l_K, mm; 1 to 15 times `d`.
    d : array_like
        Nominal diameter, mm.

    Returns
    -------
    float or ndarray
        f_Z, mm.

    Raises
    ------
    OutOfRange
        An argument is not positive, or the ratio lies outside its range.

    Notes
    -----
    About half of what the newer table gives for an M10 of 45 mm: show it beside the table, do not
    use it alone.

    References
    ----------
    VDI 2230:1986, from memory; the range of l_K/d is ours.

    Examples
    --------
    >>> print(f"{embedding_amount_1986(grip=45, d=10) * 1000:.1f} µm")
    5.5 µm
    """
    long = _checks.above("grip", grip, unit="mm")
    nominal = _checks.above("d", d, unit="mm")
    _checks.shapes_fit(grip=long, d=nominal)
    ratio = _checks.within("grip/d", long / nominal, low=1.0, high=15.0, source=OLD_FORM)
    return 3.29 * ratio**0.34 * _MM_PER_UM


def embedding_loss(
    amount: ArrayLike, *, bolt_resilience: ArrayLike, parts_resilience: ArrayLike
) -> Floats:
    """Clamp load lost when a joint settles, ``F_Z = f_Z / (δ_S + δ_P)``.

    Parameters
    ----------
    amount : array_like
        f_Z, mm; 0 or more.
    bolt_resilience, parts_resilience : array_like
        δ_S and δ_P, mm/N.

    Returns
    -------
    float or ndarray
        N. Short stiff bolts lose most.

    Raises
    ------
    OutOfRange
        An argument is negative, or the bolt's resilience not positive.

    References
    ----------
    VDI 2230-1, 5.4.2.1, from memory.

    Examples
    --------
    >>> loss = embedding_loss(0.0095, bolt_resilience=4.3503e-6, parts_resilience=0.67183e-6)
    >>> print(f"{loss:.1f} N")
    1891.6 N
    """
    settled = _checks.not_negative("amount", amount, unit="mm")
    bolt = _checks.above("bolt_resilience", bolt_resilience, unit="mm/N")
    parts = _checks.not_negative("parts_resilience", parts_resilience, unit="mm/N")
    _checks.shapes_fit(amount=settled, bolt_resilience=bolt, parts_resilience=parts)
    return settled / (bolt + parts)
