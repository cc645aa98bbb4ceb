"""Deviations, the every-reading rule and the uncertainty budget of a tool."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.metrology.readings import ToolBudget, deviations, point_result, tool_budget
from clampwright.errors import ClampwrightError, OutOfRange

# Invented readings of a click wrench set to 20 N·m.
T1: dict[str, Any] = {
    "set_value": 20.0,
    "readings": [20.15, 20.28, 20.05, 20.20, 20.12],
    "resolution": 0.5,
    "device_W": 0.5,
    "sequence_means": [20.12, 20.30, 20.21, 20.05],
    "drive_means": [20.10, 20.16, 20.22, 20.14],
    "interface_means": [20.11, 20.19, 20.15, 20.13],
    "grip_means": [20.24, 20.02],
}


def budget(**other: Any) -> ToolBudget:
    return tool_budget(**(T1 | other))


def test_a_mean_that_passes_does_not_save_a_reading_that_fails() -> None:
    found = point_result(100, [103.6, 103.9, 104.3, 103.8, 104.0], limit=4)
    assert abs(found.mean_deviation) < 4
    assert found.failing == (3,)
    assert found.passes is False
    assert point_result(60, [61.1, 61.4, 60.9, 61.3, 61.2], limit=4).passes is True
    assert point_result(60, [61.1]).passes is None


def test_mean_of_deviations_is_not_the_deviation_of_the_mean() -> None:
    found = budget().point
    assert found.mean_deviation == pytest.approx(-0.7921969, abs=1e-7)
    of_mean = 100 * (20 - found.mean_reference) / found.mean_reference
    assert of_mean == pytest.approx(-0.7936508, abs=1e-7)


@given(value=st.floats(1, 1000), readings=st.lists(st.floats(1, 1000), min_size=1, max_size=8))
def test_the_reference_comes_back_from_the_deviation(value: float, readings: list[float]) -> None:
    back = value / (1 + deviations(value, readings) / 100)
    assert back == pytest.approx(np.array(readings), rel=1e-9)


def test_budget_agrees_with_random_draws() -> None:
    """JCGM 101: the same tool calibrated 200 000 times, parts drawn from their distributions."""
    rng = np.random.default_rng(20260301)
    total = np.zeros(200_000)
    for part in budget(single_pull=True).parts:
        if part.distribution == "normal":
            total += rng.normal(0.0, part.w, total.size)
        else:
            total += rng.uniform(-1, 1, total.size) * part.w * math.sqrt(3)
    assert float(total.std()) == pytest.approx(budget(single_pull=True).w, rel=0.01)


def test_options_that_the_printed_standard_would_settle() -> None:
    assert pytest.approx(2.0282420, abs=1e-6) == budget(single_pull=True).W
    once, twice = (
        next(part.w for part in budget(resolution_counts=n).parts if part.name == "resolution")
        for n in (1, 2)
    )
    assert twice == pytest.approx(math.sqrt(2) * once)
    assert budget(device_error=0.1).W_prime == pytest.approx(budget().W_prime + 0.1)


def test_the_largest_part_leads_and_the_degrees_of_freedom_follow_welch_and_satterthwaite() -> None:
    found = budget()
    assert found.largest[0].name == "resolution"
    repeat = next(part.w for part in found.parts if part.name == "repeatability")
    assert found.dof == pytest.approx(4 * (found.w / repeat) ** 4)


def test_what_was_not_looked_at_adds_nothing() -> None:
    short = tool_budget(set_value=20, readings=[20.1, 20.1], resolution=0.5, device_W=0.5)
    assert [part.w for part in short.parts if part.name in ("drive", "grip")] == [0, 0]
    assert math.isinf(short.dof)


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"readings": [20.1]}, "readings"),
        ({"readings": [20.1, -1]}, "readings"),
        ({"readings": [[20.1, 20.2]]}, "readings"),
        ({"set_value": 0}, "set_value"),
        ({"set_value": [20, 20]}, "set_value"),
        ({"device_W": 0}, "device_W"),
        ({"device_k": 0}, "device_k"),
        ({"resolution": -0.5}, "resolution"),
        ({"resolution": math.nan}, "resolution"),
        ({"grip_means": [20.2]}, "grip_means"),
        ({"resolution_counts": 3}, "resolution_counts"),
        ({"k": -2}, "k"),
    ],
)
def test_bad_input_names_the_argument(change: dict[str, Any], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        budget(**change)


def test_a_limit_of_nothing_is_refused() -> None:
    with pytest.raises(OutOfRange, match="limit"):
        point_result(20, [20.1], limit=0)
