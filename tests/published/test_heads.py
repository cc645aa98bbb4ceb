"""Heads, holes and washers against printed tables, row by row; each row names its source."""

import pytest

from clampwright.errors import Missing
from clampwright.standards import across_flats, friction, head, hole, washer
from clampwright.standards.printed import published
from clampwright.standards.tables import Row

ROWS = published("head_geometry")


def _ours(row: Row) -> float | None:
    """Return the value this library gives for a printed row; None for what it does not keep."""
    item, size, parameter = row["item"], row["thread"], row["parameter"]
    if item == "ISO 273":
        return hole(size, parameter.split("_")[1]).diameter
    if item == "ISO 7089":
        found = washer(size)
        return {
            "d1_nom_min": found.inner,
            "d2_nom_max": found.outer,
            "h_nom": found.thickness,
        }[parameter]
    if parameter == "dw_min":
        return head(item, size).bearing_diameter
    if parameter in {"s", "s_max", "hex_key_s"}:
        return across_flats(item, size)
    return None


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['item']} {r['thread']} {r['parameter']}")
def test_size_is_the_printed_one(row: Row) -> None:
    ours = _ours(row)
    if ours is None:
        assert row["parameter"] in {"dk_max", "dk_min", "dc_max"}
    else:
        assert ours == float(row["value_mm"])


PROVEN_BY_TORQUE = {f"M{d}" for d in (4, 5, 14, 18, 22, 27, 30, 33, 36, 39)}
"""Hexagon heads recalled, not printed beside the program; `test_joint_recalled_torques` holds each
against the torque of a table that was made with it."""


def test_no_size_is_given_that_is_neither_printed_nor_proven() -> None:
    printed = {(r["item"], r["thread"]) for r in ROWS if r["parameter"] == "dw_min"}
    for item in {r["item"] for r in ROWS} - {"ISO 273", "ISO 7089"}:
        for size in (f"M{d}" for d in (3, 4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30)):
            if (item, size) in printed:
                assert head(item, size).bearing_diameter > 0
            elif item == "ISO 4014/4017" and size in PROVEN_BY_TORQUE:
                assert "recalled" in head(item, size).source
            else:
                with pytest.raises(Missing):
                    head(item, size)


@pytest.mark.parametrize("letter", "ABCD")
def test_friction_classes_as_printed(letter: str) -> None:
    """VDI 2230 Part 1 (2003), Table A5."""
    printed = [
        r for r in published("friction_classes") if r["kind"] == "mu class" and r["name"] == letter
    ]
    found = friction(f"class {letter}")
    assert {(float(r["value_min"]), float(r["value_max"])) for r in printed} == {
        (found.low, found.high)
    }
