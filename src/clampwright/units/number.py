"""Numbers as people write them: point or comma, fractions, and nothing that needs guessing."""

from __future__ import annotations

import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from clampwright.errors import Ambiguous, OutOfRange
from clampwright.units.text import LONGEST, Unreadable, plain, shown
from clampwright.words import words

Mark = Literal[".", ","]

LARGEST, SMALLEST = Decimal(10) ** 12, Decimal(10) ** -12
"""No measured value of this trade comes near them, in any unit."""

_PARTS = {2, 3, 4, 5, 6, 8, 10, 12, 16, 24, 32, 64}
"""What people divide turns and inches by; ``25/30`` is two figures and no fraction."""

_POINT = re.compile(
    r"[+-]?(?=[.,]?\d)(?:\d+|[1-9]\d{0,2}(?:,\d{3})+)?(?:\.\d+)?(?:[eE][+-]?\d{1,4})?", re.ASCII
)
_COMMA = re.compile(
    r"[+-]?(?=[.,]?\d)(?:\d+|[1-9]\d{0,2}(?:\.\d{3})+)?(?:,\d+)?(?:[eE][+-]?\d{1,4})?", re.ASCII
)
_FRACTION = re.compile(r"([+-]?)(?:(\d{1,6})[ -]+)?(\d{1,6}) ?/ ?(\d{1,6})", re.ASCII)
_VULGAR = re.compile(r"(\d?) ?([¼-¾⅐-⅞↉])")
_NOT_FINITE = re.compile(r"[+-]?(?:nan|inf|infinity|∞)", re.IGNORECASE)


def parse_number(text: str, *, decimal: Mark | None = None) -> Decimal:
    """Read a number with a decimal point or a decimal comma.

    Parameters
    ----------
    text : str
        Such as ``35``, ``8,5``, ``0.0055``, ``1,200.5``.
    decimal : {".", ","}, optional
        The decimal mark of the text, where it is known; settles ``1.200``.

    Returns
    -------
    Decimal
        The value as written, last zeros kept.

    Raises
    ------
    Ambiguous
        One mark may be a decimal or a thousands mark (``1.200``); carries both readings.
    Unreadable
        It is not a number, or not a finite one.
    OutOfRange
        It is larger or smaller than any measured value.

    Examples
    --------
    >>> parse_number("8,50")
    Decimal('8.50')
    >>> parse_number("1.200", decimal=",")
    Decimal('1200')
    """
    cleaned = plain(text)
    _refuse_strange(cleaned, text)
    readings = {
        mark: Decimal(cleaned.replace(other, "").replace(mark, "."))
        for mark, other, pattern in ((".", ",", _POINT), (",", ".", _COMMA))
        if pattern.fullmatch(cleaned)
    }
    if not readings:
        raise _not_a_number(cleaned, text)
    if decimal in readings:
        return _limited(readings[decimal], text)
    values = sorted(set(readings.values()))
    if len(values) > 1:
        raise Ambiguous(
            words(
                "{text} may be {first} or {second}; write it without a thousands mark",
                text=shown(text),
                first=f"{values[0].normalize():f}",
                second=f"{values[1]:f}",
            ),
            tuple(f"{value.normalize():f}" for value in values),
        )
    return _limited(next(iter(readings.values())), text)


def parse_fraction(text: str, *, decimal: Mark | None = None) -> Fraction:
    """Read a number that may be a fraction, exactly.

    Parameters
    ----------
    text : str
        Such as ``1/4``, ``¼``, ``1½``, ``1 1/2``, or any number `parse_number` takes.
    decimal : {".", ","}, optional
        As in `parse_number`.

    Returns
    -------
    Fraction

    Raises
    ------
    Ambiguous, Unreadable, OutOfRange
        As in `parse_number`.

    Examples
    --------
    >>> parse_fraction("1½")
    Fraction(3, 2)
    """
    cleaned = vulgar_spelled_out(text)
    match = _FRACTION.fullmatch(cleaned)
    if not match:
        return Fraction(parse_number(cleaned, decimal=decimal))
    sign, whole, top, bottom = match.groups()
    if int(bottom) not in _PARTS or int(top) >= int(bottom):
        raise Unreadable(
            words(
                "{text} is not taken as a fraction; write it like 1/4, 1 1/2 or 0.25",
                text=shown(text),
            ),
            text,
        )
    value = int(whole or 0) + Fraction(int(top), int(bottom))
    return -value if sign == "-" else value


def vulgar_spelled_out(text: str) -> str:
    """Write ¼ as 1/4, and 1½ as 1 1/2.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> vulgar_spelled_out("1½ turns")
    '1 1/2 turns'
    """

    def spelled(match: re.Match[str]) -> str:
        return f"{match[1]} {unicodedata.normalize('NFKC', match[2])}".strip().replace("⁄", "/")

    return _VULGAR.sub(spelled, plain(text))


def _refuse_strange(cleaned: str, text: str) -> None:
    if not cleaned:
        raise Unreadable(words("a number is missing"), text)
    if len(cleaned) > LONGEST:
        raise Unreadable(words("{text}: this is too long for a number", text=shown(text)), text)
    if _NOT_FINITE.fullmatch(cleaned):
        raise Unreadable(
            words("{text}: a measured value must be a finite number", text=shown(text)), text
        )
    if any(c.isnumeric() and not c.isascii() for c in cleaned):
        raise Unreadable(
            words("{text}: write the number with the digits 0 to 9", text=shown(text)), text
        )


def _not_a_number(cleaned: str, text: str) -> Unreadable:
    if re.fullmatch(r"[+-]?\d{1,3}(?:[ '’]\d{3})+(?:[.,]\d+)?", cleaned):
        return Unreadable(
            words(
                "{text}: there is a space or mark inside this number; write {joined}",
                text=shown(text),
                joined=re.sub(r"[ '’]", "", cleaned),
            ),
            text,
        )
    return Unreadable(
        words(
            "{text!r} is not a number; write digits with one decimal point or comma, such as 8.5",
            text=shown(text),
        ),
        text,
    )


def _limited(value: Decimal, text: str) -> Decimal:
    if value and not SMALLEST <= abs(value) <= LARGEST:
        raise OutOfRange(
            words("{text} is too large or too small to be a measured value", text=shown(text)),
            value=float(value),
            low=float(SMALLEST),
            high=float(LARGEST),
            source="limit of this program",
        )
    return value
