"""Deviation, permissible limits, resolution and the size guide against outside figures."""

from __future__ import annotations

import csv
import datetime as dt
import math
import statistics
from pathlib import Path

import numpy as np
import pytest

from clampwright.drawer import (
    Demand,
    Point,
    Scale,
    Tool,
    fitness,
    load_drawer,
    torque_from_reading,
)
from clampwright.drawer.calibration import deviation_percent, indicated_for, reference_of
from clampwright.drawer.permissible import permissible_deviation, permissible_table
from clampwright.drawer.trust import resolution_uncertainty
from clampwright.units import convert

FOLDER = Path(__file__).parent
DAY = dt.date(2025, 6, 1)

# Invented readings of a click wrench set to 20 N·m, step 0.5 N·m, reference device 0.5 % (k = 2).
READINGS = (20.15, 20.28, 20.05, 20.20, 20.12)


def rows(name: str) -> list[dict[str, str]]:
    return list(csv.DictReader((FOLDER / name).read_text("utf-8").splitlines()))


CERTIFIED = b"""
[[tool]]
id = "t1"
title = "Click wrench"
kind = "click"
drive = "1/2 in"
repeatability_percent = 0.42814177831428746  # one pull: s of the readings over their mean
scale = [{ unit = "N\xc2\xb7m", low = 20, high = 100, main_step = 10, fine_step = 0.5 }]

[tool.calibration]
date = 2025-03-01
uncertainty_percent = 0.5
k = 2
point = [{ set = 20, reference = 20.16 }]
"""


def certified_wrench() -> Tool:
    return load_drawer(CERTIFIED, "drawer.toml").tools[0]


def first_point(tool: Tool) -> Point:
    assert tool.calibration is not None
    return tool.calibration.points[0]


COMPUTED = {
    "DEV4lo": lambda: reference_of(100.0, 4.0),
    "DEV4hi": lambda: reference_of(100.0, -4.0),
    "DEV6lo": lambda: reference_of(100.0, 6.0),
    "DEV6hi": lambda: reference_of(100.0, -6.0),
    "OOT_true": lambda: reference_of(100.0, -5.2),
    "T1_mean_as": lambda: statistics.fmean(deviation_percent(20.0, x) for x in READINGS),
    "T1_as_of_mean": lambda: deviation_percent(20.0, statistics.fmean(READINGS)),
    "T1_w_md": lambda: 100 * first_point(certified_wrench()).u_rel,
    "T1_w_r": lambda: 100 * resolution_uncertainty(0.5, statistics.fmean(READINGS)),
}


@pytest.mark.parametrize("row", rows("tool_metrology.csv"), ids=lambda row: str(row["id"]))
def test_figure(row: dict[str, str]) -> None:
    assert COMPUTED[row["id"]]() == pytest.approx(
        float(row["expected"]), abs=float(row["tolerance"])
    )


def test_uncertainty_of_one_pull_combines_the_parts() -> None:
    """Root of the sum of squares (JCGM 100:2008, 5.1.2): 0.25, 0.42814 and the step's share."""
    received = torque_from_reading(certified_wrench(), "N·m", 20.0)
    step = 0.5 / math.sqrt(12) / 20.0 * 100
    assert 100 * received.u_rel == pytest.approx(math.hypot(0.25, 0.42814177831, step), rel=1e-9)
    assert received.torque == pytest.approx(20.16)


def test_uncertainty_of_one_pull_by_random_draws() -> None:
    """Second way (JCGM 101): the same wrench pulled 200 000 times with drawn errors."""
    rng = np.random.default_rng(20250601)
    count = 200_000
    step = rng.uniform(-0.25, 0.25, count)
    errors = 1 + 0.0025 * rng.standard_normal(count) + 0.0042814 * rng.standard_normal(count)
    given = (20.0 + step) * (20.16 / 20.0) * errors
    received = torque_from_reading(certified_wrench(), "N·m", 20.0)
    assert received.u == pytest.approx(float(given.std()), rel=0.01)
    assert received.torque == pytest.approx(float(given.mean()), rel=1e-4)


