"""Setting cards: the drawn marks add up to the setting, figures are large, words are only words."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree as ET

import pytest

from clampwright.drawer import Adapter, Scale, Tool, setting
from clampwright.errors import Refused
from clampwright.report.settingcard import WIDTH, setting_card
from clampwright.report.svg import PAPER

NS = "{http://www.w3.org/2000/svg}"
BEAM = Tool("b", "Beam", "beam", "1/2 in", (Scale("N·m", 40, 200, 20, 5),), ("cw", "ccw"))
DIAL = Tool("d", "Dial", "dial", "1/4 in", (Scale("in·lbf", 20, 200, 10, 2),), ("cw", "ccw"))
CLICK = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),), length=320)
TWO = Tool(
    "t",
    "Click, two scales",
    "click",
    "1/2 in",
    (Scale("ft·lbf", 20, 150, 10, 1), Scale("N·m", 30, 200, 10, 2)),
    length=480,
)
COARSE = Tool("k", "Click, coarse", "click", "1/2 in", (Scale("N·m", 20, 200, 10),))
DISPLAY = Tool("e", "Electronic", "electronic", "1/2 in", (Scale("N·m", 10, 200, 0.1),))
CAPITALS = 0.729  # height of figures and capitals of the shipped face, of the type size


def drawn(tool: Tool, torque: float, **given: object) -> ET.Element:
    clockwise = bool(given.pop("clockwise", True))
    direction = "cw" if clockwise else "ccw"
    card = setting_card(
        tool,
        setting(tool, torque, direction=direction, **given),  # type: ignore[arg-type]  # passed on
        clockwise=clockwise,
        look=PAPER,
        language="en",
    )
    return ET.fromstring(card)  # noqa: S314 - our own drawing, in a test


def group(card: ET.Element, name: str) -> ET.Element:
    (found,) = [g for g in card.iter(f"{NS}g") if g.attrib.get("class") == name]
    return found


def classed(card: ET.Element, name: str) -> ET.Element:
    (found,) = [t for t in card.iter(f"{NS}text") if t.attrib.get("class") == name]
    return found


def said(card: ET.Element) -> str:
    return " ".join(" ".join(card.itertext()).split())


def middle_of(text: ET.Element) -> float:
    return float(text.attrib["y"]) - 0.364 * float(text.attrib["font-size"])


@pytest.mark.parametrize("torque", [10.0, 12.5, 31.0, 32.0, 33.3, 44.4, 59.6, 60.0])
@pytest.mark.parametrize("tool", [CLICK, TWO])
def test_edge_and_sleeve_add_up_to_the_setting(tool: Tool, torque: float) -> None:
    wanted = setting(tool, max(torque, tool.scales[-1].low * 1.1))
    card = drawn(tool, max(torque, tool.scales[-1].low * 1.1))
    mains = group(card, "main-marks")
    total = float(classed(mains, "wanted").text or "")
    edge = max(
        float(x.attrib["x1"]) for x in mains.iter(f"{NS}line") if x.attrib["stroke-width"] == "8"
    )
    assert edge == 470  # the wanted main mark meets the edge of the sleeve
    if wanted.minor_marks:
        marks = group(card, "sleeve-marks")
        long_line = next(x for x in marks.iter(f"{NS}line") if x.attrib["stroke-width"] == "9")
        (on_line,) = [
            text for text in marks.iter(f"{NS}text") if float(text.attrib["font-size"]) > 80
        ]
        assert middle_of(on_line) == pytest.approx(float(long_line.attrib["y1"]), abs=0.02)
        total += float(on_line.text or "")
    assert total == pytest.approx(wanted.value)
    assert float(classed(card, "target").text or "") == pytest.approx(wanted.value)
    assert classed(card, "unit").text == wanted.scale_unit


def test_the_sleeve_goes_round_to_its_zero() -> None:
    marks = group(drawn(CLICK, 34.5), "sleeve-marks")
    figures = [t.text for t in marks.iter(f"{NS}text") if t.text != "2"]
    assert figures == ["4.0", "4.5", "0.0"]


def test_a_sleeve_without_marks_has_one_step() -> None:
    card = drawn(COARSE, 50.0)
    assert group(card, "main-marks") is not None
    assert not [g for g in card.iter(f"{NS}g") if g.attrib.get("class") == "sleeve-marks"]
    assert "Come up from below to 50." in said(card)


@pytest.mark.parametrize("clockwise", [True, False])
@pytest.mark.parametrize(("tool", "torque"), [(BEAM, 112.5), (BEAM, 60.0), (DIAL, 9.0)])
def test_the_pointer_stands_among_the_marks_where_it_should(
    tool: Tool, torque: float, *, clockwise: bool
) -> None:
    card = drawn(tool, torque, clockwise=clockwise)
    value = setting(tool, torque, direction="cw" if clockwise else "ccw").value
    line = group(card, "pointer").find(f"{NS}line")
    assert line is not None
    centre = (360.0, 310.0 if tool is DIAL else 620.0)
    pointer = _direction(centre, (float(line.attrib["x2"]), float(line.attrib["y2"])))
    labels = {
        float(t.text or ""): _direction(centre, (float(t.attrib["x"]), middle_of(t)))
        for t in group(card, "scale").iter(f"{NS}text")
    }
    below = max(v for v in labels if v <= value)
    above = min(v for v in labels if v > value)
    way = (labels[above] - labels[below]) % 360
    way = way if way < 180 else way - 360
    assert (way > 0) is clockwise
    share = ((pointer - labels[below] + 180) % 360 - 180) / way
    assert share == pytest.approx((value - below) / (above - below), abs=0.02)


def _direction(centre: tuple[float, float], point: tuple[float, float]) -> float:
    return math.degrees(math.atan2(point[0] - centre[0], centre[1] - point[1]))


@pytest.mark.parametrize("torque", [40.0, 60.0, 112.5, 115.0, 200.0])
@pytest.mark.parametrize("clockwise", [True, False])
def test_the_close_view_points_at_the_value(torque: float, *, clockwise: bool) -> None:
    view = group(drawn(BEAM, torque, clockwise=clockwise), "close-view")
    arrow = view.find(f"{NS}path")
    assert arrow is not None
    tip = float(re.match(r"M(\S+) ", arrow.attrib["d"])[1])  # type: ignore[index]  # it is a path
    labels = sorted((float(t.attrib["x"]), float(t.text or "")) for t in view.iter(f"{NS}text"))
    (x0, v0), (x1, v1) = labels[0], labels[-1]
    assert (v1 > v0) is clockwise
    assert v0 + (v1 - v0) * (tip - x0) / (x1 - x0) == pytest.approx(torque, abs=0.05)


def test_a_pointer_between_marks_keeps_its_half() -> None:
    card = drawn(BEAM, 112.5)
    assert classed(card, "target").text == "112.5"
    assert "Pull until the pointer stands midway between 110 and 115 N·m." in said(card)


@pytest.mark.parametrize(
    ("tool", "torque"), [(BEAM, 112.5), (DIAL, 9.0), (CLICK, 32.0), (TWO, 60.0), (DISPLAY, 104.5)]
)
def test_the_target_is_large_enough(tool: Tool, torque: float) -> None:
    card = drawn(tool, torque)
    figure, unit = classed(card, "target"), classed(card, "unit")
    size = float(figure.attrib["font-size"])
    assert CAPITALS * size >= 0.2 * WIDTH
    assert float(unit.attrib["font-size"]) >= size / 2 - 0.01
    assert 0.7 * size * len(figure.text or "") <= WIDTH


def test_two_scales_and_adapter_are_warned_of() -> None:
    card = drawn(TWO, 60.0, unit="ft·lbf", adapter=Adapter("a", "Open end 17 mm", "1/2 in", 60.0))
    assert "Two scales: use ft·lbf, not N·m." in said(card)
    assert "Only with the adapter Open end 17 mm, hand on the grip mark." in said(card)


def test_approach_from_below_and_lock_are_said() -> None:
    text = said(drawn(CLICK, 35.0))
    assert "Come up from below until the edge stands on 35" in text
    assert "If you went past, go well back and come up again. Then lock." in text


def test_nothing_is_told_by_colour_and_nothing_comes_from_outside() -> None:
    for tool, torque in ((BEAM, 60.0), (DIAL, 9.0), (CLICK, 32.0), (DISPLAY, 50.0)):
        svg = setting_card(tool, setting(tool, torque), look=PAPER)
        assert set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg)) <= {"#000000", "#ffffff", "none"}
        assert svg.count("http") == 1
        for word in ("href", "url(", "style", "script", "@import"):
            assert word not in svg
        assert svg == setting_card(tool, setting(tool, torque), look=PAPER)


def test_a_hostile_title_is_only_letters() -> None:
    tool = Tool("x", '</text><script>alert("1")</script>', "click", "3/8 in", CLICK.scales)
    svg = setting_card(tool, setting(tool, 30.0))
    assert "<script" not in svg
    assert "</text><script>alert" in said(ET.fromstring(svg))  # noqa: S314 - in a test


def test_a_plain_bar_has_no_card() -> None:
    bar = Tool("bar", "Long bar", "bar", "1/2 in")
    with pytest.raises(Refused, match="Long bar has no torque scale"):
        setting_card(bar, setting(CLICK, 30.0))
