"""The map: true to position, readable without colour, nothing a person typed can break it."""

from __future__ import annotations

import math
import re
import subprocess
import sys
from itertools import combinations
from xml.etree import ElementTree as ET

import pytest

from clampwright.errors import Missing, Refused
from clampwright.report.fasteners import STATES, draw
from clampwright.report.jointmap import APART, joint_map
from clampwright.report.svg import PAPER
from clampwright.report.view import TURNS, Turning, View, place_seen
from clampwright.words import words
from clampwright.work.layout import Layout, circle, grid, listed, row

NS = {"s": "http://www.w3.org/2000/svg"}
LAYOUTS = {
    "circle": circle(5, 114.3),
    "row": row(4, 60.0),
    "grid": grid(2, 5, 90.0, 110.0),
    "list": listed(((0.0, 0.0), (40.0, 5.0), (80.0, -30.0))),
    "single": listed(((0.0, 0.0),)),
}


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing, in a test


def fasteners(svg: str) -> dict[int, ET.Element]:
    found = parsed(svg).findall("s:g[@class='fastener']", NS)
    return {int(group.attrib["data-fastener"]): group for group in found}


def spots(svg: str) -> dict[int, tuple[float, float]]:
    number = re.compile(r"translate\((\S+) (\S+)\)")
    places = {}
    for n, group in fasteners(svg).items():
        match = number.fullmatch(group.attrib["transform"])
        assert match
        places[n] = (float(match[1]), float(match[2]))
    return places


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS.keys())
@pytest.mark.parametrize("turn", TURNS)
@pytest.mark.parametrize("mirror", [False, True])
def test_every_fastener_stands_where_it_is_seen(layout: Layout, turn: int, *, mirror: bool) -> None:
    drawn = spots(joint_map(layout, view=View(turn, mirror)))
    assert sorted(drawn) == list(layout.numbers)
    nearest = min((math.dist(a, b) for a, b in combinations(layout.positions, 2)), default=1.0)
    scale = APART / nearest
    for n, (x, y) in zip(layout.numbers, layout.positions, strict=True):
        flipped = -x if mirror else x
        expected = {
            0: (flipped, -y),  # the drawing's y grows downwards
            90: (y, flipped),  # what was at the top is at the right
            180: (-flipped, y),
            270: (-y, -flipped),
        }[turn]
        assert drawn[n] == pytest.approx([scale * value for value in expected], abs=0.06)


def test_numbers_and_words_stay_upright() -> None:
    svg = joint_map(LAYOUTS["grid"], order=(3, 8), view=View(270, mirror=True))
    assert "rotate(" not in svg
    assert "scale(" not in svg
    assert "matrix(" not in svg


@pytest.mark.parametrize(
    ("turning", "view", "clockwise"),
    [
        (Turning(), View(), True),
        (Turning(left_hand=True), View(), False),
        (Turning(loosen=True), View(), False),
        (Turning(left_hand=True, loosen=True), View(), True),
        (Turning(), View(mirror=True), False),
        (Turning(left_hand=True), View(mirror=True), True),
        (Turning(), View(180), True),
    ],
)
def test_the_arrow_shows_the_way_it_is_seen(
    turning: Turning, view: View, *, clockwise: bool
) -> None:
    svg = joint_map(LAYOUTS["circle"], states={1: "now"}, turning=turning, view=view)
    shape = fasteners(svg)[1].find("s:g", NS)
    assert shape is not None
    arcs = [path.attrib["d"] for path in shape.findall("s:path", NS) if "A" in path.attrib["d"]]
    assert len(arcs) == 2
    sweeps = {d.split("A")[1].split()[4] for d in arcs}  # SVG: 1 is clockwise
    assert sweeps == {"1" if clockwise else "0"}
    wanted = "counter-clockwise as" if not clockwise else "clockwise as"
    said = " ".join(parsed(svg).itertext())
    assert wanted in said
    assert ("counter-clockwise" in said) is not clockwise


def test_no_two_states_have_the_same_outline_and_none_uses_colour() -> None:
    outlines = {}
    for state in STATES:
        svg = draw(state, 7, PAPER)
        shape = parsed(f'<svg xmlns="{NS["s"]}">{svg}</svg>')[0]
        outlines[state] = (shape.tag, shape.attrib.get("d", "").count("L"))
        colours = set(re.findall(r'(?:fill|stroke)="([^"]+)"', svg))
        assert colours <= {PAPER.ink, PAPER.ground, "none"}
    assert len(set(outlines.values())) == len(STATES)
    assert 'class="tick"' in draw("done", 7, PAPER)
    assert ">?</text>" in draw("doubtful", 7, PAPER)


def test_states_order_and_next_are_said_in_words() -> None:
    svg = joint_map(
        LAYOUTS["circle"],
        states={1: "done", 3: "now"},
        order=(1, 3, 5, 2, 4),
        marks={4: words("over")},
        language="en",
    )
    labels = {
        e.attrib["data-label"]: e.text for e in parsed(svg).iter() if "data-label" in e.attrib
    }
    assert labels == {"1": "1.", "2": "4.", "3": "2. NOW", "4": "5. over", "5": "3. next"}
    titles = {n: group.findtext("s:title", "", NS) for n, group in fasteners(svg).items()}
    assert titles[3].endswith(", now")
    assert titles[1] == "1: at 12 o'clock, done"
    assert parsed(svg).attrib["aria-label"] == ("Map of the joint: now fastener 3; 1 of 5 done.")