@pytest.mark.parametrize("limit", [4.0, 6.0])
def test_sign_and_denominator_of_the_deviation(limit: float) -> None:
    """A negative deviation means more torque; the reference divides, so limits are not 100 ± 4."""
    assert reference_of(100.0, -limit) > 100 > reference_of(100.0, limit)
    assert 100 - reference_of(100.0, limit) != pytest.approx(limit, abs=0.1)
    assert indicated_for(reference_of(100.0, limit), limit) == pytest.approx(100.0)


@pytest.mark.parametrize(
    ("tool_type", "letters", "small", "large"),
    [
        ("I", "AD", 6, 6),
        ("I", "BCE", 6, 4),
        ("II", "ABC", 6, 4),
        ("II", "DEFG", 6, 6),
    ],
)
def test_permissible_deviation(tool_type: str, letters: str, small: float, large: float) -> None:
    """ISO 6789-1:2017 clause 5.1.5, from memory; the boundary is the tool's largest torque."""
    for letter in letters:
        assert permissible_deviation(tool_type, letter, largest_torque=10.0) == small
        assert permissible_deviation(tool_type, letter, largest_torque=10.1) == large


def test_every_class_of_the_standard_has_its_row() -> None:
    assert {"".join(key) for key in permissible_table()} == {
        *("IA", "IB", "IC", "ID", "IE"),
        *("IIA", "IIB", "IIC", "IID", "IIE", "IIF", "IIG"),
    }
    assert all("from memory" in row.source for row in permissible_table().values())


SIZES = rows("wrench_sizes.csv")
SIZE_UNITS = {"lb-in": "in·lbf", "lb-ft": "ft·lbf"}


def sized_wrench(row: dict[str, str]) -> Tool:
    scale = Scale(SIZE_UNITS[row["unit"]], 0, float(row["capacity"]), float(row["capacity"]) / 100)
    return Tool("w", "Wrench", "dial", "1/2 in", (scale,))


@pytest.mark.parametrize("row", SIZES, ids=lambda row: f"{row['capacity']}{row['unit']}")
def test_size_guide_agrees_at_its_top(row: dict[str, str]) -> None:
    """The wrench the guide names can be used at the largest torque the guide gives it for."""
    unit = SIZE_UNITS[row["unit"]]
    demand = Demand("torque", convert(float(row["required_max"]), unit, "N·m"), unit=unit)
    assert fitness(sized_wrench(row), demand, today=DAY).usable


@pytest.mark.parametrize("row", SIZES[2:], ids=lambda row: f"{row['capacity']}{row['unit']}")
def test_size_guide_agrees_at_its_bottom(row: dict[str, str]) -> None:
    """The same at the smallest torque; the first two rows are left to the next test."""
    unit = SIZE_UNITS[row["unit"]]
    demand = Demand("torque", convert(float(row["required_min"]), unit, "N·m"), unit=unit)
    assert fitness(sized_wrench(row), demand, today=DAY).usable


@pytest.mark.parametrize("row", SIZES[:2], ids=lambda row: f"{row['capacity']}{row['unit']}")
def test_size_guide_goes_below_a_fifth_where_other_sources_claim_nothing(
    row: dict[str, str],
) -> None:
    """0 of 30 and 25 of 150 lb·in: TM 1-1500-204-23-9 table 8-1 claims nothing below 20 %."""
    unit = SIZE_UNITS[row["unit"]]
    value = max(float(row["required_min"]), 1.0)
    assert value / float(row["capacity"]) < 0.2
    demand = Demand("torque", convert(value, unit, "N·m"), unit=unit)
    assert not fitness(sized_wrench(row), demand, today=DAY).usable


@pytest.mark.parametrize(
    "row", [row for row in SIZES if row["metric_printed"]], ids=lambda row: row["required_max"]
)
def test_metric_column_of_the_size_guide(row: dict[str, str]) -> None:
    """Headed kg/m, meant kgf·m; to the printed digits. The last row is cut instead of rounded."""
    value = convert(float(row["required_max"]), "ft·lbf", "kgf·m")
    printed = float(row["metric_printed"])
    if row["required_max"] == "1000":
        assert math.floor(value * 10) / 10 == printed
    else:
        assert value == pytest.approx(printed, abs=0.05)
