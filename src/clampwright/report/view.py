"""How a joint is looked at: turned and mirrored to where a person stands or reaches from."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from clampwright.errors import Refused
from clampwright.words import Words, words
from clampwright.work.layout import Layout, Position

Side = Literal["up", "right", "down", "left"]

TURNS = (0, 90, 180, 270)
_SIDES: tuple[Side, ...] = ("up", "right", "down", "left")


@dataclass(frozen=True, slots=True)
class View:
    """Where a joint is seen from.

    Parameters
    ----------
    turn : int
        How far the drawing is turned clockwise: 0, 90, 180 or 270 degrees.
    mirror : bool
        Drawn as seen from behind (or in a mirror); mirrored left to right before it is turned.

    Raises
    ------
    Refused
        For another turn.
    """

    turn: int = 0
    mirror: bool = False

    def __post_init__(self) -> None:
        if self.turn not in TURNS:
            raise Refused(
                words("a map is turned by 0, 90, 180 or 270 degrees, not {turn}", turn=self.turn)
            )

    def seen(self, position: Position) -> Position:
        """Return where a point of the joint stands in the drawing, x to the right, y upwards.

        Examples
        --------
        >>> View(turn=90).seen((0.0, 10.0)), View(mirror=True).seen((3.0, 1.0))
        ((10.0, 0.0), (-3.0, 1.0))
        """
        x, y = position
        if self.mirror:
            x = -x
        for _ in range(self.turn // 90):
            x, y = y, -x
        return x + 0.0, y + 0.0

    @property
    def top(self) -> Side:
        """On which side of the drawing the joint's own top is."""
        return _SIDES[self.turn // 90]


@dataclass(frozen=True, slots=True)
class Turning:
    """Which way fasteners turn.

    Parameters
    ----------
    left_hand : bool
        Left-hand thread.
    loosen : bool
        They are turned to come loose.
    """

    left_hand: bool = False
    loosen: bool = False

    def clockwise(self, view: View) -> bool:
        """Return whether a fastener turns clockwise as it is seen.

        Examples
        --------
        >>> Turning().clockwise(View()), Turning().clockwise(View(mirror=True))
        (True, False)
        >>> Turning(left_hand=True).clockwise(View())
        False
        """
        return not self.left_hand ^ self.loosen ^ view.mirror

    def words(self, *, clockwise: bool) -> Words:
        """Say which way to turn, as it is seen."""
        if self.loosen:
            if clockwise:
                return words("Loosen clockwise as you see it.")
            return words("Loosen counter-clockwise as you see it.")
        if clockwise:
            return words("Tighten clockwise as you see it.")
        return words("Tighten counter-clockwise as you see it.")


def place_seen(layout: Layout, number: int, view: View) -> Words:
    """Name a fastener's place as the person sees it.

    Parameters
    ----------
    layout : Layout
    number : int
        Fastener number.
    view : View

    Returns
    -------
    Words

    Examples
    --------
    >>> from clampwright.work.layout import grid
    >>> str(place_seen(grid(2, 5, 90.0, 110.0), 8, View(turn=180)))
    'top row, third from the left'
    >>> str(place_seen(grid(2, 5, 90.0, 110.0), 1, View(turn=90)))
    'top row, second from the left'
    """
    if layout.pattern == "circle":
        seen = tuple(view.seen(position) for position in layout.positions)
        return replace(layout, positions=seen).place(number)
    if layout.pattern == "row":
        return _place_in_row(layout, number, view)
    if layout.pattern == "grid":
        row, column = divmod(number - 1, layout.columns)
        row, column, rows, columns = _turned(row, column, layout.rows, layout.columns, view)
        return replace(layout, rows=rows, columns=columns).place(row * columns + column + 1)
    return layout.place(number)


def _turned(row: int, column: int, rows: int, columns: int, view: View) -> tuple[int, ...]:
    if view.mirror:
        column = columns - 1 - column
    for _ in range(view.turn // 90):
        row, column, rows, columns = column, rows - 1 - row, columns, rows
    return row, column, rows, columns


def _place_in_row(layout: Layout, number: int, view: View) -> Words:
    if view.turn in {0, 180}:
        backwards = view.mirror ^ (view.turn == 180)
        return layout.place(layout.count + 1 - number if backwards else number)
    backwards = view.mirror ^ (view.turn == 270)
    return words(
        "number {number} from the top, of {count}",
        number=layout.count + 1 - number if backwards else number,
        count=layout.count,
    )
