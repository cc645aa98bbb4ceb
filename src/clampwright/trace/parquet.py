"""A trace in Parquet: one pull in a file."""

from __future__ import annotations

import io
from typing import IO, Any

import numpy as np

from clampwright.errors import BadFile
from clampwright.intake import most
from clampwright.trace.columns import columns_of
from clampwright.trace.limits import limit
from clampwright.trace.model import AngleMode, Floats, Step, Trace
from clampwright.trace.table import Table, finished, too_short
from clampwright.words import words

MAGIC = b"PAR1"
MAX_ROWS = most("trace parquet", "lines")
"""More rows than this are no single pull: an hour at 1000 Hz has 3.6 million."""
BYTES_A_ROW = 32
"""Unpacked bytes of one value: a number has eight at most, the id of a pull seldom over twenty."""
SLACK = 1_000_000
"""Unpacked bytes of a column beside its rows: heads of pages, a dictionary of names."""
MOST_OF_FOOTER = 10_000_000
"""Bytes of one text in the footer, and members of one list in it."""


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
    content = opened(file, name)
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
    titles, table = columns_in(content, name, rows)
    with said(name):
        read = content.read(columns=titles, use_threads=False)
    values, steps = without_gaps(_rows(read, titles), table)
    return finished(values, table, steps, angle_mode)


class said:  # noqa: N801 - reads as a word where it is used
    """Turn what the reader of Parquet raises into one sentence about the file."""

    def __init__(self, name: str) -> None:
        self.name = name

    def __enter__(self) -> None:
        return None

    def __exit__(self, kind: object, error: BaseException | None, place: object) -> None:
        import pyarrow as pa

        if isinstance(error, pa.ArrowException | OSError | UnicodeDecodeError):
            raise BadFile(
                words(
                    "{file}: this Parquet file is damaged or was cut off; copy it again from where "
                    "it was written",
                    file=self.name,
                ),
                file=self.name,
                expected="a whole Parquet file",
            ) from error


def opened(file: bytes | IO[bytes], name: str, **options: Any) -> Any:
    """Open a Parquet file; only its footer is read.

    Parameters
    ----------
    file : bytes or binary file
    name : str
        Name of the file, for messages.
    **options
        Of the reader of Parquet.

    Returns
    -------
    pyarrow.parquet.ParquetFile

    Raises
    ------
    BadFile
        If it is no Parquet file, or was cut off.
    """
    from pyarrow import parquet

    with said(name):
        source = io.BytesIO(file) if isinstance(file, bytes) else file
        content = parquet.ParquetFile(
            source,
            thrift_string_size_limit=MOST_OF_FOOTER,
            thrift_container_size_limit=MOST_OF_FOOTER,
            **options,
        )
        # Looked at here: names that are no text are told as damage.
        _ = content.schema_arrow.names
    check_width(content, name)
    check_unpacked(content, name)
    return content


def check_width(content: Any, name: str) -> None:
    """Refuse a table of more columns than any recording has.

    Parameters
    ----------
    content : pyarrow.parquet.ParquetFile
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadFile
    """
    if content.metadata.num_columns > most("trace parquet", "width"):
        raise BadFile(
            words(
                "{file}: {count} columns are too many; at most {limit} are taken",
                file=name,
                count=content.metadata.num_columns,
                limit=most("trace parquet", "width"),
            ),
            file=name,
        )


def check_unpacked(content: Any, name: str) -> None:
    """Refuse a table that would unpack to more than its rows can hold.

    Packed well, a file of a megabyte can hold gigabytes: long names written once for millions of
    rows. The sizes are those of the footer, by groups of rows: what it says of single columns the
    library looks at in a way that ends the program where they are damaged.

    Parameters
    ----------
    content : pyarrow.parquet.ParquetFile
    name : str
        Name of the file, for messages.

    Raises
    ------
    BadFile
    """
    about = content.metadata
    for group in (about.row_group(i) for i in range(about.num_row_groups)):
        if group.total_byte_size > about.num_columns * (SLACK + BYTES_A_ROW * group.num_rows):
            raise BadFile(
                words(
                    "{file}: it would unpack to {size} bytes for {rows} rows; no recording is like "
                    "that",
                    file=name,
                    size=group.total_byte_size,
                    rows=group.num_rows,
                ),
                file=name,
                expected="a recorded pull",
            )


def columns_in(content: Any, name: str, rows: int) -> tuple[list[str], Table]:
    """Find the columns of a trace in an open Parquet file.

    Parameters
    ----------
    content : pyarrow.parquet.ParquetFile
    name : str
        Name of the file, for messages.
    rows : int
        How many rows the table is to number.

    Returns
    -------
    titles : list of str
        Of time, torque, and angle or rate.
    table : Table

    Raises
    ------
    BadFile
        Where a column is missing or holds no numbers.
    """
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


def without_gaps(values: Floats, table: Table) -> tuple[Floats, list[Step]]:
    """Leave out single rows without a number; refuse where they are many.

    Parameters
    ----------
    values : ndarray, shape (n, 3)
    table : Table

    Returns
    -------
    values : ndarray
    steps : list of Step
        What was left out.

    Raises
    ------
    BadFile
        Where too many rows lack a number.
    """
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
