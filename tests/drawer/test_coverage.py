"""Gaps and overlaps of a drawer, what would close most, and the chart of its ranges."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from clampwright.drawer import Adapter, AngleScale, Calibration, Demand, Drawer, Point, Scale, Tool
from clampwright.drawer.closing_gaps import suggest
from clampwright.drawer.coverage import Coverage, Need, coverage
from clampwright.errors import Missing
from clampwright.report.ranges_chart import ranges_chart
from clampwright.report.svg import PAPER
from clampwright.words import words

DAY = dt.date(2026, 10, 5)
NEWLY = Calibration(dt.date(2026, 9, 1), tuple(Point(t, 0.0, 0.005) for t in (40, 120, 200)))
CLICK = Tool("c", "Click", "click", "1/2 in", (Scale("N·m", 40, 200, 20, 2),), calibration=NEWLY)
BAR = Tool("b", "Bar", "bar", "1/2 in", directions=("cw", "ccw"))


def covered(drawer: Drawer, demand: Demand, **more: object) -> Coverage:
    need = replace(Need(words("the joint"), demand), **more)  # type: ignore[arg-type]  # members of one class
    return coverage(drawer, [need], today=DAY)


@pytest.mark.parametrize(
    ("tools", "demand", "gap", "said"),
    [
        ((CLICK,), Demand("torque", 90.0, 86.0, 94.0), "none", "Click"),
        ((CLICK,), Demand("torque", 12.0), "range", "no wrench reaches 12 N·m"),
        ((CLICK,), Demand("torque", 300.0), "range", "the nearest goes from 40 to 200 N·m"),
        ((CLICK,), Demand("torque", 90.0, direction="ccw"), "direction", "works anticlockwise"),
        ((CLICK,), Demand("check", high=50.0, check="running"), "kind", "shows a running torque"),
        ((CLICK,), Demand("angle", angle_deg=90.0), "kind", "turns by an angle"),
        ((CLICK,), Demand("loosen"), "kind", "no plain bar or ratchet"),
        ((BAR,), Demand("torque", 90.0), "kind", "there is no torque wrench"),
        ((CLICK,), Demand("torque", 90.0, 89.5, 90.5), "accuracy", "it allows ±0.6 %"),
        ((CLICK,), Demand("torque", 90.0, unit="ft·lbf"), "unit", "the procedure is in ft·lbf"),
        (
            (replace(CLICK, suspect="dropped"),),
            Demand("torque", 90.0, 86.0, 94.0),
            "trust",
            "only a tool that is not trusted today could do it: not to be trusted",
        ),
    ],
)
def test_each_gap_is_named(tools: tuple[Tool, ...], demand: Demand, gap: str, said: str) -> None:
    (one,) = covered(Drawer(tools), demand).needs
    assert (one.gap, said in str(one.words)) == (gap, True), str(one.words)
    assert (one.best is None) == (gap in {"range", "direction", "kind", "trust", "reach"})


def test_reach() -> None:
    demand = Demand("torque", 90.0, harm_level=3)
    strange = Adapter("a", "Open end", "3/8 in", 40.0)
    (one,) = covered(Drawer((CLICK,)), demand, adapter=strange).needs
    assert one.gap == "reach"
    (one,) = covered(Drawer((CLICK,)), demand, missing_adapter="open-17").needs
    assert (one.gap, one.best) == ("reach", None)
    assert "needs open-17, which the drawer does not have" in str(one.words)


def test_overlaps_tell_what_only_one_can_do() -> None:
    twin = replace(CLICK, id="d", title="Twin", calibration=None)
    small = Tool("s", "Small", "click", "1/2 in", (Scale("N·m", 5, 25, 5, 0.25),))
    demands = [Demand("torque", 90.0), Demand("torque", 90.0, harm_level=1)]
    needs = [Need(words("joint"), demand) for demand in demands]
    (pair,) = coverage(Drawer((CLICK, twin, small)), needs, today=DAY).overlaps
    assert {pair.one.id, pair.other.id} == {"c", "d"}
    assert pair.share == pytest.approx(1.0)
    assert (pair.only_one, pair.only_other) == (1, 0)  # without a calibration not for level 1


def needs_of(*demands: Demand) -> list[Need]:
    return [Need(words("joint"), demand) for demand in demands]


def test_the_suggested_tool_closes_what_it_says() -> None:
    needs = needs_of(
        Demand("torque", 8.0, 7.5, 8.5),
        Demand("torque", 12.0, 11.3, 12.7),
        Demand("torque", 22.0, 20.7, 23.3),
        Demand("torque", 600.0, 560.0, 640.0),
        Demand("torque", 90.0, 86.0, 94.0),
    )
    drawer = Drawer((CLICK,))
    found = coverage(drawer, needs, today=DAY)
    made = suggest(drawer, found, today=DAY)
    assert made is not None
    assert len(made.closes) == 3
    assert made.left == 1
    assert made.tool.kind == "click"
    (scale,) = made.tool.scales
    assert scale.low <= 8.0
    assert scale.high >= 22.0
    after = coverage(Drawer((*drawer.tools, made.tool)), needs, today=DAY)
    assert len(after.badly) == 1
    assert re.search(r"a click wrench from .* would close 3 of 4 gaps", str(made.words))


def test_a_running_torque_asks_for_one_that_shows() -> None:
    drawer = Drawer((CLICK,))
    found = coverage(
        drawer, needs_of(Demand("check", low=2.0, high=6.0, check="running")), today=DAY
    )
    made = suggest(drawer, found, today=DAY)
    assert made is not None
    assert made.tool.kind == "dial"


def test_an_angle_asks_for_a_gauge_on_the_bar() -> None:
    drawer = Drawer((CLICK, BAR))
    found = coverage(drawer, needs_of(Demand("angle", angle_deg=90.0)), today=DAY)
    made = suggest(drawer, found, today=DAY)
    assert made is not None
    assert (made.tool.kind, made.tool.drive) == ("angle_gauge", "1/2 in")


def test_harm_weighs() -> None:
    """One gap of level 1 outweighs two of level 3 at the other end of the scale."""
    needs = needs_of(
        Demand("torque", 600.0, 560.0, 640.0, harm_level=1),
        Demand("torque", 8.0, 7.5, 8.5, harm_level=3),
        Demand("torque", 9.0, 8.5, 9.5, harm_level=3),
    )
    found = coverage(Drawer((CLICK,)), needs, today=DAY)
    made = suggest(Drawer((CLICK,)), found, today=DAY)
    assert made is not None
    assert [one.need.torque for one in made.closes] == [600.0]


def test_nothing_to_close() -> None:
    needs = needs_of(Demand("torque", 90.0, 86.0, 94.0))
    found = coverage(Drawer((CLICK,)), needs, today=DAY)
    assert found.badly == ()
    assert suggest(Drawer((CLICK,)), found, today=DAY) is None
    assert coverage(Drawer(()), [], today=DAY) == Coverage((), ())


def test_the_chart_shows_every_wrench_and_every_need() -> None:
    gauge = Tool("g", "Gauge", "angle_gauge", "1/2 in", angle=AngleScale(2.0))
    fixed = Tool(
        "f", "Fixed <b>", "click", "1/2 in", (Scale("N·m", 90, 90, 90),), mechanism="fixed"
    )
    drawer = Drawer((CLICK, gauge, fixed))
    needs = needs_of(
        Demand("torque", 90.0, 86.0, 94.0),
        Demand("torque", 91.0, 86.0, 94.0),
        Demand("torque", 5.0),
        Demand("loosen"),
    )
    svg = ranges_chart(drawer, coverage(drawer, needs, today=DAY), look=PAPER)
    tree = ET.fromstring(svg)  # noqa: S314 - our own drawing
    texts = [element.text for element in tree.iter("{http://www.w3.org/2000/svg}text")]
    assert "Click" in texts
    assert "Fixed <b>" in texts
    assert "Gauge" not in texts
    assert "2" in texts  # two needs that share a sign
    assert tree.attrib["aria-label"].startswith("Ranges of 2 wrenches against 4 needs, of which 2")


def test_nothing_to_draw_is_said() -> None:
    with pytest.raises(Missing, match="no torque wrench and no torque"):
        ranges_chart(Drawer((BAR,)), coverage(Drawer((BAR,)), [], today=DAY))
