"""Charts: what is marked stands where it belongs, is said in words and needs no colour."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from clampwright.report.axes import Style, thinned
from clampwright.report.charts import chart_svg, charts_svg, torque_angle_chart, torque_time_chart
from clampwright.report.marked import Marked
from clampwright.report.stroke_marks import Bar
from clampwright.report.svg import PAGE, PAPER
from clampwright.trace.drawn import drawn
from clampwright.trace.given import Given
from clampwright.trace.model import Trace
from clampwright.trace.verdict import judge
from clampwright.words import as_data, words

SEATED, SLOPE = 60.0, 1.25  # degrees of run-down, then N·m/deg


def pull_to(angle: float) -> Trace:
    """Run down without torque, then rise in a straight line to an angle; turned square on."""
    turned = np.linspace(0.0, angle, 1500)
    torque = np.clip((turned - SEATED) * SLOPE, 0.0, None)
    return Trace(np.arange(1500) / 200, torque, turned, "output")


def body_of(trace: Trace, given: Given, limits: dict[str, Any]) -> dict[str, Any]:
    verdict = judge(trace, given)
    return {
        "verdict": verdict.verdict,
        "reasons": [as_data(reason) for reason in verdict.reasons],
        "limits": limits,
        "found": {
            key: str(value) if isinstance(value, float) else value
            for key, value in verdict.as_json().items()
        },
    }


TORQUE = pull_to(100.0)
GIVEN = Given(target_torque_Nm=50.0, torque_low=48.0, torque_high=52.0)
LIMITS = {
    "quantity": "torque",
    "target": {"value": "50", "unit": "N·m"},
    "low": {"value": "48", "unit": "N·m"},
    "high": {"value": "52", "unit": "N·m"},
}
MARKED = Marked.from_body(body_of(TORQUE, GIVEN, LIMITS))


def layers_of(spec: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    return [layer for layer in spec["layer"] if layer["mark"]["type"] == kind]


def texts(spec: dict[str, Any]) -> list[str]:
    return [layer["mark"]["text"] for layer in layers_of(spec, "text")]


def place(layer: dict[str, Any]) -> tuple[float, float]:
    (point,) = layer["data"]["values"]
    return point["x"], point["y"]


def test_end_and_snug_stand_on_the_curve() -> None:
    spec = torque_angle_chart(TORQUE, MARKED)
    shapes = {layer["mark"]["shape"]: place(layer) for layer in layers_of(spec, "point")}
    assert shapes["square"] == pytest.approx((100.0, 50.0), abs=0.5)
    x, y = shapes["circle"]
    assert y == pytest.approx((x - SEATED) * SLOPE, abs=1.5)


def test_limits_end_and_reasons_are_said() -> None:
    spec = torque_angle_chart(TORQUE, MARKED, style=Style(language="en"))
    said = texts(spec)
    assert "least 48.0 N·m" in said
    assert "most 52.0 N·m" in said
    assert "end 50.0 N·m" in said
    assert spec["title"]["text"] == "WITHIN"
    assert " ".join(spec["title"]["subtitle"]) == " ".join(str(r) for r in MARKED.reasons)
    rules = [layer["encoding"]["y"]["datum"] for layer in layers_of(spec, "rule")]
    assert rules == [48.0, 52.0]


def test_another_unit_changes_every_figure_on_the_torque_scale() -> None:
    spec = torque_angle_chart(TORQUE, MARKED, style=Style(unit="ft·lbf", language="en"))
    assert "end 36.9 ft·lbf" in texts(spec)  # 50.0 N·m / 1.3558179483
    rules = [layer["encoding"]["y"]["datum"] for layer in layers_of(spec, "rule")]
    assert rules == pytest.approx([48 / 1.3558179, 52 / 1.3558179], abs=1e-4)
    highest = max(point["y"] for point in layers_of(spec, "line")[0]["data"]["values"])
    assert highest == pytest.approx(50 / 1.3558179, rel=1e-3)


def test_angle_limits_count_from_snug() -> None:
    marked = Marked("within", (), "angle", 85.0, 95.0, snug_angle=4.0, turned_after_snug=90.0)
    spec = torque_angle_chart(pull_to(94.0), marked, style=Style(language="en"))
    assert [layer["encoding"]["x"]["datum"] for layer in layers_of(spec, "rule")] == [89.0, 99.0]
    assert {"least 85°", "most 95°"} <= set(texts(spec))
    low, high = spec["layer"][-1]["encoding"]["x"]["scale"]["domain"]
    assert low == 0
    assert high > 99.0


def test_a_slip_is_crossed_and_named_where_it_happened() -> None:
    trace = pull_to(100.0)
    at_the_end = Marked("void", final_torque=50.0, slips=(float(trace.time[-1]),))
    spec = torque_angle_chart(trace, at_the_end, style=Style(language="en"))
    assert [layer["mark"]["shape"] for layer in layers_of(spec, "point")] == ["cross"]
    assert "socket slipped" in texts(spec)
    on_the_way = Marked("void", final_torque=50.0, slips=(float(trace.time[1200]),))
    spec = torque_angle_chart(trace, on_the_way, style=Style(language="en"))
    shapes = {layer["mark"]["shape"]: place(layer)[0] for layer in layers_of(spec, "point")}
    assert shapes["cross"] == pytest.approx(trace.angle[1200], abs=0.1)
    assert shapes["square"] == pytest.approx(100.0, abs=0.1)


def test_the_end_is_where_the_turning_ended() -> None:
    trace = pull_to(100.0)
    when = float(trace.time[1200])
    marked = Marked("void", final_torque=30.0, slips=(when,), end_time=when)
    spec = torque_angle_chart(trace, marked, style=Style(language="en"))
    (mark,) = layers_of(spec, "point")
    assert mark["mark"]["shape"] == "cross"
    assert place(mark) == pytest.approx((float(trace.angle[1200]), 30.0), abs=0.1)
    everything, while_turning = (layer["data"]["values"] for layer in layers_of(spec, "line"))
    assert everything[-1]["x"] == pytest.approx(100.0, abs=0.1)
    assert while_turning[-1]["x"] == pytest.approx(float(trace.angle[1200]), abs=2.5)


def test_time_chart_runs_over_the_whole_recording() -> None:
    spec = torque_time_chart(TORQUE, MARKED, style=Style(language="en"))
    (line,) = layers_of(spec, "line")
    values = line["data"]["values"]
    assert (values[0]["x"], values[-1]["x"]) == (0.0, pytest.approx(TORQUE.time[-1]))
    assert line["encoding"]["x"]["title"] == "time, s"


@pytest.mark.parametrize("verdict", ["within", "short", "over", "doubtful", "void", "not known"])
def test_nothing_is_told_by_colour(verdict: str) -> None:
    spec = torque_angle_chart(TORQUE, Marked(verdict, final_torque=50.0, low=48.0, high=52.0))
    assert spec["title"]["text"] == verdict.upper()
    colours = set(re.findall(r"#[0-9a-fA-F]{3,8}\b", json.dumps(spec)))
    assert colours == {PAPER.ink, PAPER.ground}


def test_a_nameless_trace_without_findings_can_be_drawn() -> None:
    body = {"verdict": "not known", "reasons": [as_data(words("nothing seen"))], "limits": {}}
    spec = torque_angle_chart(TORQUE, Marked.from_body(body))
    assert layers_of(spec, "point") == []
    assert spec["title"]["subtitle"] == ["nothing seen"]


@pytest.mark.parametrize("count", [5, 599, 600, 601, 40_000])
def test_thinning_keeps_first_last_and_extremes(count: int) -> None:
    rng = np.random.default_rng(20260101)
    values = rng.normal(size=count).cumsum()
    kept = thinned(values, 600)
    assert len(kept) <= 600
    assert (kept[0], kept[-1]) == (0, count - 1)
    assert (np.diff(kept) > 0).all()
    assert values[kept].max() == values.max()
    assert values[kept].min() == values.min()


def test_thinning_loses_no_lone_spike() -> None:
    for where in range(0, 5000, 37):
        values = np.zeros(5000)
        values[where] = 1.0
        assert where in thinned(values, 100)


def test_svg_is_the_same_in_two_processes_and_holds_the_words() -> None:
    spec = torque_angle_chart(TORQUE, MARKED, style=Style(language="en"))
    first, second = chart_svg(spec), chart_svg(spec)
    assert first == second
    for said in ("WITHIN", "least 48.0 N·m", "end 50.0 N·m", "torque, N·m"):
        assert said in first
    assert "href" not in first
    assert "DejaVu Sans" in first


def test_svg_can_take_the_colours_of_the_page() -> None:
    spec = torque_angle_chart(TORQUE, MARKED, style=Style(look=PAGE))
    (svg,) = charts_svg([spec])
    assert 'stroke="currentColor"' in svg
    assert f'fill="{PAGE.ground}"' in svg
    assert "#000" not in svg


def test_hostile_reasons_stay_words() -> None:
    marked = Marked("doubtful", (words("{a}", a="</text><script>alert(1)</script>"),))
    svg = chart_svg(torque_angle_chart(TORQUE, marked))
    assert "<script" not in svg
    assert "&lt;script&gt;" in svg


def test_no_charts_need_no_process() -> None:
    assert charts_svg([]) == []


STROKES = (Bar(0.5, 2.0, 40.0), Bar(3.0, 4.4, 35.0), Bar(4.6, 4.62, 1.0, slipped=True))


def test_strokes_stand_along_the_top_of_both_charts_with_what_they_turned() -> None:
    case = drawn(31, "normal")
    found = judge(case.trace, case.given)
    assert len(found.strokes) == 4
    by_angle = torque_angle_chart(case.trace, Marked("within", final_torque=59.8))
    said = [text for text in texts(by_angle) if text[:2] in {"1:", "2:", "3:", "4:"}]
    turned_in = [round(stroke.turned_deg) for stroke in found.strokes]
    assert list(dict.fromkeys(said)) == [f"{k}: {t}°" for k, t in enumerate(turned_in, 1)]
    marked = Marked("within", strokes=STROKES, final_torque=30.0, end_time=4.4)
    by_time = texts(torque_time_chart(TORQUE, marked))
    assert {"1: 40°", "end 30.0 N·m"} <= set(by_time)
    assert not any("3:" in text for text in by_time)  # too narrow for words: its bar tells it


def test_a_single_stroke_is_not_marked() -> None:
    by_time = texts(torque_time_chart(TORQUE, Marked("within", strokes=STROKES[:1])))
    assert not any("40°" in text for text in by_time)


def test_the_wind_up_that_was_taken_out_is_drawn_and_said() -> None:
    case = drawn(31, "normal")
    stiffness = case.given.tool_stiffness_Nm_per_deg
    spec = torque_angle_chart(case.trace, Marked("within"), stiffness=stiffness)
    assert any("of wind-up taken out" in text for text in texts(spec))
    output = replace(case.trace, angle_mode="output")
    assert not any("wind-up" in t for t in texts(torque_angle_chart(output, Marked("within"))))


def test_marks_of_an_entry_hold_its_strokes() -> None:
    strokes = [{"t0_s": "0.5", "t1_s": "2", "turned_deg": "40", "end": "released"}]
    body = {"verdict": "within", "reasons": [], "found": {"strokes": strokes}}
    assert Marked.from_body(body).strokes == (STROKES[0],)
