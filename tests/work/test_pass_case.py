"""A joint of fasteners that influence each other, from geometry and from measured tables."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from clampwright.errors import BadFile, ClampwrightError, Missing, OutOfRange
from clampwright.joint.passes import Pass, tighten_passes
from clampwright.work import layout as layouts
from clampwright.work.measured_table import parted, read_table
from clampwright.work.pass_case import (
    Parts,
    computed_interaction,
    given_matrix,
    measured_interaction,
)
from clampwright.work.pass_study import study_passes

PARTS = Parts(thickness=25.2, gasket_modulus=120, gasket_thickness=2, width=30, modulus=205_000)


@pytest.mark.parametrize("layout", [
    layouts.circle(8, 200.0), layouts.row(5, 80.0), layouts.grid(2, 4, 80.0, 100.0),
    layouts.listed(((0.0, 0.0), (70.0, 10.0), (20.0, 90.0))),
])  # fmt: skip
def test_neighbours_lose_and_the_far_ones_hardly(layout: layouts.Layout) -> None:
    B = computed_interaction(layout, PARTS, resilience=4.35e-6)
    assert np.diag(B).tolist() == [1.0] * layout.count
    places = np.array(layout.positions)
    apart = np.hypot(*(places - places[0]).T)
    near = int(np.argsort(apart)[1])
    assert B[near, 0] < 0.0
    assert np.abs(B[1:, 0]).max() == pytest.approx(abs(B[near, 0]))


def test_a_row_is_the_worked_row_of_the_joint_room() -> None:
    """Same strip, gasket and pitch as the example of `interaction_matrix`, its printed digits."""
    B = computed_interaction(layouts.row(5, 80.0), PARTS, resilience=4.3503e-6)
    assert B[0] == pytest.approx([1.0, -0.1864, 0.0384, 0.0087, -0.0018], abs=3e-4)


def test_a_stiffer_gasket_ties_less() -> None:
    soft, hard = (
        computed_interaction(
            layouts.circle(8, 200.0),
            Parts(25, modulus, 2, 30, 205_000),
            resilience=4.35e-6,
        )
        for modulus in (60, 120)
    )
    assert abs(hard[1, 0]) < abs(soft[1, 0])


def test_a_ring_without_width_says_so() -> None:
    with pytest.raises(Missing, match="needs its width"):
        computed_interaction(
            layouts.row(3, 80.0), Parts(12, 300, 2, None, 205_000), resilience=4e-6
        )


def test_measured_pulls_give_back_the_matrix_they_were_made_with() -> None:
    """Round trip: a pass computed with B, written as a table, tells B again."""
    B = computed_interaction(layouts.circle(6, 150.0), PARTS, resilience=4.35e-6)
    history = tighten_passes(B, [Pass((1, 4, 2, 5, 3, 6), 20_000)], start=5_000)[0].history
    assert history is not None
    lines = ["pulled;" + ";".join(f"{n} [kN]" for n in range(1, 7))]
    for number, row in zip(("", 1, 4, 2, 5, 3, 6), history / 1000, strict=True):
        lines.append(f"{number};" + ";".join(f"{load:.9f}".replace(".", ",") for load in row))
    found = measured_interaction("\n".join(lines).encode(), "p.csv", u_clamp=10)
    assert found.matrix == pytest.approx(B, abs=1e-6)


@pytest.mark.parametrize(("text", "said"), [
    ("1 [kN], 2 [kN]\n1, 2\n", "no column 'pulled'"),
    ("pulled, 1, 2\n, 1, 2\n1, 2, 1\n", "column '1' has no unit"),
    ("pulled, 1 [N.m], 2 [kN]\n, 1, 2\n1, 2, 1\n", "a torque, but a force is wanted"),
    ("pulled, 1 [kN], 2 [kN]\n1, 1, 2\n2, 2, 1\n", "before the first pull"),
    ("pulled, 1 [kN], 2 [kN]\n, 1, 2\n3, 2, 1\n", "fastener 3 was pulled, but there are columns"),
    ("pulled, 1 [kN], 2 [kN]\n, 1, 2\n1.5, 2, 1\n", "fastener 1.5 was pulled"),
    ("pulled, 2 [kN], 1 [kN]\n, 1, 2\n1, 2, 1\n", "put the fasteners in turn"),
    ("pulled, 1 [kN], 2 [kN]\n, 1, 2\n1, 2\n", "line 3: 2 columns where the first line has 3"),
    ("pulled, 1 [kN], 2 [kN]\n, 1, 2\n1, two, 1\n", "line 3, column 2: 'two' is not a number"),
    ("pulled, 1 [kN], 2 [kN]\n, 1, nan\n1, 2, 1\n", "'nan' is not a number"),
    ("pulled, pulled, 1 [kN]\n,, 1\n1, 1, 2\n", "the same quantity"),
    ("pulled, 1 [kN]\n", "1 lines"),
    ("", "0 lines"),
])  # fmt: skip
def test_a_bad_table_is_told_by_its_place(text: str, said: str) -> None:
    with pytest.raises(BadFile, match=r"p\.csv") as caught:
        measured_interaction(text.encode(), "p.csv", u_clamp=0)
    assert said in str(caught.value)


def test_bytes_that_are_no_text() -> None:
    with pytest.raises(BadFile, match="line 1: this is not UTF-8 text"):
        read_table(b"a\xff", "p.csv")


def test_remarks_and_empty_lines_keep_the_count_of_lines() -> None:
    table = read_table(b"# mine\n\na [N]\n1\n\nx\n", "p.csv")
    with pytest.raises(BadFile, match="line 6"):
        table.number(1, 0)


@pytest.mark.parametrize(("title", "name", "unit"), [
    ("Clamp load [kN]", "clamp load", "kN"), ("clamp_load_kN", "clamp load", "kN"),
    ('"torque (ft·lbf)"', "torque", "ft·lbf"), ("torque", "torque", ""), ("", "", ""),
])  # fmt: skip
def test_titles(title: str, name: str, unit: str) -> None:
    assert parted(title) == (name, unit)


def test_a_matrix_that_is_none() -> None:
    with pytest.raises(OutOfRange, match=r"on its diagonal"):
        given_matrix(b"2, 0\n0, 1\n", "m.csv")
    with pytest.raises(ClampwrightError, match="square"):
        given_matrix(b"1, 0\n", "m.csv")


def test_settings_of_a_study_leave_all_equal_when_they_are_carried_out() -> None:
    B = computed_interaction(layouts.circle(8, 200.0), PARTS, resilience=4.35e-6)
    study = study_passes(B, {"mine": (1, 5, 3, 7, 2, 6, 4, 8)}, 20_000, shares=(0.5, 1.0))
    done = tighten_passes(B, [Pass(one.order, one.settings) for one in study.settings])
    assert done[-1].clamp == pytest.approx(np.full(8, 20_000.0), rel=1e-9)


def test_scatter_widens_and_the_same_question_gets_the_same_answer() -> None:
    B = computed_interaction(layouts.circle(8, 200.0), PARTS, resilience=4.35e-6)
    one, again = (
        study_passes(B, {"a": range(1, 9)}, 20_000, shares=(1.0,), scatter=0.08) for _ in "12"
    )
    low, middle, high = one.rows[0].least_band
    assert low < middle < high
    assert one.as_json() == again.as_json()


@pytest.mark.parametrize("layout", [layouts.row(5, 80.0), layouts.grid(2, 3, 80.0, 100.0)])
def test_free_ends_matter_at_the_end_and_hardly_in_the_middle(layout: layouts.Layout) -> None:
    endless = computed_interaction(layout, PARTS, resilience=4.35e-6)
    near = computed_interaction(layout, replace(PARTS, beyond=10.0), resilience=4.35e-6)
    far = computed_interaction(layout, replace(PARTS, beyond=120.0), resilience=4.35e-6)
    assert abs(near[1, 0] - endless[1, 0]) > 0.01
    # From about two wave lengths on an end is not felt any more (Hetenyi).
    assert np.abs(far - endless).max() < 0.1 * np.abs(near - endless).max()


def test_a_ring_has_no_ends() -> None:
    with pytest.raises(ClampwrightError, match="a ring has no free ends"):
        computed_interaction(
            layouts.circle(8, 200.0), replace(PARTS, beyond=10.0), resilience=4.35e-6
        )
    with pytest.raises(OutOfRange, match="beyond"):
        computed_interaction(layouts.row(3, 80.0), replace(PARTS, beyond=0.0), resilience=4.35e-6)
