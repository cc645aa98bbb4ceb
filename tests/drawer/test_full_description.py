"""Tools described fully: what they are, what belongs to them, and what they do to the torque."""

from __future__ import annotations

import datetime as dt
import math

import numpy as np
import pytest

from clampwright.drawer import Adapter, Demand, Drawer, Scale, Tool, choose, fitness, load_drawer
from clampwright.drawer.adapters import universal_joint_spread
from clampwright.errors import BadFile, OutOfRange

DAY = dt.date(2026, 10, 5)
WRENCH = """
[[tool]]
id = "click"
title = "Click wrench"
kind = "click"
drive = "1/2 in"
"""
SCALE = """
[[tool.scale]]
unit = "N·m"
low = 40
high = 200
main_step = 20
fine_step = 2
"""
FULL = f"""{WRENCH}
iso_class = "II A"
serial = "A-17"
bought = 2024-05-02
origin = "used"
price = "85 €"
weight_kg = 1.4
{SCALE}
[[tool.paper]]
file = "papers-of-tools/{"a" * 8}.pdf"
kind = "certificate"
sha256 = "{"0" * 64}"

[[tool]]
id = "fixed"
title = "Fixed click wrench"
kind = "click"
drive = "1/2 in"
mechanism = "fixed"
preset = {{ value = 90, unit = "N·m" }}

[[tool]]
id = "electronic"
title = "Electronic wrench"
kind = "electronic"
drive = "1/2 in"
sample_rate_Hz = 500
[[tool.scale]]
unit = "N·m"
low = 20
high = 200
main_step = 0.1
[tool.angle]
step_deg = 0.5
mode = "output"

[[adapter]]
id = "multiplier"
title = "Multiplier"
kind = "multiplier"
drive = "1/2 in"
drive_out = "3/4 in"
ratio = 4
efficiency_percent = 92
efficiency_uncertainty_percent = 2
highest_Nm = 700

[[adapter]]
id = "joint"
title = "Universal joint"
kind = "universal_joint"
drive = "1/2 in"
bend_deg = 20

[[stretch_gauge]]
id = "micrometer"
title = "Bolt micrometer"
step_mm = 0.01
longest_mm = 150

[[test_device]]
id = "bench-cell"
title = "Test device"
drive = "1/2 in"
unit = "N·m"
low = 10
high = 250
step = 0.1
uncertainty_percent = 1.0
k = 2
"""


@pytest.fixture(scope="module")
def drawer() -> Drawer:
    return load_drawer(FULL.encode(), "drawer.toml")


def test_everything_written_is_kept(drawer: Drawer) -> None:
    tool = drawer.tool("click")
    assert tool.iso_class == ("II", "A")
    kept = tool.belongings
    assert (kept.serial, kept.origin, kept.price, kept.weight) == ("A-17", "used", "85 €", 1.4)
    assert kept.bought == dt.date(2024, 5, 2)
    assert [paper.kind for paper in kept.papers] == ["certificate"]
    assert drawer.tool("electronic").sample_rate == 500
    assert drawer.tool("fixed").iso_class == ("II", "B")
    assert drawer.stretch_gauges[0].longest == 150
    assert drawer.test_devices[0].u_rel == pytest.approx(0.005)


def test_a_fixed_wrench_does_its_one_torque_and_no_other(drawer: Drawer) -> None:
    tool = drawer.tool("fixed")
    fits = fitness(tool, Demand("torque", 90.0, 86.0, 94.0, harm_level=3), today=DAY)
    assert fits.usable
    assert fits.setting is not None
    assert str(fits.setting.words) == "it stands at 90 N·m: nothing to set"
    off = fitness(tool, Demand("torque", 80.0, 77.0, 83.0, harm_level=3), today=DAY)
    assert str(off.blockers[-1]) == (
        "it stands at 90 N·m and cannot be set at the bench; 80 N·m would be needed"
    )
    assert off.firm
    # Without limits the permissible deviation of its class decides: 4 % of 90 is 3.6.
    assert fitness(tool, Demand("torque", 87.0, harm_level=3), today=DAY).usable
    assert not fitness(tool, Demand("torque", 86.0, harm_level=3), today=DAY).usable


def test_a_multiplier_makes_a_small_wrench_reach(drawer: Drawer) -> None:
    demand = Demand("torque", 500.0, 450.0, 550.0, harm_level=3)
    results = choose(drawer, demand, today=DAY)
    found = next(one for one in results if one.usable)
    assert found.adapter is not None
    assert found.adapter.id == "multiplier"
    assert found.setting is not None
    # 500 / (4 x 0.92) = 135.87 N·m at the wrench; to the nearest mark.
    assert found.setting.exact == pytest.approx(500 / 3.68)
    assert found.setting.torque_at_fastener == pytest.approx(found.setting.value * 3.68)
    assert found.u_rel is not None
    assert found.u_rel > 0.02  # its efficiency is known no better
    beyond = fitness(
        drawer.tool("click"),
        Demand("torque", 710.0, harm_level=3),
        today=DAY,
        adapter=drawer.adapter("multiplier"),
    )
    assert any("is made for 700" in str(one) for one in beyond.blockers)


