"""From a text table to a trace: what is repaired is stated, what cannot be trusted is refused."""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import IO

import numpy as np

from clampwright.errors import BadFile
from clampwright.intake import check_lines, most
from clampwright.trace.columns import Column, columns_of
from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.quick_text import quick_values
from clampwright.trace.table import Table, finished, too_short
from clampwright.words import words

MAX_BYTES = most("trace table")
"""Larger files are refused before parsing: an hour at 1000 Hz has half of that."""


@dataclass(frozen=True, slots=True)
class _Lines:
    """The lines of data with their numbers in the file, and how to split them."""

    table: Table
    separator: str
    lines: list[str]
    ends_cleanly: bool


def read_csv(
    file: bytes | IO[bytes], name: str = "trace", *, angle_mode: AngleMode = "handle"
) -> Trace:
    r"""Read a trace from a text table.

    Parameters
    ----------
    file : bytes or binary file
        UTF-8 (or UTF-16 with a byte-order mark) text with a header: ``time_s``, a torque column
        with its unit (``torque_Nm``, ``torque [ft·lbf]``), and ``angle_deg`` or ``rate_dps``.
        Separators may be comma, semicolon or tab; with the last two a decimal comma is taken. A
        row of units below the header is taken too. Lines that begin with ``#`` are passed over.
    name : str
        Name of the file, for messages.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is; a rate is always that of the handle.

    Returns
    -------
    Trace
        With what was repaired in its `steps`.

    Raises
    ------
    BadFile
        With line and column, if it is not a trace or cannot be trusted.

    Examples
    --------
    >>> text = "time_s;torque [ft·lbf];angle_deg\n0,0;0,0;0\n0,1;7,5;3,5\n0,2;14,5;7\n"
    >>> trace = read_csv(text.encode(), "pull.csv")
    >>> trace.torque.round(1).tolist()
    [0.0, 10.2, 19.7]
    """
    data = limited(file, name)
    quick = quick_values(data, name)
    if quick is not None:
        try:
            return finished(*quick, [], angle_mode)
        except BadFile:
            pass  # said again below with the number of the line
    text = _lines(_text(data, name), name)
    values, steps = _values(text)
    return finished(values, text.table, steps, angle_mode)


def limited(file: bytes | IO[bytes], name: str) -> bytes:
    """Take a file whole, unless it is larger than any pull.

    Parameters
    ----------
    file : bytes or binary file
    name : str
        Name of the file, for messages.

    Returns
    -------
    bytes

    Raises
    ------
    BadFile
        If it is longer than `MAX_BYTES`; of a file that can tell its length nothing is read then.
    """
    if isinstance(file, bytes):
        size, data = len(file), file
    elif file.seekable():
        place = file.tell()
        size = file.seek(0, io.SEEK_END) - place
        file.seek(place)
        data = file.read() if size <= MAX_BYTES else b""
    else:
        data = file.read(MAX_BYTES + 1)
        size = len(data)
    if size > MAX_BYTES:
        raise BadFile(
            words(
                "{file}: too large for one pull; at most {limit} bytes are taken. Cut the "
                "recording into its pulls",
                file=name,
                limit=MAX_BYTES,
            ),
            file=name,
            expected="a shorter trace",
        )
    return data


def _text(data: bytes, name: str) -> str:
    coding = "utf-16" if data[:2] in {b"\xff\xfe", b"\xfe\xff"} else "utf-8-sig"
    try:
        text = data.decode(coding)
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise BadFile(
            words("{file}, line {line}: this is not UTF-8 text", file=name, line=line),
            file=name,
            line=line,
            column=1,
            expected="UTF-8 text",
        ) from error
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    check_lines(text, "trace table", name)
    return text


