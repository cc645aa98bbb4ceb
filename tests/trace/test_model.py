from __future__ import annotations

import numpy as np
import pytest

from clampwright.errors import ClampwrightError
from clampwright.trace.model import Step, Trace

TIME, TORQUE, ANGLE = [0.0, 0.1, 0.2], [0.0, 5.0, 9.0], [0.0, 4.0, 8.0]


def test_arrays_are_copied_and_cannot_be_changed() -> None:
    torque = np.array(TORQUE)
    trace = Trace(TIME, torque, ANGLE)
    torque[0] = 99.0
    assert trace.torque[0] == 0.0
    with pytest.raises(ValueError, match="read-only"):
        trace.torque[0] = 1.0


@pytest.mark.parametrize(
    ("time", "torque", "angle", "says"),
    [
        (TIME, TORQUE[:2], ANGLE, "got 3, 2 and 3"),
        ([0.0], [1.0], [2.0], "at least 2 samples"),
        ([0.0, 0.2, 0.1], TORQUE, ANGLE, "sample 3 stands at 0.1 s after 0.2 s"),
        ([0.0, 0.1, 0.1], TORQUE, ANGLE, "must rise"),
        (TIME, [0.0, np.nan, 9.0], ANGLE, "torque of sample 2 is not a number"),
        (TIME, TORQUE, [0.0, 4.0, np.inf], "angle of sample 3"),
        ([TIME, TIME], TORQUE, ANGLE, "2 dimensions"),
    ],
)
def test_what_is_no_trace_is_refused(
    time: object, torque: object, angle: object, says: str
) -> None:
    with pytest.raises(ClampwrightError, match=says):
        Trace(time, torque, angle)  # type: ignore[arg-type]  # wrong on purpose


def test_an_angle_mode_that_is_not_known_is_refused() -> None:
    with pytest.raises(ClampwrightError, match="handle, accumulated, output"):
        Trace(TIME, TORQUE, ANGLE, "wrist")  # type: ignore[arg-type]  # wrong on purpose


def test_a_step_is_added_and_the_first_trace_stays() -> None:
    trace = Trace(TIME, TORQUE, ANGLE, "output", (Step("read", {"rows": 3}),))
    later = trace.after(Step("turned round"), angle=-trace.angle)
    assert [step.name for step in later.steps] == ["read", "turned round"]
    assert later.angle_mode == "output"
    assert later.angle[2] == -8.0
    assert trace.angle[2] == 8.0
    assert len(trace.steps) == 1


def test_sample_rate_is_that_of_the_usual_step() -> None:
    assert Trace([0.0, 0.01, 0.02, 0.5], [0.0] * 4, [0.0] * 4).sample_rate == pytest.approx(100.0)
