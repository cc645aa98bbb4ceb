"""The usual case of a text table, read by a compiled parser; anything unusual is left alone.

The parser rounds every number to the nearest double, as the careful reader does, so that both give
the same trace.
"""

from __future__ import annotations

import numpy as np

from clampwright.errors import BadFile
from clampwright.trace.columns import columns_of
from clampwright.trace.model import Floats
from clampwright.trace.table import Table

_LEAST = 20_000
"""Bytes below which starting the parser would cost more than it gains."""


def quick_values(data: bytes, name: str) -> tuple[Floats, Table] | None:
    """Parse a clean table: one header, then rows of numbers only.

    Parameters
    ----------
    data : bytes
    name : str
        Name of the file, for messages.

    Returns
    -------
    tuple of ndarray, shape (n, 3), and Table, or None
        None where it is not such a table and must be read with care.
    """
    if len(data) < _LEAST or b"#" in data or b"\r" in data or b'"' in data:
        return None
    end = data.find(b"\n", 0, 1000)
    try:
        header = data[:end].decode("utf-8-sig") if end > 0 else ""
    except UnicodeDecodeError:
        return None
    separator = next((s for s in ("\t", ";", ",") if s in header), "")
    if not separator:
        return None
    titles = [cell.strip() for cell in header.split(separator)]
    try:
        columns = columns_of(titles, None, name, 1)
    except BadFile:
        return None
    places = [column.place for column in columns]
    values = _numbers(data[end + 1 :], separator, len(titles), places)
    return None if values is None else (values, Table(name, columns, range(2, len(values) + 2)))


def _numbers(body: bytes, separator: str, width: int, places: list[int]) -> Floats | None:
    names = [str(place) for place in range(width)]
    wanted = [names[place] for place in places]
    for decimal in (".",) if separator == "," else (",", "."):
        values = _parsed(body, separator, decimal, names, wanted)
        if values is not None:
            return values
    return None


def _parsed(
    body: bytes, separator: str, decimal: str, names: list[str], wanted: list[str]
) -> Floats | None:
    import pyarrow as pa
    from pyarrow import csv

    try:
        table = csv.read_csv(
            pa.BufferReader(body),
            read_options=csv.ReadOptions(column_names=names, use_threads=False),
            parse_options=csv.ParseOptions(delimiter=separator, quote_char=False),
            convert_options=csv.ConvertOptions(
                column_types=dict.fromkeys(wanted, pa.float64()),
                include_columns=wanted,
                null_values=[],
                decimal_point=decimal,
            ),
        )
    except pa.ArrowInvalid:
        return None
    if table.num_rows < 2:
        return None
    values = np.column_stack([table.column(name).to_numpy() for name in wanted])
    return values if np.isfinite(values).all() else None
