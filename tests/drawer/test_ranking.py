"""The quick ranking of many tools gives the answers of the slow one that tells the reasons."""

from __future__ import annotations

import datetime as dt
import random
from dataclasses import replace
from pathlib import Path

import pytest

from clampwright.drawer import (
    Adapter,
    Calibration,
    Demand,
    Drawer,
    Point,
    Scale,
    Tool,
    choose,
    load_drawer,
)
from clampwright.drawer.calibration import Direction
from clampwright.drawer.happened import Happened, event_rules
from clampwright.drawer.ranking import Choices, Ranker
from clampwright.drawer.tools import DRIVES

TODAY = dt.date(2026, 10, 5)
SHELF = load_drawer((Path(__file__).parent / "shelf.toml").read_bytes(), "shelf.toml")
UNITS = ("N·m", "ft·lbf", "in·lbf", "kgf·m")
ADAPTERS = (
    Adapter("open", "Open end", "1/2 in", 45.0, highest=150.0),
    Adapter("bent", "Bent joint", "1/2 in", angle=20.0, kind="universal_joint"),
    Adapter(
        "gear", "Multiplier", "1/2 in", kind="multiplier", ratio=4.0, efficiency=0.9,
        u_efficiency=0.02, highest=700.0,
    ),
)  # fmt: skip


def a_calibration(draw: random.Random, scales: tuple[Scale, ...]) -> Calibration | None:
    if draw.random() < 0.2:
        return None
    date = TODAY - dt.timedelta(days=draw.choice([-20, 10, 200, 500]))
    scale = scales[0]
    points = []
    ways: list[tuple[Direction, ...]] = [(), ("cw",), ("cw", "ccw"), ("ccw",)]
    for direction in draw.choice(ways):
        count = 1 if scale.low == scale.high else draw.choice([1, 2, 3, 5])
        low = max(scale.low, 0.2 * scale.high)
        for place in range(count):
            value = scale.high if count == 1 else low + (scale.high - low) * place / (count - 1)
            deviation = draw.choice([0.0, 0.4, -1.3, 2.6, -4.5, 6.5])
            points.append(
                Point(value * scale.size, deviation, draw.choice([0.003, 0.01]), direction)
            )
    return Calibration(date, tuple(points), includes_resolution=draw.random() < 0.3)


def a_wrench(draw: random.Random, name: str) -> Tool:
    kind = draw.choice(["beam", "dial", "click", "electronic"])
    high = draw.choice([10.0, 25.0, 60.0, 150.0, 200.0, 400.0])
    low = draw.choice([0.0, 0.1, 0.2]) * high
    unit, other = draw.sample(UNITS, 2)
    scales: tuple[Scale, ...] = (
        Scale(unit, low, high, high / 10, draw.choice([None, high / 50, high / 100])),
    )
    mechanism = "screw"
    if kind == "click" and draw.random() < 0.2:
        mechanism, scales = "fixed", (Scale(unit, high, high, high),)
    elif draw.random() < 0.3:
        scales += (Scale(other, 0.2 * high, high, high / 10, high / 40),)
    rules = [rule.name for rule in event_rules().values() if rule.spread and not rule.needs_count]
    doubts = (Happened(draw.choice(rules), TODAY),) if draw.random() < 0.2 else ()
    return Tool(
        name,
        name,
        kind,  # type: ignore[arg-type]  # one of the literals
        draw.choice(DRIVES[1:4]),
        scales,
        draw.choice([("cw",), ("cw", "ccw"), ("ccw",)]),
        a_calibration(draw, scales),
        draw.choice([None, 100, 9000]),
        draw.choice([None, 420.0]),
        draw.choice([0.0, 30.0]),
        draw.choice([None, 0.6]),
        mechanism=mechanism,  # type: ignore[arg-type]  # one of the literals
        suspect=draw.choice(["", "", "", "dropped"]),
        doubts=doubts,
    )


