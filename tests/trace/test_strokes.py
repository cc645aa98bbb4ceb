from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.trace.model import AngleMode, Floats, Trace
from clampwright.trace.strokes import turned

RATE = 200.0  # Hz


def by_hand(strokes: list[float], stiffness: float, mode: AngleMode, slope: float = 1.25) -> Trace:
    """Build a pull from the stitching rule alone, without the simulator.

    Each stroke takes up the torque held, turns the fastener on by its angle at `slope`, is let go
    and swung back. There is no breakaway and no noise.
    """
    handle, torque, nut = [0.0], [0.0], [0.0]

    def go(turn: float, pull: float, on: float, seconds: float) -> None:
        part = np.arange(1, round(seconds * RATE) + 1) / round(seconds * RATE)
        for row, change in ((handle, turn), (torque, pull), (nut, on)):
            row.extend(row[-1] + change * part)

    for angle in strokes:
        held = slope * nut[-1]
        go(5.0, 0.0, 0.0, 0.2)  # play of the ratchet
        if held > 0:
            go(held / stiffness, held, 0.0, 0.3)
        go(angle + slope * angle / stiffness, slope * angle, angle, 1.0)
        top = torque[-1]
        go(-top / stiffness, -top, 0.0, 0.2)
        go(-angle - 5.0, 0.0, 0.0, 0.4)
    rows = [np.array(row) for row in (handle, torque, nut)]
    return Trace(np.arange(len(handle)) / RATE, rows[1], seen(*rows, mode=mode), mode)


def seen(handle: Floats, torque: Floats, nut: Floats, *, mode: AngleMode) -> Floats:
    if mode == "output":
        return nut
    if mode == "handle":
        return handle
    forward = np.maximum(np.diff(handle, prepend=0.0), 0.0)
    return np.asarray(np.cumsum(np.where(torque > 0.0, forward, 0.0)))


@pytest.mark.parametrize("mode", ["handle", "accumulated", "output"])
def test_strokes_are_stitched_and_wind_up_is_taken_out(mode: AngleMode) -> None:
    trace = by_hand([20.0, 15.0, 10.0], 20.0, mode)
    parts = turned(trace, 20.0)
    free = 5.0 if mode == "handle" else 0.0  # before anything holds, play cannot be told apart
    assert [round(s.turned_deg - free * (i == 0), 0) for i, s in enumerate(parts.strokes)] == [
        20.0,
        15.0,
        10.0,
    ]
    assert parts.angle[-1] == pytest.approx(45.0 + free, abs=0.5)
    assert (np.diff(parts.angle) >= -1e-9).all()


def test_a_counter_alone_would_read_far_too_much() -> None:
    trace = by_hand([20.0, 15.0, 10.0], 20.0, "accumulated")
    over = sum(1.25 * angle / 20.0 for angle in (20.0, 35.0, 45.0))
    assert trace.angle[-1] == pytest.approx(45.0 + over, abs=0.5)


@pytest.mark.parametrize("given_stiffness", [None, 17.0, 23.0])
def test_stiffness_is_found_in_release_and_restart(given_stiffness: float | None) -> None:
    trace = by_hand([20.0, 15.0, 10.0], 20.0, "handle")
    parts = turned(trace, given_stiffness)
    assert parts.stiffness.value == pytest.approx(20.0, rel=0.03)
    assert parts.stiffness.source == ("trace" if given_stiffness is None else "given and trace")
    assert parts.angle[-1] == pytest.approx(50.0, abs=0.6)


def test_without_any_hint_a_usual_wind_up_is_assumed_and_said_to_be_so() -> None:
    time = np.arange(400) / RATE
    trace = Trace(time, 30.0 * time, 60.0 * time, "handle")
    parts = turned(trace)
    assert parts.stiffness.source == "assumed"
    assert parts.stiffness.value == pytest.approx(float(trace.torque.max()) / 3.0, rel=0.01)
    assert parts.stiffness.u_rel == 0.5


