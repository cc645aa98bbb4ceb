"""Strength against printed tables, row by row.

Sources: ISO 898-1:2013 Table 3 and its load tables; SAE J429 as in Shigley Table 8-9; ASTM bolts as
in Shigley Table 8-10. Each row names its own.
"""

import math

import pytest

from clampwright.standards import StrengthClass, strength, strength_classes, thread
from clampwright.standards.printed import published
from clampwright.standards.tables import Row

METRIC = published("strength_metric")
INCH = published("strength_inch")
CLASSES = [row for row in METRIC if row["record"] == "class"]
LOADS = [row for row in METRIC if row["record"] != "class"]
PSI = 0.45359237 * 9.80665 / 0.0254**2 / 1e6  # MPa
SIZE_OF = {"all": 12.0, "d<=16 mm": 16.0, "d>16 mm": 20.0}


def _third_figure(value: float) -> float:
    """Return one unit in the third significant figure."""
    return float(10.0 ** (math.floor(math.log10(value)) - 2))


@pytest.mark.parametrize("row", CLASSES, ids=lambda r: f"{r['property_class']} {r['size_range']}")
def test_metric_classes(row: Row) -> None:
    found = strength(row["property_class"], d=SIZE_OF[row["size_range"]])
    assert found.Rm == float(row["Rm_min_MPa"])
    assert found.Rp == float(row["yield_min_MPa"])
    assert found.proof_stress == float(row["Sp_MPa"])
    assert found.yield_kind == row["yield_kind"]


@pytest.mark.parametrize("row", CLASSES, ids=lambda r: f"{r['property_class']} {r['size_range']}")
def test_ratio_of_proof_to_yield_as_printed(row: Row) -> None:
    """ISO 898-1 prints the ratio with two decimals."""
    found = strength(row["property_class"], d=SIZE_OF[row["size_range"]])
    assert found.proof_stress is not None
    printed = float(row["Sp_over_yield_published"])
    assert found.proof_stress / found.Rp == pytest.approx(printed, abs=0.005)


@pytest.mark.parametrize(
    "row", LOADS, ids=lambda r: f"{r['record']} {r['property_class']} {r['thread']}"
)
def test_loads_of_coarse_threads(row: Row) -> None:
    """Load = stress x printed nominal area; some are rounded to a unit of the third figure."""
    size = thread(row["thread"])
    found = strength(row["property_class"], d=size.d)
    assert size.stress_area_printed is not None
    assert found.proof_stress is not None
    if row["record"] == "proof_load":
        printed, stress = float(row["proof_load_N"]), found.proof_stress
    else:
        printed, stress = float(row["min_tensile_load_N"]), found.Rm
    assert abs(stress * size.stress_area_printed - printed) <= _third_figure(printed)


def _at_both_ends(row: Row) -> list[StrengthClass]:
    """Return what the tables hold at both ends of a printed range of sizes."""
    low, high = row["size_range_in"].removeprefix("over ").split(" to ")
    name = {
        "SAE J429": f"SAE grade {row['grade']}",
        "ASTM A193": "A193 B7",
    }.get(row["spec"], row["spec"])
    ends = [thread_size(low), thread_size(high)]
    if row["size_range_in"].startswith("over "):
        ends[0] += 0.1
    return [strength(name, d=end) for end in ends]


def thread_size(inches: str) -> float:
    """Return inches such as 1-1/2 in mm."""
    whole, _, part = inches.rpartition("-")
    top, _, bottom = part.partition("/")
    return 25.4 * (int(whole or 0) + int(top) / int(bottom or 1))


@pytest.mark.parametrize(
    "row", INCH, ids=lambda r: f"{r['spec']} {r['grade']} {r['size_range_in']}"
)
def test_inch_grades_at_both_ends_of_their_range(row: Row) -> None:
    for found in _at_both_ends(row):
        assert found.Rm == pytest.approx(float(row["tensile_psi"]) * PSI, rel=1e-12)
        assert found.Rp == pytest.approx(float(row["yield_psi"]) * PSI, rel=1e-12)
        if row["proof_psi"]:
            assert found.proof_stress == pytest.approx(float(row["proof_psi"]) * PSI, rel=1e-12)
        else:
            assert found.proof_stress is None


def test_every_published_row_is_in_the_tables() -> None:
    assert len(CLASSES) + len(INCH) == 19
    seen = [c for c in strength_classes() if "recalled; not in any copy" not in c.source]
    stainless = [c for c in seen if "ISO 3506-1" in c.source]
    assert len(seen) - len(stainless) == 19


def test_stainless_classes_have_the_yield_that_the_published_assembly_table_states() -> None:
    lines = [
        line for line in published("vdi2230_table_a1") if line["table"].startswith("stainless")
    ]
    assert len(lines) > 50
    for line in lines:
        name = line["property_class"].replace("A-", "A2-")
        size = thread(line["thread"])
        assert strength(name, d=size.d).Rp == float(line["Rp02_min_MPa"])
