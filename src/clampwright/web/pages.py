"""The pages: jobs, one job's plan, the bench, the record."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import Query, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from clampwright.bench.names import Names
from clampwright.bench.records import make_paper, record_of, record_text
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.report.view import View
from clampwright.web.api import InHand, Job, Turn, view_of
from clampwright.web.assets import FOREVER
from clampwright.web.desk import Known
from clampwright.web.guard import NOTHING
from clampwright.web.happened_view import tables_view
from clampwright.web.jobfiles import listed
from clampwright.web.lookup import key_of, opened
from clampwright.web.plan_view import card_of, plan_view, spoken_of
from clampwright.web.rendering import as_sentence
from clampwright.web.settle_view import settle_facts
from clampwright.web.shared import House, house
from clampwright.words import Words, words
from clampwright.work.fold import JobState
from clampwright.work.pinned import pinned
from clampwright.work.unsigned import told, waiting


def jobs(request: Request) -> Response:
    """Show the jobs of the workshop."""
    place = house(request)
    known = place.desk.look()
    found = listed(place.files, known)
    names = Names(place.place.folder).all() if any(one.waits for one in found) else {}
    rows = [
        {
            "id": one.id,
            "title": one.title,
            "machine": one.machine,
            "state": one.state,
            "state_words": say(_STATES[one.state]),
            "invented": one.invented,
            "progress": progress(one.done, one.pulls) if one.pulls else "",
            "harm": one.harm,
            "note": say(one.note) if one.note else "",
            "asks": one.state == "new" and one.note is not None,
            "waits": [as_sentence(say(line)) for line in _waits(known.jobs.get(one.id), names)],
        }
        for one in found
    ]
    facts = {"title": say(words("Jobs")), "jobs": rows, "log": log_told(known)}
    return place.pages.answer("jobs.html", facts)


def _waits(state: JobState | None, names: Mapping[str, str]) -> list[Words]:
    """Return what of a job waits to be signed."""
    return [] if state is None else [told(one, names) for one in waiting(state.unsigned)]


def log_told(known: Known) -> str:
    """Say how much of the log only its own key vouches for; nothing where there is no log."""
    if not known.size:
        return ""
    loose = known.size - known.anchored
    if not loose:
        return say(words("Log: {size} entries, all under a head kept outside.", size=known.size))
    return say(
        words(
            "Log: {size} entries. Of the newest, under no head kept outside yet: {loose}.",
            size=known.size,
            loose=loose,
        )
    )


def progress(done: int, pulls: int) -> str:
    """Say how far a job has come."""
    return say(words("{done} of {pulls} pulls done", done=done, pulls=pulls))


_STATES = {
    "open": words("under way"),
    "waiting": words("something is due"),
    "settled": words("all pulls done, not closed"),
    "new": words("not begun"),
    "problem": words("cannot be used"),
    "closed": words("closed"),
}


def job(request: Request, job: Job) -> Response:
    """Show a job's plan, or what must be settled before there is one."""
    place = house(request)
    asks = settle_facts(place, job)
    if asks is not None:
        return place.pages.answer("settle.html", asks)
    facts = _plan_facts(place, job)
    facts["progress"] = progress(facts["done"], facts["pulls"])
    return place.pages.answer("job.html", {"title": facts["job"]["title"], **facts})


def _plan_facts(place: House, job: str) -> dict[str, Any]:
    state = place.desk.look().jobs.get(job) or JobState()
    if state.opened is None:
        plan, findings = place.files.plan(job)
        return plan_view(plan, [finding.as_json() for finding in findings], state)
    plan = pinned(state.opened, state.overrules, state.suspects)[2]
    names = Names(place.place.folder).all()
    return plan_view(plan, state.opened.get("findings", ()), state, names)


def pull(
    request: Request, job: Job, turn: Turn = 0, *, mirror: bool = False, tool: InHand = None
) -> Response:
    """Show the bench: what is now, and where the answer goes."""
    place = house(request)
    bench = view_of(place, job, View(turn, mirror), tool)
    facts = {
        "title": bench["job"]["title"],
        "job": bench["job"],
        "bench": bench,
        "happenings": tables_view(),
    }
    return place.pages.answer("pull.html", facts)


