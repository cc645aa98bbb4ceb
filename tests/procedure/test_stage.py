"""A stage converts what the text states and shows only what it says."""

from __future__ import annotations

import pytest

from clampwright.procedure.stage import Figure, Stage


def test_torque_in_newton_metres() -> None:
    stage = Stage("torque", 22.0, "ft·lbf", 20.0, 24.0)
    # 1 ft·lbf = 1.3558179483 N·m, exact from 0.3048 m x 0.45359237 kg x 9.80665 m/s2
    assert stage.torque_nm == pytest.approx(29.82799486, rel=1e-9)
    assert stage.low_nm == pytest.approx(27.11635897, rel=1e-9)
    assert stage.high_nm == pytest.approx(32.53963076, rel=1e-9)
    assert stage.angle_deg is None


def test_angle_in_degrees() -> None:
    stage = Stage("back_off_then", 1.5, "turn", 1.0, 2.0)
    assert (stage.angle_deg, stage.low_deg, stage.high_deg) == (540.0, 360.0, 720.0)
    assert stage.torque_nm is None


def test_plain_data_has_only_what_is_said() -> None:
    assert set(Stage("loosen").as_json()) == {
        "kind",
        "value",
        "unit",
        "tolerance_low",
        "tolerance_high",
        "fasteners",
        "note",
    }
    data = Stage("torque", 30.0, "N·m", also=(Figure(22.0, "ft·lbf"),), order=(2, 1)).as_json()
    assert data["order"] == [2, 1]
    assert data["also"] == {
        "value": 22.0,
        "unit": "ft·lbf",
        "tolerance_low": None,
        "tolerance_high": None,
    }
