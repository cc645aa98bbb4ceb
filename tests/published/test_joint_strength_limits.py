"""Stripping, bearing pressure, embedding and engaged length against outside figures.

Relations: Alexander, SAE 770420 (1977) and VDI 2230-1, from memory; the figures were computed from
them apart from this project. Engaged length: formula of Machinery's Handbook, 24th ed., and
FED-STD-H28/2 as paraphrased publicly; no published result was seen. Tolerance: half the last digit.
"""

from __future__ import annotations

import pytest

from clampwright.joint.embedding import embedding_amount, embedding_amount_1986, embedding_loss
from clampwright.joint.engagement import engagement_equal_materials
from clampwright.joint.pressure import bearing_area, bearing_pressure, pressure_use
from clampwright.joint.stripping import (
    bolt_bending_factor,
    bolt_shear_area,
    nut_bending_factor,
    nut_dilation_factor,
    nut_shear_area,
    stripping,
)
from clampwright.joint.thread_limits import weakest_limits
from clampwright.standards import profile
from clampwright.standards.printed import half_last_digit

M10 = weakest_limits(d=10, P=1.5)
STRESS_AREA = profile.metric_stress_area(10, 1.5)


def meets(value: object, printed: str) -> None:
    assert float(value) == pytest.approx(float(printed), abs=1.001 * half_last_digit(printed))  # type: ignore[arg-type] # a NumPy or Python float


def worst_bolt_area(length: float) -> float:
    return float(bolt_shear_area(length, P=1.5, D1=M10.D1_max, d2=M10.d2_min))


def worst_nut_area(length: float) -> float:
    return float(nut_shear_area(length, P=1.5, d=M10.d_min, D2=M10.D2_max))


def test_shear_areas() -> None:
    D1, d2 = profile.minor_diameter(10, 1.5), 9.0257
    meets(bolt_shear_area(8, P=1.5, D1=D1, d2=d2), "157.89")
    meets(nut_shear_area(8, P=1.5, d=10, D2=d2), "219.91")
    meets(worst_bolt_area(8), "124.64")
    meets(worst_nut_area(8), "171.82")


@pytest.mark.parametrize(
    ("d", "P", "limits"),
    [
        (10, 1.5, "9.732 8.862 8.676 9.206"),
        # ISO 965-2 limits of size, from memory.
        (6, 1.0, "5.794 5.212 5.153 5.500"),
        (8, 1.25, "7.760 7.042 6.912 7.348"),
        (12, 1.75, "11.701 10.679 10.441 11.063"),
        (16, 2.0, "15.682 14.503 14.210 14.913"),
        (20, 2.5, "19.623 18.164 17.744 18.600"),
        (24, 3.0, "23.577 21.803 21.252 22.316"),
    ],
)
def test_limits_of_size(d: float, P: float, limits: str) -> None:
    weak = weakest_limits(d=d, P=P)
    found = (weak.d_min, weak.d2_min, weak.D1_max, weak.D2_max)
    for value, printed in zip(found, limits.split(), strict=True):
        meets(value, printed)


@pytest.mark.parametrize(("ratio", "printed"), [(1.4, "0.75"), (1.6, "0.91"), (1.8, "0.99")])
def test_dilation(ratio: float, printed: str) -> None:
    meets(nut_dilation_factor(ratio), printed)


@pytest.mark.parametrize(("R", "printed"), [(0.5, "1.0505"), (0.7, "0.9918"), (0.9, "0.9191")])
def test_nut_thread_bending(R: float, printed: str) -> None:
    meets(nut_bending_factor(R), printed)


@pytest.mark.parametrize(("R", "printed"), [(1.2, "0.9626"), (1.6, "1.1368"), (2.0, "1.1668")])
def test_bolt_thread_bending(R: float, printed: str) -> None:
    meets(bolt_bending_factor(R), printed)


def test_nut_on_a_bolt() -> None:
    found = stripping(
        bolt_area=worst_bolt_area(8),
        nut_area=worst_nut_area(8),
        stress_area=STRESS_AREA,
        bolt_strength=800,
        nut_strength=700,
        width_ratio=1.6,
    )
    meets(found.strength_ratio, "1.2062")
    meets(found.dilation, "0.91")
    meets(found.bolt_bending, "0.9656")
    meets(found.nut_bending, "0.897")
    meets(found.bolt_thread / 1000, "52.57")
    meets(found.nut_thread / 1000, "58.90")
    meets(found.bolt / 1000, "46.39")
    assert found.first == "bolt"


def test_bolt_in_aluminium() -> None:
    found = stripping(
        bolt_area=worst_bolt_area(15),
        nut_area=worst_nut_area(15),
        stress_area=STRESS_AREA,
        bolt_strength=800,
        nut_strength=250,
    )
    meets(found.strength_ratio, "0.4308")
    meets(found.nut_bending, "1.0562")
    meets(found.nut_thread / 1000, "51.04")
    assert found.dilation == 1.0


def test_pressure_under_the_head() -> None:
    meets(bearing_area(bearing_outer=14.63, hole=11), "73.07")
    meets(bearing_pressure(29_600, bearing_outer=14.63, hole=11), "405.1")
    steel = pressure_use(29_600, material="S235", bearing_outer=14.63, hole=11)
    cast = pressure_use(29_600, material="AlSi9Cu3 sand cast", bearing_outer=14.63, hole=11)
    assert steel.limit == 490
    assert steel.share < 1 < cast.share


def test_embedding() -> None:
    amount = embedding_amount(roughness=6.3, load="tension", faces=2, interfaces=1)
    meets(amount * 1000, "9.5")
    loss = embedding_loss(amount, bolt_resilience=4.3503e-6, parts_resilience=0.67183e-6)
    meets(loss, "1891.6")
    meets(embedding_amount_1986(grip=45, d=10) * 1000, "5.5")
    # The two published amounts disagree by a factor of 1.7.
    assert amount / embedding_amount_1986(grip=45, d=10) == pytest.approx(1.7, abs=0.05)


def test_engaged_length_of_half_inch_coarse() -> None:
    # All lengths in inches: the relation has no unit of its own. To 1 %.
    length = engagement_equal_materials(stress_area=0.1419, P=1 / 13, D1_max=0.434, d2_min=0.4435)
    assert length == pytest.approx(0.36434, rel=1e-4)
    assert length / 0.5 == pytest.approx(0.728679, rel=1e-4)
