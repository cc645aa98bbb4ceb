"""Charts of a plan as pictures: what to expect of torque, angle and friction at one joint."""

from __future__ import annotations

import json
from functools import lru_cache
from typing import Annotated, Any, Literal

from fastapi import Query, Request
from fastapi.responses import Response

from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.report.axes import Style
from clampwright.report.charts import chart_svg
from clampwright.report.clamp_charts import CHART_TITLES, Show, charts_of, plan_chart, unit_of
from clampwright.web.api import Job
from clampwright.web.shared import House, house
from clampwright.web.trace_view import LOOKS
from clampwright.words import words
from clampwright.work.fold import JobState
from clampwright.work.pinned import pinned
from clampwright.work.plan import JointPlan, Plan

Look = Literal["light", "dark"]
Size = Literal["wide", "narrow"]

NARROW = (320, 300)
"""Width and height of a chart on a phone: there its letters keep their size."""

_KEPT = 64


def charts_view(planned: JointPlan) -> list[dict[str, str]]:
    """Return the charts of a joint as its page shows them; empty where nothing is computed.

    Parameters
    ----------
    planned : JointPlan

    Returns
    -------
    list of dict
    """
    found = charts_of(planned)
    return [
        {"show": show, "title": say(title)} for show, title in CHART_TITLES.items() if show in found
    ]


def chart(
    request: Request,
    job: Job,
    joint: str,
    show: Show,
    *,
    look: Annotated[Look, Query()] = "light",
    size: Annotated[Size, Query()] = "wide",
) -> Response:
    """Return a chart of a joint's plan as a picture."""
    planned = _joint(_plan(house(request), job), joint)
    style = Style(unit=unit_of(planned), look=LOOKS[look])
    spec: dict[str, Any] = dict(plan_chart(planned, show, style=style))
    del spec["title"]  # the page says it beside the picture
    if size == "narrow":
        spec["width"], spec["height"] = NARROW
    drawn = _drawn(json.dumps(spec, ensure_ascii=False))
    return Response(drawn, media_type="image/svg+xml")


@lru_cache(maxsize=_KEPT)
def _drawn(spec: str) -> str:
    """Draw a chart once; a process is started for it."""
    return chart_svg(json.loads(spec))


def _plan(place: House, job: str) -> Plan:
    state = place.desk.look().jobs.get(job) or JobState()
    if state.opened is None:
        return place.files.plan(job)[0]
    return pinned(state.opened, state.overrules, state.suspects)[2]


def _joint(plan: Plan, joint: str) -> JointPlan:
    for planned in plan.joints:
        if planned.joint.id == joint:
            return planned
    raise Missing(words("this job has no joint {joint}", joint=repr(joint[:40])), needed="pull")
