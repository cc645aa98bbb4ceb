"""Certificates as tables: taken by a small mapping, refused in one sentence."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from clampwright.drawer import Scale, Tool
from clampwright.drawer.calibration_entry import record_of
from clampwright.drawer.points_text import point_from
from clampwright.errors import ClampwrightError
from clampwright.work.certificate_table import read_certificate

DAY = dt.date(2026, 3, 1)
WRENCH = Tool("c", "Click", "click", "3/8 in", (Scale("N·m", 10, 60, 5, 0.5),))
BOTH = Tool("b", "Beam", "beam", "3/8 in", (Scale("N·m", 10, 60, 5),), directions=("cw", "ccw"))
GOOD = b"set [N.m],reference [N.m],uncertainty [%],k\n10,10.1,1.2,2\n60,62.1,1.2,2\n"

ENTITY_BOMB = b"""<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb">
<!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;">]><a>&c;</a>"""
OUTSIDE_ENTITY = (
    b"""\xef\xbb\xbf <!DOCTYPE a [<!ENTITY x SYSTEM "file:///etc/passwd">]><a>&x;</a>"""
)


def enter(tool: Tool = WRENCH, **given: Any) -> object:
    known: dict[str, Any] = {
        "date": DAY, "today": DAY, "found": [{"set": 60, "reference": 62.1}],
        "uncertainty_percent": 1.2, "k": 2,
    }  # fmt: skip
    return record_of(tool, **{**known, **given})


def test_a_table_with_the_usual_titles_needs_no_mapping() -> None:
    table = read_certificate(GOOD, "c.csv")
    assert table.unit == "N·m"
    record = record_of(WRENCH, date=DAY, today=DAY, found=table.found, unit=table.unit)
    assert [point.shown for point in record.found] == [10.0, 60.0]
    assert record.found[1].deviation == pytest.approx((60 - 62.1) / 62.1 * 100)
    assert record.found[0].u == pytest.approx(0.6)


def test_other_titles_are_named_and_states_and_directions_are_told_apart() -> None:
    text = """# lab report
Soll (N·m);Ist (N·m);Messunsicherheit (N·m);k;direction;state
60;62,1;0,6;2;right;as found
60;60,1;0,6;2;left;left
"""
    columns = {"set": "Soll", "reference": "Ist", "uncertainty": "Messunsicherheit"}
    table = read_certificate(text.encode(), "c.csv", columns=columns)
    assert table.found[0]["direction"] == "cw"
    assert table.left[0]["direction"] == "ccw"
    assert table.found[0]["uncertainty_percent"] == pytest.approx(0.6 / 62.1 * 100)
    record = record_of(BOTH, date=DAY, today=DAY, found=table.found, left=table.left)
    assert record.adjusted


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"unit": "ft·lbf"}, "the calibration is in ft·lbf, the scales are in N·m"),
        ({"found": [{"set": 70, "reference": 71}]}, "70 N·m lies outside the scale, 10 to 60"),
        ({"uncertainty_percent": None}, "uncertainty_percent is missing"),
        ({"uncertainty_percent": -1}, "uncertainty_percent '-1' cannot be taken"),
        ({"k": None}, "k is missing"),
        ({"direction": "ccw"}, "for ccw, a direction this wrench does not have"),
        ({"date": DAY + dt.timedelta(days=1)}, "dated 2026-03-02, after today"),
        ({"found": [{"set": 60}]}, "give either reference"),
        ({"found": [{"set": 60, "reference": -2}]}, "greater than 0"),
        ({"found": []}, "give at least one point"),
        ({"found": [{"set": 60, "reference": 62}, {"set": 60, "reference": 61}]}, "do not rise"),
        ({"due": dt.date(2026, 1, 1)}, "lies before date"),
        ({"due": dt.date(2027, 1, 1), "months": 6}, "not both"),
    ],
)
def test_a_certificate_that_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    with pytest.raises(ClampwrightError, match=said):
        enter(**given)


def test_mixed_directions_must_be_told_apart() -> None:
    points: list[dict[str, Any]] = [{"set": 60, "reference": 62.1}, {"set": 60, "reference": 58.0}]
    with pytest.raises(ClampwrightError, match="this wrench works both ways"):
        enter(BOTH, found=points)
    points = [{**points[0], "direction": "cw"}, {**points[1], "direction": "ccw"}]
    enter(BOTH, found=points)


@pytest.mark.parametrize("hostile", [ENTITY_BOMB, OUTSIDE_ENTITY])
def test_xml_is_refused_without_being_read(hostile: bytes) -> None:
    with pytest.raises(ClampwrightError, match="is XML, which is not read here"):
        read_certificate(hostile, "dcc.xml")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (b"set [N.m],reference [ft.lbf],uncertainty,k\n60,62,1,2\n", "write both in one unit"),
        (b"set [s],reference [s],uncertainty,k\n60,62,1,2\n", "is a time, but a torque"),
        (b"set,reference,k\n60,62,2\n", "no column tells uncertainty"),
        (b"reference,uncertainty,k\n62,1,2\n", "no column tells set"),
        (b"set,uncertainty,k\n60,1,2\n", "reference"),
        (b"set,reference,deviation,uncertainty\n60,62,1,2\n", "reference"),
        (b"set,reference,uncertainty,k\n60,62,x,2\n", "line 2, column 3"),
        (b"set,reference,uncertainty,direction\n60,62,1,up\n", "'up' is no direction"),
        (b"set,reference,uncertainty,state\n60,62,1,new\n", "'new' is no state"),
        (b"set [N.m],reference [N.m],uncertainty [s]\n60,62,1\n", "is a time, but a torque"),
        (b"\xff\xfe", "not UTF-8"),
        (b"set\n", "lines"),
    ],
)
def test_a_table_that_cannot_be_taken_says_where(text: bytes, said: str) -> None:
    with pytest.raises(ClampwrightError, match=said):
        read_certificate(text, "c.csv")


def test_a_mapping_names_what_is_there() -> None:
    with pytest.raises(ClampwrightError, match="nothing a column can be"):
        read_certificate(GOOD, "c.csv", columns={"colour": "set"})
    with pytest.raises(ClampwrightError, match="no column 'Soll'"):
        read_certificate(GOOD, "c.csv", columns={"set": "Soll"})


@pytest.mark.parametrize("text", ["60", "60 62", "= 3", "60 = -3 Nm", "sixty = 60"])
def test_a_point_written_otherwise_is_asked_for_again(text: str) -> None:
    with pytest.raises(ClampwrightError, match="such as 60 ="):
        point_from(text)
