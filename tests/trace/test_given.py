from __future__ import annotations

import json
from dataclasses import asdict

import pytest

from clampwright.errors import BadFile, ClampwrightError, OutOfRange
from clampwright.trace.given import Given, Nominal, given_from_json

FULL = {
    "d_mm": 10.0,
    "P_mm": 1.5,
    "grip_mm": 45.0,
    "Rp_MPa": 940.0,
    "target_torque_Nm": 50.0,
    "snug_torque_Nm": 15.0,
    "procedure": "torque_angle",
    "angle_steps_deg": [90, 90],
    "nominal": {
        "K": 0.16,
        "clamp_rate_N_per_deg": 830.0,
        "torque_rate_Nm_per_deg": 1.33,
        "torque_rate_low_Nm_per_deg": 1.0,
        "torque_rate_high_Nm_per_deg": 1.7,
        "clamp_at_target_N": 31250.0,
        "angle_snug_to_target_deg": 26.3,
        "combined_yield_clamp_N": 48300.0,
    },
    "tool_stiffness_Nm_per_deg": None,
    "sample_rate_hz": 200,
    "angle_mode": "handle",
    "direction": "ccw",
    "torque_low": 45,
    "torque_high": 80,
    "angle_low": 175,
    "angle_high": 185,
    "previous_torque_Nm": 0,
}


def test_every_field_comes_through() -> None:
    given = given_from_json(json.dumps(FULL).encode())
    assert asdict(given) == FULL | {"angle_steps_deg": (90, 90)}
    assert given.wanted_angle == 180.0
    assert given_from_json(FULL) == given


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('{"target_torque_Nm": 50', "line 1, column"),
        ("[1]", "one JSON object"),
        (b"\xff\xfe{", "UTF-8"),
        ('{"target_torque": 50}', "did you mean target_torque_Nm"),
        ('{"nominal": {"k": 0.2}}', "did you mean"),
        ('{"nominal": 3}', "object with named values"),
        ('{"angle_steps_deg": 90}', "list of degrees"),
    ],
)
def test_what_cannot_be_read_says_what_would_be_right(text: bytes | str, says: str) -> None:
    with pytest.raises(BadFile, match=says):
        given_from_json(text, "given.json")


@pytest.mark.parametrize(
    "values",
    [
        {"target_torque_Nm": 0},
        {"target_torque_Nm": -1.0},
        {"target_torque_Nm": float("nan")},
        {"target_torque_Nm": "50"},
        {"target_torque_Nm": True},
        {"torque_low": 60.0, "torque_high": 50.0},
        {"angle_low": 95.0, "angle_high": 85.0},
        {"angle_steps_deg": (90.0, 0.0)},
        {"tool_stiffness_Nm_per_deg": 0.0},
        {"previous_torque_Nm": -5.0},
    ],
)
def test_values_that_cannot_be_are_refused(values: dict[str, object]) -> None:
    with pytest.raises(OutOfRange):
        Given(**values)  # type: ignore[arg-type]  # wrong on purpose


def test_nominal_values_are_checked_too() -> None:
    with pytest.raises(OutOfRange, match="K must be a number above 0"):
        Nominal(K=-0.1)


def test_unknown_procedure_and_mode_are_named() -> None:
    with pytest.raises(ClampwrightError, match="torque, torque_angle"):
        Given(procedure="stretch")
    with pytest.raises(ClampwrightError, match="handle, accumulated, output"):
        Given(angle_mode="gyro")  # type: ignore[arg-type]  # wrong on purpose
