"""One number as written: its value, how finely it is printed, and what is odd about it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from clampwright.procedure.vocabulary import Marks

Oddity = Literal["", "foreign_mark", "thousands", "letters", "not_finite", "minus", "spaced"]
MOST_DIGITS = 12

_GROUPED = re.compile(r"[1-9]\d{0,2}([.,' ])\d{3}(?:\1\d{3})*")
_PLAIN = re.compile(r"\d+")
_DECIMAL = re.compile(r"(\d*)([.,])(\d+)")
_BOTH = re.compile(r"([1-9]\d{0,2}(?:([.,' ])\d{3})+)([.,])(\d+)")
_VULGAR = {
    "¼": Fraction(1, 4),
    "½": Fraction(1, 2),
    "¾": Fraction(3, 4),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    "⅕": Fraction(1, 5),
    "⅖": Fraction(2, 5),
    "⅗": Fraction(3, 5),
    "⅘": Fraction(4, 5),
    "⅙": Fraction(1, 6),
    "⅚": Fraction(5, 6),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
}
_WITH_FRACTION = re.compile(r"(?:(\d{1,3})(?:[ -]| and )?)?(?:(\d{1,2})/(\d{1,2})|([¼-¾⅓-⅞]))")


@dataclass(frozen=True, slots=True)
class Number:
    """A number of the text.

    Parameters
    ----------
    value : Fraction
        What it is, by the marks of the locale.
    step : Fraction
        One unit in its last printed place; 0 for a fraction or a word, which are exact.
    other : Fraction or None
        What else it may be, where only the locale could tell and it is not known.
    oddity : str
        What a person should see about its form.
    whole : bool
        Whether it is written without fraction or decimals.
    """

    value: Fraction
    step: Fraction = Fraction(0)
    other: Fraction | None = None
    oddity: Oddity = ""
    whole: bool = False


def read_number(text: str, marks: Marks) -> Number | None:
    """Read a number written with digits.

    Parameters
    ----------
    text : str
        Digits with marks, fractions, such as ``1.200``, ``9,5``, ``1½``, ``3/4``.
    marks : Marks
        Marks of the locale.

    Returns
    -------
    Number or None
        None when it is no single number (a section number, a date, too many digits).

    Examples
    --------
    >>> read_number("9,5", Marks(",", ".")).value
    Fraction(19, 2)
    >>> read_number("1.200", Marks()).other
    Fraction(6, 5)
    """
    if sum(character.isdigit() for character in text) > MOST_DIGITS:
        return None
    if _PLAIN.fullmatch(text):
        return Number(Fraction(int(text)), Fraction(1), whole=True)
    if match := _WITH_FRACTION.fullmatch(text):
        return _with_fraction(match)
    if match := _BOTH.fullmatch(text):
        return _with_both_marks(match, marks)
    if match := _GROUPED.fullmatch(text):
        return _grouped(text, match[1], marks)
    if match := _DECIMAL.fullmatch(text):
        foreign = bool(marks.decimal) and match[2] != marks.decimal
        return _decimal(match[1], match[3], "foreign_mark" if foreign else "")
    return None


def _with_fraction(match: re.Match[str]) -> Number | None:
    whole, top, bottom, vulgar = match.groups()
    if vulgar:
        return Number(int(whole or 0) + _VULGAR[vulgar])
    if int(bottom) == 0:
        return None
    return Number(int(whole or 0) + Fraction(int(top), int(bottom)))


def _with_both_marks(match: re.Match[str], marks: Marks) -> Number | None:
    group, inner, mark, decimals = match.groups()
    if inner == mark:
        return None
    foreign = bool(marks.decimal) and mark != marks.decimal
    return _decimal(re.sub(r"\D", "", group), decimals, "foreign_mark" if foreign else "")


def _grouped(text: str, mark: str, marks: Marks) -> Number:
    large = Number(Fraction(int(re.sub(r"\D", "", text))), Fraction(1), whole=True)
    if mark in "' " or text.count(mark) > 1:
        return large
    whole, _, decimals = text.partition(mark)
    small = _decimal(whole, decimals, "thousands")
    if not marks.decimal:
        return Number(large.value, large.step, other=small.value, oddity="thousands", whole=True)
    if mark == marks.decimal:
        return small
    # "1.200" for twelve hundred looks like 1.2 to half of the world; "1,200" is seldom mistaken.
    oddity: Oddity = "thousands" if mark == "." else ""
    return Number(large.value, large.step, oddity=oddity, whole=True)


def _decimal(whole: str, decimals: str, oddity: Oddity) -> Number:
    scale = 10 ** len(decimals)
    return Number(Fraction(int((whole or "0") + decimals), scale), Fraction(1, scale), None, oddity)
