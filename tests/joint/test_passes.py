"""Passes, their inverse, slack fasteners and the comparison of orders."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint import slack
from clampwright.joint._checks import Floats
from clampwright.joint.flexibility import ring_flexibility, row_flexibility
from clampwright.joint.interaction import interaction_matrix
from clampwright.joint.order import circle_order, row_order
from clampwright.joint.order_study import compare_orders
from clampwright.joint.passes import Pass, tighten, tighten_passes, until_still
from clampwright.joint.slack import tighten_with_slack
from clampwright.joint.uniform import uniform_pass, uniform_passes

DELTA = 4.3503e-6
ROW_G = row_flexibility(np.arange(5) * 80.0, beam_stiffness=8.2e9, foundation=1800)
ROW = interaction_matrix(bolt_resilience=DELTA, flexibility=ROW_G)
RING_G = ring_flexibility(8, radius=100, beam_stiffness=8.2e9, foundation=1800)
RING = interaction_matrix(bolt_resilience=DELTA, flexibility=RING_G)
orders = st.permutations(range(1, 6))


@given(orders, st.floats(1e-3, 1e6))
def test_a_pass_has_no_unit(order: list[int], scale: float) -> None:
    here = tighten(ROW, order, 20_000)
    there = tighten(ROW, order, 20_000 * scale)
    assert there.clamp == pytest.approx(here.clamp * scale)


@given(orders)
def test_last_fastener_holds_its_target_and_nobody_is_loosened(order: list[int]) -> None:
    done = tighten(ROW, order, 20_000)
    assert done.clamp[order[-1] - 1] == pytest.approx(20_000)
    assert (done.gained >= 0).all()
    assert done.history is not None
    assert done.history[-1].tolist() == done.clamp.tolist()
    for pull, (before, after) in enumerate(pairwise(done.history)):
        own = order[pull] - 1
        assert after[own] - before[own] == pytest.approx(done.gained[pull])


def test_a_tighter_fastener_does_not_move() -> None:
    done = tighten(ROW, [3], 20_000, start=[0, 0, 30_000, 0, 0])
    assert done.clamp.tolist() == [0, 0, 30_000, 0, 0]
    assert done.gained.tolist() == [0]


def test_standing_friction_holds_a_nearly_tight_fastener() -> None:
    start = np.full(5, 19_500.0)
    assert tighten(ROW, [3], 20_000, start=start).gained[0] == pytest.approx(500)
    assert tighten(ROW, [3], 20_000, start=start, restart=0.05).gained[0] == 0.0
    assert tighten(ROW, [3], 20_000, start=start - 900, restart=0.05).gained[0] > 0.0


@given(hnp.arrays(float, (4, 8), elements=st.floats(0.7, 1.4)))
def test_samples_are_passes_of_their_own(gain: Floats) -> None:
    star = circle_order(8)
    plan = [Pass(star, 10_000, gain), Pass(star, 20_000, gain)]
    together = tighten_passes(RING, plan)[-1]
    assert together.clamp.shape == (4, 8)
    assert together.history is None
    for k, one in enumerate(gain):
        alone = tighten_passes(RING, [Pass(p.order, p.target, one) for p in plan])[-1]
        assert together.clamp[k] == pytest.approx(alone.clamp, rel=1e-12)
        assert (together.slack[k] == alone.slack).all()
        assert together.evenness[k] == pytest.approx(float(alone.evenness))


def test_no_interaction_no_trouble() -> None:
    done = tighten(np.eye(5), [5, 4, 3, 2, 1], [1, 2, 3, 4, 5])
    assert done.clamp.tolist() == [1, 2, 3, 4, 5]
    assert done.shortfall == 0.0


def test_repetition_comes_to_rest_at_the_target() -> None:
    rest = until_still(RING, Pass(range(1, 9), 20_000), tolerance=1e-3)
    assert rest.still
    evens = [float(done.evenness) for done in rest.passes]
    assert evens[-1] > 0.998
    assert (rest.passes[-1].gained <= 20.0).all()
    assert (rest.passes[-2].gained > 20.0).any()


def test_repetition_says_when_it_gives_up() -> None:
    rest = until_still(RING, Pass(range(1, 9), 20_000), tolerance=1e-6, most=2)
    assert not rest.still
    assert len(rest.passes) == 2


def test_slack_is_told_only_of_those_that_held() -> None:
    B = np.array([[1.0, -0.6], [-0.6, 1.0]])
    assert not tighten(B, [1, 2], 100).slack.any()
    assert tighten(B, [1], 100, start=[0, 50]).slack.tolist() == [False, True]
    gain = np.ones((3, 2))
    assert tighten(B, [1], 100, start=[0, 50], gain=gain).slack.tolist() == [[False, True]] * 3


@given(orders, hnp.arrays(float, 5, elements=st.floats(0, 5_000)))
def test_inverse_is_the_inverse_of_a_pass(order: list[int], start: Floats) -> None:
    plan = uniform_pass(ROW, order, 20_000, start=start)
    assert plan.history[-1] == pytest.approx(20_000, rel=1e-9)
    done = tighten(ROW, order, plan.settings, start=start)
    assert done.clamp == pytest.approx(20_000, rel=1e-9)
    assert plan.settings[order[-1] - 1] == pytest.approx(20_000)


@given(orders, orders)
def test_gains_do_not_depend_on_the_order(one: list[int], other: list[int]) -> None:
    first, second = uniform_pass(ROW, one, 20_000), uniform_pass(ROW, other, 20_000)
    assert first.gains == pytest.approx(second.gains)


def test_measured_loads_update_the_plan() -> None:
    # After a real pass the measured loads take the place of F_0.
    measured = np.array([18_000.0, 17_000, 16_500, 17_500, 20_000])
    plan = uniform_pass(ROW, row_order(5), 20_000, start=measured)
    assert plan.history[0].tolist() == measured.tolist()
    assert plan.history[-1] == pytest.approx(20_000)
    assert plan.feasible


def test_problems_are_told() -> None:
    plan = uniform_pass(ROW, [1, 2, 3, 4, 5], 20_000, limit=24_500)
    assert not plan.feasible
    assert "fastener 3 would reach 24670 N; its limit is 24500 N" in map(str, plan.problems)
    plan = uniform_pass(ROW, [1, 2, 3, 4, 5], 20_000, start=[40_000, 0, 0, 0, 0])
    assert any("fastener 1 would have to be loosened" in str(one) for one in plan.problems)
    B = [[1.0, -0.9], [-0.1, 1.0]]
    plan = uniform_pass(B, [2, 1], 100, start=[5.0, 0.0])
    assert "fastener 1 would go slack on the way" in map(str, plan.problems)


def test_steps_end_at_the_target() -> None:
    plans = uniform_passes(ROW, [3, 2, 4, 1, 5], 20_000, shares=(0.3, 0.6, 1.0))
    assert [float(one.history[-1].mean()) for one in plans] == pytest.approx([6e3, 12e3, 20e3])
    highest = [one.history.max() for one in plans]
    assert highest[-1] < uniform_pass(ROW, [3, 2, 4, 1, 5], 20_000).history.max()


def test_two_fasteners_by_hand() -> None:
    # While 2 is loose, 1 turns against δ + G11; when 2 is pulled, 1 loses G12 / (δ + G11).
    G = np.array([[2e-6, 1e-6], [1e-6, 3e-6]])
    (done,) = tighten_with_slack([Pass((1, 2), 1000)], bolt_resilience=4e-6, flexibility=G)
    assert done.clamp == pytest.approx([1000 * (1 - 1 / 6), 1000])
    assert done.history is not None
    assert done.history[1].tolist() == [1000, 0]


def test_without_slack_both_models_agree() -> None:
    start = np.full(8, 15_000.0)
    plan = [Pass(circle_order(8), 20_000), Pass(range(1, 9), 20_000)]
    linear = tighten_passes(RING, plan, start=start)
    exact = tighten_with_slack(plan, bolt_resilience=DELTA, flexibility=RING_G, start=start)
    for one, other in zip(linear, exact, strict=True):
        assert other.clamp == pytest.approx(one.clamp)
        assert not other.slack.any()


@given(st.permutations(range(1, 9)), st.floats(0.2, 30))
def test_loose_fasteners_hold_nothing_and_have_a_gap(order: list[int], soft: float) -> None:
    G = soft * RING_G
    plan = [Pass(order[:5], 20_000), Pass(order, 20_000)]
    done = tighten_with_slack(plan, bolt_resilience=DELTA, flexibility=G)
    for one in done:
        assert (one.clamp >= 0).all()
        assert (one.slack == (one.clamp == 0)).all()
    # Nothing has been turned on the last three after the first pass: their gap is G F >= 0.
    idle = [number - 1 for number in order[5:]]
    moved = (G @ done[0].clamp)[idle]
    holds = done[0].clamp[idle] > 0
    assert (moved[~holds] > -1e-12).all()
    assert moved[holds] + DELTA * done[0].clamp[idle][holds] == pytest.approx(0, abs=1e-9)
    # The last pull of a pass leaves its own fastener at least at the target.
    assert done[1].clamp[order[-1] - 1] >= 20_000 * (1 - 1e-12)


def test_single_steps_find_the_same_as_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    # The rule that cannot cycle, taken from the start.
    plan = [Pass((1, 5, 2), 20_000), Pass(circle_order(8), 20_000), Pass((4,), 90_000)]
    blocks = tighten_with_slack(plan, bolt_resilience=DELTA, flexibility=25 * RING_G)
    monkeypatch.setattr(slack, "_BLOCKS", 0)
    steps = tighten_with_slack(plan, bolt_resilience=DELTA, flexibility=25 * RING_G)
    assert any(done.slack.any() for done in steps)
    for one, other in zip(blocks, steps, strict=True):
        assert other.clamp == pytest.approx(one.clamp, abs=1e-6)


def test_orders_side_by_side() -> None:
    rng = np.random.default_rng(7)
    gain = np.exp(rng.normal(0, 0.08, (400, 8)))
    rows = compare_orders(
        RING,
        {"star": circle_order(8), "round": range(1, 9)},
        20_000,
        shares=(0.3, 0.6, 1.0),
        closing=range(1, 9),
        gain=gain,
    )
    assert {row.name for row in rows} == {"star", "round"}
    assert rows[0].least_band[0] >= rows[1].least_band[0]
    star = next(row for row in rows if row.name == "star")
    assert star.evenness[2] == pytest.approx(0.7535, abs=5e-5)
    assert star.evenness[3] == pytest.approx(0.959, abs=5e-4)
    assert star.least_band[0] < star.least_band[1] < star.least_band[2]
    assert star.least == pytest.approx(float((star.passes[-1].clamp / 20_000).min()))


def test_without_scatter_the_band_is_a_point() -> None:
    (row,) = compare_orders(RING, {"star": circle_order(8)}, 20_000)
    assert row.least_band == (row.least,) * 3
    assert row.slack == ()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: tighten(ROW, [6], 20), "order is 6; it must be at most 5"),
        (lambda: tighten(ROW, [0], 20), "order is 0; it must be at least 1"),
        (lambda: tighten(ROW, [1.5], 20), "order must be a whole number"),  # type: ignore[list-item] # on purpose
        (lambda: tighten(ROW, [1], -20), "target is -20 N"),
        (lambda: tighten(ROW, [1], [20, 20]), "target has 2 numbers; 5 are needed"),
        (lambda: tighten(ROW, [1], 20, start=[float("nan")] * 5), "start is nan"),
        (lambda: tighten(ROW, [1], 20, gain=0), "gain is 0"),
        (lambda: tighten(ROW, [1], 20, restart=0.9), "restart is 0.9"),
        (lambda: tighten(ROW, [1], [[20.0] * 5]), "plain row"),
        (lambda: until_still(ROW, Pass([1], 20), tolerance=0), "tolerance is 0"),
        (lambda: uniform_pass(ROW, [1, 2, 3, 4], 20), "every number from 1 to 5 once"),
        (lambda: uniform_pass([[1, 1], [1, 1]], [1, 2], 20), "cannot be inverted"),
        (lambda: uniform_pass(ROW, range(1, 6), 20, start=-1), "start is -1 N"),
        (lambda: uniform_passes(ROW, range(1, 6), 20, shares=(0.6, 0.3)), "must rise"),
        (lambda: uniform_passes(ROW, range(1, 6), 20, shares=(0.6, 1.3)), "shares is 1.3"),
        (
            lambda: tighten_with_slack(
                [Pass([1], 20)], bolt_resilience=DELTA, flexibility=ROW_G, start=-5
            ),
            "start is -5 N",
        ),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()


def test_refuses_an_empty_plan() -> None:
    with pytest.raises(Missing, match="at least one pass"):
        tighten_passes(ROW, [])
    with pytest.raises(Missing, match="at least one pass"):
        tighten_with_slack([], bolt_resilience=DELTA, flexibility=ROW_G)
    with pytest.raises(Missing, match="at least one pass"):
        uniform_passes(ROW, [1, 2, 3, 4, 5], 20, shares=())
    with pytest.raises(Missing, match="at least one order"):
        compare_orders(ROW, {}, 20)
