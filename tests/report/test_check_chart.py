"""The chart of checks tells by shape what leaves its limits."""

from __future__ import annotations

import datetime as dt
from xml.etree import ElementTree as ET

from clampwright.drawer.check_record import CheckRecord
from clampwright.drawer.check_series import check_series
from clampwright.report.check_chart import check_chart

SVG = "{http://www.w3.org/2000/svg}"


def test_rings_are_checks_and_squares_are_signals() -> None:
    checks = [
        CheckRecord(dt.date(2026, 1, 1 + n), "t", "N·m", ((80.0, 80.0),), value, 0.3, 0.1, "agrees")
        for n, value in enumerate((0.1, 0.0, 0.2, 2.0, 2.5))
    ]
    series = check_series(checks, target=0.0)
    drawn = ET.fromstring(check_chart(series, 4.0))  # noqa: S314 - this program's own drawing
    signals = len(series.signals)
    assert signals == 2
    assert len(drawn.findall(f"{SVG}circle")) == 5 - signals
    assert len(drawn.findall(f"{SVG}rect")) == 1 + signals
    assert drawn.attrib["aria-label"] == "5 checks; 2 of them leave the limits"
    text = " ".join(node.text or "" for node in drawn.findall(f"{SVG}text"))
    assert "+4 %" in text
    assert "2026-01-01" in text
