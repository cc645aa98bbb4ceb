"""Where the fasteners of a joint sit, seen from the side they are turned from.

Numbers count from 1: clockwise from the top in a circle, left to right in a row, left to right and
then downwards in a grid (the way one reads), as listed in a list. Positions are in mm, x to the
right and y upwards, about the middle of the joint.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from clampwright.errors import OutOfRange
from clampwright.words import Words, words

Pattern = Literal["circle", "row", "grid", "list", "single"]
Position = tuple[float, float]

MAX_FASTENERS = 400
"""More than any joint a hand wrench is taken round; keeps a slip of the keyboard from growing."""


@dataclass(frozen=True, slots=True)
class Layout:
    """Positions of the fasteners of one joint.

    Parameters
    ----------
    pattern : str
        ``circle``, ``row``, ``grid``, ``list`` or ``single``.
    positions : tuple of (float, float)
        Position of fastener 1, 2, ..., mm.
    rows, columns : int
        Shape of a grid; a row has one row, other patterns 0.
    """

    pattern: Pattern
    positions: tuple[Position, ...]
    rows: int = 0
    columns: int = 0

    def __post_init__(self) -> None:
        if not 1 <= len(self.positions) <= MAX_FASTENERS:
            raise OutOfRange(
                words(
                    "a joint has 1 to {limit} fasteners, not {count}",
                    limit=MAX_FASTENERS,
                    count=len(self.positions),
                ),
                value=len(self.positions),
                low=1,
                high=MAX_FASTENERS,
            )
        if len(set(self.positions)) != len(self.positions):
            raise OutOfRange(
                words("two fasteners of the layout have the same position"),
                value=len(set(self.positions)),
                low=len(self.positions),
            )

    @property
    def count(self) -> int:
        """Number of fasteners."""
        return len(self.positions)

    @property
    def numbers(self) -> tuple[int, ...]:
        """The fastener numbers 1 to `count`."""
        return tuple(range(1, self.count + 1))

    @property
    def pitches(self) -> tuple[float, float]:
        """Distance between neighbours along and across the rows of a grid, mm."""
        x = sorted({position[0] for position in self.positions})
        y = sorted({position[1] for position in self.positions})
        return (x[1] - x[0] if len(x) > 1 else 1.0), (y[1] - y[0] if len(y) > 1 else 1.0)

    def place(self, number: int) -> Words:
        """Name a fastener's place in words.

        Parameters
        ----------
        number : int
            Fastener number.

        Returns
        -------
        Words
        """
        if self.pattern == "circle":
            return _on_the_clock(self.positions[number - 1])
        if self.pattern == "row":
            return words("{nth} from the left of {count}", nth=_nth(number), count=self.count)
        if self.pattern == "grid":
            row, column = divmod(number - 1, self.columns)
            return words(
                "{row} row, {nth} from the left",
                row=_row_name(row, self.rows),
                nth=_nth(column + 1),
            )
        if self.pattern == "single":
            return words("the only one")
        return words("number {number} of the drawing", number=number)


def circle(count: int, diameter: float) -> Layout:
    """Put fasteners on a circle, the first at the top, clockwise.

    Parameters
    ----------
    count : int
    diameter : float
        Pitch circle diameter, mm.

    Returns
    -------
    Layout

    Examples
    --------
    >>> circle(4, 100.0).positions[1]
    (50.0, 0.0)
    """
    _above_zero("diameter", diameter)
    radius = diameter / 2
    turns = [2 * math.pi * index / count for index in range(count)]
    return Layout(
        "circle",
        tuple((_tidy(radius * math.sin(t)), _tidy(radius * math.cos(t))) for t in turns),
    )


def row(count: int, pitch: float) -> Layout:
    """Put fasteners in one line, left to right.

    Parameters
    ----------
    count : int
    pitch : float
        Distance between neighbours, mm.

    Returns
    -------
    Layout
    """
    _above_zero("pitch", pitch)
    middle = (count - 1) / 2
    positions = tuple((_tidy((i - middle) * pitch), 0.0) for i in range(count))
    return Layout("row", positions, 1, count)


def grid(rows: int, columns: int, pitch_x: float, pitch_y: float) -> Layout:
    """Put fasteners in rows and columns, numbered the way one reads.

    Parameters
    ----------
    rows, columns : int
    pitch_x, pitch_y : float
        Distance between neighbours along and across the rows, mm.

    Returns
    -------
    Layout

    Examples
    --------
    >>> str(grid(2, 5, 90.0, 110.0).place(8))
    'bottom row, third from the left'
    """
    _above_zero("pitch", pitch_x)
    _above_zero("pitch", pitch_y)
    positions = tuple(
        (_tidy((c - (columns - 1) / 2) * pitch_x), _tidy(((rows - 1) / 2 - r) * pitch_y))
        for r in range(rows)
        for c in range(columns)
    )
    return Layout("grid", positions, rows, columns)


def listed(positions: tuple[Position, ...]) -> Layout:
    """Take positions as they are given.

    Parameters
    ----------
    positions : tuple of (float, float)
        mm.

    Returns
    -------
    Layout
    """
    for place in positions:
        if not all(math.isfinite(value) for value in place):
            raise OutOfRange(words("a position must be two finite numbers, mm"), value=math.nan)
    return Layout("single" if len(positions) == 1 else "list", positions)


def _above_zero(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise OutOfRange(
            words("{name} must be above 0 mm, got {value:g} mm", name=name, value=value),
            value=value,
            low=0,
        )


def _tidy(value: float) -> float:
    """Round away what sine and cosine leave behind, so that equal files give equal bytes."""
    return round(value, 6) + 0.0


_NTH = (
    "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth",
)  # fmt: skip


def _nth(number: int) -> str:
    return _NTH[number - 1] if number <= len(_NTH) else f"number {number}"


def _row_name(index: int, rows: int) -> str:
    if index == 0:
        return "top"
    if index == rows - 1:
        return "bottom"
    return "middle" if rows == 3 else _nth(index + 1)  # only three rows have one middle


def _on_the_clock(position: Position) -> Words:
    """Say where on a clock face a position lies; workshop speech for a place on a circle."""
    x, y = position
    minutes = round(math.degrees(math.atan2(x, y)) % 360 * 2) % 720
    hour, minute = divmod(minutes, 60)
    if minute == 0:
        return words("at {hour} o'clock", hour=hour or 12)
    return words("at {hour}:{minute:02d} on the clock face", hour=hour or 12, minute=minute)
