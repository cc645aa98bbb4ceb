"""The chart of a recorded pull, from its kept file."""

from __future__ import annotations

from typing import Any

from clampwright.bench.papers import Papers
from clampwright.errors import Refused
from clampwright.report.axes import Style
from clampwright.report.charts import torque_angle_chart
from clampwright.report.marked import Marked
from clampwright.report.svg import Look
from clampwright.trace.reading import read_csv
from clampwright.words import words
from clampwright.work.fold import Pull
from clampwright.work.plan import Plan

LOOKS = {"light": Look("#15202b", "#faf7ef"), "dark": Look("#f4efe2", "#11161c")}
"""The page's own two looks; a picture cannot take its colours from the page around it."""


def chart_of(plan: Plan, pull: Pull, papers: Papers, *, look: str | None) -> dict[str, Any]:
    """Return the chart of a pull as a Vega-Lite specification.

    Parameters
    ----------
    plan : Plan
    pull : Pull
    papers : Papers
    look : str or None
        ``light`` or ``dark``; the chart's own if None.

    Raises
    ------
    Refused
        When the pull was not recorded.
    """
    reading = pull.body["reading"]
    if reading["kind"] != "trace":
        raise Refused(words("this pull was not recorded: there is no chart of it"))
    tool = plan.drawer.tool(pull.body["tool"])
    mode = tool.angle.mode if tool.angle and tool.angle.mode else "handle"
    trace = read_csv(papers.read(reading["paper"]), "trace", angle_mode=mode)
    style = Style(look=LOOKS.get(look, LOOKS["light"])) if look else None
    marked = Marked.from_body(pull.body)
    return dict(torque_angle_chart(trace, marked, stiffness=tool.stiffness, style=style))
