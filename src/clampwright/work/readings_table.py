"""Readings of a calibration as a table: what was set, what the reference showed, which way."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from clampwright.drawer.calibration import Direction
from clampwright.drawer.tools import Tool
from clampwright.errors import BadFile
from clampwright.words import words
from clampwright.work.measured_table import MeasuredTable, read_table

_SHOWN, _READING = frozenset({"shown", "set"}), frozenset({"reading", "reference", "mass"})
_DIRECTION, _SERIES = frozenset({"direction"}), frozenset({"series"})
_POSITION = frozenset({"position"})


@dataclass(frozen=True, slots=True)
class CalibrationReadings:
    """Readings, ready to be evaluated.

    Parameters
    ----------
    points : mapping of (str, float) to list of float
        By direction and value on the tool's scale.
    series : mapping of str to list of float
        Means of the further series, by position.
    """

    points: Mapping[tuple[Direction, float], list[float]]
    series: Mapping[str, list[float]]


def read_readings(
    data: bytes, name: str, tool: Tool, *, torque_of: Callable[[float], float] = float
) -> CalibrationReadings:
    r"""Read the readings of a calibration from a text table.

    Parameters
    ----------
    data : bytes
        UTF-8; columns ``shown`` and ``reading`` (or ``mass``), and where needed ``direction``,
        ``series`` and ``position``.
    name : str
        Name of the file, for messages.
    tool : Tool
    torque_of : callable
        Turns a reading into what the reference showed, in the scale's unit (for hung weights).

    Returns
    -------
    CalibrationReadings

    Raises
    ------
    BadFile
        It is no table, a column is missing, or a direction is not told.

    Examples
    --------
    >>> from clampwright.drawer.tools import Scale
    >>> wrench = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
    >>> read_readings(b"shown,reading\n60,61.5\n60,61.7\n", "r.csv", wrench).points
    {('cw', 60.0): [61.5, 61.7]}
    """
    table = read_table(data, name)
    shown, reading = table.find(_SHOWN), table.find(_READING)
    if shown is None or reading is None:
        raise table.bad(
            words("columns shown and reading are needed: what was set, and what the device showed")
        )
    series = table.find(_SERIES)
    points: dict[tuple[Direction, float], list[float]] = {}
    further: dict[str, dict[str, list[float]]] = {}
    for row in range(len(table.rows)):
        value = torque_of(table.number(row, reading))
        what = "" if series is None else table.rows[row][series].strip()
        if what:
            further.setdefault(what, {}).setdefault(_position(table, row), []).append(value)
        else:
            key = (_direction(table, row, tool), table.number(row, shown))
            points.setdefault(key, []).append(value)
    means = {
        what: [sum(some) / len(some) for some in places.values()]
        for what, places in further.items()
    }
    return CalibrationReadings(points, means)


def _position(table: MeasuredTable, row: int) -> str:
    place = table.find(_POSITION)
    if place is None:
        raise table.bad(words("a series needs a column position: which position it was read in"))
    return table.rows[row][place].strip()


def _direction(table: MeasuredTable, row: int, tool: Tool) -> Direction:
    place = table.find(_DIRECTION)
    text = "" if place is None else table.rows[row][place].strip().casefold()
    if not text and len(tool.directions) == 1:
        return tool.directions[0]
    if text == "cw":
        return "cw"
    if text == "ccw":
        return "ccw"
    raise BadFile(
        words(
            "{file}, line {line}: this wrench works both ways; write cw or ccw in a column "
            "direction",
            file=table.name,
            line=table.lines[row],
        ),
        file=table.name,
        line=table.lines[row],
    )
