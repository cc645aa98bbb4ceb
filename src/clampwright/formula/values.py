"""A value as a person wrote it, in the unit a relation computes in."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from clampwright.errors import Ambiguous, ClampwrightError
from clampwright.formula.compound import conversion
from clampwright.formula.relation import Input
from clampwright.units import (
    Kind,
    Unreadable,
    convert,
    parse_number,
    parse_quantity,
    unit_named,
    units,
)
from clampwright.units.text import LONGEST, plain, shown
from clampwright.words import words

if TYPE_CHECKING:
    from clampwright.units.number import Mark

Value = float | int | str | list[float] | list[list[float]]

_NUMBER = re.compile(r"[+-]?[\d.,]*\d(?:[eE][+-]?\d{1,4})?(?![\d.,])", re.ASCII)

MOST_VALUES = 400
"""Largest list or row of a matrix that is taken from text."""


def parse_value(text: str, one: Input, *, decimal: Mark | None = None) -> Value:
    """Read the value of an input.

    Parameters
    ----------
    text : str
        A number with its unit; a list with ``;`` between its values, a matrix with ``|`` between
        its rows (a unit after the last value holds for those without); a word for a choice.
    one : Input
    decimal : {".", ","}, optional
        The decimal mark of the text, where it is known.

    Returns
    -------
    float, int, str, list of float or list of list of float
        In the input's unit.

    Raises
    ------
    Ambiguous
        It can be read in two ways that both lie in the input's range.
    Unreadable
        It is no such value; says what would be right.

    Examples
    --------
    >>> from clampwright.words import words
    >>> clamp = Input("clamp", "F", "N", words("Clamp load"), low=0.0)
    >>> parse_value("25 kN", clamp)
    25000.0
    """
    if one.shape == "choice":
        return _choice(text, one)
    if one.shape == "matrix":
        rows = text.split("|")
        unit = _last_unit(rows[-1])
        return [_row(row, one, unit, decimal) for row in rows]
    if one.shape == "list":
        return _row(text, one, _last_unit(text), decimal)
    value = parse_one(text, one, decimal=decimal)
    if one.shape == "whole":
        if value != int(value):
            raise Unreadable(
                words("{name} must be a whole number, not {text}", name=one.name, text=shown(text)),
                text,
            )
        return int(value)
    return value


def parse_one(text: str, one: Input, *, decimal: Mark | None = None) -> float:
    """Read one number with its unit.

    Parameters
    ----------
    text : str
    one : Input
    decimal : {".", ","}, optional

    Returns
    -------
    float
        In the input's unit.

    Raises
    ------
    Ambiguous, Unreadable
        As `parse_value`.
    """
    try:
        return _read(text, one.unit, decimal)
    except Ambiguous as error:
        # One mark may be for decimals or thousands; the input's range often leaves one reading.
        readings = _readings(text, one)
        if decimal is None and len(readings) == 1:
            return readings[0]
        raise _named(error, one) from error
    except ClampwrightError as error:
        raise _named(error, one) from error


def _read(text: str, unit: str, decimal: Mark | None) -> float:
    cleaned = plain(text)
    simple = units().get(unit)
    if simple is not None:
        return parse_quantity(cleaned, simple.kind, decimal=decimal).to(simple)
    match = _NUMBER.match(cleaned)
    if not match or len(cleaned) > LONGEST:
        parse_number(cleaned, decimal=decimal)  # says what is wrong with it
        raise Unreadable(
            words("{text!r} is not a value; write it {example}", text=shown(text),
                  example=_example(unit)),
            text,
        )  # fmt: skip
    number = Fraction(parse_number(match[0], decimal=decimal))
    written = cleaned[match.end() :].strip()
    if not written and unit:
        raise Ambiguous(
            words("{text} has no unit; write one, such as {unit}", text=shown(text), unit=unit),
            (f"{match[0]} {unit}",),
        )
    return float(number * conversion(written, unit)) if written != unit else float(number)


def _readings(text: str, one: Input) -> list[float]:
    found = []
    marks: tuple[Mark, Mark] = (".", ",")
    for mark in marks:
        try:
            value = _read(text, one.unit, mark)
        except ClampwrightError:
            continue
        if one.holds(value) and value not in found:
            found.append(value)
    return found


def _named(error: ClampwrightError, one: Input) -> ClampwrightError:
    message = words("{name} ({symbol}): {problem}", name=one.name, symbol=one.symbol,
                    problem=error.message)  # fmt: skip
    if isinstance(error, Ambiguous):
        return Ambiguous(message, error.readings)
    return Unreadable(message, one.name)


def _choice(text: str, one: Input) -> str:
    wanted = text.strip()
    if wanted not in one.choices:
        raise Unreadable(
            words(
                "{name} is {text!r}; it must be one of: {known}",
                name=one.name,
                text=shown(text),
                known=", ".join(one.choices),
            ),
            text,
        )
    return wanted


def _row(text: str, one: Input, unit: str, decimal: Mark | None) -> list[float]:
    pieces = [piece.strip() for piece in text.split(";")]
    if len(pieces) > MOST_VALUES:
        raise Unreadable(
            words("{name}: at most {most} values are taken", name=one.name, most=MOST_VALUES),
            text[:40],
        )
    return [
        parse_one(piece if _last_unit(piece) else f"{piece} {unit}", one, decimal=decimal)
        for piece in pieces
    ]


def _last_unit(text: str) -> str:
    """Return the unit after the last value, or nothing."""
    last = plain(text.rpartition(";")[2])
    match = _NUMBER.match(last)
    return last[match.end() :].strip() if match else ""


def _example(unit: str) -> str:
    return f"like 0.12 {unit}".strip()


def kind_of(unit: str) -> Kind | None:
    """Return what a unit measures, or None for a compound one and for plain numbers.

    Parameters
    ----------
    unit : str

    Returns
    -------
    str or None
    """
    known = units().get(unit)
    return known.kind if known else None


def to_unit(value: float, unit: str, wanted: str) -> float:
    """Return a result in another unit.

    Parameters
    ----------
    value : float
        In `unit`.
    unit, wanted : str

    Returns
    -------
    float

    Raises
    ------
    Unreadable, Ambiguous
        The wanted unit is not known, or measures something else.

    Examples
    --------
    >>> round(to_unit(37.62, "N·m", "ft-lb"), 2)
    27.75
    """
    simple = units().get(unit)
    if simple is not None:
        return convert(value, simple, unit_named(wanted, simple.kind))
    return value * float(conversion(unit, wanted))


def value_text(value: Value, unit: str) -> str:
    """Return a value with its unit, six digits of it.

    Parameters
    ----------
    value : Value
    unit : str

    Returns
    -------
    str

    Examples
    --------
    >>> value_text(37.6178512, "N·m"), value_text([1.0, 2.5], "mm"), value_text(90.0, "deg")
    ('37.6179 N·m', '1 mm; 2.5 mm', '90°')
    """
    if isinstance(value, list):
        return "; ".join(value_text(part, unit) for part in value)
    if isinstance(value, str):
        return value
    return f"{value:.6g}°" if unit == "deg" else f"{value:.6g} {unit}".rstrip()


def text_in_unit(value: Value, unit: str, wanted: str) -> str:
    """Return a value as text in another unit.

    Parameters
    ----------
    value : Value
        In `unit`.
    unit, wanted : str

    Returns
    -------
    str

    Raises
    ------
    Unreadable, Ambiguous
        As `to_unit`.

    Examples
    --------
    >>> text_in_unit(37.62, "N·m", "ft-lb")
    '27.7471 ft-lb'
    """
    if isinstance(value, list):
        return "; ".join(text_in_unit(part, unit, wanted) for part in value)
    if isinstance(value, str):
        return value
    return value_text(to_unit(float(value), unit, wanted), wanted)