def record(request: Request, job: Job) -> Response:
    """Show what the record of a job will hold, and where to get it."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    due = [key for key in plan.sequence() if not state.settled(key)]
    facts = {
        "title": say(words("Record: {title}", title=plan.job.title)),
        "job": {"id": job, "title": plan.job.title, "invented": plan.job.invented},
        "on_log": say(words("{count} pulls on the log", count=len(state.pulls))),
        "left": say(
            words(
                "{count} pulls are still open; the record will show the job unfinished.",
                count=len(due),
            )
        )
        if due
        else "",
    }
    return place.pages.answer("record.html", facts)


def record_json(request: Request, job: Job) -> Response:
    """Write the record of a job: JSON that can be verified offline."""
    data = _record(house(request), job)
    return Response(data, media_type="application/json", headers=_saved(job, "json"))


def record_txt(request: Request, job: Job) -> Response:
    """Write the record of a job as plain text."""
    place = house(request)
    names = Names(place.place.folder).all()
    text = "\n".join([*record_text(_record(place, job), names), ""])
    return Response(text, media_type="text/plain; charset=utf-8", headers=_saved(job, "txt"))


def record_pdf(request: Request, job: Job) -> Response:
    """Write the record of a job on paper, with the record itself attached."""
    place = house(request)
    data = _record(place, job)
    with place.desk.writing() as store:
        paper = make_paper(place.place, store, job, data)
    return Response(paper, media_type="application/pdf", headers=_saved(job, "pdf"))


def _record(place: House, job: str) -> bytes:
    """Close and sign the record; the same bytes as long as nothing was added."""
    opened(place.desk.look().jobs.get(job), job)
    with place.desk.writing() as store:
        return record_of(store, job)


def _saved(job: str, ending: str) -> dict[str, str]:
    return {"content-disposition": f'attachment; filename="{job}.{ending}"'}


def card(
    request: Request,
    job: Job,
    joint: Annotated[str, Query(max_length=100)],
    stage: int,
    tool: InHand = None,
) -> JSONResponse:
    """Return the setting card of a stage, as a drawing for the bench page."""
    _state, plan = opened(house(request).desk.look().jobs.get(job), job)
    fasteners = {
        key.fastener for key in plan.sequence() if (key.joint, key.stage) == (joint, stage)
    }
    key = key_of(plan, joint, stage, min(fasteners, default=1))
    return JSONResponse({"svg": card_of(plan, key, tool), "spoken": spoken_of(plan, key, tool)})


def api_page(request: Request) -> Response:
    """Show the API, made from its own description; nothing is loaded from elsewhere."""
    schema = request.app.openapi()
    rows = [
        {
            "path": path,
            "method": method.upper(),
            "summary": about.get("description") or about.get("summary", ""),
            "answers": sorted(about.get("responses", {})),
        }
        for path, methods in schema["paths"].items()
        for method, about in methods.items()
    ]
    facts = {"title": say(words("The API")), "rows": rows}
    return house(request).pages.answer("api.html", facts)


def static(request: Request, version: str, name: str) -> Response:
    """Send a static file; its address changes with its content, so it may be kept for good."""
    asset = house(request).assets.get(version, name)
    if asset is None:
        raise Missing(words("there is no such file"), needed="entry")
    headers = {"content-type": asset.type, "cache-control": FOREVER, "vary": "accept-encoding"}
    if not name.endswith(".svg"):  # which may be looked at by itself, and has styles of its own
        headers["content-security-policy"] = NOTHING
    if "gzip" in request.headers.get("accept-encoding", ""):
        return Response(asset.packed, headers={**headers, "content-encoding": "gzip"})
    return Response(asset.data, headers=headers)


def icon(_request: Request) -> Response:
    """Send the browser's icon: a hexagon, as the fastener whose turn it is."""
    return RedirectResponse(house(_request).assets.address("icon.svg"))
