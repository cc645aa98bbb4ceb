"""Frames of the invented wrench, whole and garbled."""

import random
import struct

import pytest

from clampwright.trace.line_form import form_from_text
from clampwright.trace.line_stream import LineStream


def frame(time: int, torque: int, angle: int) -> str:
    data = struct.pack(">Ihh", time, torque, angle)
    return f":{data.hex().upper()}{sum(data) & 0xFF:02X}"


def test_a_pull_comes_through() -> None:
    stream = LineStream(form_from_text("kind hex-frames"))
    lines = ["ready", *(frame(1000 + 5 * i, 100 * i, 30 * i) for i in range(10))]
    got = [one for one in map(stream.take, lines) if one is not None]
    assert got[-1] == pytest.approx((0.045, 9.0, 27.0))
    assert (stream.taken, stream.passed_over) == (10, 1)


def test_one_wrong_digit_is_found() -> None:
    draw = random.Random(7)
    form, whole = form_from_text("kind hex-frames"), frame(123456, 4321, 987)
    for _ in range(200):
        place, digit = draw.randrange(1, len(whole)), draw.choice("0123456789ABCDEF")
        garbled = whole[:place] + digit + whole[place + 1 :]
        assert (form.read(garbled) is None) == (garbled != whole)