def _lines(text: str, name: str) -> _Lines:
    """Find header, separator and units row."""
    numbered = [
        (number, line)
        for number, line in enumerate(text.split("\n"), 1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if len(numbered) < 2:
        raise BadFile(
            words(
                "{file}, line {line}: not a trace: a header and rows of numbers are expected",
                file=name,
                line=numbered[0][0] if numbered else 1,
            ),
            file=name,
            line=numbered[0][0] if numbered else 1,
            column=1,
            expected="a header and rows of numbers",
        )
    (first, header), rows = numbered[0], numbered[1:]
    separator = next((s for s in ("\t", ";") if s in header), ",")
    titles = _cells(header, separator)
    second = _cells(rows[0][1], separator)
    units_row = second if not any(_number(cell, separator) is not None for cell in second) else None
    if units_row is not None and len(rows) > 1:
        rows = rows[1:]
    else:
        units_row = None
    columns = columns_of(titles, units_row, name, first)
    return _Lines(
        table=Table(name, columns, [number for number, _ in rows]),
        separator=separator,
        lines=[line for _, line in rows],
        ends_cleanly=text.endswith("\n"),
    )


def _cells(line: str, separator: str) -> list[str]:
    return [cell.strip().strip('"').strip() for cell in line.split(separator)]


def _number(cell: str, separator: str) -> float | None:
    if separator != ",":
        cell = cell.replace(",", ".")
    try:
        return float(cell)
    except ValueError:
        return None


def _values(text: _Lines) -> tuple[Floats, list[Step]]:
    """Parse all rows: quickly where they are clean, cell by cell where they are not."""
    places = [column.place for column in text.table.columns]
    lines = text.lines
    if text.separator != ",":
        lines = [line.replace(",", ".") for line in lines]
    try:
        values = np.loadtxt(lines, delimiter=text.separator, usecols=places, ndmin=2, comments=None)
    except ValueError:
        return _values_slowly(text)
    if np.isfinite(values).all():
        return values, []
    return _values_slowly(text)


def _values_slowly(text: _Lines) -> tuple[Floats, list[Step]]:
    table = text.table
    rows: list[list[float]] = []
    lost: list[int] = []
    steps: list[Step] = []
    for position, line in enumerate(text.lines):
        cells = _cells(line, text.separator)
        last = position == len(text.lines) - 1
        row = [_cell(text.separator, cells, column) for column in table.columns]
        if last and not text.ends_cleanly and (None in row or "text" in row):
            steps.append(Step("cut last line dropped", {"line": table.numbers[position]}))
            continue
        for value, column in zip(row, table.columns, strict=True):
            if isinstance(value, str) or (value is None and column.role == "time"):
                raise _bad_cell(table, position, cells, column)
        numbers = [math.nan if value is None else float(value) for value in row]
        if any(math.isnan(value) for value in numbers):
            lost.append(position)
        rows.append(numbers)
    gone = set(lost)
    kept = [row for position, row in enumerate(rows) if position not in gone]
    if lost and (len(lost) > limit("lost_rows") * len(rows) or len(kept) < 2):
        column = next(c for c, v in zip(table.columns, rows[lost[0]], strict=True) if math.isnan(v))
        raise _bad_cell(table, lost[0], _cells(text.lines[lost[0]], text.separator), column)
    if lost:
        steps.append(
            Step(
                "rows without a number dropped",
                {"count": len(lost), "first_line": table.numbers[lost[0]]},
            )
        )
    if len(kept) < 2:
        raise too_short(table)
    return np.array(kept), steps


def _cell(separator: str, cells: list[str], column: Column) -> float | str | None:
    """Return a number, None for an empty or absent cell or NaN, or "text" for anything else."""
    if column.place >= len(cells) or not cells[column.place]:
        return None
    number = _number(cells[column.place], separator)
    if number is None or math.isinf(number):
        return "text"
    return None if math.isnan(number) else number


def _bad_cell(table: Table, position: int, cells: list[str], column: Column) -> BadFile:
    there = column.place < len(cells)
    text = cells[column.place][:30] if there else ""
    return table.bad(
        position,
        column,
        lambda place: words(
            "{place}: {role} must be a number; it says {text!r}",
            place=place,
            role=column.role,
            text=text,
        ),
        "a number",
    )
