"""Readings of a calibration from a table."""

from __future__ import annotations

import pytest

from clampwright.drawer import Scale, Tool
from clampwright.errors import BadFile
from clampwright.work.readings_table import read_readings

CLICK = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 20, 100, 10, 0.5),))
BEAM = Tool("b", "Beam", "beam", "1/2 in", (Scale("N·m", 0, 200, 20, 5),), directions=("cw", "ccw"))


def test_readings_series_and_directions_are_told_apart() -> None:
    text = b"""shown,reading,direction,series,position
20,20.1,cw,,
20,19.9,ccw,,
20,20.2,,drive,0
20,20.4,,drive,0
20,20.6,,drive,90
"""
    found = read_readings(text, "r.csv", BEAM)
    assert found.points == {("cw", 20.0): [20.1], ("ccw", 20.0): [19.9]}
    assert found.series == {"drive": [pytest.approx(20.3), 20.6]}


def test_masses_become_torques() -> None:
    found = read_readings(b"shown;mass\n20;5,0\n", "r.csv", CLICK, torque_of=lambda kg: 4 * kg)
    assert found.points == {("cw", 20.0): [20.0]}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"shown\n20\n", "columns shown and reading"),
        (b"shown,reading,direction\n20,20.1,up\n", "write cw or ccw"),
        (b"shown,reading\n20,20.1\n", "write cw or ccw"),
        (b"shown,reading,series\n20,20.1,drive\n", "a column position"),
        (b"shown,reading,direction\n20,x,cw\n", "'x' is not a number"),
    ],
)
def test_a_table_that_cannot_be_taken_says_why(text: bytes, said: str) -> None:
    with pytest.raises(BadFile, match=said):
        read_readings(text, "r.csv", BEAM)
