"""How quickly a large joint is worked out, against inverting a matrix of the same size."""

from __future__ import annotations

import numpy as np

from clampwright.joint.flexibility import plate_flexibility, ring_flexibility
from clampwright.joint.interaction import interaction_matrix
from clampwright.joint.passes import tighten
from conftest import Compare

COUNT = 400
SIDE = 20
PITCH = 80.0
RESILIENCE = 4.3503e-6
MATRIX = np.eye(COUNT) * RESILIENCE + np.random.default_rng(1).uniform(
    0.0, RESILIENCE / COUNT, (COUNT, COUNT)
)


def invert() -> object:
    return np.linalg.inv(MATRIX)


def test_ring_matrix_and_one_pass(compare: Compare) -> None:
    order = [1 + 7 * k % COUNT for k in range(COUNT)]

    def ours() -> object:
        G = ring_flexibility(
            COUNT, radius=PITCH * COUNT / 6.28, beam_stiffness=8.2e9, foundation=1800
        )
        B = interaction_matrix(bolt_resilience=RESILIENCE, flexibility=G)
        return tighten(B, order, 20_000)

    ratio = compare("ring of 400: matrix and one pass / inv", ours, invert, figure=5.0, rounds=15)
    assert ratio > 0


def test_cover_matrix_and_one_pass(compare: Compare) -> None:
    points = [(PITCH * (k % SIDE), PITCH * (k // SIDE)) for k in range(COUNT)]
    order = [1 + 7 * k % COUNT for k in range(COUNT)]

    def ours() -> object:
        G = plate_flexibility(points, plate_stiffness=1.5018e8, foundation=30)
        B = interaction_matrix(bolt_resilience=RESILIENCE, flexibility=G)
        return tighten(B, order, 20_000)

    ratio = compare("cover of 400: matrix and one pass / inv", ours, invert, figure=5.0, rounds=15)
    assert ratio > 0
