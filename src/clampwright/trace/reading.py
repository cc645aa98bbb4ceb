"""From a text table to a trace: what is repaired is stated, what cannot be trusted is refused."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import IO

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace.columns import Column, columns_of
from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.rate import angle_from_rate
from clampwright.words import words

MAX_BYTES = 200_000_000
"""Larger files are refused before parsing: an hour at 1000 Hz has half of that."""


@dataclass(frozen=True, slots=True)
class _Table:
    """The lines of data with their numbers in the file, and how to split them."""

    name: str
    separator: str
    lines: list[str]
    numbers: list[int]
    columns: list[Column]
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
    table = _table(_text(file, name), name)
    values, steps = _values(table)
    values, more = _in_order(values, table)
    steps += more
    time, torque, turning = (column.scale * values[:, i] for i, column in enumerate(table.columns))
    _check_seconds(time, table)
    if table.columns[2].role == "rate":
        angle, step = angle_from_rate(time, turning, torque)
        return Trace(time, torque, angle, "handle", (*steps, step))
    return Trace(time, torque, turning, angle_mode, tuple(steps))


def _text(file: bytes | IO[bytes], name: str) -> str:
    data = file if isinstance(file, bytes) else file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise BadFile(
            words("{file}: too large; at most {limit} bytes are taken", file=name, limit=MAX_BYTES),
            file=name,
            expected="a shorter trace",
        )
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
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _table(text: str, name: str) -> _Table:
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
    return _Table(
        name=name,
        separator=separator,
        lines=[line for _, line in rows],
        numbers=[number for number, _ in rows],
        columns=columns_of(titles, units_row, name, first),
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


def _values(table: _Table) -> tuple[Floats, list[Step]]:
    """Parse all rows: quickly where they are clean, cell by cell where they are not."""
    places = [column.place for column in table.columns]
    lines = table.lines
    if table.separator != ",":
        lines = [line.replace(",", ".") for line in lines]
    try:
        values = np.loadtxt(
            lines, delimiter=table.separator, usecols=places, ndmin=2, comments=None
        )
    except ValueError:
        return _values_slowly(table)
    if np.isfinite(values).all():
        return values, []
    return _values_slowly(table)


def _values_slowly(table: _Table) -> tuple[Floats, list[Step]]:
    rows: list[list[float]] = []
    lost: list[int] = []
    steps: list[Step] = []
    for position, line in enumerate(table.lines):
        cells = _cells(line, table.separator)
        last = position == len(table.lines) - 1
        row = [_cell(table, cells, column) for column in table.columns]
        if last and not table.ends_cleanly and (None in row or "text" in row):
            steps.append(Step("cut last line dropped", {"line": table.numbers[position]}))
            continue
        for value, column in zip(row, table.columns, strict=True):
            if isinstance(value, str) or (value is None and column.role == "time"):
                raise _bad_cell(table, position, cells, column)
        numbers = [math.nan if value is None else float(value) for value in row]
        if any(math.isnan(value) for value in numbers):
            lost.append(position)
        rows.append(numbers)
    kept = [row for position, row in enumerate(rows) if position not in set(lost)]
    if lost and (len(lost) > limit("lost_rows") * len(rows) or len(kept) < 2):
        column = next(c for c, v in zip(table.columns, rows[lost[0]], strict=True) if math.isnan(v))
        raise _bad_cell(table, lost[0], _cells(table.lines[lost[0]], table.separator), column)
    if lost:
        steps.append(
            Step(
                "rows without a number dropped",
                {"count": len(lost), "first_line": table.numbers[lost[0]]},
            )
        )
    if len(kept) < 2:
        raise _too_short(table)
    return np.array(kept), steps


def _cell(table: _Table, cells: list[str], column: Column) -> float | str | None:
    """Return a number, None for an empty or absent cell or NaN, or "text" for anything else."""
    if column.place >= len(cells) or not cells[column.place]:
        return None
    number = _number(cells[column.place], table.separator)
    if number is None or math.isinf(number):
        return "text"
    return None if math.isnan(number) else number


def _bad_cell(table: _Table, position: int, cells: list[str], column: Column) -> BadFile:
    there = column.place < len(cells)
    return BadFile(
        words(
            "{file}, line {line}, column {column}: {role} must be a number; it says {text!r}",
            file=table.name,
            line=table.numbers[position],
            column=column.place + 1,
            role=column.role,
            text=cells[column.place][:30] if there else "",
        ),
        file=table.name,
        line=table.numbers[position],
        column=column.place + 1,
        expected="a number",
    )


def _too_short(table: _Table) -> BadFile:
    return BadFile(
        words("{file}: a trace needs at least 2 rows of numbers", file=table.name),
        file=table.name,
        line=table.numbers[0],
        column=1,
        expected="2 or more rows",
    )


def _in_order(values: Floats, table: _Table) -> tuple[Floats, list[Step]]:
    """Drop repeated time stamps, refuse time that runs backward, note gaps."""
    if len(values) < 2:
        raise _too_short(table)
    change = np.diff(values[:, 0])
    if (change < 0).any():
        first = int(np.argmax(change < 0)) + 1
        raise BadFile(
            words(
                "{file}, line {line}, column {column}: the time runs backward, from {before:g} to "
                "{after:g}",
                file=table.name,
                line=table.numbers[min(first, len(table.numbers) - 1)],
                column=table.columns[0].place + 1,
                before=float(values[first - 1, 0]),
                after=float(values[first, 0]),
            ),
            file=table.name,
            line=table.numbers[min(first, len(table.numbers) - 1)],
            column=table.columns[0].place + 1,
            expected="rising time",
        )
    steps = []
    again = np.concatenate(([False], change == 0))
    if again.any():
        steps.append(Step("repeated time stamps dropped", {"count": int(again.sum())}))
        values = values[~again]
        if len(values) < 2:
            raise _too_short(table)
        change = np.diff(values[:, 0])
    usual = float(np.median(change))
    gaps = change > limit("gap_times") * usual
    if gaps.any():
        longest = float(change.max()) * table.columns[0].scale
        steps.append(Step("gaps seen", {"count": int(gaps.sum()), "longest_s": longest}))
    return values, steps


def _check_seconds(time: Floats, table: _Table) -> None:
    """Refuse a time in another unit: a pull sampled less than twice a second is none."""
    usual = float(np.median(np.diff(time)))
    if usual < limit("slowest_s") or len(time) < 5:
        return
    raise BadFile(
        words(
            "{file}, line {line}, column {column}: {step:g} s from row to row cannot be a pull; if "
            "the time is in milliseconds, name the column time [ms]",
            file=table.name,
            line=table.numbers[0],
            column=table.columns[0].place + 1,
            step=usual,
        ),
        file=table.name,
        line=table.numbers[0],
        column=table.columns[0].place + 1,
        expected="time in seconds",
    )
