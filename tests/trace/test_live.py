from __future__ import annotations

import tracemalloc
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given as given_any
from hypothesis import settings
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError
from clampwright.trace.drawn import Drawn, drawn
from clampwright.trace.given import Given
from clampwright.trace.history import told
from clampwright.trace.live import SAYINGS, LivePull, Progress
from clampwright.trace.model import ANGLE_MODES, AngleMode, Trace
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.verdict import judge

STEADY = ("normal", "pause", "soft_joint", "plastic", "bottomed", "rehit", "galling")


@dataclass
class Fed:
    pull: LivePull
    said: list[Progress] = field(default_factory=list)

    @property
    def events(self) -> list[str]:
        return [now.event for now in self.said if now.event]


def fed(trace: Trace, given: Given) -> Fed:
    done = Fed(LivePull(given, trace.angle_mode, trace.sample_rate, most=3 * len(trace)))
    rows = zip(trace.time.tolist(), trace.torque.tolist(), trace.angle.tolist(), strict=True)
    done.said = [done.pull.add(*row) for row in rows]
    return done


@cache
def case_of(seed: int, pattern: str) -> tuple[Drawn, Fed]:
    """A pull and what came of it sample by sample; a stream has no history."""
    case = drawn(seed, pattern)
    return case, fed(replace(case.trace, steps=()), case.given)


@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.parametrize("seed", [31, 32])
@pytest.mark.no_cover
def test_the_end_is_that_of_the_whole_trace(pattern: str, seed: int) -> None:
    case, done = case_of(seed, pattern)
    plain = replace(case.trace, steps=())
    live = done.pull.finish().as_json()
    assert live == judge(plain, case.given).as_json()


walks = st.lists(st.tuples(st.floats(-9.0, 9.0), st.floats(-9.0, 9.0)), min_size=2, max_size=150)


@settings(max_examples=60, deadline=None)
@given_any(walks, st.sampled_from(ANGLE_MODES), st.floats(1.0, 200.0))
def test_any_jumble_ends_like_the_whole_trace(
    walk: list[tuple[float, float]], mode: AngleMode, target: float
) -> None:
    rows = np.cumsum(np.array(walk), axis=0)
    trace = Trace(np.arange(len(rows)) / 100.0, rows[:, 0], rows[:, 1], mode)
    given = Given(target_torque_Nm=target)
    done = fed(trace, given)
    assert done.pull.finish().as_json() == judge(trace, given).as_json()
    turned = [now.turned for now in done.said]
    assert all(b >= a for a, b in pairwise(turned))
    assert {now.say for now in done.said} <= set(SAYINGS)
    assert all(now.share is None or 0.0 <= now.share <= 1.0 for now in done.said)


@pytest.fixture(scope="module")
def cases() -> list[tuple[Drawn, Fed]]:
    return [case_of(seed, pattern) for seed in range(31, 35) for pattern in PATTERNS]


@pytest.mark.no_cover
def test_what_was_turned_on_the_way_agrees_with_the_end(cases: list[tuple[Drawn, Fed]]) -> None:
    near = []
    for case, done in cases:
        after = done.pull.finish().turned_after_snug
        if case.pattern in STEADY and after is not None and done.pull.after_snug is not None:
            near.append(abs(done.pull.after_snug - after) < 3.0)
    assert len(near) > 20
    assert np.mean(near) >= 0.9


def test_a_slip_is_said_at_once_and_none_is_invented(cases: list[tuple[Drawn, Fed]]) -> None:
    for case, done in cases:
        assert done.pull.slipped == (case.pattern == "slip_off"), case.pattern
        if done.pull.slipped:
            assert done.said[-1].say == "back_off"
            assert done.events.count("slipped") == 1


def test_a_wanted_yield_is_said(cases: list[tuple[Drawn, Fed]]) -> None:
    found = [done.pull.yielded for case, done in cases if case.pattern in {"plastic", "necking"}]
    calm = [done.pull.yielded for case, done in cases if case.pattern in {"normal", "pause"}]
    assert np.mean(found) >= 0.9
    assert np.mean(calm) <= 0.1


