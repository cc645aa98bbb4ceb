"""Orders: permutations with the properties that the published patterns have."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint.order import (
    Order,
    circle_order,
    grid_order,
    points_order,
    reverse,
    row_order,
)
from clampwright.words import words

COUNTS = range(1, 101)


def is_permutation(order: Order, count: int) -> bool:
    return sorted(order) == list(range(1, count + 1))


@pytest.mark.parametrize("count", COUNTS)
def test_circle_takes_every_fastener_once_and_names_its_source(count: int) -> None:
    order = circle_order(count)
    assert is_permutation(order, count)
    assert len(order) == count
    assert order.source


@pytest.mark.parametrize("count", [c for c in COUNTS if c % 4 == 0])
def test_circle_by_fours_goes_in_square_crosses(count: int) -> None:
    # The property that all rows of the published pattern (4 to 24) have.
    numbers = circle_order(count).numbers
    for k in range(0, count, 4):
        first, opposite, quarter, last = numbers[k : k + 4]
        assert opposite - first == count // 2
        assert last - quarter == count // 2
        assert quarter - first == count // 4


@pytest.mark.parametrize("count", [c for c in COUNTS if c % 2 == 0])
def test_even_circle_takes_opposite_fasteners_in_turn(count: int) -> None:
    numbers = circle_order(count).numbers
    for k in range(0, count, 2):
        assert (numbers[k + 1] - numbers[k]) % count == count // 2


@pytest.mark.parametrize("count", [c for c in COUNTS if c > 1])
def test_circle_never_pulls_one_side_by_more_than_one_fastener(count: int) -> None:
    x = y = 0.0
    for number in circle_order(count):
        angle = 2.0 * math.pi * (number - 1) / count
        x, y = x + math.sin(angle), y + math.cos(angle)
        assert math.hypot(x, y) <= 1.0 + 1e-9


@pytest.mark.parametrize("count", [c for c in COUNTS if c % 2 == 1 and c > 1])
def test_odd_circle_is_a_star(count: int) -> None:
    numbers = circle_order(count).numbers
    steps = {(b - a) % count for a, b in pairwise(numbers)}
    assert steps == {(count - 1) // 2}


@pytest.mark.parametrize("count", COUNTS)
def test_row_goes_outward_and_changes_side_each_time(count: int) -> None:
    numbers = row_order(count).numbers
    assert is_permutation(row_order(count), count)
    offsets = [number - (count + 1) / 2 for number in numbers]
    assert [abs(offset) for offset in offsets] == sorted(abs(offset) for offset in offsets)
    start = count % 2  # the middle one of an odd row has no side
    assert all(a * b < 0 for a, b in pairwise(offsets[start:]))


@given(rows=st.integers(1, 8), columns=st.integers(1, 12))
def test_grid_goes_outward_in_diagonal_pairs(rows: int, columns: int) -> None:
    order = grid_order(rows, columns)
    assert is_permutation(order, rows * columns)
    centre = ((columns - 1) / 2, (rows - 1) / 2)
    places = [((n - 1) % columns, (n - 1) // columns) for n in order]
    distances = [math.dist(place, centre) for place in places]
    assert all(a <= b + 1e-9 for a, b in pairwise(distances))
    start = rows * columns % 2
    for (x1, y1), (x2, y2) in zip(places[start::2], places[start + 1 :: 2], strict=True):
        assert (x1 + x2, y1 + y2) == (columns - 1, rows - 1)


def test_grid_takes_its_spacing_into_account() -> None:
    # Rows far apart and columns close: the whole middle row comes before the outer rows.
    assert grid_order(3, 3, row_pitch=100.0, pitch=10.0).numbers[:3] == (5, 4, 6)


@given(
    st.lists(
        st.tuples(st.integers(-500, 500), st.integers(-500, 500)),
        min_size=1,
        max_size=30,
        unique=True,
    )
)
def test_points_order_is_a_permutation_and_does_not_depend_on_place_or_unit(
    points: list[tuple[int, int]],
) -> None:
    order = points_order(points)
    assert is_permutation(order, len(points))
    moved = [(25.4 * x + 1000.0, 25.4 * y - 300.0) for x, y in points]
    assert points_order(moved).numbers == order.numbers


def test_points_order_starts_near_the_middle_and_crosses() -> None:
    cover = [(0.0, 0.0), (100.0, 0.0), (200.0, 0.0), (100.0, 50.0), (0.0, 90.0), (200.0, 100.0)]
    numbers = points_order(cover).numbers
    assert numbers[0] == 4
    assert numbers[1:3] in {(1, 6), (6, 1), (3, 5), (5, 3)}


@pytest.mark.parametrize("count", [4, 6, 8, 12])
def test_points_on_a_circle_begin_with_an_opposite_pair(count: int) -> None:
    ring = [
        (math.sin(2 * math.pi * k / count), math.cos(2 * math.pi * k / count)) for k in range(count)
    ]
    assert points_order(ring).numbers[:2] == (1, 1 + count // 2)


def test_loosening_is_the_reverse_and_says_so() -> None:
    order = circle_order(6)
    assert reverse(order).numbers == order.numbers[::-1]
    assert "loosening" in reverse(order).source
    assert reverse(reverse(order)).numbers == order.numbers


@pytest.mark.parametrize("count", [0, -1, 101])
def test_a_count_outside_the_range_is_refused(count: int) -> None:
    with pytest.raises(OutOfRange, match="1 to 100") as caught:
        circle_order(count)
    assert caught.value.value == count


@pytest.mark.parametrize("count", [2.0, True, "4"])
def test_a_count_that_is_no_whole_number_is_refused(count: object) -> None:
    with pytest.raises(ClampwrightError, match="count must be a whole number"):
        row_order(count)  # type: ignore[arg-type]  # what a caller without type checks may send


def test_grid_names_what_is_wrong() -> None:
    with pytest.raises(OutOfRange, match="rows × columns is 110"):
        grid_order(10, 11)
    with pytest.raises(OutOfRange, match="row_pitch is nan"):
        grid_order(2, 2, row_pitch=math.nan)
    with pytest.raises(OutOfRange, match="pitch is 0"):
        grid_order(2, 2, pitch=0.0)


def test_points_name_what_is_wrong() -> None:
    with pytest.raises(OutOfRange, match=r"position 2 is \(1.0, inf\)"):
        points_order([(0.0, 0.0), (1.0, math.inf)])
    with pytest.raises(ClampwrightError, match="positions 1 and 3 are the same place"):
        points_order([(0.0, 0.0), (1.0, 0.0), (0.0, 0.0)])


def test_an_order_that_skips_or_repeats_cannot_be_made() -> None:
    with pytest.raises(ClampwrightError, match="every number from 1 to 3 once, got 1, 1, 3"):
        Order((1, 1, 3), "invented", words("invented"))
