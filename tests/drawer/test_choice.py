"""The whole drawer, best first."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import Adapter, Demand, Drawer, choose, load_drawer
from clampwright.errors import Refused

DRAWER = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
TODAY = dt.date(2025, 6, 1)


def test_every_tool_is_listed_once_and_usable_ones_come_first() -> None:
    results = choose(DRAWER, Demand("torque", 30.0, 28.0, 32.0), today=TODAY)
    assert sorted(one.tool.id for one in results) == sorted(tool.id for tool in DRAWER.tools)
    usable = [one.usable for one in results]
    assert usable == sorted(usable, reverse=True)
    assert [one.score for one in results] == sorted((one.score for one in results), reverse=True)
    assert all(one.reasons for one in results if not one.usable)
    assert results[0].tool.id == "click"


def test_a_running_torque_goes_to_the_small_dial() -> None:
    demand = Demand("check", low=3.0, high=8.0, check="running")
    assert [one.tool.id for one in choose(DRAWER, demand, today=TODAY) if one.usable] == ["dial"]


def test_loosening_goes_to_the_bar() -> None:
    assert choose(DRAWER, Demand("loosen"), today=TODAY)[0].tool.id == "bar"


def test_an_angle_gives_combinations() -> None:
    second = replace(DRAWER.tool("gauge"), id="gauge-2", drive="3/8 in")
    third = replace(DRAWER.tool("gauge"), id="gauge-3")
    drawer = Drawer((*DRAWER.tools, second, third))
    results = choose(drawer, Demand("angle", angle_deg=90.0), today=TODAY)
    pairs = [(one.tool.id, one.gauge.id if one.gauge else None) for one in results if one.usable]
    assert pairs == [
        ("electronic", None),
        ("bar", "gauge"),
        ("bar", "gauge-3"),
        ("ratchet", "gauge-2"),
    ]


def test_a_bar_without_a_fitting_gauge_is_listed_with_its_reason() -> None:
    drawer = Drawer((DRAWER.tool("ratchet"), DRAWER.tool("gauge")))
    results = choose(drawer, Demand("angle", angle_deg=90.0), today=TODAY)
    assert [one.tool.id for one in results] == ["ratchet", "gauge"]
    assert str(results[0].reasons[0]) == "it needs an angle gauge with the same square"


def test_the_adapter_s_drive_narrows_the_choice() -> None:
    adapter = Adapter("open", "Open-end adapter", "3/8 in", 40.0)
    results = choose(DRAWER, Demand("torque", 30.0), today=TODAY, adapter=adapter)
    assert [one.tool.id for one in results if one.usable] == ["click"]


def test_equals_keep_the_order_of_the_drawer() -> None:
    twins = tuple(replace(DRAWER.tool("click"), id=f"click-{i}") for i in range(4))
    results = choose(Drawer(twins), Demand("torque", 30.0), today=TODAY)
    assert [one.tool.id for one in results] == [tool.id for tool in twins]


def test_an_empty_hand_is_no_error() -> None:
    assert choose(Drawer(()), Demand("torque", 30.0), today=TODAY) == ()


def test_tools_and_adapters_by_id() -> None:
    assert DRAWER.tool("beam").kind == "beam"
    with pytest.raises(Refused, match="the drawer has no 'baem'; it has click, beam, dial"):
        DRAWER.tool("baem")
    with pytest.raises(Refused, match="the drawer has no 'x'; it has -"):
        DRAWER.adapter("x")