def test_an_angle_through_a_multiplier_is_not_counted_at_the_handle(drawer: Drawer) -> None:
    result = fitness(
        drawer.tool("electronic"),
        Demand("angle", angle_deg=90.0),
        today=DAY,
        adapter=drawer.adapter("multiplier"),
    )
    assert any("the handle turns 4 times as far" in str(one) for one in result.blockers)


def test_spread_of_a_universal_joint_against_its_kinematics() -> None:
    """Second method: the angle of the driven shaft, tan θ2 = tan θ1 / cos β, differentiated."""
    bend = math.radians(25.0)
    turn = np.linspace(0.0, math.pi, 400_001)
    driven = np.unwrap(np.arctan2(np.sin(turn), np.cos(turn) * math.cos(bend)))
    ratio = np.gradient(driven, turn)  # speed out over speed in; torque is its inverse
    assert ratio.max() == pytest.approx(1 / math.cos(bend), rel=1e-6)
    assert ratio.min() == pytest.approx(math.cos(bend), rel=1e-6)
    half = (ratio.max() - ratio.min()) / 2
    assert universal_joint_spread(25.0) == pytest.approx(half / math.sqrt(3), rel=1e-5)
    with pytest.raises(OutOfRange, match="bent by 60"):
        universal_joint_spread(60.0)


def test_an_extension_changes_no_torque_and_needs_no_length() -> None:
    wrench = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 40, 200, 20, 2),))
    bar = Adapter("e", "Extension", "1/2 in", 250.0, kind="extension")
    with_it = fitness(wrench, Demand("torque", 90.0, harm_level=3), today=DAY, adapter=bar)
    without = fitness(wrench, Demand("torque", 90.0, harm_level=3), today=DAY)
    assert with_it.setting is not None
    assert without.setting is not None
    assert with_it.setting.value == without.setting.value
    assert with_it.u_rel == without.u_rel


def test_a_dropped_wrench_is_not_taken_where_it_matters() -> None:
    wrench = Tool(
        "c", "Click", "click", "1/2 in", (Scale("N·m", 40, 200, 20, 2),), suspect="dropped"
    )
    serious = fitness(wrench, Demand("torque", 90.0, harm_level=2), today=DAY)
    assert [str(one) for one in serious.blockers] == [
        "not to be trusted until it is calibrated again: dropped"
    ]
    assert serious.may_be_overruled
    assert fitness(wrench, Demand("torque", 90.0, harm_level=3), today=DAY).usable


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (WRENCH + 'mechanism = "fixed"\n', "needs the torque it stands at: preset = { value"),
        (WRENCH + 'mechanism = "fixed"\n' + SCALE, "has no scale to set by"),
        (WRENCH + 'preset = { value = 9, unit = "N·m" }\n' + SCALE, "preset is for a wrench with"),
        (WRENCH + 'iso_class = "I B"\n' + SCALE, "does not go with kind 'click'"),
        (WRENCH + "sample_rate_Hz = 10\n" + SCALE, "only an electronic wrench has a sample rate"),
        (WRENCH + "weight_kg = -1\n" + SCALE, "weight_kg"),
        (
            WRENCH + SCALE + '[[tool.paper]]\nfile = "../x"\nkind = "photograph"\n'
            f'sha256 = "{"0" * 64}"\n',
            "must lie in the workshop folder",
        ),
        (
            WRENCH + SCALE + '[[adapter]]\nid = "m"\ntitle = "M"\nkind = "multiplier"\n'
            'drive = "1/2 in"\nratio = 4\n',
            "a multiplier needs ratio, efficiency_percent and efficiency_uncertainty_percent",
        ),
        (
            WRENCH + SCALE + '[[adapter]]\nid = "m"\ntitle = "M"\ndrive = "1/2 in"\n',
            "an open end needs length_mm",
        ),
        (
            WRENCH + SCALE + '[[adapter]]\nid = "m"\ntitle = "M"\nkind = "extension"\n'
            'drive = "1/2 in"\nratio = 3\n',
            "ratio and efficiency are for a multiplier only",
        ),
        (
            WRENCH + SCALE + '[[test_device]]\nid = "t"\ntitle = "T"\ndrive = "1/2 in"\n'
            'unit = "N·m"\nlow = 10\nhigh = 100\nstep = 0.1\nuncertainty_percent = 1\n',
            "uncertainty_percent and k belong together",
        ),
        (
            WRENCH + SCALE + '[[test_device]]\nid = "t"\ntitle = "T"\ndrive = "1/2 in"\n'
            'unit = "N·m"\nlow = 100\nhigh = 10\nstep = 0.1\n',
            "low 100 must be smaller than high 10",
        ),
    ],
)
def test_what_cannot_be_is_refused_in_words(text: str, said: str) -> None:
    with pytest.raises(BadFile) as caught:
        load_drawer(text.encode(), "drawer.toml")
    assert said in str(caught.value)
