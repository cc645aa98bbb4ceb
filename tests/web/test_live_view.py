"""What is told of a pull that goes on: steady figures whatever the wrench and its signs."""

from __future__ import annotations

import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from clampwright.drawer.calibration import Direction
from clampwright.errors import Refused
from clampwright.trace.drawn import drawn
from clampwright.trace.given import Given
from clampwright.trace.model import ANGLE_MODES, AngleMode, Trace
from clampwright.trace.patterns import PATTERNS
from clampwright.trace.reading import read_csv
from clampwright.trace.verdict import judge
from clampwright.trace.writing import write_csv
from clampwright.web import live_pull
from clampwright.web.live_pull import LivePull
from clampwright.web.live_view import Signs, Wanted
from clampwright.web.models import LiveStart
from clampwright.work.fold import PullKey

START = LiveStart.model_validate(
    {
        "pull": {"joint": "wheel", "stage": 2, "fastener": 1},
        "tool": "electronic-200",
        "entry": "0199a000-0000-7000-8000-000000000001",
    }
)


def live_of(given: Given, mode: AngleMode = "handle", direction: Direction = "cw") -> LivePull:
    wanted = Wanted(given, mode, "N·m", 1.0, direction)
    return LivePull(object(), PullKey("wheel", 2, 1), START, wanted)


def fed(pull: LivePull, trace: Trace) -> None:
    rows = np.column_stack((trace.time, trace.torque, trace.angle)).tolist()
    for start in range(0, len(rows), 16):
        pull.add({"samples": rows[start : start + 16]})


@pytest.mark.parametrize("mode", ANGLE_MODES)
@pytest.mark.parametrize("pattern", PATTERNS)
@pytest.mark.no_cover
def test_the_verdict_at_the_end_is_that_of_the_whole_trace(pattern: str, mode: AngleMode) -> None:
    """What the channel hands on is the file of the pull: the same judgement, figure by figure."""
    case = drawn(401, pattern)
    given = replace(case.given, angle_mode=mode)
    trace = replace(case.trace, steps=(), angle_mode=mode)
    pull = live_of(given, mode)
    fed(pull, trace)
    handed_on = read_csv(write_csv(pull.trace()), "live", angle_mode=pull.trace().angle_mode)
    whole = read_csv(write_csv(trace), "file", angle_mode=trace.angle_mode)
    assert judge(handed_on, given).as_json() == judge(whole, given).as_json()


def test_a_counter_clockwise_wrench_is_told_like_a_clockwise_one() -> None:
    case = drawn(402, "normal")
    forward, backward = live_of(case.given), live_of(case.given, direction="ccw")
    trace = replace(case.trace, steps=())
    fed(forward, trace)
    fed(backward, replace(trace, torque=-trace.torque, angle=-trace.angle))
    keys = ("say", "part", "angle", "strokes")
    one, other = forward.live(), backward.live()
    assert [one[key] for key in keys] == [other[key] for key in keys]
    assert one["say"] == "stop"


def test_signs_follow_the_larger_torque() -> None:
    signs = Signs("ccw")
    assert signs.forward(0.3, 0.1) == (0.3, 0.1)
    assert signs.forward(-8.0, -2.0) == (8.0, 2.0)
    assert Signs("cw").forward(-8.0, -2.0) == (-8.0, -2.0)


def test_memory_does_not_grow_with_the_pull() -> None:
    pull = live_of(Given(target_torque_Nm=50.0))
    for i in range(2_000):
        pull.add({"t": 0.01 * i, "torque": 20.0 + i % 3, "angle": 0.01 * i})
    tracemalloc.start()
    for i in range(2_000, 12_000):
        pull.add({"t": 0.01 * i, "torque": 20.0 + i % 3, "angle": 0.01 * i})
    grown = tracemalloc.get_traced_memory()[0]
    tracemalloc.stop()
    assert grown < 20_000


def refused_after(samples: int) -> str:
    """Feed a pull that never ends; return why the next sample is refused."""
    pull = live_of(Given(target_torque_Nm=50.0))
    pull.add({"samples": [[0.001 * i, 30.0, 0.001 * i] for i in range(samples)]})
    with pytest.raises(Refused) as refused:
        pull.add({"t": 1e6, "torque": 30.0, "angle": 0.0})
    return str(refused.value)


def test_a_wrench_that_never_ends_is_refused_at_last(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same with a lower bound: two hundred thousand samples take 14 s (see the soak)."""
    assert live_pull.MOST_SAMPLES == 200_000
    monkeypatch.setattr(live_pull, "MOST_SAMPLES", 5_000)
    assert "at most 5000 samples" in refused_after(5_000)


@pytest.mark.soak
def test_two_hundred_thousand_samples_are_taken_and_no_more() -> None:
    assert "at most 200000 samples" in refused_after(live_pull.MOST_SAMPLES)


def test_what_happened_is_told_once() -> None:
    case = drawn(403, "normal")
    pull = live_of(case.given)
    fed(pull, replace(case.trace, steps=()))
    assert pull.live()["happened"]
    assert pull.live()["happened"] == []
