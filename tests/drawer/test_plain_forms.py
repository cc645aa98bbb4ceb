"""The adapter relation as it is asked for at the bench."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer.leverage import fastener_ratio
from clampwright.drawer.plain_forms import adapter_setting
from clampwright.errors import OutOfRange


def test_textbook_setting() -> None:
    # A straight adapter as long as the wrench: half of the torque is set.
    assert adapter_setting(100, length=400, adapter_length=400) == 50.0


@given(
    torque=st.floats(0.1, 2000),
    length=st.floats(200, 1500),
    adapter=st.floats(0, 150),
    angle=st.floats(-180, 180),
    pivot=st.floats(0, 50),
)
def test_setting_times_ratio_is_the_torque(
    torque: float, length: float, adapter: float, angle: float, pivot: float
) -> None:
    lever = {
        "length": length, "adapter_length": adapter, "adapter_angle": angle, "pivot": pivot
    }  # fmt: skip
    setting = adapter_setting(torque, **lever)
    assert setting * fastener_ratio(**lever) == pytest.approx(torque, rel=1e-12)


def test_an_adapter_square_to_the_handle_changes_nothing() -> None:
    found = adapter_setting(100, length=400, adapter_length=60, adapter_angle=90)
    assert found == pytest.approx(100, rel=1e-12)


@pytest.mark.parametrize("torque", [-1.0, float("nan")])
def test_no_torque_below_zero(torque: float) -> None:
    with pytest.raises(OutOfRange, match="cannot be below 0"):
        adapter_setting(torque, length=400, adapter_length=60)
