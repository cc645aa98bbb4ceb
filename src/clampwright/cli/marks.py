"""A marked text on a terminal: what became of a figure stands under it, as letters, not colours."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import chain, repeat
from typing import TYPE_CHECKING

from clampwright.cli.output import text_of

if TYPE_CHECKING:
    from clampwright.procedure.marked import Marked, Piece
    from clampwright.procedure.reading import Role

WIDTH = 76
"""Columns of text in a line."""

SIGNS: Mapping[Role, str] = {"used": "=", "asked": "?", "other": "-", "reported": "!"}
"""What a piece of text is underlined with, by what became of it."""

_TAB = "    "


@dataclass(frozen=True, slots=True)
class _Cell:
    """One character and what stands under it."""

    text: str
    under: str


def marked_lines(marked: Marked, width: int = WIDTH) -> Iterator[str]:
    """Yield a text with its marks, then what each mark means.

    Parameters
    ----------
    marked : Marked
    width : int
        Columns of text in a line.

    Yields
    ------
    str

    Examples
    --------
    >>> from clampwright.procedure import read
    >>> from clampwright.procedure.marked import marked
    >>> text = "M10 bolts: 30 Nm, then 90°"
    >>> for line in marked_lines(marked(text, read(text))):
    ...     print(line)
    M10 bolts: 30 Nm, then 90°
    1--        2====       3==
    = used   ? asked   - something else   ! not understood
    1 -  M10 (size or part number)
    2 =  30 Nm (torque, step 1)
    3 =  90° (angle, step 2)
    """
    for line in _lines(marked.pieces):
        for row in _wrapped(line, width):
            yield "".join(cell.text for cell in row).rstrip()
            under = "".join(cell.under for cell in row).rstrip()
            if under:
                yield under
    yield _key()
    for piece in marked.marks:
        sign = SIGNS[piece.role or "reported"]
        yield f"{piece.mark} {sign}  {piece.one_line} ({text_of(piece.meaning)})"


def _key() -> str:
    from clampwright.procedure.marked import ROLES

    return "   ".join(f"{sign} {text_of(ROLES[role])}" for role, sign in SIGNS.items())


def _lines(pieces: tuple[Piece, ...]) -> Iterator[list[_Cell]]:
    """Yield the lines of the text as cells."""
    line: list[_Cell] = []
    for piece in pieces:
        for number, part in enumerate(piece.text.split("\n")):
            if number:
                yield line
                line = []
            line += _cells(part.replace("\t", _TAB), piece, first=number == 0)
    if line:
        yield line


def _cells(text: str, piece: Piece, *, first: bool) -> list[_Cell]:
    if piece.mark is None:
        return [_Cell(character, " " * _columns(character)) for character in text]
    label = str(piece.mark) if first else ""
    signs = chain(label, repeat(SIGNS[piece.role or "reported"]))
    cells = []
    for character in text:
        under = "".join(next(signs) for _ in range(_columns(character)))
        cells.append(_Cell(character, under))
    short = len(label) - sum(_columns(character) for character in text)
    cells += [_Cell(" ", next(signs)) for _ in range(short)]  # room for a number of many digits
    return cells


def _columns(character: str) -> int:
    if unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def _wrapped(line: list[_Cell], width: int) -> Iterator[list[_Cell]]:
    """Break a line at blanks where it has some, so that no row is wider than `width`."""
    start = 0
    while True:
        end, columns = start, 0
        while end < len(line) and columns + max(1, len(line[end].under)) <= width:
            columns += len(line[end].under)
            end += 1
        if end == len(line):
            yield line[start:]
            return
        blank = next((i for i in range(end, start, -1) if line[i].text == " "), None)
        yield line[start : blank or end]
        start = end if blank is None else blank + 1