def test_what_is_held_before_is_taken_up_first() -> None:
    trace = by_hand([20.0, 15.0], 20.0, "handle")
    part = slice(round(1.8 * RATE), None)  # after the first back swing
    later = Trace(trace.time[part], trace.torque[part], trace.angle[part], "handle")
    parts = turned(later, 20.0, held=25.0)
    assert parts.angle[-1] == pytest.approx(15.0, abs=0.5)


def test_a_rest_under_load_is_no_stroke() -> None:
    still = np.zeros(160)
    speed = np.concatenate((np.full(200, 25.0), still, np.full(200, 25.0)))
    angle = np.cumsum(speed) / RATE
    trace = Trace(np.arange(len(angle)) / RATE, 1.2 * angle, angle, "output")
    parts = turned(trace)
    assert len(parts.strokes) == 1
    assert parts.pauses == pytest.approx((25.0,), abs=0.5)
    assert parts.angle[-1] == pytest.approx(50.0, abs=0.5)


def slipped(mode: AngleMode) -> Trace:
    rise = np.linspace(0.0, 40.0, 300)
    gone = np.concatenate((np.linspace(40.0, 0.0, 5), np.zeros(100)))
    run = np.concatenate((np.linspace(0.0, 30.0, 16), np.full(89, 30.0)))
    nut = np.concatenate((rise / 1.25, np.full(105, 32.0)))
    handle = np.concatenate((rise / 1.25 + rise / 20.0, 34.0 + run))
    torque = np.concatenate((rise, gone))
    return Trace(np.arange(len(nut)) / RATE, torque, handle if mode == "handle" else nut, mode)


@pytest.mark.parametrize("mode", ["handle", "output"])
def test_a_slipped_socket_turns_nothing(mode: AngleMode) -> None:
    parts = turned(slipped(mode), 20.0)
    assert len(parts.slips) == 1
    assert parts.slips[0] == pytest.approx(300 / RATE, abs=0.05)
    assert parts.angle[-1] == pytest.approx(32.0, abs=0.5)


angles = st.lists(st.floats(8.0, 60.0), min_size=1, max_size=4)
modes = st.sampled_from(["handle", "accumulated", "output"])


@settings(max_examples=60, deadline=None)
@given(angles, st.floats(10.0, 60.0), modes)
def test_any_strokes_add_up(strokes: list[float], stiffness: float, mode: AngleMode) -> None:
    parts = turned(by_hand(strokes, stiffness, mode), stiffness)
    free = 5.0 if mode == "handle" else 0.0
    assert parts.angle[-1] == pytest.approx(sum(strokes) + free, abs=0.3 + 0.25 * len(strokes))


@settings(max_examples=40, deadline=None)
@given(angles, st.floats(-1e5, 1e5), st.floats(0.0, 1e4), modes)
def test_where_counter_and_clock_start_does_not_matter(
    strokes: list[float], start: float, later: float, mode: AngleMode
) -> None:
    trace = by_hand(strokes, 20.0, mode)
    moved = Trace(trace.time + later, trace.torque, trace.angle + start, mode)
    np.testing.assert_allclose(turned(moved, 20.0).angle, turned(trace, 20.0).angle, atol=0.02)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.floats(-5.0, 5.0), st.floats(-8.0, 8.0)), min_size=1, max_size=200),
    modes,
)
def test_any_jumble_gives_an_angle_that_never_falls(
    steps: list[tuple[float, float]], mode: AngleMode
) -> None:
    walk = np.cumsum(np.array([(0.0, 0.0), *steps]), axis=0)
    trace = Trace(np.arange(len(walk)) / RATE, walk[:, 0], walk[:, 1], mode)
    parts = turned(trace, 20.0)
    assert np.isfinite(parts.angle).all()
    assert (np.diff(parts.angle) >= -1e-9).all()
    assert all(stroke.turned_deg >= 0.0 for stroke in parts.strokes)
