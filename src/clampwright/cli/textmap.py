"""A joint drawn with letters: true to position as far as a terminal allows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from clampwright.work.layout import Layout

_CELL = 9
"""Width of a column in letters, enough for ``[100 400]``."""


def text_map(layout: Layout, labels: Mapping[int, str], *, width: int = 78) -> list[str]:
    """Draw the fasteners of a joint with their labels.

    Parameters
    ----------
    layout : Layout
    labels : mapping of int to str
        What to write at each fastener, up to eight letters.
    width : int
        Letters available in a line.

    Returns
    -------
    list of str
        Lines, the top of the joint first.

    Examples
    --------
    >>> from clampwright.work.layout import row
    >>> text_map(row(3, 20.0), {1: "1", 2: "2", 3: "3"})
    ['    1        2        3']
    """
    columns = _lanes([x for x, _ in layout.positions], max(1, width // _CELL))
    rows = _lanes([-y for _, y in layout.positions], max(1, layout.count))
    cells = {(rows[index], columns[index]): labels[index + 1] for index in range(layout.count)}
    if len(cells) < layout.count:  # two fasteners fell into one cell: list them instead
        return [f"{number}: {labels[number]}" for number in layout.numbers]
    last_row, last_column = max(rows), max(columns)
    return [
        "".join(
            cells.get((row, column), "").center(_CELL) for column in range(last_column + 1)
        ).rstrip()
        for row in range(last_row + 1)
    ]


def _lanes(values: Sequence[float], most: int) -> list[int]:
    """Sort coordinates into lanes: equal ones share a lane, as many lanes as there is room for."""
    distinct = sorted({round(value, 3) for value in values})
    if len(distinct) <= most:
        return [distinct.index(round(value, 3)) for value in values]
    low, high = distinct[0], distinct[-1]
    return [round((value - low) / (high - low) * (most - 1)) for value in values]


def number_and_order(layout: Layout, order: Sequence[int]) -> dict[int, str]:
    """Label every fastener with its number and its turn in the order.

    Parameters
    ----------
    layout : Layout
    order : sequence of int

    Returns
    -------
    dict of int to str
    """
    turns = {fastener: turn for turn, fastener in enumerate(order, 1)}
    return {
        number: f"({number}) {turns[number]}." if number in turns else f"({number}) -"
        for number in layout.numbers
    }
