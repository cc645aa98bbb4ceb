"""Drawer files: what is taken, and one clear message for each thing that is wrong."""

from __future__ import annotations

import datetime as dt

import pytest

from clampwright.drawer import Drawer, load_drawer
from clampwright.errors import BadFile

REQUIRED = {
    "id": 'id = "c60"',
    "title": 'title = "Click wrench"',
    "kind": 'kind = "click"',
    "drive": 'drive = "3/8 in"',
}
SCALE = {
    "unit": 'unit = "N·m"',
    "low": "low = 10",
    "high": "high = 60",
    "main_step": "main_step = 5",
}


def text(scale: str = "", tool: str = "", tail: str = "", *, without: str = "") -> str:
    """Return a drawer file with one wrench: the fewest keys, less one, plus what is given."""
    head = [line for key, line in REQUIRED.items() if key != without]
    marks = [line for key, line in SCALE.items() if key != without]
    parts = ["[[tool]]", *head, tool, "[[tool.scale]]", *marks, scale, tail]
    return "\n".join(part for part in parts if part)


CALIBRATION = """
[tool.calibration]
date = 2025-01-10
uncertainty_percent = 1.2
k = 2
"""


def load(content: str, today: dt.date | None = None) -> Drawer:
    return load_drawer(content.encode(), "drawer.toml", today=today)


def refusal(content: str, today: dt.date | None = None) -> BadFile:
    with pytest.raises(BadFile) as caught:
        load(content, today)
    return caught.value


def test_eight_keys_make_a_wrench() -> None:
    assert len(REQUIRED) + len(SCALE) == 8
    tool = load(text()).tools[0]
    assert (tool.directions, tool.calibration, tool.uses) == (("cw",), None, None)
    assert (tool.scales[0].low, tool.scales[0].high, tool.scales[0].step) == (10, 60, 5)


@pytest.mark.parametrize("key", [*REQUIRED, *SCALE])
def test_each_of_the_eight_is_needed(key: str) -> None:
    error = refusal(text(without=key))
    assert f".{key} is missing" in str(error)
    assert error.line is not None


def test_everything_that_can_be_said() -> None:
    tool = load(
        text(
            scale="fine_step = 0.5",
            tool='directions = ["cw", "ccw"]\nuses = 12\nlength_mm = 320\npivot_mm = 30\n'
            'repeatability_percent = 0.5\nnote = "n"\nstiffness_Nm_per_deg = 40',
            tail=CALIBRATION
            + "every_months = 6\nincludes_resolution = true\npoint = [\n"
            + '{ set = 20, reference = 20.5, direction = "cw" },\n'
            + '{ set = 20, deviation_percent = 1, direction = "ccw", k = 3,'
            + " uncertainty_percent = 3 },\n]",
        )
    ).tools[0]
    assert (tool.uses, tool.length, tool.pivot, tool.stiffness) == (12, 320, 30, 40)
    assert (tool.repeatability, tool.note) == (0.5, "n")
    calibration = tool.calibration
    assert calibration is not None
    assert calibration.due_on == dt.date(2025, 7, 10)
    clockwise, other = calibration.points
    assert clockwise.deviation == pytest.approx((20 - 20.5) / 20.5 * 100)
    assert clockwise.u_rel == pytest.approx(0.006)
    assert (other.deviation, other.direction) == (1.0, "ccw")
    assert other.u_rel == pytest.approx(0.01)


def test_points_in_the_unit_of_the_second_scale() -> None:
    tail = (
        '[[tool.scale]]\nunit = "lb-ft"\nlow = 10\nhigh = 40\nmain_step = 5\n'
        + CALIBRATION
        + 'unit = "ft-lb"\npoint = [{ set = 20, deviation_percent = 1 }]'
    )
    calibration = load(text(tail=tail)).tools[0].calibration
    assert calibration is not None
    assert calibration.points[0].torque == pytest.approx(27.1163589666)


@pytest.mark.parametrize("drive", ["3/8", "3/8 in", '3/8\\"', "3/8 inch", "3/8in"])
def test_spellings_of_a_drive(drive: str) -> None:
    content = text().replace('drive = "3/8 in"', f'drive = "{drive}"')
    assert load(content).tools[0].drive == "3/8 in"


def test_adapter() -> None:
    content = text() + (
        '\n[[adapter]]\nid = "open"\ntitle = "Open-end"\ndrive = "3/8"\nlength_mm = 42\n'
        "angle_deg = 90\n"
    )
    adapter = load(content).adapter("open")
    assert (adapter.drive, adapter.length, adapter.angle) == ("3/8 in", 42.0, 90.0)


POINT = "point = [{ set = 20, deviation_percent = -1 }]"

