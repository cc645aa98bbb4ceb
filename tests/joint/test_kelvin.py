"""kei against SciPy, at the seam of its two forms, and at the door."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special

from clampwright.errors import OutOfRange
from clampwright.joint.kelvin import SWITCH, kei

ROOT_I = np.exp(0.25j * np.pi)


def test_against_the_complex_bessel_function() -> None:
    x = np.linspace(1e-6, 60, 20_001)
    assert np.abs(kei(x) - special.kv(0, x * ROOT_I).imag).max() < 2e-14


def test_relative_to_its_decay_far_out() -> None:
    x = np.linspace(0.5, 200, 4_001)
    error = np.abs(kei(x) - special.kv(0, x * ROOT_I).imag)
    assert (error / np.exp(-x / math.sqrt(2))).max() < 1e-12


def test_against_the_kelvin_function() -> None:
    # SciPy's own kei holds twelve digits.
    x = np.linspace(0, 40, 4_001)
    assert np.abs(kei(x) - special.kei(x)).max() < 4e-13


def test_both_forms_meet() -> None:
    below, above = kei([SWITCH, np.nextafter(SWITCH, 10)])
    assert below == pytest.approx(above, abs=2e-14)


def test_at_zero_and_far_away() -> None:
    assert kei(0.0) == pytest.approx(-math.pi / 4, abs=1e-16)
    assert kei(5000.0) == 0.0


@given(st.lists(st.floats(0, 50), min_size=1, max_size=8))
def test_an_array_is_its_elements(x: list[float]) -> None:
    together = kei(x)
    assert together.tolist() == [float(kei(one)) for one in x]


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_refuses(bad: float) -> None:
    with pytest.raises(OutOfRange, match="x is"):
        kei(bad)
