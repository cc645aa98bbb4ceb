"""Named threads, classes, bolts and holes under the names that the relations use."""

from __future__ import annotations

import pytest

from clampwright.errors import Missing
from clampwright.standards import hole, strength, thread
from clampwright.standards.named import named_values


def test_all_comes_from_the_tables() -> None:
    found = named_values(thread="M10", strength="8.8", bolt="ISO 4014", hole_series="medium")
    size = thread("M10")
    assert (found["d"], found["P"], found["d2"]) == (size.d, size.P, size.d2)
    assert (found["d3"], found["stress_area"]) == (size.d3, size.stress_area)
    assert found["yield_stress"] == strength("8.8", d=10).Rp
    assert found["tensile_strength"] == found["bolt_strength"] == strength("8.8", d=10).Rm
    assert found["hole"] == found["bearing_inner"] == hole("M10").diameter
    assert found["bearing_diameter"] == pytest.approx((14.63 + 11.0) / 2)


def test_strength_follows_the_size() -> None:
    assert named_values(thread="M20", strength="8.8")["yield_stress"] == 660.0


def test_nothing_is_filled_in_unasked() -> None:
    assert named_values() == {}
    found = named_values(thread="3/8-16 UNC")
    assert set(found) == {"d", "P", "d2", "d3", "stress_area"}


@pytest.mark.parametrize("given", [{"bolt": "ISO 4014"}, {"hole_series": "medium"}])
def test_a_bolt_or_hole_needs_its_thread(given: dict[str, str]) -> None:
    with pytest.raises(Missing, match="thread=M10"):
        named_values(**given)
