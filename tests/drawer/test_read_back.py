"""A second person reads the scale, and the two readings are compared."""

from __future__ import annotations

import pytest

from clampwright.drawer import Scale, Tool, setting
from clampwright.drawer.read_back import compare_read_back
from clampwright.errors import OutOfRange, Refused

WRENCH = Tool(
    "c",
    "Click wrench",
    "click",
    "1/2 in",
    (Scale("ft·lbf", 20, 150, 10, 1), Scale("N·m", 30, 200, 10, 2)),
)


@pytest.mark.parametrize(
    ("read", "unit", "agrees", "said"),
    [
        (92.0, "N·m", True, "both read the same: 92 N·m"),
        (93.0, "N·m", True, "both read the same"),  # half a mark: two good eyes can differ by that
        (94.0, "N·m", False, "they differ: 94 N·m was read, 92 N·m was to be set"),
        (102.0, "N·m", False, "off by 1 whole main marks"),
        (72.0, "N·m", False, "off by 2 whole main marks"),
        (92.0, "ft·lbf", False, "read in another unit: 92 ft·lbf would be 124.7 N·m"),
        (68.0, "ft·lbf", True, "both read the same"),  # 92.2 N·m: the same place, read beside
    ],
)
def test_what_was_read(read: float, unit: str, agrees: bool, said: str) -> None:  # noqa: FBT001 - a row of the table
    found = compare_read_back(WRENCH, setting(WRENCH, 92.0), read, unit)
    assert found.agrees is agrees
    assert said in str(found.words)


def test_what_cannot_stand_there_is_refused() -> None:
    with pytest.raises(OutOfRange, match="its scale goes from 30 to 200"):
        compare_read_back(WRENCH, setting(WRENCH, 92.0), 210.0, "N·m")
    with pytest.raises(Refused, match="has no scale in kgf·m; it has"):
        compare_read_back(WRENCH, setting(WRENCH, 92.0), 9.0, "kgf·m")
