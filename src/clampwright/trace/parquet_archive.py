"""Many pulls in one Parquet file, told apart by a column and read in blocks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from clampwright.errors import BadFile
from clampwright.trace.model import AngleMode, Floats, Trace
from clampwright.trace.parquet import (
    MAX_ROWS,
    columns_in,
    opened,
    said,
    without_gaps,
)
from clampwright.trace.table import Table, finished
from clampwright.words import words

ID_COLUMNS = ("trace", "trace_id", "id", "pull")
"""Names of the column that tells the pulls of an archive apart."""
BLOCK_ROWS = 250_000
"""Rows that are held at a time: some 10 MB, whatever the size of the file."""


@dataclass(frozen=True, slots=True, eq=False)
class Pulls:
    """Whole pulls that stand one behind the other.

    Parameters
    ----------
    table : Table
        What the columns are.
    names : list of str
    edges : ndarray, shape (n + 1,)
        Where each pull begins, and where the last ends.
    columns : tuple of ndarray
        Time, torque, and angle or rate as they stand in the file.
    first_row : int
        Rows of the file before the first of these.
    """

    table: Table
    names: list[str]
    edges: NDArray[np.int64]
    columns: tuple[Floats, Floats, Floats]
    first_row: int

    def some(self, first: int, last: int) -> Pulls:
        """Return those from one place up to another, which is left out.

        Parameters
        ----------
        first, last : int

        Returns
        -------
        Pulls
        """
        start, end = int(self.edges[first]), int(self.edges[last])
        time, torque, turning = (column[start:end] for column in self.columns)
        return Pulls(
            self.table,
            self.names[first:last],
            self.edges[first : last + 1] - start,
            (time, torque, turning),
            self.first_row + start,
        )

    def trace(self, place: int, angle_mode: AngleMode) -> Trace | BadFile:
        """Return one pull, read with care, or why it cannot be taken.

        Parameters
        ----------
        place : int
        angle_mode : {"handle", "accumulated", "output"}

        Returns
        -------
        Trace or BadFile
        """
        first, last = int(self.edges[place]), int(self.edges[place + 1])
        values = np.column_stack([column[first:last] for column in self.columns])
        numbers = range(self.first_row + first + 1, self.first_row + last + 1)
        table = Table(self.table.name, self.table.columns, numbers, binary=True)
        try:
            clean, steps = without_gaps(values, table)
            return finished(clean, table, steps, angle_mode)
        except BadFile as error:
            return error


class Archive:
    """An open archive; see `traces_in`.

    Parameters
    ----------
    file : bytes or binary file
    name : str
        Name of the file, for messages.

    Attributes
    ----------
    rows : int
        How many it has.
    table : Table
        What its columns are.

    Raises
    ------
    BadFile
        If it is no archive.
    """

    def __init__(self, file: IO[bytes] | bytes, name: str) -> None:
        content = opened(file, name)
        self.name = name
        titles, self.table = columns_in(content, name, 1)
        key = next((c for c in ID_COLUMNS if c in content.schema_arrow.names), None)
        if key is None:
            raise BadFile(
                words(
                    "{file}: an archive needs a column that names the pull: {names}",
                    file=name,
                    names=", ".join(ID_COLUMNS),
                ),
                file=name,
                expected="a column named trace",
            )
        kind = str(content.schema_arrow.field(key).type)
        if not kind.startswith(("string", "large_string", "dictionary", "int", "uint")):
            # Rows of another kind are unpacked one by one, however often they repeat.
            raise BadFile(
                words(
                    "{file}: the column {column} names the pulls; it must hold text or whole "
                    "numbers, and holds {kind}",
                    file=name,
                    column=key,
                    kind=kind,
                ),
                file=name,
                expected="text or whole numbers",
            )
        self.rows = int(content.metadata.num_rows)
        self._titles = [key, *titles]
        if "string" in kind:
            # a name for each row would be as many objects; a dictionary has each but once
            content = opened(file, name, read_dictionary=[key])
        self._content = content

    def blocks(self, rows: int = BLOCK_ROWS) -> Iterator[Pulls]:
        """Read the pulls block by block; what a block cuts apart is joined again.

        Parameters
        ----------
        rows : int
            How many are read at a time.

        Yields
        ------
        Pulls

        Raises
        ------
        BadFile
            If the file is damaged, or a pull has more rows than any pull.
        """
        held: list[_Run] = []
        row = 0
        for batch in self._batches(rows):
            runs = _runs(batch, row)
            row += batch.num_rows
            if held and runs and runs[0].name == held[0].name:
                held.append(runs.pop(0))
                self._check_length(held)
            if not runs:
                continue
            if held:
                yield self._joined(held)
            if len(runs) > 1:
                yield self._together(runs[:-1])
            held = [runs[-1].kept()]
        if held:
            yield self._joined(held)

    def _batches(self, rows: int) -> Iterator[Any]:
        with said(self.name):
            yield from self._content.iter_batches(rows, columns=self._titles, use_threads=False)

    def _check_length(self, held: list[_Run]) -> None:
        if sum(run.last - run.first for run in held) > MAX_ROWS:
            raise BadFile(
                words(
                    "{file}: the pull {pull} has more than {limit} rows",
                    file=self.name,
                    pull=held[0].name,
                    limit=MAX_ROWS,
                ),
                file=self.name,
            )

    def _joined(self, held: list[_Run]) -> Pulls:
        parts = [[column[run.first : run.last] for column in run.columns] for run in held]
        time, torque, turning = (np.concatenate(p) for p in zip(*parts, strict=True))
        edges = np.array([0, len(time)])
        first = held[0].row + held[0].first
        return Pulls(self.table, [held[0].name], edges, (time, torque, turning), first)

    def _together(self, runs: list[_Run]) -> Pulls:
        first, last = runs[0].first, runs[-1].last
        edges = np.array([run.first for run in runs] + [last]) - first
        time, torque, turning = (column[first:last] for column in runs[0].columns)
        names = [run.name for run in runs]
        return Pulls(self.table, names, edges, (time, torque, turning), runs[0].row + first)


def traces_in(
    file: IO[bytes] | bytes, name: str = "archive", *, angle_mode: AngleMode = "handle"
) -> Iterator[tuple[str, Trace | BadFile]]:
    """Read the pulls of an archive one after the other, in constant memory.

    Parameters
    ----------
    file : bytes or binary file
        Parquet with the columns of a trace and one that names the pull (`ID_COLUMNS`); the rows of
        a pull stand together.
    name : str
        Name of the file, for messages.
    angle_mode : {"handle", "accumulated", "output"}

    Yields
    ------
    str
        Name of the pull.
    Trace or BadFile
        The pull, or why this one cannot be taken.

    Raises
    ------
    BadFile
        If the file as a whole cannot be read.
    """
    for pulls in Archive(file, name).blocks():
        for place, pull in enumerate(pulls.names):
            yield pull, pulls.trace(place, angle_mode)


@dataclass(slots=True, eq=False)
class _Run:
    """Rows of one pull within a batch whose first row stands at `row` of the file."""

    name: str
    columns: list[Floats]
    first: int
    last: int
    row: int

    def kept(self) -> _Run:
        """Return the same with its own rows only, so that the batch can be let go."""
        columns = [column[self.first : self.last].copy() for column in self.columns]
        return _Run(self.name, columns, 0, self.last - self.first, self.row + self.first)


def _runs(batch: Any, row: int) -> list[_Run]:
    """Cut a batch where the name of the pull changes."""
    if not batch.num_rows:
        return []
    key = batch.column(0)
    codes = getattr(key, "indices", key)
    if codes.null_count:  # rows without a name belong together
        codes = codes.fill_null(-1)
    codes = codes.to_numpy(zero_copy_only=False)
    columns = [
        np.ascontiguousarray(batch.column(i).to_numpy(zero_copy_only=False), np.float64)
        for i in (1, 2, 3)
    ]
    edges = [0, *(np.flatnonzero(codes[1:] != codes[:-1]) + 1).tolist(), len(codes)]
    names = [str(key[first].as_py()) for first in edges[:-1]]
    return [
        _Run(name, columns, first, last, row)
        for name, first, last in zip(names, edges, edges[1:], strict=False)
    ]
