"""Cover with free edges: second methods at its limits, more terms, bad input."""

import math
from typing import Literal

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError
from clampwright.joint import free_plate
from clampwright.joint._checks import Floats
from clampwright.joint.finite_beam import finite_beam_deflection
from clampwright.joint.flexibility import cover_flexibility, plate_flexibility
from clampwright.joint.foundation import plate_deflection
from clampwright.joint.free_plate import free_plate_deflection
from clampwright.joint.interaction import interaction_matrix

D, K, LENGTH = 1.5018e8, 30.0, 47.3012
PLACES = [(0, 0), (120, 0), (120, 80), (60, 40), (30, 150)]
SIDES = (240.0, 160.0)


def test_more_terms_change_little(monkeypatch: pytest.MonkeyPatch) -> None:
    usual = free_plate_deflection(PLACES, sides=SIDES, plate_stiffness=D, foundation=K)
    monkeypatch.setattr(free_plate, "FEWEST_TERMS", 24)
    monkeypatch.setattr(free_plate, "PER_LENGTH", 3.0)
    more = free_plate_deflection(PLACES, sides=SIDES, plate_stiffness=D, foundation=K)
    assert np.diagonal(usual) == pytest.approx(np.diagonal(more), rel=0.01)
    apart = ~np.eye(len(PLACES), dtype=bool)
    assert usual[apart] == pytest.approx(more[apart], abs=1e-4 * more.max())


def test_stiff_cover_is_a_rigid_plate() -> None:
    a, b = SIDES
    found = free_plate_deflection(PLACES, sides=SIDES, plate_stiffness=1e14, foundation=K)
    x, y = (np.array(PLACES) - np.array(SIDES) / 2).T
    rigid = 1 / (a * b) + np.outer(x, x) / (a**3 * b / 12) + np.outer(y, y) / (a * b**3 / 12)
    assert found == pytest.approx(rigid / K, rel=1e-3, abs=1e-3 * rigid.max() / K)


def test_narrow_cover_is_a_beam() -> None:
    # Without sideways contraction a narrow strip bends as a beam of EI = D b on k = k_f b.
    width, x = 4.0, np.array([0.0, 60.0, 160.0, 320.0])
    points = np.column_stack([x, np.full(4, width / 2)])
    found = free_plate_deflection(
        points, sides=(320, width), plate_stiffness=D, foundation=K, poisson=0.0
    )
    beam = finite_beam_deflection(x, length=320, beam_stiffness=D * width, foundation=K * width)
    assert found == pytest.approx(beam, rel=0.01, abs=0.002 * beam.max())


def test_inside_a_wide_cover_the_edges_are_forgotten() -> None:
    middle = 5.5 * LENGTH
    points = [(middle, middle), (middle + 60, middle), (middle, middle - 100)]
    found = free_plate_deflection(
        points, sides=(2 * middle, 2 * middle), plate_stiffness=D, foundation=K
    )
    endless = plate_deflection([0, 60, 100], plate_stiffness=D, foundation=K)
    assert found[0] == pytest.approx(endless, rel=0.03, abs=0.005 * endless[0])


def test_foundation_carries_the_load() -> None:
    # Movement at all places for one load, weighed by the foundation, gives the load back.
    t, w = np.polynomial.legendre.leggauss(16)
    x, y = 120 * (1 + t), 80 * (1 + t)
    grid = [(float(a), float(b)) for a in x for b in y]
    found = free_plate_deflection(
        [(200.0, 30.0), *grid], sides=SIDES, plate_stiffness=D, foundation=K
    )
    carried = K * np.sum(np.outer(w, w).ravel() * found[0, 1:]) * 120 * 80
    assert carried == pytest.approx(1.0, rel=1e-3)


@settings(max_examples=15)
@given(st.lists(st.tuples(st.floats(0, 240), st.floats(0, 160)), min_size=1, max_size=4))
def test_symmetric_and_gives_no_work_back(points: list[tuple[float, float]]) -> None:
    found = free_plate_deflection(points, sides=SIDES, plate_stiffness=D, foundation=K)
    assert (found == found.T).all()
    assert np.linalg.eigvalsh(found).min() > -1e-9 * found.max()
    over = [(240 - x, 160 - y) for x, y in points]
    turned = free_plate_deflection(over, sides=SIDES, plate_stiffness=D, foundation=K)
    assert turned == pytest.approx(found, rel=1e-6, abs=1e-9 * found.max())


def test_fasteners_at_the_edge_influence_each_other_more() -> None:
    points = [(15, 15), (120, 15), (225, 15), (225, 145), (120, 145), (15, 145)]
    endless = plate_flexibility(points, plate_stiffness=D, foundation=K)

    def cover(foundation: float, flanges: Literal[1, 2] = 1) -> Floats:
        return cover_flexibility(
            points,
            length=240,
            width=160,
            plate_stiffness=D,
            foundation=foundation,
            flanges=flanges,
        )

    free = cover(K)
    B, b = (interaction_matrix(bolt_resilience=4.35e-6, flexibility=G) for G in (free, endless))
    assert abs(B[1, 0]) > abs(b[1, 0])
    assert cover(K, flanges=2) == pytest.approx(2 * cover(2 * K))


@pytest.mark.parametrize(
    ("points", "sides", "message"),
    [
        ([(0, 0), (250, 10)], SIDES, "points is 250 mm; it must lie between 0 and 240 mm"),
        ([(0, 0)], (0.0, 100.0), "sides is 0 mm"),
        ([(0, 0)], (900.0, 100.0), "a side of 900 mm is 19.0 times"),
        ([(0, math.nan)], SIDES, "points is nan"),
        ([0, 1], SIDES, "points must be a list of pairs"),
    ],
)
def test_refuses(points: list[object], sides: tuple[float, float], message: str) -> None:
    with pytest.raises(ClampwrightError, match=message):
        free_plate_deflection(points, sides=sides, plate_stiffness=D, foundation=K)  # type: ignore[arg-type] # mistakes made on purpose
