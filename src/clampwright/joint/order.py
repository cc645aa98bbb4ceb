"""The order in which the fasteners of a joint are taken.

Numbering, where the parts carry no numbers of their own:

circle  clockwise from the top, seen from the side of the wrench; 1 is at twelve o'clock
row     from left to right
grid    row by row from the top left, each row from left to right
points  as they were given

The machine's own manual goes before every order made here.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.words import Words, words

LARGEST = 100
"""Most fasteners an order is made for; larger joints need their maker's plan."""

PRACTICE = "common practice, no source"
CROSS = "ASME PCC-1, legacy cross pattern, from memory; starts of the groups for 28 and more: ours"
PAIRS = "common practice, no source; spacing of the pairs from 14 on: ours"
STAR = "common practice, no source (star for 5); spacing from 7 on: ours"
SPREAD = "common practice, no source; rule of the largest distance: ours"

_RECENT = 2  # how many of the last tightened fasteners the next one keeps away from
_SAME = 1e-9  # relative difference of distances below which two positions tie


@dataclass(frozen=True, slots=True)
class Order:
    """A sequence of fastener numbers, each exactly once.

    Parameters
    ----------
    numbers : tuple of int
        Fastener numbers, from 1, in the order of tightening.
    source : str
        Where the order comes from.
    numbering : Words
        How the fasteners are numbered.

    Raises
    ------
    ClampwrightError
        A number is missing or stands twice.

    Examples
    --------
    >>> tuple(circle_order(4))
    (1, 3, 2, 4)
    """

    numbers: tuple[int, ...]
    source: str
    numbering: Words

    def __post_init__(self) -> None:
        if sorted(self.numbers) != list(range(1, len(self.numbers) + 1)):
            raise ClampwrightError(
                words(
                    "an order must hold every number from 1 to {count} once, got {given}",
                    count=len(self.numbers),
                    given=", ".join(str(number) for number in self.numbers),
                )
            )

    def __iter__(self) -> Iterator[int]:
        return iter(self.numbers)

    def __len__(self) -> int:
        return len(self.numbers)


