"""The API: jobs, what is next, and entries that may be sent as often as needed."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response

from clampwright.bench.friction import friction_bytes
from clampwright.bench.names import Names
from clampwright.bench.session import Session
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.report.view import TURNS, View
from clampwright.web import entries
from clampwright.web.bench_view import bench_view, verdict_view
from clampwright.web.jobfiles import listed
from clampwright.web.lookup import opened
from clampwright.web.models import AcceptIn, CloseIn, EntryId, JobId, OpenIn, PullIn, RestartIn
from clampwright.web.shared import House, house
from clampwright.words import words
from clampwright.work.choices import NONE
from clampwright.work.pinned import pinned
from clampwright.work.plan_json import plan_json

Turn = Annotated[int, Query(json_schema_extra={"enum": list(TURNS)})]
InHand = Annotated[str | None, Query(max_length=100)]
Job = Annotated[JobId, InPath()]
Entry = Annotated[EntryId, InPath()]


def jobs(request: Request) -> dict[str, Any]:
    """List the jobs of the workshop."""
    place = house(request)
    found = listed(place.files, place.desk.look())
    return {
        "jobs": [
            {
                "id": one.id,
                "title": one.title,
                "machine": one.machine,
                "state": one.state,
                "invented": one.invented,
                "done": one.done,
                "pulls": one.pulls,
                "harm_level": one.harm,
                "note": say(one.note) if one.note else "",
            }
            for one in found
        ]
    }


def job(request: Request, job: Job) -> dict[str, Any]:
    """Return a job's plan, its findings and its pulls."""
    place = house(request)
    state = place.desk.look().jobs.get(job)
    if state is None or state.opened is None:
        plan, findings = place.files.plan(job)
        found = [finding.as_json() for finding in findings]
        return {"state": "new", "plan": plan_json(plan), "findings": found, "pulls": []}
    _job, _drawer, plan = pinned(state.opened, state.overrules, state.suspects)
    return {
        "state": "closed" if state.closed else "open",
        "plan": plan_json(plan),
        "findings": list(state.opened.get("findings", ())),
        "pulls": [verdict_view(pull) for pull in state.pulls],
    }


def open_job(request: Request, job: Job, sent: OpenIn | None = None) -> JSONResponse:
    """Open a job from its file, or say that it is open; a person may settle its questions now."""
    place = house(request)
    known = place.desk.look().jobs.get(job)
    if known is not None and known.opened is not None:
        return JSONResponse({"job": job, "opened": False})
    file, drawer = place.files.of(job).path, place.place.drawer
    today = place.files.today()
    # A question in the procedure is told before anything is made.
    choices = sent.choices if sent else NONE
    _plan, findings = place.files.plan(job, choices)
    with place.desk.writing(create=True) as store:
        by = Names(place.place.folder).id_of(sent.by) if sent and choices else ""
        Session.start(
            store,
            file.read_bytes(),
            drawer.read_bytes(),
            place.place.papers,
            today=today,
            friction_file=friction_bytes(place.place.folder),
            choices=choices,
            by=by,
        )
    place.live.poke()
    stops = sum(finding.severity == "stop" for finding in findings)
    return JSONResponse({"job": job, "opened": True, "to_settle": stops}, HTTPStatus.CREATED)


def bench(
    request: Request, job: Job, turn: Turn = 0, *, mirror: bool = False, tool: InHand = None
) -> dict[str, Any]:
    """Return what is now and what comes next."""
    return view_of(house(request), job, View(turn, mirror), tool)


def view_of(place: House, job: str, view: View, in_hand: str | None = None) -> dict[str, Any]:
    """Return what the bench page shows of a job; see `bench_view`."""
    known = place.desk.look()
    state, plan = opened(known.jobs.get(job), job)
    return {
        **bench_view(plan, state, size=known.size, view=view, in_hand=in_hand),
        "log": known.origin,
    }


def put_pull(request: Request, job: Job, entry: Entry, sent: PullIn) -> Response:
    """Take one pull: 201 when new, 200 when it was here already, 409 when the id is taken."""
    return put(request, job, entry, entries.pull(sent))


def put_acceptance(request: Request, job: Job, entry: Entry, sent: AcceptIn) -> Response:
    """Go on in spite of a verdict, with the reason."""
    return put(request, job, entry, entries.acceptance(sent))


def put_restart(request: Request, job: Job, entry: Entry, sent: RestartIn) -> Response:
    """Note that a fastener was loosened and begins anew."""
    return put(request, job, entry, entries.restart(sent))


def put_closing(request: Request, job: Job, entry: Entry, sent: CloseIn) -> Response:
    """Close a job when nothing is left to do."""
    return put(request, job, entry, entries.closing(sent))


def put(request: Request, job: str, entry: str, one: entries.Incoming) -> Response:
    """Take an entry of a device: 201 when new, 200 when it was here already.

    Parameters
    ----------
    request : Request
    job, entry : str
    one : Incoming

    Returns
    -------
    Response
    """
    place = house(request)
    with place.desk.working(job) as session:
        new = entries.take(session, entry, one)
        answer = entries.told(session, entry)
    place.live.poke()
    return JSONResponse(answer, HTTPStatus.CREATED if new else HTTPStatus.OK)


def chart(request: Request, job: Job, entry: Entry) -> dict[str, Any]:
    """Return the chart of a recorded pull as a Vega-Lite specification."""
    return _chart(house(request), job, entry, ink=None)


def chart_svg(
    request: Request,
    job: Job,
    entry: Entry,
    *,
    look: Annotated[str, Query(max_length=10)] = "light",
    size: Annotated[Literal["wide", "narrow"], Query()] = "wide",
    over: Annotated[Literal["angle", "time"], Query()] = "angle",
) -> Response:
    """Return the chart of a recorded pull as a drawing, torque over angle or over time."""
    from clampwright.report.charts import chart_svg as drawn  # noqa: PLC0415 - starts a process

    spec = _chart(house(request), job, entry, ink=look, narrow=size == "narrow", over=over)
    return Response(drawn(spec), media_type="image/svg+xml")


def _chart(
    place: House,
    job: str,
    entry: str,
    *,
    ink: str | None,
    narrow: bool = False,
    over: Literal["angle", "time"] = "angle",
) -> dict[str, Any]:
    from clampwright.web.trace_view import chart_of  # noqa: PLC0415 - numpy, only where needed

    state, plan = opened(place.desk.look().jobs.get(job), job)
    for pull in state.pulls:
        if pull.entry == entry:
            return chart_of(plan, pull, place.place.papers, look=ink, narrow=narrow, over=over)
    raise Missing(words("there is no pull {entry} in this job", entry=entry), needed="pull")
