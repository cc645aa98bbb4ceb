"""Fasteners that influence each other, against regression values of the same published model.

Source of the relations: Hetényi, *Beams on Elastic Foundation*; Timoshenko and Woinowsky-Krieger,
*Theory of Plates and Shells*; method of elastic interaction coefficients (Bibel and Ezell 1992),
from memory. The figures were computed apart from this project from those relations (the beam also
by finite differences); no page seen printed a full measured matrix. Tolerance: half the last digit.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest
from scipy import integrate

from clampwright.joint._checks import Floats
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
)
from clampwright.joint.interaction import interaction_matrix
from clampwright.joint.order import circle_order
from clampwright.joint.passes import Pass, tighten, tighten_passes
from clampwright.joint.uniform import uniform_pass
from clampwright.standards.printed import half_last_digit

RESILIENCE = 4.3503e-6  # bolt and local compression, mm/N
EI = float(beam_stiffness(E=205_000, width=60, height=20))
SOFT = float(line_foundation(E_gasket=60, width=60, thickness=2))
HARD = float(line_foundation(E_gasket=300, width=60, thickness=2))
KN = 1000.0


def meets(values: Iterable[float | Floats], printed: str) -> None:
    """Every value within half of the last digit of its printed figure."""
    figures = printed.replace(",", " ").split()
    for value, figure in zip(values, figures, strict=True):
        assert float(value) == pytest.approx(float(figure), abs=1.001 * half_last_digit(figure))


def row_matrix() -> Floats:
    G = row_flexibility(np.arange(5) * 80.0, beam_stiffness=EI, foundation=SOFT)
    return interaction_matrix(bolt_resilience=RESILIENCE, flexibility=G)


def ring_matrix() -> Floats:
    G = ring_flexibility(8, radius=100, beam_stiffness=EI, foundation=SOFT)
    return interaction_matrix(bolt_resilience=RESILIENCE, flexibility=G)


def test_beam_stiffness_and_foundation() -> None:
    assert pytest.approx(8.2e9) == EI
    assert (SOFT, HARD) == (1800, 9000)


def test_beam_wave() -> None:
    meets([beam_wave(beam_stiffness=EI, foundation=k) for k in (SOFT, HARD)], "0.015306 0.022887")


def test_beam_beside_a_load() -> None:
    G = beam_deflection([0, 80, 160, 240], beam_stiffness=EI, foundation=SOFT)
    meets(G * 1e6, "4.25155 1.59962 -0.04808 -0.14778")
    G = beam_deflection([0, 80], beam_stiffness=EI, foundation=HARD)
    meets(G * 1e6, "1.27151 0.14449")


def test_beam_agrees_with_finite_differences() -> None:
    # 1 mm steps on a beam of 3 m; the figures of that second method.
    G = beam_deflection([0, 80, 160, 240], beam_stiffness=EI, foundation=SOFT)
    for value, printed in zip(G * 1e6, (4.2518, 1.59955, -0.04808, -0.14777), strict=True):
        assert value == pytest.approx(printed, abs=3e-4)


def test_matrix_of_five_in_a_row() -> None:
    B = row_matrix()
    printed = (
        "1.0000 -0.1864 0.0384 0.0087 -0.0018",
        "-0.1934 1.0000 -0.1935 0.0368 0.0090",
        "0.0399 -0.1938 1.0000 -0.1938 0.0399",
        "0.0090 0.0368 -0.1935 1.0000 -0.1934",
        "-0.0018 0.0087 0.0384 -0.1864 1.0000",
    )
    for row, figures in zip(B, printed, strict=True):
        meets(row, figures)


def test_one_pass_along_the_row() -> None:
    done = tighten(row_matrix(), [1, 2, 3, 4, 5], 20 * KN)
    meets(done.clamp / KN, "16.628 16.466 16.364 15.494 20.000")
    meets([done.evenness], "0.775")


def test_passes_from_the_middle() -> None:
    plan = [Pass((3, 2, 4, 1, 5), 20 * KN)] * 3
    first, second, third = tighten_passes(row_matrix(), plan)
    meets(first.clamp / KN, "19.957 16.517 12.785 15.697 20.000")
    meets([first.evenness], "0.639")
    meets(second.clamp / KN, "19.999 20.088 18.038 19.868 20.000")
    meets(third.clamp / KN, "20.024 20.019 19.847 19.997 20.000")


@pytest.mark.parametrize(
    ("order", "settings"),
    [
        ((1, 2, 3, 4, 5), "24.0797 24.3911 24.6696 24.6559 20.0000"),
        ((3, 2, 4, 1, 5), "29.3391 23.3694 24.4385 20.0441 20.0000"),
    ],
)
def test_settings_that_leave_all_equal(order: tuple[int, ...], settings: str) -> None:
    plan = uniform_pass(row_matrix(), order, 20 * KN)
    meets(plan.gains / KN, "24.0797 29.0470 29.3391 29.0470 24.0797")
    meets(plan.settings[[number - 1 for number in order]] / KN, settings)
    meets(plan.history[-1] / KN, "20.0000 20.0000 20.0000 20.0000 20.0000")


def test_ring_of_eight() -> None:
    B = ring_matrix()
    meets(B[0], "1 -0.1989 0.0359 0.0096 -0.0031 0.0096 0.0359 -0.1989")
    star = circle_order(8)
    done = tighten(B, star.numbers, 20 * KN)
    meets(done.clamp / KN, "11.291 21.739 9.976 19.922 11.346 21.823 9.995 20.000")
    meets([done.evenness], "0.457")


def test_ring_of_eight_in_steps_then_round_the_circle() -> None:
    star, circle = circle_order(8).numbers, tuple(range(1, 9))
    plan = [Pass(star, share * 20 * KN) for share in (0.3, 0.6, 1.0)]
    plan += [Pass(circle, 20 * KN)] * 2
    done = tighten_passes(ring_matrix(), plan)
    meets([done[2].evenness, done[3].evenness, done[4].evenness], "0.7535 0.959 0.992")
    meets(done[3].clamp / KN, "20.006 19.382 19.963 19.326 20.159 19.450 19.713 20.000")


def test_plate() -> None:
    D = plate_stiffness(E=205_000, height=20, poisson=0.3)
    k = area_foundation(E_gasket=60, thickness=2)
    meets([D / 1e8, k], "1.5018 30")
    length = float(plate_length(plate_stiffness=D, foundation=k))
    # Printed 47.302; (1.5018315e8 / 30)^¼ is 47.30151: the last digit was rounded up.
    assert length == pytest.approx(47.302, abs=0.001)
    w = plate_deflection([0, 40, 80, 160], plate_stiffness=D, foundation=k)
    meets(w * 1e6, "1.86225 1.30406 0.6581 0.05328")
    G = plate_flexibility([(0, 0), (40, 0), (0, 80)], plate_stiffness=float(D), foundation=30)
    meets(G[0] * 1e6, "1.86225 1.30406 0.6581")


def test_foundation_carries_the_load_on_the_plate() -> None:
    def ring(r: float) -> float:
        w = plate_deflection(r, plate_stiffness=1.50183e8, foundation=30)
        return float(30 * w * 2 * np.pi * r)

    carried, _ = integrate.quad(ring, 0, 1500, limit=200)
    assert carried == pytest.approx(1.0, abs=1e-8)
