"""Interaction matrix: shape, measured columns, round trips, bad input."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint._checks import Floats
from clampwright.joint.flexibility import plate_flexibility, ring_flexibility, row_flexibility
from clampwright.joint.interaction import (
    checked_matrix,
    influence,
    interaction_from_pulls,
    interaction_matrix,
    with_measured,
)
from clampwright.joint.passes import tighten

DELTA = 4.3503e-6


@st.composite
def joints(draw: st.DrawFn) -> tuple[Floats, Floats]:
    """Resiliences and flexibility of an elastic joint of 1 to 6 fasteners."""
    count = draw(st.integers(1, 6))
    spread = draw(hnp.arrays(float, (count, count), elements=st.floats(-1, 1)))
    own = draw(hnp.arrays(float, count, elements=st.floats(0.5, 3)))
    return own * 1e-6, spread @ spread.T * 1e-7


@given(joints())
def test_columns_are_scaled_to_one(joint: tuple[Floats, Floats]) -> None:
    own, G = joint
    B = interaction_matrix(bolt_resilience=own, flexibility=G)
    C = influence(bolt_resilience=own, flexibility=G)
    assert np.diagonal(B) == pytest.approx(1.0)
    assert pytest.approx(B * np.diagonal(C)) == C
    assert pytest.approx(np.eye(len(own)), abs=1e-9) == C @ (np.diag(own) + G)


@given(joints())
def test_matrix_has_no_unit(joint: tuple[Floats, Floats]) -> None:
    own, G = joint
    metric = interaction_matrix(bolt_resilience=own, flexibility=G)
    inch = interaction_matrix(
        bolt_resilience=own * 4.4482216152605 / 25.4, flexibility=G * 4.4482216152605 / 25.4
    )
    assert inch == pytest.approx(metric, abs=1e-12)


def test_equal_fasteners_on_a_ring_make_it_symmetric() -> None:
    G = ring_flexibility(10, radius=120, beam_stiffness=8.2e9, foundation=1800)
    B = interaction_matrix(bolt_resilience=DELTA, flexibility=G)
    assert pytest.approx(B.T) == B
    assert (B[0, [1, -1]] < 0).all()


def test_rigid_parts_keep_fasteners_apart() -> None:
    B = interaction_matrix(bolt_resilience=DELTA, flexibility=np.zeros((4, 4)))
    assert pytest.approx(np.eye(4)) == B


def test_softer_bolts_influence_each_other_less() -> None:
    G = row_flexibility([0, 80, 160], beam_stiffness=8.2e9, foundation=1800)
    short = interaction_matrix(bolt_resilience=2e-6, flexibility=G)
    long = interaction_matrix(bolt_resilience=9e-6, flexibility=G)
    assert abs(long[0, 1]) < abs(short[0, 1])


def test_measured_pulls_give_the_matrix_back() -> None:
    points = [(0, 0), (70, 10), (20, 80), (90, 95)]
    G = plate_flexibility(points, plate_stiffness=1.5e8, foundation=30)
    B = interaction_matrix(bolt_resilience=[4e-6, 5e-6, 4e-6, 6e-6], flexibility=G)
    order = (2, 4, 1, 3)
    done = tighten(B, order, 20_000)
    assert done.history is not None
    found = interaction_from_pulls(done.history, order, u_clamp=0)
    assert found.known.all()
    assert found.matrix == pytest.approx(B)
    assert found.u == pytest.approx(0.0)


def test_last_clear_pull_counts() -> None:
    clamps = [[0.0, 0.0], [100.0, -50.0], [80.0, 100.0], [120.0, 90.0], [120.5, 90.0]]
    found = interaction_from_pulls(clamps, [1, 2, 1, 1], u_clamp=1.0)
    assert found.matrix == pytest.approx(np.array([[1, -20 / 150], [-0.25, 1]]))


def test_uncertainty_of_measured_elements() -> None:
    # Monte Carlo: readings of 20 kN and -3 kN with 100 N each.
    rng = np.random.default_rng(20260801)
    noise = rng.normal(0, 100, (20_000, 2, 2))
    change = np.array([20_000, -3_000]) + noise[:, 1] - noise[:, 0]
    sampled = (change[:, 1] / change[:, 0]).std()
    found = interaction_from_pulls([[0, 20_000], [20_000, 17_000]], [1], u_clamp=100)
    assert found.u[1, 0] == pytest.approx(sampled, rel=0.03)


def test_measured_columns_overwrite_computed_ones() -> None:
    found = interaction_from_pulls([[10, 10, 10], [10, 20, 7]], [2], u_clamp=0)
    mixed = with_measured(np.eye(3), found)
    assert mixed.tolist() == [[1, 0, 0], [0, 1, 0], [0, -0.3, 1]]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: influence(bolt_resilience=1, flexibility=[[1, 2], [0, 1]]), "symmetric"),
        (lambda: influence(bolt_resilience=1, flexibility=[[1, 9], [9, 1]]), "no elastic joint"),
        (lambda: influence(bolt_resilience=0, flexibility=[[1]]), "bolt_resilience is 0 mm/N"),
        (lambda: influence(bolt_resilience=[1, 2, 3], flexibility=np.eye(2)), "has 3 numbers; 2"),
        (lambda: influence(bolt_resilience=[[1, 2]], flexibility=np.eye(2)), "plain row"),
        (lambda: influence(bolt_resilience=1, flexibility=[1, 2]), "square matrix"),
        (lambda: influence(bolt_resilience=1, flexibility="x"), "flexibility must be a number"),
        (lambda: checked_matrix([[2.0]]), "has 2 on its diagonal"),
        (lambda: interaction_from_pulls([[1, 2]], [1], u_clamp=0), "one row before the first"),
        (lambda: interaction_from_pulls([[1, 2], [3, 1]], [3], u_clamp=0), "pulled is 3"),
        (lambda: interaction_from_pulls([[1, 2], [1, 2]], [1], u_clamp=0), "no pull raised"),
        (lambda: interaction_from_pulls([[1, 2], [3, 2]], [1], u_clamp=-1), "u_clamp is -1 N"),
        (
            lambda: with_measured(
                np.eye(3), interaction_from_pulls([[1, 2], [3, 2]], [1], u_clamp=0)
            ),
            "belong to 2 fasteners, the matrix to 3",
        ),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_range_errors_carry_their_value() -> None:
    with pytest.raises(OutOfRange) as caught:
        checked_matrix([[0.5]])
    assert caught.value.value == 0.5
