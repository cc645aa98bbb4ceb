"""The judge on pulls drawn wider than it was tuned on; the figures stand in docs/validation."""

from __future__ import annotations

import numpy as np
import pytest

from clampwright.trace.drawn import FAULTY, Drawn, drawn
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.verdict import TraceVerdict, judge

CLEAR = ("normal", "pause", "soft_joint", "plastic", "slope_out_of_band", "galling", "necking")


def judged(seeds: range) -> list[tuple[Drawn, TraceVerdict]]:
    cases = [drawn(seed, pattern) for seed in seeds for pattern in PATTERNS]
    return [(case, judge(case.trace, case.given)) for case in cases]


@pytest.fixture(scope="module")
def few() -> list[tuple[Drawn, TraceVerdict]]:
    return judged(range(500, 508))


@pytest.mark.parametrize("pattern", PATTERNS)
def test_the_same_seed_draws_the_same_pull(pattern: str) -> None:
    one, two = drawn(3, pattern), drawn(3, pattern)
    np.testing.assert_array_equal(one.trace.torque, two.trace.torque)
    assert one.given == two.given
    assert one.truth == two.truth
    assert one.fault == (pattern in FAULTY) or pattern == "plastic"


def test_a_narrow_width_draws_the_middle() -> None:
    torques = [drawn(seed, "normal", width=0.0).given.snug_torque_Nm for seed in range(2)]
    assert drawn(0, "normal", width=0.0).trace.torque.max() > max(filter(None, torques))


@pytest.mark.no_cover
def test_few_pulls_of_every_pattern(few: list[tuple[Drawn, TraceVerdict]]) -> None:
    assert len(few) == 120
    check(few, pattern=0.93, fault=0.95)


def test_yield_is_found_and_none_is_invented(few: list[tuple[Drawn, TraceVerdict]]) -> None:
    for case, verdict in few:
        if case.pattern in {"plastic", "necking"}:
            assert verdict.yielded
        if case.pattern in {"normal", "pause", "soft_joint", "slip_off", "stripped", "rehit"}:
            assert not verdict.yielded


def check(cases: list[tuple[Drawn, TraceVerdict]], *, pattern: float, fault: float) -> None:
    assert np.mean([case.pattern == v.pattern for case, v in cases]) >= pattern
    assert np.mean([case.fault == v.fault for case, v in cases]) >= fault
    errors = {"handle": 1.0, "output": 1.0, "accumulated": 3.0, "rate": 5.0}
    for column, most in errors.items():
        inside = [
            abs(v.turned_after_snug - case.truth.turned_after_snug) <= most
            for case, v in cases
            if case.column == column and case.pattern in CLEAR and v.turned_after_snug is not None
        ]
        assert np.mean(inside) >= 0.95, column


@pytest.mark.soak
def test_two_thousand_pulls() -> None:
    check(judged(range(1000, 1140)), pattern=0.94, fault=0.97)