def test_snug_and_target_come_in_order_and_the_hand_is_slowed_before(
    cases: list[tuple[Drawn, Fed]],
) -> None:
    for case, done in cases:
        if case.pattern != "normal":
            continue
        events, says = done.events, [now.say for now in done.said]
        assert events.index("snug") < events.index("target")
        assert says.index("slow_down") < says.index("stop")
        assert events[-1] == "stroke_ended"


def test_the_rest_of_the_way_is_foreseen() -> None:
    given = Given(target_torque_Nm=50.0, snug_torque_Nm=10.0)
    pull = LivePull(given, "output", 100.0)
    for i in range(3000):
        angle = i * 0.02
        now = pull.add(i / 100, max(1.25 * (angle - 10.0), 0.0), angle)
        if 30.0 < angle < 45.0:
            assert now.remaining == pytest.approx(50.0 - angle, abs=0.6)


def test_a_wrench_that_lies_for_hours_fills_nothing() -> None:
    given = Given(target_torque_Nm=50.0, snug_torque_Nm=10.0)
    pull = LivePull(given, "output", 100.0, most=4_000)
    for i in range(20_000):  # 200 s at rest
        pull.add(i / 100, 0.05 * (i % 2), 3.0)
    tracemalloc.start()
    for i in range(20_000, 24_000):
        pull.add(i / 100, 0.05 * (i % 2), 3.0)
    grown = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert grown < 20_000
    for i in range(1_500):
        angle = 0.05 * i
        torque = min(max(1.25 * (angle - 30.0), 0.0), 50.0)
        pull.add(240.0 + i / 100, torque, 3.0 + min(angle, 70.0))
    assert len(pull.trace()) < 4_000
    assert pull.finish().final_torque == pytest.approx(50.0, abs=0.5)


def test_what_no_longer_fits_is_left_out_and_said() -> None:
    pull = LivePull(Given(target_torque_Nm=50.0), "output", 100.0, most=100)
    for i in range(150):
        pull.add(i / 100, 1.0 * i, 1.0 * i)
    assert len(pull.trace()) == 100
    assert "50 samples at its end were left out" in str(told(pull.trace().steps[-1]))


def test_samples_out_of_order_are_passed_over_and_nonsense_is_refused() -> None:
    pull = LivePull(Given(target_torque_Nm=50.0))
    pull.add(0.0, 1.0, 0.0)
    pull.add(0.1, 2.0, 1.0)
    assert pull.add(0.1, 9.0, 9.0).torque == pull.add(0.05, 9.0, 9.0).torque
    assert pull.trace().steps[0].arguments == {"count": 2}
    with pytest.raises(ClampwrightError, match="three numbers"):
        pull.add(0.2, float("nan"), 1.0)


@pytest.mark.soak
def test_hundreds_of_pulls_end_like_their_whole_traces_and_say_what_happened() -> None:
    """Every pattern in every angle mode: the same figures at the end, few false words before."""
    rows: list[tuple[str, str, bool, bool, bool, float | None]] = []
    for seed in range(5_000, 5_008):
        for pattern in PATTERNS:
            for mode in ANGLE_MODES:
                case = drawn(seed, pattern)
                trace = replace(case.trace, steps=(), angle_mode=mode)
                given = replace(case.given, angle_mode=mode)
                done = fed(trace, given)
                whole = judge(trace, given)
                assert done.pull.finish().as_json() == whole.as_json()
                if mode != case.trace.angle_mode:
                    continue  # read in a mode it was not made in: the end must agree, no more
                after, end = done.pull.after_snug, whole.turned_after_snug
                off = None if after is None or end is None else abs(after - end)
                slipped, yielded = done.pull.slipped, done.pull.yielded
                rows.append((pattern, mode, slipped, yielded, whole.yielded, off))
    slips = [row[2] == (row[0] == "slip_off") for row in rows]
    yields = [row[3] == row[4] for row in rows if row[0] in {"normal", "pause", "plastic"}]
    near = [row[5] for row in rows if row[0] in STEADY and row[5] is not None]
    print(
        f"{len(rows)} pulls; slips told rightly {np.mean(slips):.1%}, yields "
        f"{np.mean(yields):.1%}; angle within 3° of the end {np.mean(np.array(near) < 3.0):.1%}"
    )
    assert np.mean(slips) >= 0.98
    assert np.mean(yields) >= 0.95
    assert np.mean(np.array(near) < 3.0) >= 0.9
