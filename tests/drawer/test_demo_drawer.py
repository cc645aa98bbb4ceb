"""The invented workshop's drawer can do the invented workshop's jobs."""

from __future__ import annotations

import datetime as dt
from importlib import resources

import pytest

from clampwright.drawer import Demand, choose, load_drawer
from clampwright.drawer.tools import WRENCHES

DATA = resources.files("clampwright.demo").joinpath("workshop/drawer.toml").read_bytes()
DRAWER = load_drawer(DATA, "drawer.toml")
DAY = dt.date(2026, 11, 25)


def test_it_says_that_it_is_invented() -> None:
    assert DRAWER.invented
    assert b"invented" in DATA


def test_five_wrenches_of_all_four_kinds_and_the_plain_tools() -> None:
    kinds = [tool.kind for tool in DRAWER.tools]
    assert {*kinds} == {*WRENCHES, "bar", "ratchet", "angle_gauge"}
    assert sum(kind in WRENCHES for kind in kinds) == 5
    assert [one.kind for one in DRAWER.adapters] == [
        "open_end",
        "multiplier",
        "universal_joint",
        "extension",
    ]
    assert [one.id for one in DRAWER.stretch_gauges] == ["bolt-micrometer"]


def test_two_scales_in_other_units() -> None:
    assert {scale.unit for tool in DRAWER.tools for scale in tool.scales} == {
        "N·m",
        "ft·lbf",
        "in·lbf",
    }
    assert len(DRAWER.tool("click-150ft").scales) == 2


@pytest.mark.parametrize("torque", [8, 12, 25, 30, 45, 60, 90, 110, 200])
@pytest.mark.parametrize("harm_level", [1, 2])
def test_every_stage_has_a_usable_wrench(torque: float, harm_level: int) -> None:
    demand = Demand("torque", torque, torque * 0.96, torque * 1.04, harm_level=harm_level)
    best = choose(DRAWER, demand, today=DAY)[0]
    assert best.usable
    assert best.setting is not None
    assert demand.wanted().holds(best.setting.torque_at_fastener)


def test_one_is_out_of_calibration() -> None:
    out = [
        tool.id
        for tool in DRAWER.tools
        if tool.calibration is not None and tool.calibration.due_on < DAY
    ]
    assert out == ["beam-200"]
    beam = next(
        one
        for one in choose(DRAWER, Demand("torque", 110.0), today=DAY)
        if one.tool.id == "beam-200"
    )
    assert [str(reason) for reason in beam.blockers] == ["its calibration ran out on 2026-04-02"]


def test_one_has_drifted_and_is_set_lower_for_it() -> None:
    for torque in (25.0, 45.0, 58.0):
        fit = next(
            one
            for one in choose(DRAWER, Demand("torque", torque), today=DAY)
            if one.tool.id == "click-60"
        )
        assert fit.setting is not None
        assert fit.setting.value < torque
        assert fit.setting.torque_at_fastener == pytest.approx(torque, rel=0.012)


def test_angles_are_done_by_the_electronic_wrench_or_bar_and_gauge() -> None:
    usable = [
        (one.tool.id, one.gauge and one.gauge.id)
        for one in choose(DRAWER, Demand("angle", angle_deg=90.0), today=DAY)
        if one.usable
    ]
    assert usable == [("electronic-200", None), ("bar-12", "gauge-12")]
    assert DRAWER.tool("electronic-200").trace


def test_the_adapter_fits_a_wrench_whose_length_is_known() -> None:
    adapter = DRAWER.adapters[0]
    best = choose(DRAWER, Demand("torque", 30.0, 28.8, 31.2), today=DAY, adapter=adapter)[0]
    assert best.tool.id == "click-60"
    assert best.setting is not None
    assert best.setting.value < 30.0 * 320 / 362