def a_demand(draw: random.Random) -> Demand:
    torque = draw.choice([3.0, 9.5, 18.0, 24.99, 25.0, 45.2, 60.0, 90.0, 150.0, 199.7, 420.0])
    if draw.random() < 0.3:
        return Demand(
            "check",
            low=draw.choice([0.7 * torque, None]),
            high=torque,
            unit=draw.choice(UNITS),
            direction=draw.choice(["cw", "ccw"]),
            harm_level=draw.choice([1, 2, 3]),
            check=draw.choice(["running", "rotating", "ceiling"]),
        )
    low, high = draw.choice([(None, None), (0.96, 1.04), (0.995, 1.005), (0.9, None), (None, 1.1)])
    return Demand(
        "torque",
        torque,
        None if low is None else torque * low,
        None if high is None else torque * high,
        unit=draw.choice(UNITS),
        direction=draw.choice(["cw", "ccw"]),
        harm_level=draw.choice([1, 2, 3]),
    )


@pytest.mark.parametrize("seed", range(12))
def test_quick_and_slow_agree_on_random_drawers(seed: int) -> None:
    draw = random.Random(seed)
    bars = tuple(tool for tool in SHELF.tools if not tool.is_wrench)
    tools = (*(a_wrench(draw, f"w{place}") for place in range(60)), *bars)
    drawer = Drawer(tools, ADAPTERS)
    ranker = Ranker(drawer, TODAY)
    able = 0
    for _ in range(12):
        demand, adapter = a_demand(draw), draw.choice([None, None, *ADAPTERS])
        slow = choose(drawer, demand, today=TODAY, adapter=adapter)
        quick = ranker.choose(demand, adapter)
        known = {_named(one): one for one in slow}
        for place, one in enumerate(quick.combinations):
            same = known[one[0].id, one[2].id if one[2] else None]
            assert quick.usable[place] == same.usable, (same.reasons, demand)
            assert quick.scores[place] == pytest.approx(same.score, rel=1e-9, abs=1e-7)
        assert len(quick) == len(slow)
        assert [one.usable for one in quick] == [one.usable for one in slow]
        assert [one.score for one in quick] == pytest.approx([one.score for one in slow])
        able += sum(quick.usable)
    assert able > 10, "the drawers of this seed can do something"


def _named(one: object) -> tuple[str, str | None]:
    from clampwright.drawer import Fitness  # noqa: PLC0415 - for the type only

    assert isinstance(one, Fitness)
    return one.tool.id, one.adapter.id if one.adapter else None


@pytest.mark.parametrize(
    "demand",
    [
        Demand("angle", angle_deg=90.0),
        Demand("angle", angle_deg=45.0),
        Demand("loosen"),
        Demand("snug"),
        Demand("check", low=3.0, high=8.0, check="running"),
        Demand("torque", 30.0, 28.0, 32.0),
    ],
)
def test_other_stages_too(demand: Demand) -> None:
    slow = choose(SHELF, demand, today=dt.date(2025, 6, 1))
    assert Ranker(SHELF, dt.date(2025, 6, 1)).choose(demand) == slow


def test_choices_are_a_sequence_that_tells_on_demand() -> None:
    told: list[str] = []
    found = Ranker(SHELF, dt.date(2025, 6, 1)).choose(Demand("torque", 30.0, 28.0, 32.0))
    make = found._make

    def listening(one: object) -> object:
        made = make(one)  # type: ignore[arg-type]  # handed on
        told.append(made.tool.id)
        return made

    lazy = Choices(found.combinations, found.usable, found.scores, listening)  # type: ignore[arg-type]  # as above
    assert lazy.best is not None
    assert told == ["click"]
    moved = lazy.with_first(2)
    assert moved[0].tool.id == found[2].tool.id
    assert [one.tool.id for one in moved[:2]] == [found[2].tool.id, found[0].tool.id]
    assert moved[-1] == found[-1]
    with pytest.raises(IndexError):
        moved[99]


def test_equals_keep_the_order_of_the_drawer() -> None:
    twins = tuple(replace(SHELF.tool("click"), id=f"click-{i}") for i in range(4))
    found = Ranker(Drawer(twins), dt.date(2025, 6, 1)).choose(Demand("torque", 30.0))
    assert [one[0].id for one in found.combinations] == [tool.id for tool in twins]


def test_an_empty_drawer_ranks_nothing() -> None:
    assert len(Ranker(Drawer(()), TODAY).choose(Demand("torque", 30.0))) == 0
