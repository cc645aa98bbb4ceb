"""Scatter within and between joints, the least of a set, tightening factors."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from clampwright.errors import ClampwrightError
from clampwright.joint.scatter import (
    clamp_factors,
    expected_minimum,
    least_clamp,
    minimum_quantile,
    split_scatter,
)
from clampwright.joint.tightening_factor import least_preload, published_scatter, tightening_factor
from clampwright.joint.uncertainty import scatter_from_tightening_factor


@pytest.mark.parametrize(
    ("count", "wanted"),
    [
        (1, 0.0),
        (2, -1 / math.sqrt(math.pi)),
        (3, -1.5 / math.sqrt(math.pi)),
        # Tables of order statistics (Harter), from memory.
        (4, -1.02938),
        (5, -1.16296),
        (10, -1.53875),
        (20, -1.86748),
        (100, -2.50759),
    ],
)
def test_expected_minimum(count: int, wanted: float) -> None:
    assert expected_minimum(count) == pytest.approx(wanted, abs=6e-6)


@given(st.integers(1, 500), st.floats(0.001, 0.999))
def test_quantile_of_the_least(count: int, share: float) -> None:
    z = minimum_quantile(count, share)
    assert 1 - stats.norm.sf(z) ** count == pytest.approx(share, rel=1e-7)


@pytest.mark.parametrize(("common", "alone"), [(0.0, 0.1), (0.08, 0.05), (0.1, 0.0)])
def test_least_clamp_against_random_joints(common: float, alone: float) -> None:
    rng = np.random.default_rng(12)
    joints = (
        1 + common * rng.standard_normal((200_000, 1)) + alone * rng.standard_normal((200_000, 6))
    )
    least = 25_000 * joints.min(axis=1)
    found = least_clamp(25_000, count=6, common_u_rel=common, individual_u_rel=alone)
    assert found.expected == pytest.approx(least.mean(), rel=2e-3)
    for value, share in ((found.p05, 0.05), (found.p50, 0.5), (found.p95, 0.95)):
        assert value == pytest.approx(np.quantile(least, share), rel=4e-3)


@given(st.integers(1, 60), st.floats(0, 0.3), st.floats(0.001, 0.3))
@pytest.mark.no_cover
def test_more_fasteners_hold_less_at_worst(count: int, common: float, alone: float) -> None:
    few = least_clamp(1000, count=count, common_u_rel=common, individual_u_rel=alone)
    many = least_clamp(1000, count=count + 1, common_u_rel=common, individual_u_rel=alone)
    assert many.expected < few.expected
    assert many.p05 <= few.p05
    assert many.p05 <= many.p50 <= many.p95


def test_scatter_is_split_into_its_parts() -> None:
    factors = clamp_factors(8, samples=3000, common_u_rel=0.06, individual_u_rel=0.09, seed=3)
    found = split_scatter(list(25_000 * factors))
    assert found.mean == pytest.approx(25_000, rel=0.01)
    assert found.common_u_rel == pytest.approx(0.06, rel=0.05)
    assert found.individual_u_rel == pytest.approx(0.09, rel=0.03)
    assert (found.joints, found.fasteners) == (3000, 24_000)


def test_joints_of_different_size() -> None:
    rows = [[10.0, 11, 12], [20.0, 22], [15.0, 15, 14, 16]]
    found = split_scatter(rows)
    within = (2 + 2 + 2) / 6
    assert found.individual_u_rel * found.mean == pytest.approx(math.sqrt(within))
    f = stats.f_oneway(*rows).statistic
    size = (9 - (9 + 4 + 16) / 9) / 2
    assert (found.common_u_rel * found.mean) ** 2 == pytest.approx(within * (f - 1) / size)


def test_no_common_part_where_joints_agree() -> None:
    assert split_scatter([[10, 12], [12, 10], [11, 11]]).common_u_rel == 0.0


def test_one_joint_does_not_show_the_common_part() -> None:
    factors = clamp_factors(50, samples=200, common_u_rel=0.2, individual_u_rel=0.05, seed=1)
    within = (factors.std(axis=1, ddof=1) / factors.mean(axis=1)).mean()
    assert within == pytest.approx(0.05, rel=0.05)
    assert factors.mean(axis=1).std() == pytest.approx(0.2, rel=0.15)
    assert factors.mean() == pytest.approx(1.0, abs=0.05)


def test_factors_are_seeded() -> None:
    def draw(seed: int) -> list[list[float]]:
        found = clamp_factors(3, samples=2, common_u_rel=0.1, individual_u_rel=0.1, seed=seed)
        rows: list[list[float]] = found.tolist()
        return rows

    assert draw(5) == draw(5) != draw(6)


@given(st.floats(0, 0.95))
def test_factor_there_and_back(scatter: float) -> None:
    alpha = tightening_factor(scatter)
    assert scatter_from_tightening_factor(alpha) == pytest.approx(scatter, abs=1e-12)
    assert least_preload(100, alpha=alpha) == pytest.approx(100 * (1 - scatter) / (1 + scatter))


def test_every_row_has_its_source() -> None:
    for row in published_scatter():
        assert row.source
        assert 0 < row.scatter_low <= row.scatter_high < 1


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: expected_minimum(0), "count is 0"),
        (lambda: minimum_quantile(3, 1.0), "1 − share is 0"),
        (
            lambda: least_clamp(0, count=3, common_u_rel=0, individual_u_rel=0),
            "mean is 0 N",
        ),
        (
            lambda: least_clamp(1, count=3, common_u_rel=0.7, individual_u_rel=0),
            "common_u_rel is 0.7",
        ),
        (lambda: split_scatter([[1, 2]]), "at least 2 joints, got 1"),
        (lambda: split_scatter([[1, 2], [3]]), "joint has 1 numbers; at least 2"),
        (lambda: split_scatter([[1, -2], [1, -3]]), "mean is -0.75"),
        (
            lambda: clamp_factors(3, samples=0, common_u_rel=0, individual_u_rel=0, seed=1),
            "samples is 0",
        ),
        (lambda: tightening_factor(1.0), "1 − scatter is 0"),
        (lambda: least_preload(1, alpha=0.9), "alpha is 0.9"),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()
