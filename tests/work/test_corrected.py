"""A recorded pull is judged by what the fastener felt, as a typed reading is."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from clampwright.drawer.calibration import Calibration, Point
from clampwright.drawer.tools import Adapter, Scale, Tool
from clampwright.trace.model import Trace
from clampwright.work.corrected import corrected

WRENCH = Tool(
    "e",
    "Electronic wrench",
    "electronic",
    "1/2 in",
    (Scale("N·m", 10, 200, 0.1),),
    length=400.0,
    trace=True,
)


def pull(peak: float) -> Trace:
    return Trace([0.0, 0.1, 0.2], [0.0, peak / 2, peak], [0.0, 5.0, 10.0])


def with_deviation(percent: float) -> Tool:
    from dataclasses import replace  # noqa: PLC0415 - only here

    points = tuple(Point(set_to, percent, 0.01) for set_to in (20.0, 200.0))
    return replace(WRENCH, calibration=Calibration(dt.date(2026, 1, 1), points))


def test_deviation_is_taken_out() -> None:
    fixed = corrected(pull(76.0), with_deviation(-5.0), adapter=None, direction="cw")
    assert fixed.torque[-1] == pytest.approx(76.0 / 0.95)  # X_r = X_a / (1 + a_s)
    assert fixed.steps


def test_an_adapter_in_line_adds_its_length() -> None:
    fitted = Adapter("a", "Open end", "1/2 in", 60.0)
    fixed = corrected(pull(100.0), WRENCH, adapter=fitted, direction="cw")
    assert fixed.torque[-1] == pytest.approx(115.0)  # (400 + 60) / 400, metrology practice


def test_counter_clockwise_traces_are_turned_over() -> None:
    fixed = corrected(
        Trace([0.0, 0.1], [0.0, -50.0], [0.0, -30.0]), WRENCH, adapter=None, direction="ccw"
    )
    assert np.array_equal(fixed.torque, [0.0, 50.0])
    assert np.array_equal(fixed.angle, [0.0, 30.0])


def test_a_true_wrench_leaves_the_trace_alone() -> None:
    trace = pull(50.0)
    assert corrected(trace, WRENCH, adapter=None, direction="cw") is trace
