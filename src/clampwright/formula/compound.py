"""Units of products and quotients, such as N/deg, mm/N, mm² or N·m/deg, with exact factors.

Built from the simple units of `clampwright.units`: every spelling known there is known here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from clampwright.errors import Ambiguous
from clampwright.units import Unit, Unreadable, unit_named, units
from clampwright.units.text import shown
from clampwright.words import words

DIMENSIONS: dict[str, tuple[int, int, int, int, int, int]] = {
    "force": (1, 0, 0, 0, 0, 0),
    "length": (0, 1, 0, 0, 0, 0),
    "torque": (1, 1, 0, 0, 0, 0),
    "stress": (1, -2, 0, 0, 0, 0),
    "angle": (0, 0, 1, 0, 0, 0),
    "time": (0, 0, 0, 1, 0, 0),
    "temperature": (0, 0, 0, 0, 1, 0),
    "mass": (0, 0, 0, 0, 0, 1),
}
"""Powers of force, length, angle, time, temperature (difference) and mass in each kind of unit."""

_BASE = {"torque": Fraction(1000)}
"""Where the library's own unit of a kind is no product of N, mm, deg, s: 1 N·m is 1000 N·mm."""

_POWERS = {"²": 2, "³": 3, "⁴": 4}
_POWER = re.compile(r"(.*?)(?:\^?([234])|([²³⁴]))$", re.DOTALL)
_BETWEEN = re.compile(r"[·*∙⋅ ]+")


@dataclass(frozen=True, slots=True)
class Compound:
    """What a unit is made of.

    Parameters
    ----------
    powers : tuple of int
        Of force, length, angle, time, temperature and mass.
    factor : Fraction
        Exact size in N, mm, deg, s, K and kg.
    """

    powers: tuple[int, ...]
    factor: Fraction


@lru_cache(maxsize=256)
def compound(text: str) -> Compound:
    """Return what a unit is made of.

    Parameters
    ----------
    text : str
        Such as ``N/deg``, ``in/lbf``, ``mm²``, ``ft·lbf/turn``, ``1/mm``; empty or ``1`` for a
        plain number, ``%`` for hundredths.

    Returns
    -------
    Compound

    Raises
    ------
    Unreadable, Ambiguous
        A part of it is no known unit, or may be several.

    Examples
    --------
    >>> compound("lbf/turn").factor == compound("lbf").factor / 360
    True
    """
    if text.strip() == "%":
        return Compound((0,) * 6, Fraction(1, 100))
    found = Compound((0,) * 6, Fraction(1))
    for place, side in enumerate(text.split("/")):
        sign = 1 if place == 0 else -1
        for part in _parts(side):
            found = _times(found, part, sign)
    return found


def conversion(from_unit: str, to_unit: str) -> Fraction:
    """Return how many of one unit make one of another, exactly.

    Parameters
    ----------
    from_unit, to_unit : str
        Made of the same powers. For temperatures: of differences.

    Returns
    -------
    Fraction

    Raises
    ------
    Unreadable, Ambiguous
        A unit is not known, or the two measure different things.

    Examples
    --------
    >>> float(conversion("kN/mm", "N/mm"))
    1000.0
    """
    one, two = compound(from_unit), compound(to_unit)
    if one.powers != two.powers:
        raise Unreadable(
            words(
                "{given} and {wanted} measure different things; write a unit like {wanted}",
                given=shown(from_unit) or "a plain number",
                wanted=to_unit or "a plain number",
            ),
            from_unit,
        )
    return one.factor / two.factor


def _parts(side: str) -> list[tuple[Unit | None, int]]:
    """Return the simple units of one side of a slash with their powers; None for a 1."""
    side = side.strip().strip("()")
    if side in ("", "1"):
        return [(None, 1)]
    try:
        return [_simple(side)]  # ft·lbf is a unit of its own
    except (Unreadable, Ambiguous):
        pieces = [piece for piece in _BETWEEN.split(side) if piece]
        if len(pieces) < 2:
            raise
        return [_simple(piece) for piece in pieces]


def _simple(text: str) -> tuple[Unit | None, int]:
    match = _POWER.fullmatch(text)
    if match and match[1].strip():
        try:
            power = int(match[2]) if match[2] else _POWERS[match[3]]
            return unit_named(match[1].strip()), power
        except (Unreadable, Ambiguous):
            pass  # a unit whose own name ends in a power, such as N/mm²
    known = units().get(text)
    return known or unit_named(text), 1


def _times(found: Compound, part: tuple[Unit | None, int], sign: int) -> Compound:
    unit, power = part
    if unit is None:
        return found
    power *= sign
    powers = tuple(a + power * b for a, b in zip(found.powers, DIMENSIONS[unit.kind], strict=True))
    size = unit.factor * _BASE.get(unit.kind, Fraction(1))
    return Compound(powers, found.factor * size**power)
