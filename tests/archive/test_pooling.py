"""Partial pooling and false discoveries against published figures and scipy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize, stats

from clampwright.archive.discovery import adjusted, chances_of
from clampwright.archive.pooling import Group, group_of, pooled
from clampwright.errors import OutOfRange

DYESTUFF = [
    [1545, 1440, 1440, 1520, 1580],
    [1540, 1555, 1490, 1560, 1495],
    [1595, 1550, 1605, 1510, 1560],
    [1445, 1440, 1595, 1465, 1545],
    [1595, 1630, 1515, 1635, 1625],
    [1520, 1455, 1450, 1480, 1445],
]
"""Yield of dyestuff, six batches of five (Davies and Goldsmith, *Statistical Methods in Research
and Production*, 4th ed. 1972, table 6.1; from memory)."""


def test_variances_of_a_published_example() -> None:
    """Davies and Goldsmith: between batches 1764, within 2451 (from memory); mean 1527.5."""
    found = pooled([group_of(batch) for batch in DYESTUFF])
    assert found.mean == pytest.approx(1527.5, abs=0.05)
    assert found.between**2 == pytest.approx(1764.05, abs=0.01)
    assert found.within**2 == pytest.approx(2451.25, abs=0.01)


def test_predictions_of_the_published_example() -> None:
    """Batch effects of the same data as mixed-model programs print them (from memory)."""
    found = pooled([group_of(batch) for batch in DYESTUFF])
    effects = [one.mean - found.mean for one in found.groups]
    assert effects == pytest.approx([-17.60, 0.39, 28.56, -23.08, 56.73, -44.99], abs=0.01)


def dense_loss(logs: np.ndarray, values: list[np.ndarray]) -> float:
    """Minus twice the restricted log-likelihood, from whole covariance matrices."""
    between, within = np.exp(logs)
    y = np.concatenate(values)
    number = np.repeat(np.arange(len(values)), [len(one) for one in values])
    covariance = within * np.eye(len(y)) + between * (number[:, None] == number[None, :])
    ones = np.ones((len(y), 1))
    inverse = np.linalg.inv(covariance)
    inner = ones.T @ inverse @ ones
    mean = (np.linalg.inv(inner) @ ones.T @ inverse @ y).item()
    rest = y - mean
    return float(
        np.linalg.slogdet(covariance)[1] + np.linalg.slogdet(inner)[1] + rest @ inverse @ rest
    )


@pytest.mark.parametrize("seed", range(4))
def test_unequal_groups_against_whole_matrices_and_scipys_minimiser(seed: int) -> None:
    rng = np.random.default_rng(seed)
    values = [rng.normal(rng.normal(0.0, 1.5), 1.0, size=n) for n in (2, 7, 1, 12, 4, 1)]
    best = optimize.minimize(
        dense_loss, np.zeros(2), args=(values,), method="Nelder-Mead",
        options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000},
    )  # fmt: skip
    found = pooled([group_of(one) for one in values])
    assert found.between**2 == pytest.approx(np.exp(best.x[0]), rel=1e-4)
    assert found.within**2 == pytest.approx(np.exp(best.x[1]), rel=1e-4)


def test_groups_that_do_not_differ_are_drawn_together() -> None:
    found = pooled([Group(4, 1.0, 6.0), Group(4, 1.1, 6.0), Group(4, 0.9, 6.0)])
    assert found.between == 0.0
    assert [one.mean for one in found.groups] == pytest.approx([found.mean] * 3)


@given(
    st.lists(
        st.tuples(st.integers(2, 9), st.floats(-10, 10), st.floats(0.1, 50)),
        min_size=2,
        max_size=8,
    ),
    st.floats(-100, 100),
)
def test_a_group_lies_between_its_own_mean_and_the_common_one(
    rows: list[tuple[int, float, float]], shift: float
) -> None:
    found = pooled([Group(*row) for row in rows])
    for one in found.groups:
        low, high = sorted((one.own, found.mean))
        assert low - 1e-9 <= one.mean <= high + 1e-9
        assert 0.0 <= one.weight <= 1.0
    moved = pooled([Group(n, mean + shift, square) for n, mean, square in rows])
    assert moved.mean == pytest.approx(found.mean + shift, abs=1e-6)
    assert moved.between == pytest.approx(found.between, rel=1e-3, abs=1e-4)


def test_intervals_cover_the_truth_about_as_often_as_they_say() -> None:
    """600 groups of known means: 95 % of the intervals hold them (within 4 standard errors)."""
    rng = np.random.default_rng(7)
    truth = rng.normal(0.0, 0.5, 600)
    groups = [group_of(rng.normal(one, 1.0, int(rng.integers(2, 20)))) for one in truth]
    found = pooled(groups)
    held = [low <= true <= high for true, (low, high) in
            zip(truth, (one.interval for one in found.groups), strict=True)]  # fmt: skip
    assert np.mean(held) == pytest.approx(0.95, abs=4 * math.sqrt(0.95 * 0.05 / 600))


def test_too_little_to_pool_is_said() -> None:
    with pytest.raises(OutOfRange, match="too few to pool"):
        pooled([Group(1, 0.0), Group(1, 1.0)])
    with pytest.raises(OutOfRange, match="too few to pool"):
        pooled([Group(5, 0.0, 1.0)])
    with pytest.raises(OutOfRange, match="nothing to pool"):
        pooled([Group(2, 1.0, 0.0), Group(2, 1.0, 0.0)])


@given(st.lists(st.floats(0.0, 1.0), min_size=1, max_size=60))
def test_false_discoveries_against_scipy(chances: list[float]) -> None:
    wanted = stats.false_discovery_control(chances, method="bh")
    assert adjusted(chances) == pytest.approx(wanted.tolist(), abs=1e-12)


def test_chances_against_scipys_student() -> None:
    values = np.random.default_rng(3).normal(size=40).tolist()
    far, chances = chances_of(values)
    assert chances == pytest.approx((2 * stats.t.sf(np.abs(far), 39)).tolist(), rel=1e-9)
    with pytest.raises(OutOfRange, match="too little"):
        chances_of([1.0] * 7)
    with pytest.raises(OutOfRange, match="outside 0 to 1"):
        adjusted([1.5])