def test_fasteners_left_out_of_a_pass_look_otherwise() -> None:
    svg = joint_map(LAYOUTS["row"], order=(2, 3))
    rings = {n: group.find("s:g/s:circle", NS) for n, group in fasteners(svg).items()}
    dotted = {
        n for n, ring in rings.items() if ring is not None and "stroke-dasharray" in ring.attrib
    }
    assert dotted == {1, 4}


def test_a_live_map_holds_every_state_and_shows_one() -> None:
    svg = joint_map(LAYOUTS["circle"], states={2: "done"}, live=True)
    for n, group in fasteners(svg).items():
        shapes = {g.attrib["class"]: g.attrib.get("display") for g in group.findall("s:g", NS)}
        assert set(shapes) == {f"shape {state}" for state in STATES}
        shown = [name for name, display in shapes.items() if display != "none"]
        assert shown == ["shape done" if n == 2 else "shape todo"]


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS.keys())
@pytest.mark.parametrize("turn", TURNS)
def test_words_beside_fasteners_cover_no_fastener_and_stay_inside(
    layout: Layout, turn: int
) -> None:
    svg = joint_map(layout, order=layout.numbers, states={1: "now"}, view=View(turn))
    left, top, width, height = (float(v) for v in parsed(svg).attrib["viewBox"].split())
    boxes = []
    for element in parsed(svg).iter():
        if "data-label" in element.attrib:
            size = float(element.attrib["font-size"])
            half = 0.33 * size * len(element.text or "")
            x, y = float(element.attrib["x"]), float(element.attrib["y"]) - 0.364 * size
            boxes.append((x - half, y - size / 2, x + half, y + size / 2))
    assert len(boxes) == layout.count
    for x0, y0, x1, y1 in boxes:
        assert left <= x0
        assert x1 <= left + width
        assert top <= y0
        assert y1 <= top + height
        for x, y in spots(svg).values():
            apart = math.dist((x, y), (min(max(x, x0), x1), min(max(y, y0), y1)))
            assert apart > 49
    for a, b in combinations(boxes, 2):
        assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1]


def test_hostile_words_are_only_letters() -> None:
    svg = joint_map(
        LAYOUTS["single"],
        marks={1: words("{text}", text='<script>alert(1)</script>"&\x00]]>')},
    )
    tree = parsed(svg)
    names = {element.tag.rpartition("}")[2] for element in tree.iter()}
    assert names <= {"svg", "g", "title", "text", "path", "circle", "rect", "line"}
    assert "<script>alert(1)</script>" in "".join(tree.itertext())


def test_the_drawing_asks_for_nothing_from_outside() -> None:
    svg = joint_map(LAYOUTS["grid"], states={1: "now"}, order=(1, 2))
    assert svg.count("http") == svg.count(NS["s"]) == 1
    for word in ("href", "url(", "style", "script", "@import"):
        assert word not in svg


def test_equal_calls_in_two_processes_give_equal_bytes() -> None:
    code = (
        "from clampwright.report.jointmap import joint_map\n"
        "from clampwright.work.layout import circle\n"
        "print(joint_map(circle(12, 300.0), states={3: 'now', 1: 'done'}, order=range(1, 13)))"
    )
    runs = {
        subprocess.run(
            [sys.executable, "-c", code],
            capture_output=True,
            check=True,
            env={"PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(runs) == 1
    assert runs.pop().startswith(b"<svg")


def test_a_number_the_joint_does_not_have_is_named() -> None:
    with pytest.raises(Missing, match="fastener 6, but the joint has 1 to 5"):
        joint_map(LAYOUTS["circle"], states={6: "done"})


def test_a_map_turns_by_quarters() -> None:
    with pytest.raises(Refused, match="not 45"):
        View(45)


@pytest.mark.parametrize(
    ("layout", "number", "view", "said"),
    [
        (circle(4, 100.0), 1, View(90), "at 3 o'clock"),
        (circle(4, 100.0), 2, View(mirror=True), "at 9 o'clock"),
        (row(4, 60.0), 1, View(180), "fourth from the left of 4"),
        (row(4, 60.0), 1, View(mirror=True), "fourth from the left of 4"),
        (row(4, 60.0), 1, View(90), "number 1 from the top, of 4"),
        (row(4, 60.0), 1, View(270), "number 4 from the top, of 4"),
        (grid(2, 5, 90.0, 110.0), 1, View(mirror=True), "top row, fifth from the left"),
        (grid(2, 5, 90.0, 110.0), 10, View(270), "top row, second from the left"),
    ],
)
def test_places_are_named_as_they_are_seen(
    layout: Layout, number: int, view: View, said: str
) -> None:
    assert str(place_seen(layout, number, view)) == said
