"""Beam, ring and plate on a foundation: second methods, limits, properties, bad input."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.polynomial import legendre

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint._checks import Floats
from clampwright.joint.finite_beam import finite_beam_deflection
from clampwright.joint.flexibility import plate_flexibility, ring_flexibility, row_flexibility
from clampwright.joint.foundation import (
    area_foundation,
    beam_deflection,
    beam_stiffness,
    beam_wave,
    line_foundation,
    plate_deflection,
    plate_length,
    plate_stiffness,
    ring_deflection,
)

EI, K = 8.2e9, 1800.0
stiff = st.floats(1e7, 1e12)
bed = st.floats(10, 1e5)
place = st.floats(0, 2000)


@given(place, stiff, bed)
def test_distance_has_no_sign(x: float, EI: float, k: float) -> None:
    one = beam_deflection(x, beam_stiffness=EI, foundation=k)
    other = beam_deflection(-x, beam_stiffness=EI, foundation=k)
    assert one == other


@given(place, stiff, bed, st.floats(0.01, 100))
def test_beam_scales_with_its_units(x: float, EI: float, k: float, scale: float) -> None:
    # Lengths in another unit: EI goes with length², k with 1/length², the movement with length.
    here = float(beam_deflection(x, beam_stiffness=EI, foundation=k))
    there = float(beam_deflection(x * scale, beam_stiffness=EI * scale**2, foundation=k / scale**2))
    largest = float(beam_deflection(0, beam_stiffness=EI, foundation=k)) * scale
    assert there == pytest.approx(here * scale, abs=1e-9 * largest)


def test_foundation_carries_the_load_on_the_beam() -> None:
    x = np.linspace(-3000, 3000, 60_001)
    carried = np.trapezoid(K * beam_deflection(x, beam_stiffness=EI, foundation=K), x)
    assert carried == pytest.approx(1.0, abs=1e-6)


@given(st.floats(0, 2 * math.pi), st.floats(20, 3000), stiff, bed)
def test_ring_is_the_sum_of_its_images(angle: float, R: float, EI: float, k: float) -> None:
    s, around = angle * R, 2 * math.pi * R
    reach = 40 / float(beam_wave(beam_stiffness=EI, foundation=k)) / around
    m = np.arange(-int(reach) - 2, int(reach) + 3)
    images = beam_deflection(s + m * around, beam_stiffness=EI, foundation=k).sum()
    ring = ring_deflection(s, radius=R, beam_stiffness=EI, foundation=k)
    largest = ring_deflection(0, radius=R, beam_stiffness=EI, foundation=k)
    assert ring == pytest.approx(images, abs=1e-9 * float(largest))


def test_stiff_ring_moves_as_one() -> None:
    # A ring too stiff to bend spreads the load over its whole gasket.
    ring = ring_deflection(np.linspace(0, 600, 7), radius=100, beam_stiffness=1e17, foundation=1800)
    assert ring == pytest.approx(1 / (1800 * 2 * math.pi * 100), rel=1e-4)


def ritz(x: Floats, length: float) -> Floats:
    """Free beam on its foundation by 60 polynomials: the energy method."""
    count = 60
    t, weight = legendre.leggauss(120)
    each = np.eye(count)
    P = np.array([legendre.legval(t, row) for row in each])
    bent = np.array([legendre.legval(t, np.append(legendre.legder(row, 2), 0)) for row in each])
    bent *= (2 / length) ** 2
    energy = ((P * weight) @ P.T * K + (bent * weight) @ bent.T * EI) * length / 2
    at = np.array([legendre.legval(2 * x / length - 1, row) for row in each])
    moved: Floats = at.T @ np.linalg.solve(energy, at)
    return moved


@pytest.mark.parametrize("length", [20.0, 60.0, 320.0])
def test_finite_beam_against_the_energy_method(length: float) -> None:
    x = np.linspace(0, length, 7)
    found = finite_beam_deflection(x, length=length, beam_stiffness=EI, foundation=K)
    other = ritz(x, length)
    assert np.abs(found - other).max() < 3e-5 * other.max()


def test_short_beam_is_nearly_rigid() -> None:
    x, length = np.linspace(0, 20, 5), 20.0
    found = finite_beam_deflection(x, length=length, beam_stiffness=EI, foundation=K)
    middle = x - length / 2
    rigid = 1 / (K * length) + np.outer(middle, middle) / (K * length**3 / 12)
    assert np.abs(found - rigid).max() < 2e-4 * rigid.max()


def test_long_beam_forgets_its_ends() -> None:
    x = np.array([900.0, 980.0, 1100.0])
    found = finite_beam_deflection(x, length=2000, beam_stiffness=EI, foundation=K)
    endless = beam_deflection(x[:, np.newaxis] - x, beam_stiffness=EI, foundation=K)
    assert np.abs(found - endless).max() < 1e-10 * endless.max()


@given(st.floats(0.3, 20), st.lists(st.floats(0, 1), min_size=1, max_size=5))
def test_finite_beam_is_symmetric_and_gives_no_work_back(
    slender: float, shares: list[float]
) -> None:
    length = slender / float(beam_wave(beam_stiffness=EI, foundation=K))
    x = np.array(shares) * length
    G = finite_beam_deflection(x, length=length, beam_stiffness=EI, foundation=K)
    assert (G == G.T).all()
    assert np.linalg.eigvalsh(G).min() > -1e-9 * np.abs(G).max()
    assert (np.diagonal(G) > 0).all()


def test_refuses_a_stubby_beam() -> None:
    with pytest.raises(OutOfRange, match=r"too short and stiff.*at least 0\.2"):
        finite_beam_deflection([1.0], length=5, beam_stiffness=EI, foundation=K)


def test_two_flanges_with_half_the_gasket_each() -> None:
    one = row_flexibility([0, 80], beam_stiffness=EI, foundation=2 * K)
    two = row_flexibility([0, 80], beam_stiffness=EI, foundation=K, flanges=2)
    assert two == pytest.approx(2 * one)
    ring = ring_flexibility([0, 90, 200], radius=80, beam_stiffness=EI, foundation=K, flanges=2)
    half = ring_flexibility([0, 90, 200], radius=80, beam_stiffness=EI, foundation=2 * K)
    assert ring == pytest.approx(2 * half)
    cover = plate_flexibility([(0, 0), (50, 9)], plate_stiffness=1e8, foundation=9, flanges=2)
    halved = plate_flexibility([(0, 0), (50, 9)], plate_stiffness=1e8, foundation=18)
    assert cover == pytest.approx(2 * halved)


def test_ring_by_count_is_ring_by_angles() -> None:
    by_count = ring_flexibility(6, radius=90, beam_stiffness=EI, foundation=K)
    angles = [0, 60, 120, 180, 240, 300]
    by_angle = ring_flexibility(angles, radius=90, beam_stiffness=EI, foundation=K)
    assert by_count == pytest.approx(by_angle)
    assert np.allclose(by_count[0], np.roll(by_count, -1, axis=0)[0][np.arange(6) - 5])


def test_strip_with_ends_gives_more_at_the_end() -> None:
    free = row_flexibility([0, 160], beam_stiffness=EI, foundation=K, length=320)
    endless = row_flexibility([0, 160], beam_stiffness=EI, foundation=K)
    assert free[0, 0] > 3 * endless[0, 0]


@given(st.floats(1, 100), st.floats(0, 0.49), st.floats(1e3, 1e6))
def test_thicker_plate_spreads_further(h: float, poisson: float, E: float) -> None:
    thin = plate_stiffness(E=E, height=h, poisson=poisson)
    thick = plate_stiffness(E=E, height=2 * h, poisson=poisson)
    assert thick == pytest.approx(8 * thin)
    lengths = [plate_length(plate_stiffness=D, foundation=30) for D in (thin, thick)]
    assert lengths[1] == pytest.approx(lengths[0] * 8**0.25)
    below = [plate_deflection(0, plate_stiffness=D, foundation=30) for D in (thin, thick)]
    assert below[1] < below[0]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: beam_stiffness(E=0, width=1, height=1), "E is 0 MPa"),
        (lambda: line_foundation(E_gasket=60, width=math.nan, thickness=2), "width is nan"),
        (lambda: area_foundation(E_gasket=60, thickness=0), "thickness is 0 mm"),
        (lambda: plate_stiffness(E=1, height=1, poisson=0.5), "poisson is 0.5"),
        (
            lambda: beam_deflection([1, 2], beam_stiffness=[1, 2, 3], foundation=1),
            "shapes do not fit",
        ),
        (lambda: ring_deflection(1, radius=0, beam_stiffness=1, foundation=1), "radius is 0"),
        (
            lambda: row_flexibility([0, 80, 0], beam_stiffness=EI, foundation=K),
            "fasteners 1 and 3 stand at the same place",
        ),
        (
            lambda: row_flexibility([0, 400], beam_stiffness=EI, foundation=K, length=320),
            "positions is 400 mm; it must lie between 0 and 320 mm",
        ),
        (
            lambda: plate_flexibility([1, 2, 3], plate_stiffness=1, foundation=1),
            "points must be a list of pairs",
        ),
        (
            lambda: ring_flexibility(True, radius=1, beam_stiffness=1, foundation=1),
            "angles must be a whole number",
        ),
        (
            lambda: ring_flexibility(
                4,
                radius=1,
                beam_stiffness=1,
                foundation=1,
                flanges=3,  # type: ignore[arg-type] # a mistake made on purpose
            ),
            "flanges is 3; it must be one of: 1, 2",
        ),
    ],
)
def test_refuses(call: "object", message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()
