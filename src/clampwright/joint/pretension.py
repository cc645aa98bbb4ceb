"""Minimum pretensions of structural bolts and anchor rods: the relation and the printed tables."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from numpy.typing import ArrayLike

from clampwright.errors import Missing, OutOfRange
from clampwright.joint import _checks
from clampwright.joint._checks import Floats
from clampwright.joint._tables import Row, rows
from clampwright.joint.turn_of_nut import RodGrade, rod_row
from clampwright.standards.profile import MM_PER_INCH, unified_stress_area
from clampwright.standards.tables import cited
from clampwright.units import factor
from clampwright.words import words

Grade = Literal["A325", "A490"]

SHARE = 0.70
"""Minimum pretension over tensile strength (RCSC, AISC 360)."""

_SAME_SIZE = 0.05  # mm


@dataclass(frozen=True, slots=True)
class Pretension:
    """A tabulated clamp load.

    Parameters
    ----------
    clamp : float
        N.
    kip : int
        As printed.
    edition : str
    source : str
    flag : str
        What is doubtful about the figure.
    """

    clamp: float
    kip: int
    edition: str
    source: str
    flag: str = ""


def pretension_from_strength(
    *, stress_area: ArrayLike, tensile_strength: ArrayLike, share: ArrayLike = SHARE
) -> Floats:
    """Minimum pretension of a structural bolt, ``F = 0.70 R_m A_t``.

    Parameters
    ----------
    stress_area : array_like
        Tensile stress area, mm².
    tensile_strength : array_like
        Least tensile strength, MPa.
    share : array_like
        0.70 for structural bolts, 0.5 or 0.6 for anchor rods.

    Returns
    -------
    float or ndarray
        N; tables round it to the kip.

    Raises
    ------
    OutOfRange
        An argument is not positive, or the share above 1.

    References
    ----------
    ANSI/AISC 360-05 Table J3.1; RCSC Specification.

    Examples
    --------
    >>> load = pretension_from_strength(stress_area=0.334 * 25.4**2, tensile_strength=827.4)
    >>> print(f"{load / 4448.22:.1f} kip")
    28.1 kip
    """
    area = _checks.above("stress_area", stress_area, unit="mm²")
    strength = _checks.above("tensile_strength", tensile_strength, unit="MPa")
    _checks.above("share", share)
    part = _checks.within("share", share, low=0.0, high=1.0, source="share of strength")
    _checks.shapes_fit(stress_area=area, tensile_strength=strength, share=part)
    return part * strength * area


def minimum_pretension(*, d: float, grade: Grade, edition: str = "2014") -> Pretension:
    """Minimum pretension of a structural bolt from the table.

    Parameters
    ----------
    d : float
        Nominal diameter, mm; an inch size from 1/2 to 1-1/2.
    grade : {"A325", "A490"}
    edition : {"2014", "2005"}
        2005 takes 105 ksi for A325 above 1 in; 2014 takes 120 ksi for all sizes.

    Returns
    -------
    Pretension

    Raises
    ------
    OutOfRange
        The table does not have this size.
    Missing
        Nor this grade in this edition.

    References
    ----------
    RCSC Specification 2014 Table 8.1, from memory; ANSI/AISC 360-05 Table J3.1. All agree with
    `pretension_from_strength` to the rounding.

    Examples
    --------
    >>> minimum_pretension(d=19.05, grade="A325").kip
    28
    """
    table = [
        row
        for row in rows("structural_pretension")
        if row["grade"] == grade and row["edition"] == edition
    ]
    if not table:
        known = sorted(
            {f"{row['grade']} {row['edition']}" for row in rows("structural_pretension")}
        )
        raise Missing(
            words(
                "there is no table for {grade} in edition {edition}; known: {known}",
                grade=str(grade),
                edition=str(edition),
                known=", ".join(known),
            ),
            "grade",
        )
    row = _by_size(table, d)
    kip = int(row["pretension_kip"])
    return Pretension(kip * factor("kip", "N"), kip, edition, cited(row), row["flag"])


def snug_pretension(*, d: float) -> Pretension:
    """Pretension that counts as snug in the rotational-capacity test: about 10 % of the minimum.

    Parameters
    ----------
    d : float
        Nominal diameter, mm; an inch size from 1/2 to 1-1/2.

    Returns
    -------
    Pretension
        Allowed up to 2 kip more.

    Raises
    ------
    OutOfRange
        The table does not have this size.

    References
    ----------
    Rotational-capacity test procedure of a county transport department.

    Examples
    --------
    >>> snug_pretension(d=25.4).kip
    5
    """
    row = _by_size(rows("structural_snug"), d)
    kip = int(row["snug_kip"])
    return Pretension(kip * factor("kip", "N"), kip, "", cited(row), row["flag"])


def anchor_rod_pretension(*, d: float, threads_per_inch: float, grade: RodGrade) -> Floats:
    """Pretension of an anchor rod that turn-of-nut is to reach.

    ``F = 0.5 (grade 36) or 0.6 (55, 105) · R_m A_t``

    Parameters
    ----------
    d : float
        Nominal diameter, mm; up to 4 in.
    threads_per_inch : float
        n, 1/in.
    grade : {"36", "55", "105"}
        ASTM F1554 grade.

    Returns
    -------
    float
        N.

    Raises
    ------
    OutOfRange
        A number is not positive, or the diameter outside the table.
    ClampwrightError
        The grade is not one of those named.

    References
    ----------
    AISC Design Guide 1, 2nd ed., Table A1.

    Examples
    --------
    >>> load = anchor_rod_pretension(d=38.1, threads_per_inch=6, grade="36")
    >>> print(f"{load / 4448.22:.1f} kip")
    40.8 kip
    """
    row = rod_row(d, grade)
    n = float(_checks.above("threads_per_inch", threads_per_inch, unit="1/in"))
    inch = d / MM_PER_INCH
    _checks.smaller("pitch", _checks.number("pitch", MM_PER_INCH / n), "d", _checks.number("d", d))
    return pretension_from_strength(
        stress_area=unified_stress_area(inch, n) * MM_PER_INCH**2,
        tensile_strength=float(row["tensile_ksi"]) * factor("ksi", "MPa"),
        share=float(row["pretension_share"]),
    )


def inch_size(text: str) -> float:
    """Return an inch size of the tables, such as ``1-1/8``, in mm.

    Parameters
    ----------
    text : str

    Returns
    -------
    float

    Raises
    ------
    Unreadable
        It is no number or fraction.

    References
    ----------
    1 in is 25.4 mm exactly (international yard and pound agreement, 1959).

    Examples
    --------
    >>> inch_size("1-1/8")
    28.575
    """
    whole, _, part = text.rpartition("-")
    return float((Fraction(part) + Fraction(whole or 0)) * Fraction("25.4"))


def _by_size(table: tuple[Row, ...] | list[Row], d: float) -> Row:
    nominal = float(_checks.above("d", d, unit="mm"))
    for row in table:
        if abs(inch_size(row["size_in"]) - nominal) < _SAME_SIZE:
            return row
    sizes = [row["size_in"] for row in table]
    raise OutOfRange(
        words(
            "d is {value:g} mm; the table has these inch sizes only: {sizes}",
            value=nominal,
            sizes=", ".join(sizes),
        ),
        value=nominal,
        low=inch_size(sizes[0]),
        high=inch_size(sizes[-1]),
        source=table[0]["source"],
    )
