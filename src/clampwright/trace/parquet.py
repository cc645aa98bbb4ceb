"""Traces in Parquet: one pull in a file, or many told apart by a column."""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import pairwise
from typing import IO, Any

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace.columns import columns_of
from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.table import Table, finished, too_short
from clampwright.words import words

MAGIC = b"PAR1"
MAX_ROWS = 4_000_000
"""More rows than this are no single pull: an hour at 1000 Hz has 3.6 million."""
ID_COLUMNS = ("trace", "trace_id", "id", "pull")
"""Names of the column that tells the pulls of an archive apart."""


def read_parquet(
    file: bytes | IO[bytes], name: str = "trace", *, angle_mode: AngleMode = "handle"
) -> Trace:
    """Read one trace from a Parquet file.

    Parameters
    ----------
    file : bytes or binary file
        With the columns that a text table has: ``time_s``, ``torque_Nm``, and ``angle_deg`` or
        ``rate_dps``.
    name : str
        Name of the file, for messages.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is; a rate is always that of the handle.

    Returns
    -------
    Trace

    Raises
    ------
    BadFile
        If it is no Parquet file, was cut off, is too long for one pull, or is no trace.
    """
    content = _opened(file, name)
    rows = int(content.metadata.num_rows)
    if rows > MAX_ROWS:
        raise BadFile(
            words(
                "{file}: {rows} rows are too many for one pull; at most {limit} are taken. Name "
                "an archive of many pulls with --batch",
                file=name,
                rows=rows,
                limit=MAX_ROWS,
            ),
            file=name,
            expected="a shorter trace",
        )
    titles, table = _columns(content, name, rows)
    with _said(name):
        read = content.read(columns=titles, use_threads=False)
    values, steps = _without_gaps(_rows(read, titles), table)
    return finished(values, table, steps, angle_mode)


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
    content = _opened(file, name)
    titles, table = _columns(content, name, 1)
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
    for pull, values, first in _pulls(content, [key, *titles], name):
        part = Table(name, table.columns, range(first + 1, first + len(values) + 1), binary=True)
        try:
            clean, steps = _without_gaps(values, part)
            yield pull, finished(clean, part, steps, angle_mode)
        except BadFile as error:
            yield pull, error


def _pulls(content: Any, names: list[str], name: str) -> Iterator[tuple[str, Floats, int]]:
    """Yield name, rows and first row of each pull; what a batch cuts apart is joined again."""
    pieces: list[Floats] = []
    pull, start, row, held = None, 0, 0, 0
    with _said(name):
        for batch in content.iter_batches(65_536, columns=names, use_threads=False):
            keys = batch.column(0).to_numpy(zero_copy_only=False)
            values = _rows(batch, names[1:])
            edges = [0, *(np.flatnonzero(keys[1:] != keys[:-1]) + 1).tolist(), len(keys)]
            for first, last in pairwise(edges):
                if first == last:
                    continue
                if pieces and str(keys[first]) != pull:
                    yield str(pull), np.concatenate(pieces), start
                    pieces, held = [], 0
                if not pieces:
                    pull, start = str(keys[first]), row + first
                held += last - first
                if held > MAX_ROWS:
                    raise BadFile(
                        words(
                            "{file}: the pull {pull} has more than {limit} rows",
                            file=name,
                            pull=str(pull),
                            limit=MAX_ROWS,
                        ),
                        file=name,
                    )
                pieces.append(values[first:last])
            row += len(keys)
    if pieces:
        yield str(pull), np.concatenate(pieces), start


class _said:  # noqa: N801 - reads as a word where it is used
    """Turn what the reader of Parquet raises into one sentence about the file."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: BaseException | None, place: object) -> None:
        import pyarrow as pa  # type: ignore[import-untyped]  # noqa: PLC0415 - it ships no types; needed for Parquet only

        if isinstance(error, pa.ArrowException | OSError):
            raise BadFile(
                words(
                    "{file}: this Parquet file is damaged or was cut off; copy it again from where "
                    "it was written",
                    file=self.name,
                ),
                file=self.name,
                expected="a whole Parquet file",
            ) from error


def _opened(file: bytes | IO[bytes], name: str) -> Any:
    from pyarrow import parquet  # noqa: PLC0415 - needed for Parquet only

    with _said(name):
        return parquet.ParquetFile(io.BytesIO(file) if isinstance(file, bytes) else file)


def _columns(content: Any, name: str, rows: int) -> tuple[list[str], Table]:
    titles = list(content.schema_arrow.names)
    columns = columns_of(titles, None, name, 1)
    table = Table(name, columns, range(1, rows + 1), binary=True)
    for column in columns:
        kind = str(content.schema_arrow.field(column.place).type)
        if not kind.startswith(("double", "float", "int", "uint", "halffloat")):
            raise table.bad(
                0,
                column,
                lambda place, kind=kind: words(  # type: ignore[misc]  # the default binds this turn's kind
                    "{place}: numbers are expected; this column holds {kind}",
                    place=place,
                    kind=kind,
                ),
                "numbers",
            )
    return [titles[column.place] for column in columns], table


def _rows(read: Any, titles: list[str]) -> Floats:
    """Return columns of a table or of a batch side by side; what is missing becomes NaN."""
    place = [read.schema.get_field_index(title) for title in titles]
    return np.column_stack(
        [np.asarray(read.column(i).to_numpy(**_COPY[_is_batch(read)]), np.float64) for i in place]
    )


def _is_batch(read: Any) -> bool:
    return type(read).__name__ == "RecordBatch"


_COPY: dict[bool, dict[str, bool]] = {True: {"zero_copy_only": False}, False: {}}
"""A single batch must be told that columns with missing values may be copied."""


def _without_gaps(values: Floats, table: Table) -> tuple[Floats, list[Step]]:
    """Leave out single rows without a number; refuse where they are many."""
    good = np.isfinite(values).all(axis=1)
    lost = int(len(values) - good.sum())
    if not lost:
        return values, []
    first = int(np.argmin(good))
    if lost > limit("lost_rows") * len(values):
        place = int(np.argmin(np.isfinite(values[first])))
        raise table.bad(
            first,
            table.columns[place],
            lambda where: words(
                "{place}: {role} must be a number", place=where, role=table.columns[place].role
            ),
            "a number",
        )
    if len(values) - lost < 2:
        raise too_short(table)
    step = Step(
        "rows without a number dropped", {"count": lost, "first_line": table.numbers[first]}
    )
    return values[good], [step]
