"""Clamp load along steps: against a slow second way, and by what a bolt cannot do."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from clampwright.errors import ClampwrightError, Missing, OutOfRange
from clampwright.joint.curve import curve
from clampwright.joint.model import Fastening
from clampwright.joint.torque_angle import State, Step, follow

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940, clamp_rate=829.66, plastic_length=22, tangent_modulus=2050,
)  # fmt: skip
MU = {"mu_thread": 0.12, "mu_bearing": 0.10}


def last(steps: list[Step], bolt: Fastening = BOLT, **mu: Any) -> State:
    return follow(bolt, steps, **(mu or MU))[-1]


def clamp_by_bisection(angle: float, mu_thread: float) -> float:
    """Solve the angle equation for the clamp load, stress by stress, without any shortcut."""
    thick = math.sqrt(4 * 57.99 / math.pi)
    k = 1.5 * (9.0257 / thick) * (1.5 / (math.pi * 9.0257) + 1.155 * mu_thread)
    q = math.sqrt(1 + 3 * k**2)

    def missing(clamp: float) -> float:
        equivalent = q * clamp / 57.99
        plastic = max(0.0, (equivalent - 940) * (1 / 2050 - 1 / 205_000)) / q
        return clamp / 829.66 + 360 / 1.5 * plastic * 22 - angle

    return float(brentq(missing, 0.0, 1e6, xtol=1e-9))


@given(angle=st.floats(1.0, 400.0), mu=st.floats(0.0, 0.3))
def test_turning_from_contact_agrees_with_bisection(angle: float, mu: float) -> None:
    found = last([Step("angle", angle)], mu_thread=mu, mu_bearing=mu)
    assert float(found.clamp) == pytest.approx(clamp_by_bisection(angle, mu), rel=1e-9)


@given(first=st.floats(1.0, 200.0), second=st.floats(1.0, 200.0))
def test_two_turns_are_one_turn_of_their_sum(first: float, second: float) -> None:
    apart = last([Step("torque", 30), Step("angle", first), Step("angle", second)])
    whole = last([Step("torque", 30), Step("angle", first + second)])
    assert float(apart.clamp) == pytest.approx(float(whole.clamp), rel=1e-9)
    assert float(apart.plastic_stretch or 0.0) == pytest.approx(
        float(whole.plastic_stretch or 0.0), abs=1e-9
    )


@given(
    steps=st.lists(
        st.one_of(
            st.builds(Step, st.just("torque"), st.floats(1.0, 90.0)),
            st.builds(Step, st.just("angle"), st.floats(1.0, 200.0)),
            st.builds(Step, st.just("loosen"), st.one_of(st.none(), st.floats(1.0, 200.0))),
            st.builds(Step, st.just("snug"), st.one_of(st.none(), st.floats(1.0, 40.0))),
        ),
        min_size=1,
        max_size=6,
    ),
    mu=st.floats(0.05, 0.3),
)
def test_what_no_bolt_can_do(steps: list[Step], mu: float) -> None:
    states = follow(BOLT, steps, mu_thread=mu, mu_bearing=mu)
    arm = float(BOLT.torque_from_clamp(1000.0, mu_thread=mu, mu_bearing=mu)) / 1000.0
    stretch, clamp = 0.0, 0.0
    for state in states:
        now = float(state.plastic_stretch or 0.0)
        assert now >= stretch - 1e-12  # what is stretched stays stretched
        assert state.clamp >= 0.0
        assert float(state.torque) == pytest.approx(float(state.clamp) * arm, abs=1e-9)
        if state.step.kind == "loosen":
            assert state.clamp <= clamp
        else:
            assert state.clamp >= clamp  # turning on never loosens
        if state.step.kind == "torque":
            assert state.step.value is not None
            assert float(state.torque) >= state.step.value * (1 - 1e-12)
        stretch, clamp = now, float(state.clamp)


@given(mu=st.lists(st.floats(0.0, 0.4), min_size=1, max_size=6))
def test_array_equals_scalar(mu: list[float]) -> None:
    steps = [Step("torque", 60), Step("loosen", 20), Step("angle", 120), Step("loosen"),
             Step("snug", 20), Step("angle", 90)]  # fmt: skip
    whole = follow(BOLT, steps, mu_thread=np.array(mu), mu_bearing=0.1)
    for j, value in enumerate(mu):
        for state, one in zip(
            whole, follow(BOLT, steps, mu_thread=value, mu_bearing=0.1), strict=True
        ):
            assert state.clamp[j] == one.clamp
            assert state.torque[j] == one.torque
            assert state.yielded is not None
            assert one.yielded is not None
            assert state.yielded[j] == one.yielded


@given(angle=st.floats(0.1, 300.0), mu=st.floats(0.02, 0.3), factor=st.floats(1.01, 1.3))
def test_more_friction_gives_less_clamp_at_any_angle(
    angle: float, mu: float, factor: float
) -> None:
    steps = [Step("snug", 30), Step("angle", angle)]
    low = last(steps, mu_thread=mu, mu_bearing=mu)
    high = last(steps, mu_thread=mu * factor, mu_bearing=mu * factor)
    assert high.clamp < low.clamp


def test_a_tight_fastener_does_not_move_at_a_lower_torque() -> None:
    states = follow(BOLT, [Step("torque", 40), Step("torque", 30), Step("torque", 40)], **MU)
    assert states[0].clamp == states[1].clamp == states[2].clamp


def test_a_yielded_bolt_yields_again_only_above_what_it_bore() -> None:
    first = last([Step("torque", 30), Step("angle", 90)])
    again = [Step("torque", 30), Step("angle", 90), Step("loosen"), Step("torque", 30)]
    before = last(again)
    assert before.plastic_stretch == first.plastic_stretch
    assert before.yielded
    needed = (float(first.clamp) - float(before.clamp)) / 829.66
    at_limit = last([*again, Step("angle", needed)])
    assert float(at_limit.plastic_stretch or 0) == pytest.approx(float(first.plastic_stretch or 0))
    assert last([*again, Step("angle", needed + 5)]).plastic_stretch > first.plastic_stretch  # type: ignore[operator]  # both are numbers here


def test_torque_control_past_yield_stretches_the_bolt() -> None:
    state = last([Step("torque", 76.0)])
    assert state.yielded
    line = curve(BOLT, **MU)
    extra = float(state.clamp - line.yield_clamp)
    assert float(state.plastic_stretch or 0) == pytest.approx(
        22 * extra / 57.99 * (1 / 2050 - 1 / 205_000)
    )


def test_the_bilinear_curve_never_falls_unless_its_end_is_known() -> None:
    huge = Step("torque", 200.0)
    free = last([huge])
    assert free.reached
    assert float(free.clamp) == pytest.approx(200.0 / 37.62 * 25_000, rel=1e-4)
    ended = follow(replace(BOLT, tensile_strength=1040.0), [huge, Step("angle", 30)], **MU)
    assert not ended[0].reached
    assert not ended[1].reached  # a broken bolt stays broken
    assert float(ended[0].clamp) == pytest.approx(48_311 * 1040 / 940, rel=1e-4)


def test_loosening_by_an_angle_gives_back_what_turning_on_took() -> None:
    forth = last([Step("torque", 40)])
    back = last([Step("torque", 40), Step("loosen", 10.0), Step("angle", 10.0)])
    assert float(back.clamp) == pytest.approx(float(forth.clamp), rel=1e-12)


def test_turned_back_past_contact_the_gap_must_be_made_up() -> None:
    loose = [Step("angle", 30), Step("loosen", 90)]
    assert last(loose).clamp == 0.0
    assert float(last([*loose, Step("angle", 60)]).clamp) == pytest.approx(0.0, abs=1e-6)
    assert float(last([*loose, Step("angle", 70)]).clamp) == pytest.approx(10 * 829.66)
    assert float(last([*loose, Step("loosen", 5), Step("angle", 70)]).clamp) == pytest.approx(
        5 * 829.66
    )
    # A torque, or bringing into contact by hand, closes it.
    assert last([*loose, Step("snug"), Step("angle", 10)]).clamp > 0.0
    assert float(last([*loose, Step("torque", 30)]).torque) == pytest.approx(30.0)


def test_prevailing_torque_makes_no_clamp() -> None:
    tight = replace(BOLT, prevailing_torque=6.0)
    assert float(last([Step("torque", 36)], tight).clamp) == pytest.approx(
        float(last([Step("torque", 30)]).clamp)
    )
    assert last([Step("torque", 36), Step("loosen")], tight).torque == 6.0
    with pytest.raises(OutOfRange, match="torque step is 6 N·m; it must be greater than 6"):
        last([Step("torque", 6.0)], tight)


def test_what_is_missing_is_named() -> None:
    turn = [Step("torque", 30), Step("angle", 90)]
    with pytest.raises(Missing, match="clamp rate") as caught:
        last(turn, replace(BOLT, clamp_rate=None))
    assert caught.value.needed == "clamp_rate"
    with pytest.raises(Missing, match="yield stress"):
        last(turn, replace(BOLT, yield_stress=None))
    with pytest.raises(Missing, match="stretches plastically"):
        last(turn, replace(BOLT, plastic_length=None))
    with pytest.raises(Missing, match="loosening by an angle"):
        last([Step("torque", 30), Step("loosen", 10)], replace(BOLT, clamp_rate=None))


def test_without_strength_torque_steps_still_work_and_say_that_yield_is_unknown() -> None:
    plain = replace(BOLT, yield_stress=None, clamp_rate=None, plastic_length=None)
    state = last([Step("torque", 40), Step("loosen"), Step("torque", 50)], plain)
    assert float(state.torque) == pytest.approx(50.0)
    assert state.yielded is None
    assert state.plastic_stretch is None
    below = last([Step("torque", 30), Step("angle", 20)], replace(BOLT, plastic_length=None))
    assert below.plastic_stretch is None
    assert below.yielded is not None


@pytest.mark.parametrize(
    ("kind", "value", "error", "match"),
    [
        ("torque", None, Missing, "kind torque needs a value in N·m"),
        ("angle", None, Missing, "kind angle needs a value in deg"),
        ("angle", 0.0, OutOfRange, "angle step is 0 deg"),
        ("torque", -5.0, OutOfRange, "torque step is -5 N·m"),
        ("torque", math.nan, OutOfRange, "torque step is nan"),
        ("loosen", -90.0, OutOfRange, "loosen step is -90 deg"),
        ("turn", 90.0, ClampwrightError, "a step is 'turn'; it must be one of: torque, angle"),
    ],
)
def test_a_bad_step_cannot_be_made(
    kind: Any, value: float | None, error: type[Exception], match: str
) -> None:
    with pytest.raises(error, match=match):
        Step(kind, value)
