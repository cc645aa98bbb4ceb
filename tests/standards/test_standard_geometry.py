"""Heads, holes, washers and bearing pressure: what is in a source, and nothing else."""

import itertools

import pytest

from clampwright.errors import Ambiguous, Missing
from clampwright.standards import (
    across_flats,
    bearing_pressure_limit,
    head,
    hole,
    washer,
)
from clampwright.standards.tables import rows


@pytest.mark.parametrize(
    "item", ["hexagon", "hex head", "ISO 4014", "iso4017", "Hexagon bolt", "ISO 4014/4017"]
)
def test_a_hexagon_head_is_found_by_any_of_its_names(item: str) -> None:
    found = head(item, "M10")
    assert (found.bearing_diameter, found.across_flats, found.drive) == (14.63, 16.0, "hexagon")


def test_a_fine_thread_has_the_head_and_hole_of_its_size() -> None:
    assert head("hexagon", "M10x1.25") == head("hexagon", "M10")
    assert hole("M10x1.25") == hole("M10")


def test_a_socket_head_gives_the_width_of_its_key() -> None:
    found = head("socket cap", "M8")
    assert (found.across_flats, found.drive) == (6.0, "socket")
    assert "recalled" in found.source


def test_the_older_hexagon_is_wider() -> None:
    assert across_flats("DIN 933", "M10") == 17
    assert across_flats("ISO 4017", "M10") == 16


@pytest.mark.parametrize(
    ("item", "size"),
    [
        ("hexagon", "M7"),
        ("hexagon", "M3"),
        ("socket cap", "M14"),
        ("hexagon", "3/8-16"),
        ("DIN 931", "M10"),
        ("DIN 931", "M8"),
        ("small flange", "M20"),
        ("twelve-point", "M10"),
    ],
)
def test_a_head_that_is_in_no_source_is_refused(item: str, size: str) -> None:
    with pytest.raises(Missing):
        head(item, size)


@pytest.mark.parametrize("size", ["M7", "M3", "1/2-13"])
def test_a_hole_that_is_in_no_source_is_refused(size: str) -> None:
    with pytest.raises(Missing, match="Measure the part"):
        hole(size)


@pytest.mark.parametrize("size", ["M14", "M5", "M30", "1/2-13"])
def test_a_washer_that_is_in_no_source_is_refused(size: str) -> None:
    with pytest.raises(Missing, match="Measure the part"):
        washer(size)


def test_a_missing_width_is_told_apart_from_a_missing_head() -> None:
    assert head("small flange", "M8").across_flats is None
    with pytest.raises(Missing, match="width across flats"):
        across_flats("small flange", "M8")


def test_a_flange_of_unknown_series_is_asked() -> None:
    with pytest.raises(Ambiguous) as caught:
        head("flange", "M10")
    assert len(caught.value.readings) == 2


def test_an_unknown_series_of_holes_is_refused() -> None:
    with pytest.raises(Missing, match="fine, medium, coarse"):
        hole("M10", "snug")


def test_parts_fit_over_and_under_each_other() -> None:
    """Hole < bearing face < width over the head; washer hole at least the fine hole."""
    for row in rows("heads"):
        if row["bearing_diameter_mm"]:
            assert hole(row["thread"]).diameter < float(row["bearing_diameter_mm"])
    for row in rows("washers"):
        found = washer(row["thread"])
        assert found.inner >= hole(row["thread"], "close").diameter
        assert found.outer > found.inner > found.thickness > 0


def test_holes_grow_with_series_and_size() -> None:
    sizes = list(dict.fromkeys(row["thread"] for row in rows("holes")))
    for size in sizes:
        fine, medium, coarse = (hole(size, s).diameter for s in ("fine", "medium", "coarse"))
        assert float(size[1:]) < fine < medium < coarse
    for smaller, larger in itertools.pairwise(sizes):
        assert hole(smaller).diameter < hole(larger).diameter


def test_bearing_pressure_is_marked_as_recalled() -> None:
    limit = bearing_pressure_limit("alsi9cu3 die cast")
    assert limit.limit == 290
    assert "recalled" in limit.source
    assert "not cross-checked" in limit.flag
    with pytest.raises(Missing, match="AlSi9Cu3"):
        bearing_pressure_limit("AlSi9Cu3")
