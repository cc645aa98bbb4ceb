from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from clampwright.errors import Missing
from clampwright.trace.learned import learned, odd_ones_out
from clampwright.trace.verdict import TraceVerdict


def pull(slope: float = 1.25, after: float = 30.0, verdict: str = "within") -> TraceVerdict:
    return TraceVerdict(
        verdict,
        "normal",
        fault=False,
        reasons=(),
        final_torque=50.0,
        turned_after_snug=after,
        slope=slope,
        uncertainty={"slope_nm_per_deg": 0.01, "turned_after_snug_deg": 0.2},
    )


def good(count: int = 12) -> list[TraceVerdict]:
    rng = np.random.default_rng(4)
    return [pull(1.25 + rng.normal(0, 0.03), 30.0 + rng.normal(0, 0.8)) for _ in range(count)]


def test_ten_good_pulls_are_needed_and_bad_ones_do_not_count() -> None:
    with pytest.raises(Missing, match="9 good pulls are too few"):
        learned([*good(9), *(pull(verdict="short") for _ in range(20))])
    assert learned(good(10)).features["slope"].count == 10


def test_median_and_robust_spread_by_hand() -> None:
    slopes = [1.20, 1.22, 1.24, 1.26, 1.28, 1.30, 1.32, 1.34, 1.36, 9.0]
    ordinary = learned([pull(slope) for slope in slopes]).features["slope"]
    assert ordinary.middle == pytest.approx(1.29)
    assert ordinary.high - ordinary.middle == pytest.approx(3.5 * 1.4826 * 0.05)
    assert ordinary.high < 2.0  # one wild pull does not widen what is ordinary


def test_a_pull_unlike_the_good_ones_is_told_with_numbers() -> None:
    limits = learned(good())
    assert limits.unusual(pull()) == []
    says = [str(one) for one in limits.unusual(pull(slope=0.9, after=41.0))]
    assert len(says) == 2
    assert "12 good pulls lay between" in says[0]
    assert "clamp" not in limits.features  # never determinable in these


def test_alike_pulls_leave_room_for_what_they_cannot_tell() -> None:
    limits = learned([pull() for _ in range(10)])
    assert limits.unusual(pull(slope=1.28)) == []
    assert limits.unusual(pull(slope=1.29))


def test_the_odd_fastener_of_a_joint_is_found() -> None:
    joint = dict(enumerate(good(10), 1))
    assert odd_ones_out(joint) == []
    joint[7] = replace(joint[7], turned_after_snug=38.0)
    (odd,) = odd_ones_out(joint)
    assert (odd.fastener, odd.feature) == (7, "turned_after_snug")
    assert abs(odd.score) > odd.limit > 3.5
    assert "fastener 7 differs" in str(odd.told)


def test_two_alike_do_not_hide_each_other_and_few_tell_nothing() -> None:
    joint = dict(enumerate(good(8), 1))
    for number in (2, 5):
        joint[number] = replace(joint[number], turned_after_snug=55.0)
    assert {odd.fastener for odd in odd_ones_out(joint)} == {2, 5}
    assert odd_ones_out(dict(enumerate(good(3), 1))) == []
