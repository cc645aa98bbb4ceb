"""Clamped layers in a job file: what they give, and what is refused with a plain sentence."""

import pytest

from clampwright.errors import BadFile
from clampwright.joint.model import Fastening
from clampwright.work.jobfile import load_job

JOB = """
invented = true
[job]
id = "cover"
title = "Cover"
machine = "Invented"
[rules]
torque_percent = 5
angle_deg = 5
[[joint]]
id = "cover"
title = "Cover"
harm_level = 2
thread = "M10"
strength = "10.9"
bearing = { outer_mm = 14.63, inner_mm = 11.0 }
layout = { pattern = "circle", count = 4, diameter_mm = 100 }
procedure = { text = "Tighten to 45 N·m", locale = "en" }
[joint.stiffness]
"""
LAYERS = """
[[joint.stiffness.layer]]
thickness_mm = 20
modulus_MPa = 70000
[[joint.stiffness.layer]]
thickness_mm = 25
modulus_MPa = 205000
"""


def fastening(stiffness: str) -> Fastening:
    found = load_job((JOB + stiffness).encode(), "cover.toml").joints[0].fastening
    assert found is not None
    return found


def test_layers_give_the_clamp_rate_of_the_mechanics() -> None:
    bolt = fastening("shank_mm = 28\noutside_mm = 60" + LAYERS)
    expected = bolt.with_layered_joint(
        thicknesses=[20, 25], moduli=[70_000, 205_000], shank_length=28, outside=60
    )
    assert bolt == expected


def test_layers_over_a_tapped_hole() -> None:
    bolt = fastening("outside_mm = 60\ntapped = true\ntapped_modulus_MPa = 110000" + LAYERS)
    expected = bolt.with_layered_joint(
        thicknesses=[20, 25],
        moduli=[70_000, 205_000],
        shank_length=0,
        outside=60,
        E_tapped=110_000,
    )
    assert bolt == expected
    assert bolt.clamp_rate != fastening("outside_mm = 60" + LAYERS).clamp_rate


@pytest.mark.parametrize(
    ("stiffness", "said"),
    [
        ("outside_mm = 60", "give one of clamp_rate_N_per_deg, grip_mm .* or layer tables"),
        ("grip_mm = 45\noutside_mm = 60" + LAYERS, "give one of clamp_rate_N_per_deg"),
        ("clamp_rate_N_per_deg = 800" + LAYERS, "give one of clamp_rate_N_per_deg"),
        ("shank_mm = 28" + LAYERS, "layer needs outside_mm"),
        ("grip_mm = 45", "grip_mm needs outside_mm"),
        ("outside_mm = 60\npart_modulus_MPa = 70000" + LAYERS, "leave out part_modulus_MPa"),
        ("outside_mm = 60\ntapped = true" + LAYERS, "tapped_modulus_MPa.* is needed"),
        ("outside_mm = 60\ntapped_modulus_MPa = 70000" + LAYERS, "and only then"),
        ("grip_mm = 9\noutside_mm = 60\ntapped = true\ntapped_modulus_MPa = 7e4", "and only then"),
        ("outside_mm = 60" + LAYERS.replace("25", "0"), "thickness_mm"),
        ("outside_mm = 60" + LAYERS.replace("modulus_MPa = 70000", ""), "modulus_MPa"),
        ("outside_mm = 10" + LAYERS, "hole .* must be smaller than outside"),
        ("shank_mm = 45\noutside_mm = 60" + LAYERS, "shank_length .* must be smaller than grip"),
    ],
)
def test_what_does_not_fit_together_is_refused(stiffness: str, said: str) -> None:
    with pytest.raises(BadFile, match=said):
        fastening(stiffness)
