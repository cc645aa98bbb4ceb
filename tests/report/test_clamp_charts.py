"""Charts of a plan and of passes: what stands in them is what was computed."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from clampwright.bench.folder import Workshop, load_plan
from clampwright.errors import Missing
from clampwright.joint.model import Fastening
from clampwright.joint.passes import Pass, tighten_passes
from clampwright.joint.torque_angle import Step, follow
from clampwright.joint.way import way_of
from clampwright.report.axes import Style
from clampwright.report.charts import charts_svg
from clampwright.report.clamp_charts import SHOWS, charts_of, plan_chart, unit_of
from clampwright.report.pulls_chart import pulls_chart
from clampwright.words import words
from clampwright.work.plan import JointPlan

BOLT = Fastening(
    d=10, P=1.5, d2=9.0257, d3=8.1597, stress_area=57.99, bearing_outer=14.63, bearing_inner=11,
    yield_stress=940, clamp_rate=829.66, plastic_length=22,
)  # fmt: skip
B = [[1, -0.2, 0.04], [-0.2, 1, -0.2], [0.04, -0.2, 1]]


def joint_of(workshop: Workshop, job: str) -> JointPlan:
    path = Path(workshop.jobs) / f"{job}.toml"
    return load_plan(path, None, today=dt.date(2026, 5, 1)).joints[0]


def texts(spec: dict[str, Any]) -> list[str]:
    return [layer["mark"]["text"] for layer in spec["layer"] if layer["mark"]["type"] == "text"]


def colours(node: Any) -> set[str]:
    """Every colour named anywhere in a specification."""
    if isinstance(node, dict):
        own = {v for v in node.values() if isinstance(v, str) and v.startswith("#")}
        return own.union(*(colours(value) for value in node.values()))
    if isinstance(node, list):
        return set().union(*(colours(value) for value in node))
    return set()


@pytest.mark.parametrize("steps", [
    [Step("torque", 30.0), Step("angle", 90.0)],
    [Step("torque", 45.0), Step("loosen", 100.0), Step("angle", 120.0), Step("angle", 40.0)],
    [Step("angle", 120.0), Step("loosen"), Step("torque", 30.0)],
])  # fmt: skip
def test_every_leg_ends_where_the_steps_end(steps: list[Step]) -> None:
    way = way_of(BOLT, steps, (0.08, 0.16))
    mu = np.sqrt(0.08 * 0.16)
    for leg, state in zip(way.legs, follow(BOLT, steps, mu_thread=mu, mu_bearing=mu), strict=True):
        assert leg.points[-1][1] == pytest.approx(float(state.torque), rel=1e-9)
        assert leg.ends[1] == pytest.approx(leg.points[-1], rel=1e-6)


def test_angles_add_up_past_yield_and_over_a_gap() -> None:
    """Where turning counts nothing twice: each angle step ends that many degrees further on."""
    steps = [Step("torque", 45.0), Step("loosen", 100.0), Step("angle", 150.0), Step("angle", 40.0)]
    way = way_of(BOLT, steps, (0.08, 0.16))
    at = [leg.points[-1][0] for leg in way.legs]
    assert np.diff(at).tolist() == pytest.approx([-100.0, 150.0, 40.0])


def test_the_band_of_the_way_holds_its_middle_and_begins_at_contact() -> None:
    way = way_of(BOLT, [Step("torque", 30.0), Step("angle", 90.0)], (0.08, 0.16))
    assert way.angle[0] == way.low[0] == way.high[0] == 0.0
    for angle, torque in way.legs[-1].points:
        low, high = (float(np.interp(angle, way.angle, line)) for line in (way.low, way.high))
        assert low < torque < high


def test_every_chart_of_every_demonstration_job_can_be_drawn(workshop: Workshop) -> None:
    jobs = ("launch-engine-head", "propeller-coupling", "trailer-wheel")
    charts = [charts_of(joint_of(workshop, job)) for job in jobs]
    assert [tuple(found) for found in charts] == [SHOWS] * 3
    for svg in charts_svg([spec for found in charts for spec in found.values()]):
        assert svg.startswith("<svg")
        assert "http://" not in svg.replace("http://www.w3.org/", "")


def test_only_ink_and_ground(workshop: Workshop) -> None:
    for spec in charts_of(joint_of(workshop, "launch-engine-head")).values():
        assert colours(spec) == {"#000000", "#ffffff"}


def test_heading_tells_every_stage_with_the_band_of_the_plan(workshop: Workshop) -> None:
    planned = joint_of(workshop, "launch-engine-head")
    lines = plan_chart(planned, "curve")["title"]["subtitle"]
    for stage in planned.stages:
        band = stage.clamp
        assert band is not None
        wanted = f"{band.p05 / 1000:.1f} to {band.p95 / 1000:.1f} kN" if band.p95 else "loose"
        assert any(line.startswith(f"{stage.number}: ") and wanted in line for line in lines)


def test_a_fan_is_drawn_in_the_unit_of_the_procedure_up_to_yield(workshop: Workshop) -> None:
    planned = joint_of(workshop, "propeller-coupling")
    unit = unit_of(planned)
    spec = plan_chart(planned, "fan", style=Style(unit=unit))
    assert unit == "ft·lbf"
    assert spec["layer"][0]["encoding"]["x"]["title"] == "torque, ft·lbf"
    marked = [layer["data"]["values"][0]["x"] for layer in spec["layer"]
              if layer["mark"]["type"] == "point"]  # fmt: skip
    assert set(marked) == {12.0, 20.0}
    assert "yield begins" in texts(spec)


def test_stages_at_one_place_share_their_mark(workshop: Workshop) -> None:
    planned = joint_of(workshop, "launch-engine-head")
    for show in ("fan", "curve"):
        assert "1, 4" in texts(plan_chart(planned, show))


def test_bars_stand_in_the_order_of_what_they_do(workshop: Workshop) -> None:
    planned = joint_of(workshop, "trailer-wheel")
    spec = plan_chart(planned, "contributions")
    bars = [
        one["encoding"]["x2"]["datum"] for one in spec["layer"] if one["mark"]["type"] == "rect"
    ]
    band = planned.stages[1].clamp
    assert band is not None
    assert bars == pytest.approx([part.u / 1000 for part in band.contributions], abs=1e-4)
    assert bars == sorted(bars, reverse=True)
    assert texts(spec)[0].startswith("friction: ")


def test_a_joint_without_clamp_load_has_no_chart_and_says_why(workshop: Workshop) -> None:
    planned = joint_of(workshop, "gearbox-drain-plug")
    assert charts_of(planned) == {}
    with pytest.raises(Missing, match="no clamp load is computed for such a joint"):
        plan_chart(planned, "fan")


def test_a_curve_without_stiffness_says_so(workshop: Workshop) -> None:
    path = Path(workshop.jobs) / "trailer-wheel.toml"
    text = path.read_text(encoding="utf-8")
    path.write_text(
        text.replace("[joint.stiffness]\ngrip_mm = 20\noutside_mm = 34\n", ""), encoding="utf-8"
    )
    planned = joint_of(workshop, "trailer-wheel")
    assert tuple(charts_of(planned)) == ("fan", "contributions")
    with pytest.raises(Missing, match="Left wheel: a line over the angle needs the stiffness"):
        plan_chart(planned, "curve")


def test_pulls_are_lines_of_the_history_with_a_figure_at_each_pull() -> None:
    passes = tighten_passes(B, [Pass((1, 3, 2), 10_000), Pass((1, 2, 3), 20_000)])
    spec = pulls_chart(passes, title=words("Three in a row"))
    lines = [one["data"]["values"] for one in spec["layer"]
             if one["mark"]["type"] == "line" and len(one["data"]["values"]) == 7]  # fmt: skip
    last = passes[-1].clamp / 1000
    assert [line[-1]["y"] for line in lines] == pytest.approx(last.tolist(), abs=1e-3)
    assert texts(spec)[::2] == ["1", "3", "2", "1", "2", "3"]
    assert "the loosest is fastener 2" in " ".join(spec["title"]["subtitle"])
    assert charts_svg([spec])[0].startswith("<svg")


def test_pulls_with_scatter_are_not_drawn() -> None:
    passes = tighten_passes(B, [Pass((1, 3, 2), 10_000, np.ones((4, 3)))])
    with pytest.raises(Missing, match="passes without scatter"):
        pulls_chart(passes, title=words("x"))


def test_a_fastener_gone_slack_is_named() -> None:
    hard = [[1, -0.9, 0], [-0.9, 1, -0.9], [0, -0.9, 1]]
    passes = tighten_passes(hard, [Pass((2, 1, 3), 10_000)])
    subtitle = " ".join(pulls_chart(passes, title=words("x"))["title"]["subtitle"])
    assert "lost all clamp load on the way: 2" in subtitle
