"""The chart of a find-the-fault exercise: the bare curve first, with what was read after."""

from __future__ import annotations

from dataclasses import replace

from clampwright.practice.fault_question import FaultQuestion
from clampwright.report.axes import Spec, Style
from clampwright.report.charts import torque_angle_chart
from clampwright.report.marked import Marked
from clampwright.trace.verdict import TraceVerdict


def fault_chart(
    question: FaultQuestion, verdict: TraceVerdict | None = None, *, style: Style | None = None
) -> Spec:
    """Draw a trace.

    Parameters
    ----------
    question : FaultQuestion
    verdict : TraceVerdict, optional
        What the program read from the curve; without it nothing is marked that would tell.
    style : Style, optional

    Returns
    -------
    dict
        A Vega-Lite specification without a heading.
    """
    given = question.given
    plain = Marked(verdict="not known")
    if verdict is not None:
        body = {"verdict": verdict.verdict, "reasons": (), "found": verdict.as_json()}
        plain = replace(Marked.from_body(body), strokes=())
    known = given.torque_low is not None and given.torque_high is not None
    marked = replace(
        plain,
        quantity="torque" if known else "none",
        low=given.torque_low,
        high=given.torque_high,
    )
    chart = torque_angle_chart(
        question.trace,
        marked,
        stiffness=given.tool_stiffness_Nm_per_deg,
        held=given.previous_torque_Nm or 0.0,
        style=style,
    )
    return {key: part for key, part in chart.items() if key != "title"}
