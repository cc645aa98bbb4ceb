"""Plain forms put numbers together and call the relation itself; nothing is added."""

from __future__ import annotations

import numpy as np
import pytest

from clampwright.errors import ClampwrightError, OutOfRange
from clampwright.joint.frusta import frusta
from clampwright.joint.hardening import gradient_point, hardening_line
from clampwright.joint.model import Fastening
from clampwright.joint.plain_forms import (
    bolt_resilience_from_lengths,
    nut_factor_u_rel_from_friction,
    parts_stiffness_from_layers,
    parts_stiffness_of_halves,
    shank_twist_from_lengths,
)
from clampwright.joint.plain_turning import (
    clamp_at_angle_ramberg_osgood,
    clamp_from_snug_and_angle,
    gradient_point_ramberg_osgood,
)
from clampwright.joint.rival_stiffness import exponential_stiffness
from clampwright.joint.stiffness import bolt_resilience, bolt_segments, shank_twist
from clampwright.joint.stress_strain import RambergOsgood
from clampwright.joint.torque_angle import Step, follow

SIZES = {
    "d": 10.0, "P": 1.5, "d2": 9.0257, "d3": 8.1597, "stress_area": 57.99,
    "bearing_outer": 14.63, "bearing_inner": 11.0,
}  # fmt: skip
STRETCH = {"clamp_rate": 829.66, "plastic_length": 22.0}
FRICTION = {"mu_thread": 0.12, "mu_bearing": 0.10}


def test_a_screw_without_shank_has_thread_only() -> None:
    plain = bolt_resilience_from_lengths(d=10, d3=8.16, thread_length=45)
    pieces = bolt_segments(d=10, d3=8.16, shank=[], thread_length=45)
    assert plain == pytest.approx(bolt_resilience(pieces), rel=1e-14)


def test_a_reduced_shank_is_softer_than_a_full_one() -> None:
    def of(shank_diameter: float | None) -> float:
        found = bolt_resilience_from_lengths(
            d=10, d3=8.16, thread_length=10, shank_length=35, shank_diameter=shank_diameter
        )
        return float(found)

    assert of(10) == of(None)
    assert of(7) > of(None)


def test_twist_of_pieces_adds_up() -> None:
    both = shank_twist_from_lengths(20.0, lengths=[30, 15], diameters=[10, 8.16])
    assert both == pytest.approx(shank_twist(20.0, pieces=[(30, 10), (15, 8.16)]), rel=1e-14)
    one = shank_twist_from_lengths(20.0, lengths=[30], diameters=[10])
    other = shank_twist_from_lengths(20.0, lengths=[15], diameters=[8.16])
    assert both == pytest.approx(one + other, rel=1e-14)


def test_every_piece_needs_length_and_diameter() -> None:
    with pytest.raises(ClampwrightError, match="2 lengths and 1 diameters"):
        shank_twist_from_lengths(20.0, lengths=[30, 15], diameters=[10])


def test_layers_are_those_of_the_frusta() -> None:
    layers = parts_stiffness_from_layers(thicknesses=[3, 20, 25], moduli=[207e3, 207e3, 70e3], d=12)
    assert layers == frusta([(3, 207e3), (20, 207e3), (25, 70e3)], d=12).stiffness


def test_every_layer_needs_thickness_and_modulus() -> None:
    with pytest.raises(ClampwrightError, match="1 thicknesses and 2 moduli"):
        parts_stiffness_from_layers(thicknesses=[20], moduli=[207e3, 70e3], d=12)


def test_two_halves_of_one_material_are_the_whole() -> None:
    halves = parts_stiffness_of_halves(
        d=16, grip=40, E=207e3, material="steel", E_other=207e3, material_other="steel"
    )
    whole = exponential_stiffness(d=16, grip=40, E=207e3, material="steel")
    assert halves == pytest.approx(float(whole), rel=1e-12)


@pytest.mark.parametrize("correlation", [-1.0, 0.0, 1.0])
def test_nut_factor_grows_with_correlation_of_the_two_frictions(correlation: float) -> None:
    sizes = {"P": 1.5, "d2": 9.0257, "bearing_diameter": 12.815, **FRICTION}
    rel = {"mu_thread_u_rel": 0.1, "mu_bearing_u_rel": 0.1}
    found = nut_factor_u_rel_from_friction(**sizes, **rel, correlation=correlation)
    assert found <= nut_factor_u_rel_from_friction(**sizes, **rel)
    assert found > 0.0


def test_angle_after_snug_is_followed_step_by_step() -> None:
    done = clamp_from_snug_and_angle(
        snug_torque=30, angle=90, **SIZES, **STRETCH, **FRICTION, yield_stress=940
    )
    bolt = Fastening(**SIZES, **STRETCH, yield_stress=940, tangent_modulus=2050.0)
    snug, last = follow(bolt, [Step("snug", 30), Step("angle", 90)], **FRICTION)
    assert (done.clamp, done.torque, done.snug_clamp) == (last.clamp, last.torque, snug.clamp)
    assert done.yielded == last.yielded


def test_a_small_angle_leaves_the_snug_clamp() -> None:
    done = clamp_from_snug_and_angle(
        snug_torque=30, angle=1e-9, **SIZES, **STRETCH, **FRICTION, yield_stress=940
    )
    assert done.clamp == pytest.approx(done.snug_clamp, rel=1e-9)
    assert done.plastic_stretch == 0.0


def test_curve_without_sharp_yield_is_the_hardening_line() -> None:
    line = hardening_line(Fastening(**SIZES, **STRETCH), RambergOsgood(940, 15), **FRICTION)
    angles = np.array([10.0, 40.0, 80.0])
    found = clamp_at_angle_ramberg_osgood(
        angles, **SIZES, **STRETCH, **FRICTION, yield_stress=940, hardening_exponent=15
    )
    assert found == pytest.approx(line.clamp_at(angles), rel=1e-12)
    assert np.all(np.diff(found) > 0)


def test_gradient_point_takes_the_share_of_the_slope() -> None:
    given = {**SIZES, **STRETCH, **FRICTION, "yield_stress": 940, "hardening_exponent": 15}
    early, late = (gradient_point_ramberg_osgood(**given, share=s) for s in (0.8, 0.3))
    bolt = Fastening(**SIZES, **STRETCH)
    own = gradient_point(bolt, RambergOsgood(940, 15), **FRICTION, share=0.8)
    assert early.clamp == pytest.approx(own.clamp, rel=1e-12)
    assert late.clamp > early.clamp


def test_what_is_impossible_is_refused_by_the_relation() -> None:
    with pytest.raises(OutOfRange):
        bolt_resilience_from_lengths(d=10, d3=-8, thread_length=45)
