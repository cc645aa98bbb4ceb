"""Adapters and the place of the hand against printed military examples and hand-worked statics."""

from __future__ import annotations

import csv
import math
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.drawer import Adapter, Scale, Tool, setting
from clampwright.drawer.leverage import GRIP_TOLERANCE, fastener_ratio, grip_uncertainty
from clampwright.units import convert

ROWS = list(
    csv.DictReader((Path(__file__).parent / "adapter_examples.csv").read_text("utf-8").splitlines())
)
UNITS = {"lb-ft": "ft·lbf", "lb-in": "in·lbf", "N·m": "N·m"}


def half_last_digit(printed: str) -> float:
    exponent = Decimal(printed).as_tuple().exponent
    assert isinstance(exponent, int)
    return 0.5 * 10.0**exponent


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["id"]))
def test_setting_of_a_published_example(row: dict[str, str]) -> None:
    ratio = fastener_ratio(
        length=float(row["L"]),
        adapter_length=float(row["E"]),
        adapter_angle=float(row["angle_deg"]),
    )
    expected = pytest.approx(float(row["setting"]), abs=half_last_digit(row["setting"]))
    assert float(row["desired"]) / ratio == expected


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["id"]))
def test_the_same_through_a_whole_wrench(row: dict[str, str]) -> None:
    """Length, unit and direction of the correction survive the way through tool and adapter."""
    unit = UNITS[row["unit"]]
    scale = Scale(unit, 10, 400, 10, 0.001)
    length, reach = (convert(float(row[key]), row["length_unit"], "mm") for key in ("L", "E"))
    wrench = Tool("w", "Wrench", "click", "1/2 in", (scale,), length=length)
    adapter = Adapter("a", "Adapter", "1/2 in", reach, float(row["angle_deg"]))
    wanted = convert(float(row["desired"]), unit, "N·m")
    done = setting(wrench, wanted, unit=unit, adapter=adapter)
    tolerance = half_last_digit(row["setting"]) + 0.0005
    assert done.value == pytest.approx(float(row["setting"]), abs=tolerance)
    assert done.torque_at_fastener == pytest.approx(wanted, rel=1e-4)


@pytest.mark.parametrize(
    ("pivot", "calibrated", "hand", "printed"),
    [(38, 420, 360, "1.01686"), (38, 420, 460, "0.99142")],
)
def test_hand_off_its_mark_on_a_pivoting_wrench(
    pivot: float, calibrated: float, hand: float, printed: str
) -> None:
    """[L/(L - a)][(L0 - a)/L0], worked out from statics."""
    ratio = fastener_ratio(length=hand, pivot=pivot, calibrated_length=calibrated)
    assert ratio == pytest.approx(float(printed), abs=half_last_digit(printed))


def test_hand_20_mm_too_close_with_an_adapter() -> None:
    """L 400, E 60, set 86.9565: the fastener gets 100.6865 (worked out from statics)."""
    ratio = fastener_ratio(length=380, adapter_length=60, calibrated_length=400)
    assert 86.9565217391 * ratio == pytest.approx(100.6865, abs=0.00005)


def test_misprinted_multiplication_sign_is_not_followed() -> None:
    """TM 9-254 prints L = I_T x I_A cos a; only a plus agrees with its own straight example."""
    assert fastener_ratio(length=12, adapter_length=4) == pytest.approx((12 + 4) / 12)


@given(
    length=st.floats(150, 900),
    reach=st.floats(0, 120),
    angle=st.floats(0, 180),
    pivot=st.floats(0, 60),
    hand=st.floats(150, 900),
)
def test_moments_of_one_force_about_pivot_and_fastener(
    length: float, reach: float, angle: float, pivot: float, hand: float
) -> None:
    """Second way: one force, two moments. The wrench shows L0/(L0 - a) times its pivot's moment."""
    force = 100.0
    shown = force * (hand - pivot) * length / (length - pivot)
    received = force * (hand + reach * math.cos(math.radians(angle)))
    ratio = fastener_ratio(
        length=hand,
        adapter_length=reach,
        adapter_angle=angle,
        pivot=pivot,
        calibrated_length=length,
    )
    assert ratio == pytest.approx(received / shown, rel=1e-12)


@given(
    length=st.floats(150, 900),
    reach=st.floats(1, 120),
    angle=st.floats(0, 180),
    pivot=st.floats(0, 60),
)
def test_grip_uncertainty_is_the_slope_of_the_ratio(
    length: float, reach: float, angle: float, pivot: float
) -> None:
    """Second way: a finite difference over the place of the hand, wrench calibrated at its mark."""

    def ratio(hand: float) -> float:
        return fastener_ratio(
            length=hand,
            adapter_length=reach,
            adapter_angle=angle,
            pivot=pivot,
            calibrated_length=length,
        )

    step = 1e-3
    slope = (ratio(length + step) - ratio(length - step)) / (2 * step) / ratio(length)
    expected = abs(slope) * GRIP_TOLERANCE / math.sqrt(3)
    got = grip_uncertainty(length=length, adapter_length=reach, adapter_angle=angle, pivot=pivot)
    assert got == pytest.approx(expected, rel=1e-4, abs=1e-8)
