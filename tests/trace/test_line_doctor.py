"""What is wrong with a line: garbage, half lines, floods, silence, forms that do not fit."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from uart import heard_at

from clampwright.trace.line_buffer import LONGEST, LineBuffer
from clampwright.trace.line_doctor import SPEEDS, look_at
from clampwright.trace.line_form import form_from_text
from clampwright.trace.pull_end import PullEnd

FORM = form_from_text("begins R:; separator semicolon; time 1 ms; torque 2 N·m; angle 3 deg")
LINES = "".join(f"R:{5000 + 10 * k};{0.1 * k:.1f};{0.33 * k:.1f}\r\n" for k in range(60))
DATA = LINES.encode()


def code(data: bytes, seconds: float = 3.0, baud: int = 9600) -> str:
    return look_at(data, seconds, FORM, baud).found[0].code


def test_a_line_that_is_well() -> None:
    looked = look_at(DATA, 3.0, FORM, 9600)
    assert looked.found[0].well
    assert (looked.lines, looked.matched) == (59, 59), "the first may have been cut"
    assert looked.sample[-1] == "R:5590;5.9;19.5"


def test_a_wrong_speed_is_told_from_the_bytes_of_every_pair_of_speeds() -> None:
    """Second method: the line is simulated bit by bit, as sender and receiver see it."""
    assert heard_at(DATA, sent=9600, heard=9600) == DATA
    for sent, heard in itertools.permutations(SPEEDS, 2):
        assert code(heard_at(DATA, sent=sent, heard=heard), baud=heard) == "wrong_speed"


@pytest.mark.parametrize(
    ("data", "found"),
    [
        (b"", "silent"),
        (b"R:5000;0,2;0,0 " * 40, "no_line_ends"),
        (b"torque 0.2 angle 1\n" * 20, "no_match"),
        (b"R:1;2;3\nbattery low\n" * 20, "few_match"),
        (b"R:1;2;3\n" * 20, "time_stands"),
    ],
)
def test_what_else_may_be_wrong(data: bytes, found: str) -> None:
    assert code(data) == found
    assert str(look_at(data, 3.0, FORM, 9600).found[0].do)


def test_a_line_that_is_full() -> None:
    assert code(DATA, seconds=len(DATA) / 960) == "line_full"
    assert look_at(DATA, 3.0, None, 9600).found[0].code == "no_form"


@given(cuts=st.lists(st.integers(0, len(DATA)), max_size=20))
def test_lines_are_the_same_however_they_are_cut(cuts: list[int]) -> None:
    buffer = LineBuffer()
    ends = [0, *sorted(cuts), len(DATA)]
    found = [line for a, b in itertools.pairwise(ends) for line in buffer.take(DATA[a:b])]
    assert found == LINES.splitlines()


@given(data=st.binary(max_size=3000), cut=st.integers(0, 3000))
def test_garbage_never_breaks_it(data: bytes, cut: int) -> None:
    buffer = LineBuffer()
    lines = [*buffer.take(data[:cut]), *buffer.take(data[cut:])]
    assert all(len(line) <= LONGEST for line in lines)
    assert look_at(data, 3.0, FORM, 9600).found


def test_noise_without_an_end_takes_no_room_and_the_next_line_is_read() -> None:
    buffer = LineBuffer()
    for _ in range(1000):
        assert buffer.take(b"x" * 1000) == []
    assert buffer.dropped == 1
    assert buffer.take(b"end of noise\n1 2 3\n") == ["1 2 3"]
    buffer.take(b"half a li")
    buffer.forget()
    assert buffer.take(b"4 5 6\n") == ["4 5 6"]


def test_a_ratchet_that_lets_go_between_strokes_does_not_end_the_pull() -> None:
    rng = np.random.default_rng(20261130)
    end, t = PullEnd(3.0, rest=2.5), 0.0
    for stroke in range(4):
        for torque in (*np.linspace(0, 40 + stroke, 50), *rng.uniform(-1, 1, 100)):
            t += 0.02
            assert end.take(t, float(torque)) != "ended"
    assert end.resting
    states = [end.take(t + 0.1 * k, 0.2) for k in range(1, 40)]
    assert states.index("ended") == pytest.approx(5, abs=2), "2 s of rest had passed already"
