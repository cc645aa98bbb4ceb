"""The API: jobs, what is next, and entries that may be sent as often as needed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Annotated, Any, Literal

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response

from clampwright.bench.acting import id_for
from clampwright.bench.asides import content_hash, keep_aside
from clampwright.bench.friction import friction_bytes
from clampwright.bench.names import Names
from clampwright.bench.session import Session
from clampwright.errors import Missing, Refused
from clampwright.locale import say
from clampwright.report.view import TURNS, View
from clampwright.web import entries
from clampwright.web.arrival import clock_off, clock_words, content_of, plan_mark, way_of
from clampwright.web.bench_view import bench_view, verdict_view
from clampwright.web.hands import by_the_hand_of, may_sign, still_to_sign
from clampwright.web.jobfiles import listed
from clampwright.web.lookup import opened
from clampwright.web.models import (
    AcceptIn,
    CloseIn,
    EntryId,
    JobId,
    OpenIn,
    PullIn,
    RestartIn,
    SettleAsideIn,
)
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.unsigned_view import waits_view
from clampwright.words import words
from clampwright.work.choices import NONE
from clampwright.work.fold import JobState
from clampwright.work.happening import HAND_OVER
from clampwright.work.pinned import pinned
from clampwright.work.plan_json import plan_json
from clampwright.work.unsigned import told as waiting_words
from clampwright.work.unsigned import waiting

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
                "unsigned": one.waits,
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
        names = Names(place.place.folder)
        by = id_for(store, names, sent.by) if sent and choices else ""
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
    names = _names(place, state)
    return {
        **bench_view(plan, state, size=known.size, view=view, in_hand=in_hand, names=names),
        "waits": waits_view(state, names),
        "log": known.origin,
        "plan": plan_mark(state.opened or {}),
        "device": _device(place),
    }


def _names(place: House, state: JobState) -> Mapping[str, str]:
    """Return the names of people where one of them is to be told; else nothing is looked up."""
    told = waiting(state.unsigned) or any(due.name in HAND_OVER for due in state.dues)
    return Names(place.place.folder).all() if told else {}


def _device(place: House) -> dict[str, Any] | None:
    """Return what the bench page must know of the device on the serial line."""
    own, line = place.device.device, place.device.line
    if own is None or line is None:
        return None
    problem = line.state.problem
    return {"tool": own.tool, "problem": as_sentence(say(problem.message)) if problem else ""}


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


def put_settled_aside(request: Request, job: Job, entry: Entry, sent: SettleAsideIn) -> Response:
    """Say which of two contents stands, or what became of one that was kept aside."""
    return put(request, job, entry, entries.settling(sent))


Telling = Callable[[Session, str], dict[str, Any]]


def put(
    request: Request, job: str, entry: str, one: entries.Incoming, tell: Telling = entries.told
) -> Response:
    """Take an entry of a device: 201 when new, 200 when it was here already.

    What is still to be signed is held open on the log: 202. What the log cannot take as what it
    is, is kept aside where its id stands for another content already, or where the device asks for
    that with ``?aside=true``.

    Parameters
    ----------
    request : Request
    job, entry : str
    one : Incoming
    tell : callable
        Says what the device is told of it.

    Returns
    -------
    Response
    """
    place, device = house(request), one.device
    content, way = content_of(request), way_of(request)
    off = clock_off(device, place.desk.now())
    with by_the_hand_of(request, device), place.desk.working(job) as session:
        try:
            status, answer = _taken(request, session, entry, one, tell=tell, off=off)
        except Refused as refusal:
            # A job that was not closed is not closed: there is nothing to keep of that.
            asked = request.query_params.get("aside") == "true" and one.kind != "job_closed"
            if not asked and not isinstance(refusal, entries.OtherContent):
                if isinstance(refusal, entries.PlanChanged):
                    return _refused(refusal, {"plan_changed": True})
                raise
            made = entries.made_of(entry, device, "", off)
            kept = keep_aside(session, entry, way, content, refusal.message, **made)
            status = HTTPStatus.CONFLICT
            answer = {"error": say(refusal.message), "aside": entries.receipt(session, kept.id)}
    if device.left is not None:
        place.announced.note(job, device.id, device.left)
    if off is not None:
        answer["clock"] = {"off_s": off, "say": as_sentence(say(clock_words(off)))}
    place.live.poke()
    return JSONResponse(answer, status)


def _taken(
    request: Request,
    session: Session,
    entry: str,
    one: entries.Incoming,
    *,
    tell: Telling,
    off: int | None,
) -> tuple[HTTPStatus, dict[str, Any]]:
    """Put an entry on the log, or hold it open there where it is still to be signed."""
    place, content, way = house(request), content_of(request), way_of(request)
    sha256 = content_hash(session.job_id, way, content)
    names = Names(place.place.folder)
    waits = entries.held_as(session, entry, sha256)
    if act := still_to_sign(request):
        if waits is None and not entries.is_known(session, entry):
            made = entries.made_of(entry, one.device, sha256, off)
            waits = entries.hold_open(session, entry, way, act, content, made=made)
        if waits is not None:
            told = as_sentence(say(waiting_words(waits, names.all())))
            safe = entries.receipt(session, waits.entry)
            return HTTPStatus.ACCEPTED, {"entry": entry, "awaits": safe, "told": told}
    if waits is not None:
        may_sign(waits, names.all())
    if one.kind == "job_closed":
        _nothing_elsewhere(place, session.job_id, content)
    new = entries.take(session, entry, one, sha256=sha256, off=off)
    return HTTPStatus.CREATED if new else HTTPStatus.OK, tell(session, entry)


def _nothing_elsewhere(place: House, job: str, content: Mapping[str, Any]) -> None:
    """Refuse to close a job of which a device said it still has entries, without a reason."""
    waiting = place.announced.of(job)
    if waiting and not str(content.get("reason", "")).strip():
        raise Refused(
            words(
                "{count} entries of this job are still only on {devices}: send them first, or "
                "close it with the reason",
                count=sum(waiting.values()),
                devices=", ".join(sorted(waiting)),
            )
        )


def _refused(refusal: Refused, more: Mapping[str, Any]) -> JSONResponse:
    return JSONResponse({"error": say(refusal.message), **more}, HTTPStatus.CONFLICT)


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
