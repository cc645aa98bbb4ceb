"""Gaskets pressed and let go: the curves join, rise, and give the moduli they say."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import OutOfRange
from clampwright.joint.gasket import gasket_loading, gasket_unloading, gasket_unloading_bend

SHEET = [50.0, 400.0, 0.0, 8000.0]


def let_go(strain: float, bend: float = 3.0) -> tuple[float, float]:
    found = gasket_unloading(
        strain=strain, strain_reached=0.2, stress_reached=38.8, strain_left=0.15, bend=bend
    )
    return float(found.stress), float(found.modulus)


@given(st.floats(0.001, 0.3))
def test_loading_is_the_polynomial_and_its_slope(strain: float) -> None:
    found = gasket_loading(strain=strain, coefficients=SHEET)
    wanted = sum(a * strain**k for k, a in enumerate(SHEET, 1))
    assert float(found.stress) == pytest.approx(wanted, rel=1e-12)
    step = 1e-6
    around = gasket_loading(strain=[strain - step, strain + step], coefficients=SHEET).stress
    assert float(found.modulus) == pytest.approx((around[1] - around[0]) / (2 * step), rel=1e-6)


@given(st.floats(0.1501, 0.1999), st.floats(0.01, 20.0))
def test_unloading_runs_through_both_ends_and_its_modulus_is_its_slope(
    strain: float, bend: float
) -> None:
    assert let_go(0.2, bend)[0] == pytest.approx(38.8)
    assert let_go(0.15, bend)[0] == pytest.approx(0.0, abs=1e-12)
    step = 1e-7
    slope = (let_go(strain + step, bend)[0] - let_go(strain - step, bend)[0]) / (2 * step)
    assert let_go(strain, bend)[1] == pytest.approx(slope, rel=1e-4)


def test_the_way_back_is_stiffer_than_the_way_in() -> None:
    way_in = float(gasket_loading(strain=0.2, coefficients=SHEET).modulus)
    assert let_go(0.2)[1] > 5 * way_in


@given(st.floats(0.05, 30.0))
def test_the_bend_is_found_back_from_the_modulus(bend: float) -> None:
    modulus = let_go(0.2, bend)[1]
    found = gasket_unloading_bend(
        modulus=modulus, strain_reached=0.2, stress_reached=38.8, strain_left=0.15
    )
    assert found == pytest.approx(bend, rel=1e-6)


def test_hardly_bent_is_straight() -> None:
    stress, modulus = let_go(0.175, 1e-5)
    assert stress == pytest.approx(19.4, rel=1e-5)
    assert modulus == pytest.approx(38.8 / 0.05, rel=1e-5)


def test_arrays_are_as_their_elements() -> None:
    places = np.array([0.15, 0.17, 0.2])
    whole = gasket_unloading(
        strain=places, strain_reached=0.2, stress_reached=38.8, strain_left=0.15, bend=3
    )
    assert whole.stress.tolist() == [let_go(place)[0] for place in places.tolist()]


@pytest.mark.parametrize(
    ("call", "match"),
    [
        (lambda: gasket_loading(strain=0.95, coefficients=SHEET), "strain is 0.95"),
        (lambda: gasket_loading(strain=0.1, coefficients=[1] * 7), "at most 6"),
        (
            lambda: gasket_loading(strain=0.5, coefficients=[50, -80]),
            "falls before a strain of 0.5",
        ),
        (lambda: gasket_loading(strain=math.nan, coefficients=SHEET), "strain is nan"),
        (lambda: let_go(0.1), "must be from 0 to 1|lie"),
        (lambda: let_go(0.2, 0.0), "bend is 0"),
        (
            lambda: gasket_unloading_bend(
                modulus=500, strain_reached=0.2, stress_reached=38.8, strain_left=0.15
            ),
            "modulus is 500 MPa; it must be greater than 776",
        ),
    ],
)
def test_what_no_gasket_does_is_refused(call: object, match: str) -> None:
    assert callable(call)
    with pytest.raises(OutOfRange, match=match):
        call()