def circle_order(count: int) -> Order:
    """Order for fasteners evenly spaced on a circle, opposite ones in turn.

    Parameters
    ----------
    count : int
        Number of fasteners, 1 to 100.

    Returns
    -------
    Order
        4, 8, 12, …: groups of four, two opposite pairs at right angles. 6, 10, 14, …: opposite
        pairs, each as nearly square to the last as the count allows. Odd counts: a star, each
        fastener as nearly opposite the last as the count allows.

    Raises
    ------
    OutOfRange
        `count` is not a whole number from 1 to 100.

    Notes
    -----
    Taken as unit pulls from the centre, the sum of those done is never longer than one pull, so
    the part is drawn down square.

    References
    ----------
    ASME PCC-1 legacy cross pattern (4 to 24 by fours), from memory. 5, 6 and 10: common practice,
    no source. For 12 another published order exists (1-7-4-10-2-8-6-12-5-11-9-3).

    Examples
    --------
    >>> circle_order(8).numbers
    (1, 5, 3, 7, 2, 6, 4, 8)
    >>> circle_order(5).numbers
    (1, 3, 5, 2, 4)
    """
    _count("count", count)
    numbering = words("numbered clockwise from the top, seen from the side of the wrench")
    if count % 4 == 0:
        return Order(tuple(_cross(count)), CROSS, numbering)
    if count % 2 == 0:
        return Order(tuple(_pairs(count)), PAIRS, numbering)
    step = max(1, (count - 1) // 2)  # has no factor in common with an odd count
    star = tuple(1 + step * k % count for k in range(count))
    return Order(star, STAR, numbering)


def row_order(count: int) -> Order:
    """Order for fasteners in one straight row: from the middle outward, sides in turn.

    Parameters
    ----------
    count : int
        Number of fasteners, 1 to 100.

    Returns
    -------
    Order

    Raises
    ------
    OutOfRange
        `count` is not a whole number from 1 to 100.

    References
    ----------
    Common practice, no source (engine manuals).

    Examples
    --------
    >>> row_order(5).numbers
    (3, 2, 4, 1, 5)
    """
    _count("count", count)
    numbering = words("numbered from left to right")
    points = [(float(place), 0.0) for place in range(count)]
    return Order(_centre_out(points), PRACTICE, numbering)


def grid_order(rows: int, columns: int, *, row_pitch: float = 1.0, pitch: float = 1.0) -> Order:
    """Order for fasteners on a grid (a cylinder head, a cover): from the middle outward.

    Parameters
    ----------
    rows, columns : int
        Numbers of rows and columns; together 1 to 100 fasteners.
    row_pitch : float
        Distance between rows, mm or in units of `pitch`.
    pitch : float
        Distance between neighbours in a row, in the same unit.

    Returns
    -------
    Order
        Rings of equal distance from the middle, the inner ones first; within a ring each fastener
        is followed by the one diagonally opposite.

    Raises
    ------
    OutOfRange
        A count or a distance is not above zero, or there are more than 100 fasteners.

    References
    ----------
    Common practice, no source (engine manuals).

    Examples
    --------
    >>> grid_order(2, 5).numbers
    (3, 8, 2, 9, 4, 7, 1, 10, 5, 6)
    """
    _count("rows", rows)
    _count("columns", columns)
    _count("rows × columns", rows * columns)
    _distance("row_pitch", row_pitch)
    _distance("pitch", pitch)
    numbering = words("numbered row by row from the top left, each row from left to right")
    points = [(pitch * column, row_pitch * row) for row in range(rows) for column in range(columns)]
    return Order(_centre_out(points), PRACTICE, numbering)


def points_order(points: Sequence[tuple[float, float]]) -> Order:
    """Order for fasteners anywhere: each next one far from those just tightened.

    Parameters
    ----------
    points : sequence of (float, float)
        Positions in any unit of length, all different; 1 to 100 of them.

    Returns
    -------
    Order
        Starts at the fastener nearest the middle (at the first one if all are equally near, as on
        a circle). Then always the one whose distance to the last two is largest; ties go to the
        one farther from the last, then to the lower number.

    Raises
    ------
    OutOfRange
        Too many points, or a coordinate is not finite.
    ClampwrightError
        Two points lie at the same place.

    References
    ----------
    Common practice, no source; the rule is ours.

    Examples
    --------
    >>> points_order([(0, 0), (80, 0), (80, 60), (0, 60)]).numbers
    (1, 3, 4, 2)
    """
    _count("points", len(points))
    _places(points)
    left = list(range(len(points)))
    done = [_nearest_middle(points)]
    left.remove(done[0])
    while left:
        last = done[-_RECENT:]
        best = max(left, key=lambda place: _apart(points, place, last))
        done.append(best)
        left.remove(best)
    numbering = words("numbered in the order in which the positions were given")
    return Order(tuple(place + 1 for place in done), SPREAD, numbering)


def reverse(order: Order) -> Order:
    """Return the order for loosening: the tightening order backwards.

    Parameters
    ----------
    order : Order

    Returns
    -------
    Order

    References
    ----------
    Common practice, no source: ends or last ones first, in steps, cold.

    Examples
    --------
    >>> reverse(row_order(5)).numbers
    (5, 1, 4, 2, 3)
    """
    return Order(order.numbers[::-1], f"{order.source}; reversed for loosening", order.numbering)


def _cross(count: int) -> Iterator[int]:
    """Yield groups of four: a fastener, its opposite, and the pair a quarter turn on."""
    quarter = count // 4
    for start in _spread_starts(quarter):
        yield from (start, start + 2 * quarter, start + quarter, start + 3 * quarter)


def _spread_starts(quarter: int) -> Iterator[int]:
    """Yield the first fastener of each group, spread as the published rows do it."""
    if quarter <= 3:
        yield from range(1, quarter + 1)
    elif quarter % 2:
        yield from range(1, quarter + 1, 2)
        yield from range(2, quarter + 1, 2)
    else:
        for start in range(1, quarter // 2 + 1):
            yield from (start, start + quarter // 2)


def _pairs(count: int) -> Iterator[int]:
    """Yield opposite pairs, each turned by nearly a quarter turn against the last."""
    half = count // 2
    step = max(1, (half - 1) // 2)  # has no factor in common with the odd half
    for pair in range(half):
        start = pair * step % count
        yield from (start + 1, (start + half) % count + 1)


def _centre_out(points: Sequence[tuple[float, float]]) -> tuple[int, ...]:
    """Return rings around the middle, inner first; in a ring each point, then its mirror."""
    offsets = _offsets(points)
    scale = max(math.hypot(*offset) for offset in offsets) or 1.0
    mirror = {_key(offset, scale): place for place, offset in enumerate(offsets)}
    by_distance = sorted(range(len(points)), key=lambda p: (_ring(offsets[p], scale), p))
    done: dict[int, None] = {}  # a set that keeps its order
    for place in by_distance:
        if place not in done:
            x, y = offsets[place]
            done[place] = None
            done.setdefault(mirror[_key((-x, -y), scale)], None)
    return tuple(place + 1 for place in done)


def _offsets(points: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    middle_x = math.fsum(x for x, _ in points) / len(points)
    middle_y = math.fsum(y for _, y in points) / len(points)
    return [(x - middle_x, y - middle_y) for x, y in points]


def _ring(offset: tuple[float, float], scale: float) -> int:
    return round(math.hypot(*offset) / (scale * _SAME))


def _key(offset: tuple[float, float], scale: float) -> tuple[int, int]:
    return round(offset[0] / (scale * 1e-6)), round(offset[1] / (scale * 1e-6))


def _nearest_middle(points: Sequence[tuple[float, float]]) -> int:
    offsets = _offsets(points)
    scale = max(math.hypot(*offset) for offset in offsets) or 1.0
    return min(range(len(points)), key=lambda place: (_ring(offsets[place], scale), place))


def _apart(
    points: Sequence[tuple[float, float]], place: int, last: Sequence[int]
) -> tuple[float, float, int]:
    distances = [math.dist(points[place], points[other]) for other in last]
    # Rounded to nine figures, so that equal distances tie whatever the rounding of the coordinates.
    nearest, to_last = (float(f"{value:.9g}") for value in (min(distances), distances[-1]))
    return nearest, to_last, -place


def _count(name: str, count: int) -> None:
    if isinstance(count, bool) or not isinstance(count, int):
        raise ClampwrightError(
            words("{name} must be a whole number, not {given}", name=name, given=repr(count))
        )
    if not 1 <= count <= LARGEST:
        raise OutOfRange(
            words(
                "{name} is {count}; orders are made for 1 to {most} fasteners",
                name=name,
                count=count,
                most=LARGEST,
            ),
            value=count,
            low=1,
            high=LARGEST,
        )


def _distance(name: str, value: float) -> None:
    if not (math.isfinite(value) and value > 0):
        raise OutOfRange(
            words("{name} is {value:g}; it must be greater than 0", name=name, value=value),
            value=value,
            low=0.0,
        )


def _places(points: Sequence[tuple[float, float]]) -> None:
    seen: dict[tuple[float, float], int] = {}
    for number, (x, y) in enumerate(points, start=1):
        if not (math.isfinite(x) and math.isfinite(y)):
            raise OutOfRange(
                words(
                    "position {number} is ({x}, {y}); both must be finite numbers",
                    number=number,
                    x=x,
                    y=y,
                ),
                value=x if not math.isfinite(x) else y,
            )
        if (x, y) in seen:
            raise ClampwrightError(
                words(
                    "positions {first} and {second} are the same place",
                    first=seen[x, y],
                    second=number,
                )
            )
        seen[x, y] = number
