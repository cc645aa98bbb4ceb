"""Stretch, reuse, turn-of-nut tables: properties, limits, bad input."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from clampwright.errors import ClampwrightError, Missing
from clampwright.joint.model import Fastening
from clampwright.joint.pretension import (
    anchor_rod_pretension,
    minimum_pretension,
    pretension_from_strength,
    snug_pretension,
)
from clampwright.joint.reuse import (
    ReuseBudget,
    elongation_after_fracture,
    length_check,
    reuse_budget,
    stretch_budget,
)
from clampwright.joint.stress_strain import Law, RambergOsgood
from clampwright.joint.stretch import (
    clamp_from_stretch,
    stretch_clamp_u_rel,
    stretch_from_clamp,
    thermal_length_change,
)
from clampwright.joint.torque_angle import Step
from clampwright.joint.turn_of_nut import anchor_rod_turn, rotation_capacity, turn_of_nut

BOLT = Fastening(
    d=10,
    P=1.5,
    d2=9.0257,
    d3=8.1597,
    stress_area=57.99,
    bearing_outer=14.63,
    bearing_inner=11,
    yield_stress=940,
    clamp_rate=829.66,
    plastic_length=22,
)
PLAN = [Step("snug", 30.0), Step("angle", 90.0)]


def spend(
    plan: list[Step] = PLAN,
    bolt: Fastening = BOLT,
    *,
    budget: float = 0.5,
    law: Law | None = None,
    most: int = 50,
) -> ReuseBudget:
    return reuse_budget(
        bolt, plan, mu_thread=0.12, mu_bearing=0.10, budget=budget, law=law, most=most
    )


@given(st.floats(0, 2), st.floats(1e-7, 1e-4))
def test_stretch_there_and_back(stretch: float, resilience: float) -> None:
    clamp = clamp_from_stretch(stretch, bolt_resilience=resilience)
    assert stretch_from_clamp(clamp, bolt_resilience=resilience) == pytest.approx(stretch)


def test_stretch_against_random_readings() -> None:
    rng = np.random.default_rng(11)
    first, second = rng.normal(0, 0.003, (2, 200_000))
    resilience = 4.35e-6 * (1 + rng.normal(0, 0.03, 200_000))
    clamps = (0.12 + second - first) / resilience
    u = stretch_clamp_u_rel(0.12, reading_u=0.003, resilience_u_rel=0.03)
    assert clamps.std() / (0.12 / 4.35e-6) == pytest.approx(float(u), rel=0.01)


def test_stretch_past_yield_tells_nothing() -> None:
    assert clamp_from_stretch(0.2, bolt_resilience=4e-6, yield_clamp=51_000) == pytest.approx(5e4)
    with pytest.raises(ClampwrightError, match=r"stretch is 0\.210 mm; from 0\.200 mm on"):
        clamp_from_stretch([0.1, 0.21], bolt_resilience=4e-6, yield_clamp=50_000)


def test_warm_bolt_is_longer() -> None:
    assert thermal_length_change(100, [10, -10]).tolist() == pytest.approx([0.0115, -0.0115])


def test_length_by_the_makers_figure() -> None:
    known = {"new_length": 60.0, "largest_length": 60.5, "past_yield": True}
    assert length_check(length=60.2, **known).fit  # type: ignore[arg-type] # the mapping mixes types
    long = length_check(length=60.6, **known)  # type: ignore[arg-type] # same
    assert not long.fit
    assert long.lasting == pytest.approx(0.6)
    assert long.allowed == pytest.approx(0.5)
    near = length_check(length=60.45, reading_u=0.03, **known)  # type: ignore[arg-type] # same
    assert not near.fit
    assert "too near" in str(near.reason)


def test_length_without_the_makers_figure() -> None:
    past = length_check(new_length=60, length=60.0, past_yield=True)
    assert not past.fit
    assert "replace it" in str(past.reason)
    below = length_check(new_length=60, length=60.01, past_yield=False)
    assert below.fit
    assert "thread and surface" in str(below.reason)


@given(st.floats(20, 60), st.floats(40, 150), st.floats(0.05, 0.3))
def test_each_use_spends_and_never_gives_back(snug: float, angle: float, mu: float) -> None:
    plan = [Step("snug", snug), Step("angle", angle)]
    spent = reuse_budget(BOLT, plan, mu_thread=mu, mu_bearing=mu, budget=1.0, most=6)
    assert (np.diff(spent.stretch) >= -1e-12).all()
    assert (np.diff(spent.clamp) >= -1e-6).all()
    assert spent.uses == int((spent.stretch <= 1.0).sum())


def test_first_use_is_the_plain_plan() -> None:
    # 226 µm after snug 30 N·m and 90 degrees.
    spent = spend()
    assert spent.stretch[0] == pytest.approx(0.226, abs=0.0006)
    assert spent.uses == 2


def test_low_friction_uses_up_more() -> None:
    low = reuse_budget(BOLT, PLAN, mu_thread=0.08, mu_bearing=0.06, budget=0.5)
    both = reuse_budget(BOLT, PLAN, mu_thread=[0.08, 0.12], mu_bearing=[0.06, 0.10], budget=0.5)
    assert both.stretch.tolist() == pytest.approx(low.stretch.tolist())
    assert low.stretch[0] > spend().stretch[0]


def test_elastic_tightening_spends_nothing() -> None:
    spent = spend([Step("torque", 50.0)], budget=0.1, most=5)
    assert spent.stretch.tolist() == [0.0] * 5
    assert spent.uses == 5


def test_a_bolt_that_breaks_is_not_counted() -> None:
    weak = replace(BOLT, tensile_strength=985.0)
    spent = spend(bolt=weak, budget=10.0, most=8)
    assert 0 < spent.uses < 8


def test_other_laws() -> None:
    spent = spend(law=RambergOsgood(940, 15))
    assert spent.stretch[0] == pytest.approx(0.204, abs=0.001)


def test_reuse_needs_its_inputs() -> None:
    with pytest.raises(Missing, match="at least one step"):
        spend([])
    with pytest.raises(Missing, match="stretches plastically"):
        spend([Step("torque", 20)], replace(BOLT, plastic_length=None))
    with pytest.raises(Missing, match="stretches plastically"):
        stretch_budget(replace(BOLT, plastic_length=None), uniform_strain=0.05, share=0.5)


def test_elongation() -> None:
    # ISO 898-1, from memory.
    assert [elongation_after_fracture(name) for name in ("8.8", "10.9", "12.9")] == [
        0.12,
        0.09,
        0.08,
    ]
    with pytest.raises(Missing, match=r"no elongation is known for class 5\.6"):
        elongation_after_fracture("5.6")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: clamp_from_stretch(-0.1, bolt_resilience=1), "stretch is -0.1 mm"),
        (lambda: stretch_from_clamp(1, bolt_resilience=0), "bolt_resilience is 0 mm/N"),
        (
            lambda: stretch_clamp_u_rel(0, reading_u=1, resilience_u_rel=0),
            "stretch is 0 mm",
        ),
        (lambda: thermal_length_change(100, math.inf), "temperature_change is inf"),
        (
            lambda: length_check(new_length=60, length=60, largest_length=59, past_yield=True),
            r"largest_length .59 mm. is below new_length .60 mm.",
        ),
        (lambda: spend(budget=0), "budget is 0 mm"),
        (lambda: stretch_budget(BOLT, uniform_strain=0.6, share=1), "uniform_strain is 0.6"),
        (lambda: stretch_budget(BOLT, uniform_strain=0.1, share=1.5), "share is 1.5"),
        (lambda: turn_of_nut(length=320, d=25.4), "12.6 diameters long; above 12"),
        (lambda: turn_of_nut(length=0, d=25.4), "length is 0 mm"),
        (lambda: turn_of_nut(length=50, d=25.4, sloped_faces=3), "sloped_faces is 3"),
        (lambda: rotation_capacity(length=50, d=math.nan), "d is nan"),
        (lambda: minimum_pretension(d=20, grade="A325"), "d is 20 mm; the table has these inch"),
        (
            lambda: minimum_pretension(d=25.4, grade="A490", edition="1999"),
            "no table for A490 in edition 1999; known: A325 2005, A325 2014, A490 2014",
        ),
        (lambda: snug_pretension(d=60), "d is 60 mm"),
        (
            lambda: pretension_from_strength(stress_area=1, tensile_strength=1, share=1.2),
            "share is 1.2",
        ),
        (
            lambda: anchor_rod_turn(d=25.4, grade="8.8"),  # type: ignore[arg-type] # a mistake made on purpose
            "grade is '8.8'; it must be one of: 36, 55, 105",
        ),
        (lambda: anchor_rod_turn(d=150, grade="36"), "d is 150 mm"),
        (
            lambda: anchor_rod_pretension(d=25.4, threads_per_inch=0.5, grade="36"),
            "pitch .50.8 mm. must be smaller than d",
        ),
    ],
)
def test_refuses(call: object, message: str) -> None:
    assert callable(call)
    with pytest.raises(ClampwrightError, match=message):
        call()
