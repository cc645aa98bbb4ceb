"""Rows of numbers to a trace: order of time and units checked, repairs stated."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace import signals
from clampwright.trace.columns import Column
from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.rate import angle_from_rate
from clampwright.words import Words, words


@dataclass(frozen=True, slots=True)
class Table:
    """Where rows of numbers came from, so that a message can name the place.

    Parameters
    ----------
    name : str
        Name of the file.
    columns : tuple of Column
        Time, torque, and angle or rate, in this order.
    numbers : sequence of int
        Line (or row) of each row, counted from 1.
    binary : bool
        Whether the file has rows and named columns instead of lines.
    """

    name: str
    columns: Sequence[Column]
    numbers: Sequence[int]
    binary: bool = False

    def place(self, position: int, column: Column) -> Words:
        """Say where a value stands."""
        number = self.numbers[min(position, len(self.numbers) - 1)]
        if self.binary:
            return words(
                "{file}, row {row}, column {column}",
                file=self.name,
                row=number,
                column=column.title or str(column.place + 1),
            )
        return words(
            "{file}, line {line}, column {column}",
            file=self.name,
            line=number,
            column=column.place + 1,
        )

    def bad(
        self, position: int, column: Column, say: Callable[[Words], Words], expected: str
    ) -> BadFile:
        """Make an error that knows its place."""
        number = self.numbers[min(position, len(self.numbers) - 1)] if len(self.numbers) else 1
        return BadFile(
            say(self.place(position, column)),
            file=self.name,
            line=number,
            column=column.place + 1,
            expected=expected,
        )


def finished(values: Floats, table: Table, steps: list[Step], angle_mode: AngleMode) -> Trace:
    """Make a trace of rows of numbers.

    Parameters
    ----------
    values : ndarray, shape (n, 3)
        Time, torque, and angle or rate as written in the file.
    table : Table
    steps : list of Step
        What was repaired before.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is; a rate is always that of the handle.

    Returns
    -------
    Trace

    Raises
    ------
    BadFile
        Where the time runs backward, is not in seconds, or fewer than 2 rows are left.
    """
    values, more = _in_order(values, table)
    steps = [*steps, *more]
    time, torque, turning = (column.scale * values[:, i] for i, column in enumerate(table.columns))
    _check_seconds(time, table)
    if table.columns[2].role == "rate":
        angle, step = angle_from_rate(time, turning, torque)
        return Trace(time, torque, angle, "handle", (*steps, step))
    return Trace(time, torque, turning, angle_mode, tuple(steps))


def too_short(table: Table) -> BadFile:
    """Make the error for fewer than two rows."""
    return BadFile(
        words("{file}: a trace needs at least 2 rows of numbers", file=table.name),
        file=table.name,
        line=table.numbers[0] if len(table.numbers) else 1,
        column=1,
        expected="2 or more rows",
    )


def _in_order(values: Floats, table: Table) -> tuple[Floats, list[Step]]:
    """Drop repeated time stamps, refuse time that runs backward, note gaps."""
    if len(values) < 2:
        raise too_short(table)
    change = np.diff(values[:, 0])
    if (change < 0).any():
        raise _backward(values, int(np.argmax(change < 0)) + 1, table)
    steps = []
    again = np.concatenate(([False], change == 0))
    if again.any():
        steps.append(Step("repeated time stamps dropped", {"count": int(again.sum())}))
        values = values[~again]
        if len(values) < 2:
            raise too_short(table)
        change = np.diff(values[:, 0])
    usual = signals.middle(change)
    gaps = change > limit("gap_times") * usual
    if gaps.any():
        longest = float(change.max()) * table.columns[0].scale
        steps.append(Step("gaps seen", {"count": int(gaps.sum()), "longest_s": longest}))
    return values, steps


def _backward(values: Floats, first: int, table: Table) -> BadFile:
    before, after = float(values[first - 1, 0]), float(values[first, 0])
    return table.bad(
        first,
        table.columns[0],
        lambda place: words(
            "{place}: the time runs backward, from {before:g} to {after:g}",
            place=place,
            before=before,
            after=after,
        ),
        "rising time",
    )


def _check_seconds(time: Floats, table: Table) -> None:
    """Refuse a time in another unit: a pull sampled less than twice a second is none."""
    usual = signals.middle(np.diff(time))
    if usual < limit("slowest_s") or len(time) < 5:
        return
    raise table.bad(
        0,
        table.columns[0],
        lambda place: words(
            "{place}: {step:g} s from row to row cannot be a pull; if the time is in "
            "milliseconds, name the column time [ms]",
            place=place,
            step=usual,
        ),
        "time in seconds",
    )
