from __future__ import annotations

import math

import pytest

from clampwright.errors import OutOfRange
from clampwright.work.layout import Layout, circle, grid, listed, row


def test_circle_starts_at_the_top_and_goes_clockwise() -> None:
    first, second, *_ = circle(4, 100.0).positions
    assert first == (0.0, 50.0)
    assert second == (50.0, 0.0)


def test_circle_positions_lie_on_the_circle() -> None:
    for x, y in circle(7, 112.0).positions:
        assert math.hypot(x, y) == pytest.approx(56.0)


def test_grid_is_numbered_the_way_one_reads() -> None:
    layout = grid(2, 5, 96.0, 118.0)
    assert layout.positions[0] == (-192.0, 59.0)
    assert layout.positions[9] == (192.0, -59.0)
    assert layout.pitches == (96.0, 118.0)


@pytest.mark.parametrize(
    ("layout", "number", "place"),
    [
        (grid(2, 5, 90, 110), 3, "top row, third from the left"),
        (grid(3, 2, 90, 110), 3, "middle row, first from the left"),
        (row(6, 40), 6, "sixth from the left of 6"),
        (circle(12, 100), 4, "at 3 o'clock"),
        (circle(12, 100), 1, "at 12 o'clock"),
        (circle(5, 112), 2, "at 2:24 on the clock face"),
        (listed(((0.0, 0.0),)), 1, "the only one"),
        (listed(((0.0, 0.0), (5.0, 1.0))), 2, "number 2 of the drawing"),
    ],
)
def test_places_in_words(layout: Layout, number: int, place: str) -> None:
    assert str(layout.place(number)) == place


def test_impossible_layouts_are_refused() -> None:
    with pytest.raises(OutOfRange, match="above 0 mm"):
        circle(4, 0.0)
    with pytest.raises(OutOfRange, match="1 to 400 fasteners"):
        row(401, 10.0)
    with pytest.raises(OutOfRange, match="same position"):
        listed(((0.0, 0.0), (0.0, 0.0)))
    with pytest.raises(OutOfRange, match="finite"):
        listed(((0.0, math.nan),))
