"""The chart of a recorded pull, from its kept file."""

from __future__ import annotations

from typing import Any, Literal

from clampwright.bench.papers import Papers
from clampwright.errors import Refused
from clampwright.report.axes import WIDTH, Style
from clampwright.report.charts import torque_angle_chart, torque_time_chart
from clampwright.report.marked import Marked
from clampwright.report.svg import PAPER, Look
from clampwright.trace.reading import read_csv
from clampwright.words import words
from clampwright.work.corrected import corrected
from clampwright.work.fold import Pull
from clampwright.work.given import given_for
from clampwright.work.plan import Plan, direction_of

LOOKS = {
    "light": Look("#15202b", "#faf7ef"),
    "dark": Look("#f4efe2", "#11161c"),
    "strong": Look("#ffffff", "#000000"),
}
"""The page's own looks; a picture cannot take its colours from the page around it."""


Over = Literal["angle", "time"]
NARROW = 400
"""Width of a chart on a phone, so that its letters stay large."""


def chart_of(
    plan: Plan,
    pull: Pull,
    papers: Papers,
    *,
    look: str | None,
    narrow: bool = False,
    over: Over = "angle",
) -> dict[str, Any]:
    """Return the chart of a pull as a Vega-Lite specification.

    Parameters
    ----------
    plan : Plan
    pull : Pull
    papers : Papers
    look : str or None
        ``light`` or ``dark``; the chart's own if None.
    narrow : bool
        For a phone.
    over : {"angle", "time"}
        What stands along the axis.

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
    whole, planned = plan.joint(pull.key.joint), plan.stage(pull.key)
    named = pull.body.get("adapter")
    trace = corrected(
        read_csv(papers.read(reading["paper"]), "trace", angle_mode=mode),
        tool,
        adapter=plan.drawer.adapter(named) if named else None,
        direction=direction_of(planned.stage, whole.joint),
    )
    style = Style(
        look=PAPER if look is None else LOOKS.get(look, LOOKS["light"]),
        width=NARROW if narrow else WIDTH,
    )
    marked = Marked.from_body(pull.body)
    if over == "time":
        return dict(torque_time_chart(trace, marked, style=style))
    held = given_for(whole.joint, whole.stages, pull.key.stage, tool).previous_torque_Nm or 0.0
    spec = torque_angle_chart(trace, marked, stiffness=tool.stiffness, held=held, style=style)
    return dict(spec)
