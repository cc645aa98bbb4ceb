"""Room on a drawing: boxes, and words set beside spots so that they cover nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from clampwright.report.svg import WIDTH_OF_A_CHARACTER, fitting
from clampwright.report.view import Side
from clampwright.work.layout import Position

LETTERS = 27.0
"""Type size of the words beside a fastener."""
WIDEST = 138.0
"""Longer words are set smaller."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle; y grows downwards."""

    left: float
    top: float
    right: float
    bottom: float

    @classmethod
    def around(cls, middle: Position, half_width: float, half_height: float) -> Box:
        """Return the box of a size about a point."""
        x, y = middle
        return cls(x - half_width, y - half_height, x + half_width, y + half_height)

    @classmethod
    def holding(cls, boxes: Iterable[Box]) -> Box:
        """Return the smallest box that holds others."""
        lefts, tops, rights, bottoms = zip(
            *((box.left, box.top, box.right, box.bottom) for box in boxes), strict=True
        )
        return cls(min(lefts), min(tops), max(rights), max(bottoms))

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top

    @property
    def middle(self) -> Position:
        """Its centre."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def grown(self, by: float) -> Box:
        """Return the box with a margin all round."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def grown_on(self, side: Side, by: float) -> Box:
        """Return the box with a margin on one side."""
        return Box(
            self.left - by * (side == "left"),
            self.top - by * (side == "up"),
            self.right + by * (side == "right"),
            self.bottom + by * (side == "down"),
        )

    def shared(self, other: Box) -> float:
        """Return the area two boxes have in common.

        Examples
        --------
        >>> Box(0, 0, 4, 4).shared(Box(3, 2, 9, 9)), Box(0, 0, 1, 1).shared(Box(1, 0, 2, 1))
        (2, 0)
        """
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(across, 0) * max(down, 0)


@dataclass(frozen=True, slots=True)
class Label:
    """Words with their place."""

    text: str
    size: float
    box: Box


def place_labels(
    spots: Mapping[int, Position],
    texts: Mapping[int, str],
    reach: Mapping[int, tuple[float, float]],
) -> dict[int, Label]:
    """Set words below, above, right or left of spots, where they cover least.

    Parameters
    ----------
    spots : mapping of int to (float, float)
    texts : mapping of int to str
        Empty ones are left out.
    reach : mapping of int to (float, float)
        Half the width and height of what stands on each spot.

    Returns
    -------
    dict of int to Label
    """
    taken = [Box.around(spot, *reach[n]) for n, spot in spots.items()]
    middle = Box.holding(taken).middle[0]
    labels: dict[int, Label] = {}
    for n, text in texts.items():
        if text:
            size = fitting(text, LETTERS, WIDEST)
            best = min(
                _candidates(spots[n], text, size, reach[n], middle),
                key=lambda box: sum(box.shared(other) for other in taken),
            )
            labels[n] = Label(text, size, best)
            taken.append(best)
    return labels


def _candidates(
    spot: Position, text: str, size: float, reach: tuple[float, float], middle: float
) -> list[Box]:
    """Return the places for a label, the most welcome first; of the sides the outer one."""
    x, y = spot
    wide, high = len(text) * WIDTH_OF_A_CHARACTER * size / 2, size / 2
    aside, beyond = reach[0] + 8 + wide, reach[1] + 4 + high
    if x < middle:
        aside = -aside
    centres = [(x, y + beyond), (x, y - beyond), (x + aside, y), (x - aside, y)]
    return [Box.around(centre, wide, high) for centre in centres]
