"""Wordings in Swedish, with what a careful technician takes from each. All invented."""

import pytest

from clampwright.procedure.reader import read

CASES = [
    (
        "Dra åt bultarna korsvis till 12,5 Nm, vrid sedan ytterligare 90 grader.",
        [("torque", 12.5, "N·m"), ("angle", 90.0, "deg")],
    ),
    (
        "Lossa bultarna ett halvt varv. Dra åt till 30 Nm.",
        [("back_off_then", 0.5, "turn"), ("torque", 30.0, "N·m")],
    ),
]


@pytest.mark.parametrize(("text", "stages"), CASES)
def test_what_is_read(text: str, stages: list[tuple[str, float, str]]) -> None:
    reading = read(text, "sv-SE")
    assert reading.status == "ok"
    assert [(one.kind, one.value, one.unit) for one in reading.stages] == stages


def test_a_missing_unit_is_asked_for() -> None:
    assert read("Dra åt bultarna till 30.", "sv").status != "ok"
