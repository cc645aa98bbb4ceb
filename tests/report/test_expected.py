"""The paper shows what was to expect: the charts of the plan, computed again from the record."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from clampwright.report.clamp_charts import CHART_TITLES, SHOWS
from clampwright.report.paper.expected import expected_charts, expected_lines
from clampwright.report.paper.material import open_record
from clampwright.report.pdf import content


def test_the_charts_of_the_plan_stand_on_the_paper(eventful: Any) -> None:
    material = open_record(eventful.record(), "en")
    joints = content(material, eventful.traces)["joints"]
    shown = joints[0]["expected"]
    # This joint states no grip: torque over angle needs its stiffness.
    assert [one["title"] for one in shown] == [
        str(CHART_TITLES[show]) for show in SHOWS if show != "curve"
    ]
    assert all(one["svg"].startswith("<svg") for one in shown)
    assert joints[0]["expected_lines"][0].startswith("What would narrow it: friction")


def test_they_are_the_charts_of_the_page(eventful: Any) -> None:
    material = open_record(eventful.record(), "en")
    charts = expected_charts(material)
    for key, spec in charts.items():
        assert "title" not in spec
        assert spec["layer"]
        assert key.title == CHART_TITLES[key.show]


def test_a_record_that_cannot_be_planned_again_says_so(eventful: Any) -> None:
    material = open_record(eventful.record(), "en")
    opened = {**material.opened, "job_file": 'id = "x"\n'}
    other = replace(material, state=replace(material.state, opened=opened))
    assert expected_charts(other) == {}
    (line,) = expected_lines(other, "a")
    assert "cannot plan the job file" in str(line)
