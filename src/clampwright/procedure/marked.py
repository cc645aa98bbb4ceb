"""A text as it was given, each figure marked by what it became, so that a person can check it."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from types import MappingProxyType

from clampwright.procedure.reading import Reading, Role, Span
from clampwright.words import Words, words

ROLES: MappingProxyType[Role, Words] = MappingProxyType(
    {
        "used": words("used"),
        "asked": words("asked"),
        "other": words("something else"),
        "reported": words("not understood"),
    }
)
"""What became of a marked piece of text, for a person."""

_LEFT_OVER = words("a figure that was not read")
_DIGITS = re.compile(r"\d(?:[\d.,'\u00a0\u202f]*\d)?|[\u00bc-\u00be\u2150-\u215e]")
_LINE_ENDS = re.compile(r"\r\n?|[\u2028\u2029\x0b\x0c\x85]")
_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Co"})
_SHOWN_AS_IT_IS = frozenset("\n\t")


@dataclass(frozen=True, slots=True)
class Piece:
    """A stretch of the text: marked, or between two marks.

    Parameters
    ----------
    text : str
        As it is shown: see `visible`.
    mark : int or None
        Number of its mark, from 1 in reading order; None between marks.
    role : str or None
        See `Span`; None between marks.
    what : Words or None
        What it became; None between marks.
    steps : tuple of int
        Which stages of the reading it became, counted from 1; empty while a question is open, for
        their numbers are not certain before.
    """

    text: str
    mark: int | None = None
    role: Role | None = None
    what: Words | None = None
    steps: tuple[int, ...] = ()

    @property
    def meaning(self) -> Words:
        """What it became, with the number of the step where it became one."""
        what = self.what or _LEFT_OVER
        if not self.steps:
            return what
        return words("{what}, step {steps}", what=what, steps=", ".join(map(str, self.steps)))

    @property
    def one_line(self) -> str:
        """The text without line ends and doubled blanks, for a list of the marks."""
        return " ".join(self.text.split())


@dataclass(frozen=True, slots=True)
class Marked:
    """The whole text in pieces.

    Parameters
    ----------
    pieces : tuple of Piece
        Put together they are the whole text, with what cannot be seen made visible.
    """

    pieces: tuple[Piece, ...]

    @property
    def marks(self) -> tuple[Piece, ...]:
        """The marked pieces, in the order of their numbers."""
        return tuple(piece for piece in self.pieces if piece.mark is not None)


def marked(text: str, reading: Reading) -> Marked:
    """Mark a text by what was read in it.

    Every figure is in a marked piece: one that the reading says nothing of (as where the whole text
    was refused) is marked as not read.

    Parameters
    ----------
    text : str
        The text that was read.
    reading : Reading
        What was read of it.

    Returns
    -------
    Marked

    Examples
    --------
    >>> from clampwright.procedure import read
    >>> text = "M10 bolts: 30 Nm, then 90°"
    >>> for piece in marked(text, read(text)).marks:
    ...     print(piece.mark, repr(piece.text), piece.role, "-", piece.meaning)
    1 'M10' other - size or part number
    2 '30 Nm' used - torque, step 1
    3 '90°' used - angle, step 2
    """
    pieces: list[Piece] = []
    position = 0
    for number, span in enumerate(_all_spans(text, reading.spans), 1):
        if span.start > position:
            pieces.append(Piece(visible(text[position : span.start])))
        shown = visible(text[span.start : span.end])
        steps = tuple(stage + 1 for stage in span.stages) if reading.status == "ok" else ()
        pieces.append(Piece(shown, number, span.role, span.what, steps))
        position = span.end
    if position < len(text):
        pieces.append(Piece(visible(text[position:])))
    return Marked(tuple(pieces))


def visible(text: str) -> str:
    r"""Return text in which nothing hides or turns the writing round.

    Control and format characters (among them those that change the direction of writing) are shown
    by their code; line ends of every sort become plain ones.

    Parameters
    ----------
    text : str

    Returns
    -------
    str

    Examples
    --------
    >>> visible("30\u202e Nm\r\n")
    '30‹U+202E› Nm\n'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_seen(character) for character in _LINE_ENDS.sub("\n", text))


def _seen(character: str) -> str:
    if character in _SHOWN_AS_IT_IS or unicodedata.category(character) not in _HIDDEN:
        return character
    return f"‹U+{ord(character):04X}›"


def _all_spans(text: str, spans: tuple[Span, ...]) -> Iterator[Span]:
    """Yield the spans in order without overlap, and every figure that lies outside of them."""
    position = 0
    for span in sorted(spans, key=lambda one: (one.start, one.end)):
        start = max(position, span.start)
        if span.end <= start:
            continue
        yield from _left_over(text, position, start)
        yield Span(start, span.end, span.what, span.role, span.stages)
        position = span.end
    yield from _left_over(text, position, len(text))


def _left_over(text: str, start: int, end: int) -> Iterator[Span]:
    for found in _DIGITS.finditer(text, start, end):
        yield Span(found.start(), found.end(), _LEFT_OVER, "reported")
