"""Pulls of one stage over one another: counted from snug, the odd one broken and named."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from clampwright.report.axes import Style
from clampwright.report.marked import Marked
from clampwright.report.overlay import BEFORE_SNUG, Recorded, overlay_chart
from clampwright.trace.model import Trace


def recorded(label: str, *, run_down: float, after: float, verdict: str) -> Recorded:
    """Turn freely, then rise by 1 N·m per degree; snug is where it begins to rise."""
    turned = np.linspace(0.0, run_down + after, 1200)
    torque = np.clip(turned - run_down, 0.0, None) + 0.5
    marked = Marked(verdict, (), "angle", 40.0, 50.0, snug_angle=run_down, turned_after_snug=after)
    return Recorded(label, Trace(np.arange(1200) / 200, torque, turned, "output"), marked)


PULLS = [
    recorded("1", run_down=90.0, after=45.0, verdict="within"),
    recorded("2", run_down=200.0, after=46.0, verdict="within"),
    recorded("3", run_down=60.0, after=20.0, verdict="short"),
]


def layers(spec: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [layer for layer in spec["layer"] if layer["mark"]["type"] == kind]


def test_curves_are_counted_from_snug() -> None:
    lines = layers(overlay_chart(PULLS), "line")
    assert len(lines) == 3
    for line, after in zip(lines, (45.0, 46.0, 20.0), strict=True):
        values = line["data"]["values"]
        assert values[-1]["x"] == pytest.approx(after, abs=1.5)
        assert values[0]["x"] == pytest.approx(-BEFORE_SNUG, abs=1.0)
        for point in values:
            assert point["y"] == pytest.approx(max(point["x"], 0.0) + 0.5, abs=1.0)


def test_only_the_odd_one_is_broken_and_named() -> None:
    spec = overlay_chart(PULLS, style=Style(language="en"))
    assert [("strokeDash" in line["mark"]) for line in layers(spec, "line")] == [False, False, True]
    named = {text["mark"]["text"] for text in layers(spec, "text")}
    assert named == {"3", "least 40°", "most 50°"}
    assert [rule["encoding"]["x"]["datum"] for rule in layers(spec, "rule")] == [40.0, 50.0]


def test_it_has_no_heading_and_an_axis_that_says_what_it_counts() -> None:
    spec = overlay_chart(PULLS, style=Style(language="en"))
    assert "title" not in spec
    encoding = layers(spec, "line")[0]["encoding"]
    assert encoding["x"]["title"] == "angle after snug, degrees"
    low, high = encoding["x"]["scale"]["domain"]
    assert low == -BEFORE_SNUG
    assert high > 50.0
