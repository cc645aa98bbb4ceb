"""Geometry that cannot be is refused in words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import Adapter, load_drawer
from clampwright.drawer.leverage import fastener_ratio, grip_uncertainty
from clampwright.drawer.trust import lever_of
from clampwright.errors import Missing, OutOfRange, Refused

DRAWER = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
SHELF = {tool.id: tool for tool in DRAWER.tools}
OPEN_END = Adapter("open", "Open-end adapter", "3/8 in", 42.0)


@pytest.mark.parametrize(
    ("geometry", "message"),
    [
        ({"length": 0.0}, "above zero"),
        ({"length": 400.0, "adapter_length": -1.0}, "above zero"),
        ({"length": 400.0, "pivot": -1.0}, "above zero"),
        ({"length": 400.0, "calibrated_length": 0.0}, "above zero"),
        ({"length": 30.0, "pivot": 38.0}, "not beyond the pivot"),
        ({"length": 400.0, "pivot": 38.0, "calibrated_length": 38.0}, "not beyond the pivot"),
        (
            {"length": 100.0, "adapter_length": 100.0, "adapter_angle": 180.0},
            "reaches past the hand",
        ),
    ],
)
def test_impossible_geometry(geometry: dict[str, float], message: str) -> None:
    with pytest.raises(OutOfRange, match=message):
        fastener_ratio(**geometry)
    with pytest.raises(OutOfRange, match=message):
        grip_uncertainty(**geometry)


def test_socket_extension_on_the_axis_changes_nothing() -> None:
    assert fastener_ratio(length=350.0, adapter_length=0.0, adapter_angle=77.0) == 1.0


def test_hand_at_the_grip_mark_hides_the_pivot() -> None:
    pivoted = replace(SHELF["click"], pivot=38.0)
    assert lever_of(pivoted, OPEN_END).ratio == pytest.approx(362 / 320)
    assert lever_of(pivoted, hand=320.0).ratio == pytest.approx(1.0)


def test_hand_nearer_on_a_pivoted_wrench_gives_more() -> None:
    lever = lever_of(replace(SHELF["click"], pivot=38.0), hand=260.0)
    assert lever.ratio == pytest.approx(260 / 222 * 282 / 320)
    assert lever.ratio > 1


def test_no_adapter_needs_no_length() -> None:
    assert lever_of(replace(SHELF["click"], length=None)).ratio == 1.0


def test_length_is_needed_with_an_adapter() -> None:
    with pytest.raises(Missing, match="measure Click wrench from its square") as caught:
        lever_of(replace(SHELF["click"], length=None), OPEN_END)
    assert caught.value.needed == "length_mm"


def test_adapter_of_another_drive_is_refused() -> None:
    with pytest.raises(Refused, match="takes a 3/8 in square; this tool has 1/2 in"):
        lever_of(SHELF["beam"], OPEN_END)
