"""Measured values as a person keeps them: a text table with a header that names the units."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from clampwright.errors import BadFile, ClampwrightError
from clampwright.intake import most, text_of
from clampwright.units import factor, unit_named
from clampwright.words import Words, words

MOST_ROWS = most("measured table", "lines") - 2
"""Rows taken; a test has some hundreds."""

_BASE = {"torque": "N·m", "force": "N"}
_HEAD = re.compile(
    r"^(?P<base>[^\[\](]*?)\s*(?:[\[(]\s*(?P<bracket>[^\])]*?)\s*[\])]|_(?P<tail>[^_\s]+))?$"
)
_NUMBER = re.compile(r"^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$")


@dataclass(frozen=True, slots=True)
class MeasuredTable:
    """Cells of a text table with the lines they stand in.

    Parameters
    ----------
    name : str
        Name of the file, for messages.
    header : tuple of str
    rows : tuple of tuple of str
    lines : tuple of int
        Line of each row, counted from 1.
    decimal : str
        Decimal mark: a comma only where columns are not parted by one.
    """

    name: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    lines: tuple[int, ...]
    decimal: str

    def find(self, names: frozenset[str]) -> int | None:
        """Return the place of the column with one of these names, counted from 0.

        Raises
        ------
        BadFile
            There are two of them.
        """
        found = [place for place, title in enumerate(self.header) if parted(title)[0] in names]
        if len(found) > 1:
            raise self.bad(
                words(
                    "columns {one} and {other} are the same quantity; leave one",
                    one=found[0] + 1,
                    other=found[1] + 1,
                )
            )
        return found[0] if found else None

    def quantities(self, place: int, kind: str, *, start: int = 0) -> list[float]:
        """Return a column in N·m or N.

        Parameters
        ----------
        place : int
        kind : {"torque", "force"}
        start : int
            First row wanted.

        Raises
        ------
        BadFile
            No unit in the header, one of another kind, or a cell that is no number.
        """
        title = self.header[place]
        unit = parted(title)[1]
        if not unit:
            raise self.bad(
                words(
                    "column {title!r} has no unit; write it in the header, such as {example}",
                    title=title[:40],
                    example="torque [N·m]" if kind == "torque" else "clamp [kN]",
                )
            )
        try:
            size = factor(unit_named(unit, kind).name, _BASE[kind])  # type: ignore[arg-type]  # a kind by its name
        except ClampwrightError as error:
            raise self.bad(error.message) from error
        return [size * self.number(row, place) for row in range(start, len(self.rows))]

    def number(self, row: int, place: int) -> float:
        """Return the number in a cell.

        Raises
        ------
        BadFile
            It is none.
        """
        cells = self.rows[row]
        text = cells[place].strip() if place < len(cells) else ""
        plain = text.replace(",", ".") if self.decimal == "," else text
        value = float(plain) if _NUMBER.match(plain) else math.nan
        if not math.isfinite(value):
            raise BadFile(
                words(
                    "{file}, line {line}, column {column}: {text!r} is not a number",
                    file=self.name,
                    line=self.lines[row],
                    column=place + 1,
                    text=text[:40],
                ),
                file=self.name,
                line=self.lines[row],
                column=place + 1,
                expected="a number",
            )
        return value

    def bad(self, problem: Words) -> BadFile:
        """Make an error about the file."""
        return BadFile(words("{file}: {problem}", file=self.name, problem=problem), file=self.name)


def parted(title: str) -> tuple[str, str]:
    """Part a column's title into name and unit; both may be empty.

    Examples
    --------
    >>> parted("Torque [ft·lbf]"), parted("clamp_kN"), parted("thread torque (N·m)"), parted("3")
    (('torque', 'ft·lbf'), ('clamp', 'kN'), ('thread torque', 'N·m'), ('3', ''))
    """
    found = _HEAD.match(title.strip().strip('"'))
    if found is None:
        return title.strip().casefold(), ""
    base = found["base"].replace("_", " ").strip().casefold()
    return base, found["bracket"] or found["tail"] or ""


def read_table(data: bytes, name: str, *, header: bool = True) -> MeasuredTable:
    r"""Part a text table into cells.

    Parameters
    ----------
    data : bytes
        UTF-8; columns parted by semicolon, tab or comma. Lines that begin with ``#`` and empty
        ones are passed over.
    name : str
        Name of the file, for messages.
    header : bool
        Whether the first line names the columns.

    Returns
    -------
    MeasuredTable

    Raises
    ------
    BadFile
        It is no text, has no rows, too many, or rows of different length.

    Examples
    --------
    >>> table = read_table(b"torque [N.m]; clamp [kN]\n10,5; 7\n", "test.csv")
    >>> table.quantities(0, "torque"), table.quantities(1, "force")
    ([10.5], [7000.0])
    """
    text = text_of(data, "measured table", name)
    kept = [
        (number, line)
        for number, line in enumerate(text.splitlines(), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    fewest = 2 if header else 1
    if not fewest <= len(kept) <= MOST_ROWS:
        raise BadFile(
            words(
                "{file}: {count} lines; a table of measured values has a header and 1 to {most} "
                "rows",
                file=name,
                count=len(kept),
                most=MOST_ROWS,
            ),
            file=name,
        )
    separator = next((one for one in ";\t" if one in kept[0][1]), ",")
    cells = [tuple(cell.strip() for cell in line.split(separator)) for _number, line in kept]
    for (number, _line), row in zip(kept, cells, strict=True):
        if len(row) != len(cells[0]):
            raise BadFile(
                words(
                    "{file}, line {line}: {count} columns where the first line has {wanted}",
                    file=name,
                    line=number,
                    count=len(row),
                    wanted=len(cells[0]),
                ),
                file=name,
                line=number,
            )
    first = int(header)
    return MeasuredTable(
        name=name,
        header=cells[0] if header else (),
        rows=tuple(cells[first:]),
        lines=tuple(number for number, _line in kept[first:]),
        decimal="." if separator == "," else ",",
    )
