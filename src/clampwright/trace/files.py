"""A trace from whatever file holds it: what it is shows in its first bytes, not in its name."""

from __future__ import annotations

from typing import IO

from clampwright.trace.line_form import LineForm
from clampwright.trace.lines import read_lines
from clampwright.trace.model import AngleMode, Trace
from clampwright.trace.parquet import MAGIC, read_parquet
from clampwright.trace.reading import limited, read_csv


def read_trace(
    file: bytes | IO[bytes],
    name: str = "trace",
    *,
    angle_mode: AngleMode = "handle",
    lines: LineForm | None = None,
) -> Trace:
    r"""Read a trace from Parquet, from a text table, or from lines of a form of its own.

    Parameters
    ----------
    file : bytes or binary file that can seek
    name : str
        Name of the file, for messages.
    angle_mode : {"handle", "accumulated", "output"}
        What the angle is.
    lines : LineForm, optional
        How to read its lines, where it is not a table with a header.

    Returns
    -------
    Trace

    Raises
    ------
    BadFile
        Where it is not a trace or cannot be trusted.

    Examples
    --------
    >>> text = b"time_s,torque_Nm,angle_deg\n0,0,0\n0.1,5,4\n"
    >>> len(read_trace(text, "pull.csv"))
    2
    """
    if lines is not None:
        return read_lines(limited(file, name), lines, name, angle_mode=angle_mode)
    if _starts_with(file, MAGIC):
        return read_parquet(file, name, angle_mode=angle_mode)
    return read_csv(file, name, angle_mode=angle_mode)


def _starts_with(file: bytes | IO[bytes], magic: bytes) -> bool:
    if isinstance(file, bytes):
        return file.startswith(magic)
    start = file.read(len(magic))
    file.seek(0)
    return start == magic
