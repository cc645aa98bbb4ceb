"""Capability indices and their intervals."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.metrology.capability import (
    capability,
    capability_of,
    spread_interval,
    worst_side_interval,
)
from clampwright.errors import ClampwrightError


def test_an_invented_wrench() -> None:
    """100 N·m ± 4 %: mean 100.6, standard deviation 0.45."""
    found = capability(mean=100.6, s=0.45, low=96, high=104)
    assert found.spread == pytest.approx(2.962963, abs=5e-7)
    assert found.worst_side == pytest.approx(2.518519, abs=5e-7)
    assert found.on_target is None


@given(
    mean=st.floats(-50, 50), s=st.floats(0.1, 10), half=st.floats(0.5, 60), at=st.floats(-40, 40)
)
def test_the_indices_belong_together(mean: float, s: float, half: float, at: float) -> None:
    found = capability(mean=mean, s=s, low=at - half, high=at + half, target=at)
    assert found.worst_side == pytest.approx(found.spread * (1 - found.off_centre), abs=1e-9)
    assert found.on_target is not None
    assert found.on_target <= found.spread * (1 + 1e-12)


def test_from_results() -> None:
    row = [99.6, 100.2, 100.9, 100.3]
    direct = capability(mean=float(np.mean(row)), s=float(np.std(row, ddof=1)), low=96, high=104)
    assert capability_of(row, low=96, high=104).spread == pytest.approx(direct.spread)


@pytest.mark.parametrize("which", ["spread", "worst_side"])
def test_intervals_hold_the_truth_as_often_as_they_say(which: str) -> None:
    """3 000 samples of 50 from a distribution with Cp = Cpk = 1 (limits ±3 s, centred)."""
    rng = np.random.default_rng(50)
    sample = rng.standard_normal((3000, 50))
    mean, s = sample.mean(axis=1), sample.std(axis=1, ddof=1)
    caught = 0
    for x, scatter in zip(mean, s, strict=True):
        found = capability(mean=float(x), s=float(scatter), low=-3.6, high=3.0)
        if which == "spread":
            low, high = spread_interval(found.spread, n=50)
            caught += low <= 1.1 <= high
        else:
            low, high = worst_side_interval(found.worst_side, n=50)
            caught += low <= 1.0 <= high
    assert caught / 3000 == pytest.approx(0.95, abs=0.015)


@pytest.mark.parametrize(
    ("call", "named"),
    [
        (lambda: capability(mean=1, s=0, low=0, high=2), "s is 0"),
        (lambda: capability(mean=1, s=1, low=2, high=2), "high"),
        (lambda: capability(mean=math.nan, s=1, low=0, high=2), "mean"),
        (lambda: capability_of([1.0], low=0, high=2), "at least 2"),
        (lambda: capability_of([1.0, 1.0], low=0, high=2), "s is 0"),
        (lambda: spread_interval(1.0, n=1), "at least 2"),
        (lambda: spread_interval(0.0, n=5), "index"),
        (lambda: worst_side_interval(1.0, n=5, confidence=0), "confidence"),
    ],
)
def test_bad_input_is_refused_in_words(call: Callable[[], object], named: str) -> None:
    with pytest.raises(ClampwrightError, match=named):
        call()
