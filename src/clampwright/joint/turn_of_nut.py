"""Turn-of-nut tightening of structural bolts and anchor rods: the rotations.

Rotation is counted from snug tight; all material within the grip is steel. These are acceptance
values of a specification, to be looked up, not computed; edition and tolerance come with them. The
pretensions that they are to reach stand in `clampwright.joint.pretension`.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from clampwright.errors import OutOfRange
from clampwright.joint import _checks, _shapes
from clampwright.joint._tables import Row, rows
from clampwright.standards.profile import MM_PER_INCH
from clampwright.words import words

RodGrade = Literal["36", "55", "105"]

_FULL_TURN = 360.0


@dataclass(frozen=True, slots=True)
class Rotation:
    """A rotation from snug tight.

    Parameters
    ----------
    turns : Fraction
    tolerance_minus, tolerance_plus : float or None
        Degrees; None where the source gives none.
    source : str
    flag : str
        What is doubtful about the figure.
    """

    turns: Fraction
    tolerance_minus: float | None
    tolerance_plus: float | None
    source: str
    flag: str = ""

    @property
    def degrees(self) -> float:
        """The rotation in degrees."""
        return float(self.turns) * _FULL_TURN


def turn_of_nut(*, length: float, d: float, sloped_faces: int = 0) -> Rotation:
    """Rotation from snug tight for a structural bolt.

    Parameters
    ----------
    length : float
        Bolt length from under the head, mm; up to 12 d.
    d : float
        Nominal diameter, mm.
    sloped_faces : int
        Outer faces that slope, by no more than 1 in 20: 0, 1 or 2.

    Returns
    -------
    Rotation

    Raises
    ------
    OutOfRange
        The bolt is longer than 12 d: the rotation must be found by test. Or a number is not
        positive, or more than two faces slope.

    References
    ----------
    RCSC Specification 2014 Table 8.2, same in 2020, as quoted publicly; tolerance from memory of
    older editions.

    Examples
    --------
    >>> found = turn_of_nut(length=76.2, d=19.05)
    >>> found.turns, round(found.degrees), found.tolerance_plus
    (Fraction(1, 3), 120, 30.0)
    """
    _shapes.whole("sloped_faces", sloped_faces, low=0, high=2)
    table = [row for row in rows("turn_of_nut") if int(row["sloped_faces"]) == sloped_faces]
    row = _by_ratio(table, length, d)
    allowed = float(row["tolerance_deg"])
    return Rotation(Fraction(row["turns"]), allowed, allowed, row["source"], row["flag"])


def rotation_capacity(*, length: float, d: float) -> Rotation:
    """Rotation that a bolt of a lot must bear in the rotational-capacity test without failing.

    Parameters
    ----------
    length : float
        Bolt length, mm; up to 12 d.
    d : float
        Nominal diameter, mm.

    Returns
    -------
    Rotation

    Raises
    ------
    OutOfRange
        The bolt is longer than 12 d, or a number not positive.

    References
    ----------
    Rotational-capacity test procedures of transport departments.

    Examples
    --------
    >>> rotation_capacity(length=130, d=19.05).degrees
    360.0
    """
    row = _by_ratio(rows("rotation_capacity"), length, d)
    return Rotation(Fraction(row["turns"]), None, None, row["source"], row["flag"])


def anchor_rod_turn(*, d: float, grade: RodGrade) -> Rotation:
    """Rotation from snug tight of an anchor rod's nut.

    Parameters
    ----------
    d : float
        Nominal diameter, mm; up to 4 in.
    grade : {"36", "55", "105"}
        ASTM F1554 grade.

    Returns
    -------
    Rotation
        Tolerance upward only.

    Raises
    ------
    OutOfRange
        The diameter lies outside the table.
    ClampwrightError
        The grade is not one of those named.

    References
    ----------
    AISC Design Guide 1, 2nd ed., Tables A1 and A2.

    Examples
    --------
    >>> anchor_rod_turn(d=19.05, grade="55").degrees
    120.0
    """
    row = rod_row(d, grade)
    return Rotation(
        Fraction(row["turns"]), 0.0, float(row["tolerance_plus_deg"]), row["source"], row["flag"]
    )


def _by_ratio(table: tuple[Row, ...] | list[Row], length: float, d: float) -> Row:
    long = float(_checks.above("length", length, unit="mm"))
    ratio = long / float(_checks.above("d", d, unit="mm"))
    for row in table:
        # 3 in over 3/4 in is 4 exactly; the last bit of a converted length must not decide.
        if float(row["over_ratio"]) < ratio <= float(row["up_to_ratio"]) * (1.0 + 1e-9):
            return row
    last = float(table[-1]["up_to_ratio"])
    raise OutOfRange(
        words(
            "the bolt is {ratio:.1f} diameters long; above {last:g} the rotation must be found"
            " by test in a calibrator",
            ratio=ratio,
            last=last,
        ),
        value=ratio,
        low=0.0,
        high=last,
        source=table[-1]["source"],
    )


def rod_row(d: float, grade: RodGrade) -> Row:
    """Return the row of the table for an anchor rod.

    Parameters
    ----------
    d : float
        Diameter, mm.
    grade : RodGrade

    Returns
    -------
    Row

    Raises
    ------
    OutOfRange
        The table has no rods of this size.
    ClampwrightError
        There is no such grade.

    References
    ----------
    AISC Design Guide 1, 2nd ed., Tables A1 and A2 (seen).

    Examples
    --------
    >>> rod_row(25.4, "36")["turns"]
    '1/6'
    """
    table = [row for row in rows("anchor_rod") if row["grade"] == grade]
    _shapes.one_of("grade", grade, ("36", "55", "105"))
    largest = float(table[-1]["up_to_in"]) * MM_PER_INCH
    nominal = _checks.above("d", d, unit="mm")
    _checks.within("d", nominal, low=0.0, high=largest, unit="mm", source=table[0]["source"])
    inch = float(nominal) / MM_PER_INCH
    return next(row for row in table if inch <= float(row["up_to_in"]) * (1.0 + 1e-9))
