"""Repeatability and reproducibility: both analyses, known truth, and the tabled factors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from clampwright.drawer.metrology.control import chart_constants
from clampwright.drawer.metrology.gauge_study import (
    analysis_of_variance,
    average_and_range,
    gauge_constants,
)
from clampwright.errors import OutOfRange

RNG = np.random.default_rng(20260401)


def simulated(
    people: float, parts: float, crossed: float, error: float, *, shape: tuple[int, int, int]
) -> NDArray[np.float64]:
    """Readings with known standard deviations; shape is appraisers, trials, parts."""
    a, t, p = shape
    return (
        RNG.normal(0, people, (a, 1, 1))
        + RNG.normal(0, parts, (1, 1, p))
        + RNG.normal(0, crossed, (a, 1, p))
        + RNG.normal(0, error, (a, t, p))
    )


def test_tabled_factors_are_those_of_the_range() -> None:
    """AIAG prints 1/d2 for the trials and 1/√(d2² + d3²) for people and parts, four decimals."""
    known = gauge_constants()
    for count, printed in known["K1"].items():
        assert printed == pytest.approx(1 / chart_constants(count).d2, abs=5.1e-5)
    for name in ("K2", "K3"):
        for count, printed in known[name].items():
            found = chart_constants(count)
            assert printed == pytest.approx(1 / math.hypot(found.d2, found.d3), abs=5.1e-5)


def test_analysis_of_variance_finds_the_truth_on_average() -> None:
    studies = [
        analysis_of_variance(simulated(0.3, 1.0, 0.0, 0.2, shape=(3, 3, 10))) for _ in range(300)
    ]
    repeat = np.mean([found.study.repeatability**2 for found in studies])
    other = np.mean([found.study.reproducibility**2 for found in studies])
    part = np.mean([found.study.part**2 for found in studies])
    assert math.sqrt(repeat) == pytest.approx(0.2, rel=0.03)
    assert math.sqrt(other) == pytest.approx(0.3, rel=0.12)
    assert math.sqrt(part) == pytest.approx(1.0, rel=0.08)


def test_an_interaction_that_is_there_is_not_pooled() -> None:
    found = analysis_of_variance(simulated(0.1, 1.0, 0.8, 0.1, shape=(3, 3, 10)))
    assert not found.pooled
    assert found.interaction.p is not None
    assert found.interaction.p < 0.01
    assert found.study.reproducibility > 0.4


def test_sums_of_squares_add_up() -> None:
    table = simulated(0.3, 1.0, 0.2, 0.2, shape=(2, 4, 5))
    found = analysis_of_variance(table)
    lines = (found.appraiser, found.part, found.interaction, found.error)
    total = float(((table - table.mean()) ** 2).sum())
    assert sum(line.sum_of_squares for line in lines) == pytest.approx(total, rel=1e-12)
    assert sum(line.dof for line in lines) == table.size - 1


def test_people_who_agree_better_than_chance_count_as_no_difference() -> None:
    table = np.array([[[0.0, 1.0], [0.4, 1.4]], [[0.4, 1.4], [0.0, 1.0]]])
    assert average_and_range(table).reproducibility == 0.0
    assert analysis_of_variance(table).study.reproducibility == 0.0


def test_categories_are_cut_and_percentages_do_not_add_up() -> None:
    study = average_and_range(simulated(0.1, 0.5, 0.0, 0.1, shape=(3, 3, 10)))
    assert study.categories == max(1, math.floor(math.sqrt(2) * study.part / study.gauge))
    assert study.percent("gauge") ** 2 + study.percent("part") ** 2 == pytest.approx(1e4)


def test_perfect_repetition_leaves_the_interaction_untested() -> None:
    table = np.array([[[0.0, 1.0], [0.0, 1.0]], [[0.2, 1.3], [0.2, 1.3]]])
    found = analysis_of_variance(table)
    assert found.pooled
    assert found.interaction.F is None


@pytest.mark.parametrize(
    ("shape", "named"),
    [((1, 3, 10), "at least 2"), ((3, 3), "at least 2"), ((4, 2, 5), "variance")],
)
def test_a_study_of_another_size_is_refused(shape: tuple[int, ...], named: str) -> None:
    with pytest.raises(OutOfRange, match=named):
        average_and_range(RNG.normal(size=shape))


def test_readings_without_any_scatter_are_refused() -> None:
    with pytest.raises(OutOfRange, match="scatter"):
        average_and_range(np.ones((2, 2, 3)))
    with pytest.raises(OutOfRange, match="pool_above"):
        analysis_of_variance(RNG.normal(size=(2, 2, 3)), pool_above=2.0)
