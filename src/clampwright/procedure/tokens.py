"""A token: one word, number, unit or sign of the text."""

from __future__ import annotations

from dataclasses import dataclass

from clampwright.procedure.numerals import Number
from clampwright.procedure.unit_text import UnitText
from clampwright.procedure.vocabulary import Meaning


@dataclass(slots=True)
class Token:
    """One word, number, unit or sign.

    Parameters
    ----------
    letter : str
        Its class in the grammar; empty for words that only fill.
    start, end : int
        Where it stands in the plain text.
    text : str
        As it stands there.
    means : tuple
        Classes and values of a word.
    number : Number or None
        Of a number.
    unit : UnitText or None
        Of a unit.
    spaced : bool
        Whether a space or line end stands before it.
    """

    letter: str
    start: int
    end: int
    text: str
    means: tuple[Meaning, ...] = ()
    number: Number | None = None
    unit: UnitText | None = None
    spaced: bool = False

    def has(self, *names: str) -> bool:
        """Tell whether the word has one of some classes."""
        return bool(self.means) and any(name in names for name, _ in self.means)

    def value(self, name: str) -> str | None:
        """Return the word's value in a class, or None when it is not of that class."""
        return next((value for found, value in self.means if found == name), None)