WRONG = {
    "unknown key": (
        text(tool="lenght_mm = 320"),
        6,
        "the key 'lenght_mm' is not known here; did you mean length_mm?",
    ),
    "unknown key in a scale": (
        text(scale="fine = 0.5"),
        11,
        "the key 'fine' is not known here; did you mean fine_step?",
    ),
    "unknown kind": (text().replace('"click"', '"clikc"'), 4, "it should be 'beam', 'dial'"),
    "unknown drive": (
        text().replace("3/8 in", "7/16"),
        5,
        "'7/16' is no drive; write one of 1/4 in, 3/8 in, 1/2 in, 3/4 in, 1 in",
    ),
    "bare pounds": (text().replace('"N·m"', '"lb"'), 7, "lb"),
    "a force for a torque": (text().replace('"N·m"', '"N"'), 7, "torque"),
    "low above high": (
        text().replace("low = 10", "low = 90"),
        6,
        "low 90 must be smaller than high 60",
    ),
    "marks that do not meet": (
        text().replace("high = 60", "high = 62"),
        6,
        "main marks every 5 from 10 do not meet 62; low and high are the lowest and highest main",
    ),
    "fine marks that do not meet": (
        text(scale="fine_step = 2"),
        6,
        "fine_step 2 does not divide main_step 5 into whole parts",
    ),
    "negative resolution": (
        text(scale="fine_step = -0.5"),
        11,
        "a step between marks must be above zero; -0.5 is not",
    ),
    "step of zero": (
        text().replace("main_step = 5", "main_step = 0"),
        10,
        "a step between marks must be above zero; 0 is not",
    ),
    "point outside the range": (
        text(tail=CALIBRATION + POINT.replace("20", "70")),
        1,
        "calibration point 70 N·m lies outside the scale, 10 to 60",
    ),
    "uncertainty missing": (
        text(tail=CALIBRATION.replace("uncertainty_percent = 1.2\n", "") + POINT),
        12,
        "point at 20: uncertainty_percent is missing; copy the expanded uncertainty from the cert",
    ),
    "k missing": (
        text(tail=CALIBRATION.replace("k = 2\n", "") + POINT),
        12,
        "point at 20: k is missing; the certificate states it beside the uncertainty, often k = 2",
    ),
    "neither reference nor deviation": (
        text(tail=CALIBRATION + "point = [{ set = 20 }]"),
        16,
        "point at 20: give either reference (what the device measured) or deviation_percent",
    ),
    "both reference and deviation": (
        text(tail=CALIBRATION + "point = [{ set = 20, reference = 20, deviation_percent = 1 }]"),
        16,
        "point at 20: give either reference (what the device measured) or deviation_percent",
    ),
    "unit of no scale": (
        text(tail=CALIBRATION + 'unit = "ft·lbf"\n' + POINT),
        1,
        "the calibration is in ft·lbf, the scales are in N·m; write the points in the unit of a",
    ),
    "direction the wrench lacks": (
        text(tail=CALIBRATION + 'direction = "ccw"\n' + POINT),
        1,
        "calibration point 20 N·m is for ccw, a direction this wrench does not have",
    ),
    "direction not said": (
        text(tool='directions = ["cw", "ccw"]', tail=CALIBRATION + POINT),
        1,
        'this wrench works both ways; say which one was calibrated, direction = "cw" or "ccw"',
    ),
    "the same point twice": (
        text(
            tail=CALIBRATION
            + "direction = 'cw'\n"
            + POINT.replace("}]", "}, {set = 20, deviation_percent = 2}]")
        ),
        1,
        "the points at 20 N·m and 20 N·m (cw) do not rise in both setting and reference",
    ),
    "due and interval": (
        text(tail=CALIBRATION + "due = 2026-01-10\nevery_months = 12"),
        12,
        "give either due or every_months, not both",
    ),
    "due before the date": (
        text(tail=CALIBRATION + "due = 2024-01-10"),
        12,
        "due 2024-01-10 lies before date 2025-01-10",
    ),
    "not a date": (
        text(tail=CALIBRATION.replace("2025-01-10", '"last spring"')),
        13,
        "valid date",
    ),
    "negative uses": (text(tool="uses = -1"), 6, "greater than or equal to 0"),
    "pivot without length": (
        text(tool="pivot_mm = 30"),
        1,
        "pivot_mm 30 needs a longer length_mm, from the square to the grip mark",
    ),
    "pivot beyond the grip": (
        text(tool="pivot_mm = 330\nlength_mm = 320"),
        1,
        "pivot_mm 330 needs a longer length_mm",
    ),
    "two scales of one unit": (
        text(tail="[[tool.scale]]\n" + "\n".join(SCALE.values())),
        1,
        "two scales have the same unit; write each unit once",
    ),
    "wrench without a scale": (
        "[[tool]]\n" + "\n".join(REQUIRED.values()),
        1,
        "kind 'click' needs a [[tool.scale]] table with unit, low, high and main_step",
    ),
    "bar with a scale": (
        text().replace('"click"', '"bar"'),
        1,
        "kind 'bar' shows no torque; leave scale and calibration out",
    ),
    "gauge without a step": (
        "[[tool]]\n" + "\n".join(REQUIRED.values()).replace('"click"', '"angle_gauge"'),
        1,
        "kind 'angle_gauge' needs an [tool.angle] table with step_deg",
    ),
    "click with an angle": (
        text(tool="angle = { step_deg = 1 }"),
        1,
        "kind 'click' shows no angle; leave angle out",
    ),
    "click with a trace": (
        text(tool="trace = true"),
        1,
        "only an electronic wrench gives a trace; leave trace out",
    ),
    "the same id twice": (
        text() + "\n" + text(),
        12,
        "the id 'c60' is used twice; give each its own",
    ),
    "no tool": ("invented = true", None, "tool is missing"),
}


@pytest.mark.parametrize(("content", "line", "message"), WRONG.values(), ids=WRONG.keys())
def test_bad_file_says_where_and_what(content: str, line: int | None, message: str) -> None:
    error = refusal(content)
    assert message in str(error)
    assert str(error).startswith("drawer.toml, line ")
    assert "\n" not in str(error)
    assert error.line == line


def test_calibration_dated_after_today() -> None:
    content = text(tail=CALIBRATION)
    error = refusal(content, dt.date(2025, 1, 9))
    assert str(error) == (
        "drawer.toml, line 13: the calibration of c60 is dated 2025-01-10, after today (2025-01-09)"
    )
    assert load(content, dt.date(2025, 1, 10)).tools[0].calibration is not None
    assert load(content).tools[0].calibration is not None
