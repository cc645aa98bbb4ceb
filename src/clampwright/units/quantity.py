"""A value with its unit, kept beside what the person wrote."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from clampwright.errors import Ambiguous
from clampwright.units.naming import unit_named
from clampwright.units.number import Mark, parse_fraction, parse_number, vulgar_spelled_out
from clampwright.units.scale import convert
from clampwright.units.text import LONGEST, Unreadable, plain, shown
from clampwright.units.unit import Kind, Unit, units
from clampwright.words import words

_NUMBER = re.compile(
    r"[+-]?(?:\d+[ -]+\d+ ?/ ?\d+|\d+ ?/ ?\d+|\d* ?[¼-¾⅐-⅞↉]|[\d.,]*\d(?:[eE][+-]?\d+)?)",
    re.ASCII,
)
_GROUP = re.compile(r"\d{3}(?:[.,]\d+)?(?![\d.,])", re.ASCII)
_SECOND_NUMBER = re.compile(r"[^\w°\"]*\d", re.ASCII)
_DIVIDED = frozenset({"turn", "flat", "in", "ft", "h"})
"""Units that people divide; 90/180° and 25/30 N·m are two figures."""
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf(?:inity)?)(?![a-z])|[+-]?∞", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the library's own unit, and what the person wrote.

    Parameters
    ----------
    value : float
        In N·m, N, mm, MPa, deg, s, °C or kg, by `kind`.
    kind : str
        As in `Unit`.
    written : str
        The text as it stood.
    written_value : Decimal
        The number in it; 28 digits of it where it was a fraction such as 1/3.
    written_unit : str
        Canonical name of the unit in it.
    exact : Fraction, optional
        The number in it without rounding.
    """

    value: float
    kind: Kind
    written: str
    written_value: Decimal
    written_unit: str
    exact: Fraction | None = field(default=None, compare=False, repr=False)

    def to(self, unit: Unit | str) -> float:
        """Return the value in a unit of the same kind.

        Parameters
        ----------
        unit : Unit or str

        Returns
        -------
        float
            Rounded once from the exact value.

        Raises
        ------
        Unreadable, Ambiguous
            The unit is not known, or of another kind.

        Examples
        --------
        >>> parse_quantity("30 ft-lb").to("in·lbf")
        360.0
        """
        target = unit if isinstance(unit, Unit) else unit_named(unit, self.kind)
        convert(0.0, self.written_unit, target)  # refuses another kind
        written = Fraction(self.written_value) if self.exact is None else self.exact
        return float(_in_base(written, units()[self.written_unit]) / target.factor - target.offset)


def _in_base(value: Fraction, unit: Unit) -> Fraction:
    return (value + unit.offset) * unit.factor


def parse_quantity(text: str, kind: Kind | None = None, *, decimal: Mark | None = None) -> Quantity:
    """Read a number and its unit.

    Parameters
    ----------
    text : str
        Such as ``30 N·m``, ``8,5 Nm``, ``75 ft. lbs.``, ``90°``, ``1½ turns``.
    kind : str, optional
        What is wanted, such as ``"torque"``.
    decimal : {".", ","}, optional
        The decimal mark of the text, where it is known; settles ``1.200``.

    Returns
    -------
    Quantity

    Raises
    ------
    Ambiguous
        Number or unit can be read in more than one way, or the unit is missing; carries the
        readings.
    Unreadable, OutOfRange
        It is not a quantity of that kind; says what would be right.

    Examples
    --------
    >>> parse_quantity("8,5 Nm")
    Quantity(value=8.5, kind='torque', written='8,5 Nm', written_value=Decimal('8.5'),
    written_unit='N·m')
    """
    number, rest = _split(text)
    unit = _unit(number, rest, kind)
    try:
        exact, written_value = _value(number, unit, decimal)
    except Ambiguous as error:
        readings = tuple(f"{reading} {unit.name}" for reading in error.readings)
        raise Ambiguous(error.message, readings) from error
    return Quantity(
        value=float(_in_base(exact, unit)),
        kind=unit.kind,
        written=text.strip(),
        written_value=written_value,
        written_unit=unit.name,
        exact=exact,
    )


def _split(text: str) -> tuple[str, str]:
    """Return number and unit as text."""
    cleaned = plain(text)
    if not cleaned:
        raise Unreadable(words("a value with its unit is missing"), text)
    if len(cleaned) > LONGEST:
        raise Unreadable(words("{text}: this is too long for a quantity", text=shown(text)), text)
    if _NOT_FINITE.match(cleaned):
        raise Unreadable(
            words("{text}: a measured value must be a finite number", text=shown(text)), text
        )
    match = _NUMBER.match(cleaned)
    if not match:
        if cleaned[0].isnumeric():
            parse_number(cleaned.split()[0])  # says what is wrong with such digits
        raise Unreadable(
            words("{text!r} does not start with a number; write it like 30 N·m", text=shown(text)),
            text,
        )
    number, rest = match[0], cleaned[match.end() :].strip()
    if group := _GROUP.match(rest):
        parse_number(f"{number} {group[0]}")  # refused there, with the way to write it
    if _SECOND_NUMBER.match(rest):
        raise Unreadable(
            words("{text!r} holds more than one number; write one", text=shown(text)), text
        )
    return number, rest


def _unit(number: str, rest: str, kind: Kind | None) -> Unit:
    if rest:
        try:
            return unit_named(rest, kind)
        except Ambiguous as error:
            readings = tuple(f"{number} {name}" for name in error.readings)
            raise Ambiguous(error.message, readings) from error
    known = units()
    kinds = (kind,) if kind else ("torque", "angle")
    readings = tuple(f"{number} {name}" for name in known if known[name].kind in kinds)
    raise Ambiguous(
        words(
            "{number} has no unit; write one, such as {readings}",
            number=shown(number),
            readings=", ".join(readings[:3]),
        ),
        readings,
    )


def _value(number: str, unit: Unit, decimal: Mark | None) -> tuple[Fraction, Decimal]:
    """Return the number exactly, and as a decimal with its last zeros kept."""
    divided = "/" in vulgar_spelled_out(number)
    if divided and ("/" not in number or unit.name in _DIVIDED):
        exact = parse_fraction(number)
        return exact, Decimal(exact.numerator) / Decimal(exact.denominator)
    value = parse_number(number, decimal=decimal)
    return Fraction(value), value
