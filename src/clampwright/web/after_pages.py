"""What still has to be done when the last click was heard: page, calendar, slips, entries."""

from __future__ import annotations

import datetime as dt
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Request
from fastapi.responses import JSONResponse, Response
from pydantic import StringConstraints

from clampwright.bench.follow_up import (
    add_follow_up,
    calendar_of,
    found,
    in_order,
    known_follow_ups,
    settle_follow_up,
    slip,
    title_of,
)
from clampwright.locale import say
from clampwright.report.sheet import sheet_pdf
from clampwright.store import Store
from clampwright.store.where import has_log
from clampwright.units import parse_number
from clampwright.web.api import Entry
from clampwright.web.desk import entry_of
from clampwright.web.models import Device, Name, Reason, Sent
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.words import words
from clampwright.work.follow_up import (
    AFTER,
    FollowUp,
    Option,
    advice_for,
    ways,
    when,
    why_not_again,
)
from clampwright.work.job import Joint

Short = Annotated[str, StringConstraints(max_length=200)]
InAddress = Annotated[str, InPath(max_length=60)]
STATES = {
    "overdue": words("overdue"),
    "open": words("open"),
    "done": words("done"),
    "refused": words("refused"),
}
"""How a follow-up stands, in words."""


class PlannedIn(Sent):
    """A follow-up as it was planned on a page."""

    where: Short
    what: Name
    how: Short = ""
    distance_km: Short = ""
    hours: Short = ""
    days: Short = ""
    heat_cycles: Short = ""
    told: Short = ""
    source: Short = ""
    device: Device


class SettledIn(Sent):
    """What became of a follow-up."""

    outcome: Name
    reason: Reason = ""
    device: Device


def after(request: Request) -> Response:
    """Show the follow-ups, and the form that plans one."""
    place = house(request)
    today, known = place.files.today(), _known(place)
    facts = {
        "title": say(words("Come back for it")),
        "open": [_view(one, today) for one in in_order(known, today) if not one.outcome],
        "settled": [_view(one, today) for one in in_order(known, today) if one.outcome],
        "joints": _joints(place),
        "ways": [(one.name, say(one.say), one.source) for one in ways()],
    }
    return place.pages.answer("after.html", facts)


def calendar(request: Request) -> Response:
    """Return the days of open follow-ups as a calendar, to look at once or to subscribe to."""
    place = house(request)
    origin = place.desk.look().origin
    data = calendar_of(_known(place), origin or place.place.folder.name, place.files.today())
    headers = {"content-disposition": 'inline; filename="follow-ups.ics"'}
    return Response(data, media_type="text/calendar; charset=utf-8", headers=headers)


def slip_pdf(request: Request, follow_up: InAddress) -> Response:
    """Return the slip for the owner of the machine."""
    with Store.open(house(request).place.folder, write=False) as store:
        sheet = slip(found(store, follow_up), store.workshop)
    headers = {"content-disposition": 'inline; filename="come-back.pdf"'}
    return Response(sheet_pdf(sheet), media_type="application/pdf", headers=headers)


def follow_ups(request: Request) -> dict[str, Any]:
    """List the follow-ups, what presses first before the others."""
    place = house(request)
    today = place.files.today()
    rows = [_data(one, today) for one in in_order(_known(place), today)]
    return {"follow_ups": rows}


def put_planned(request: Request, entry: Entry, sent: PlannedIn) -> Response:
    """Plan a follow-up of a joint."""
    place = house(request)
    job, _, joint = sent.where.partition("/")
    with place.desk.writing(create=True) as store:
        if entry_of(store, entry) is not None:
            return JSONResponse({"entry": entry}, HTTPStatus.OK)
        add_follow_up(
            store,
            place.place,
            place.files.of(job).path,
            joint,
            what=sent.what,
            how=sent.how,
            after=_after(sent),
            told=sent.told,
            source=sent.source,
            today=place.files.today(),
            entry_id=entry,
            device_time=sent.device.time,
            device_id=sent.device.id,
        )
    return JSONResponse({"entry": entry, "to": "/after"}, HTTPStatus.CREATED)


def put_settled(request: Request, follow_up: InAddress, entry: Entry, sent: SettledIn) -> Response:
    """Say what became of a follow-up."""
    place = house(request)
    with place.desk.writing() as store:
        if entry_of(store, entry) is not None:
            return JSONResponse({"entry": entry}, HTTPStatus.OK)
        settle_follow_up(
            store,
            follow_up,
            outcome=sent.outcome,
            reason=sent.reason,
            today=place.files.today(),
            entry_id=entry,
            device_time=sent.device.time,
            device_id=sent.device.id,
        )
    return JSONResponse({"entry": entry, "to": "/after"}, HTTPStatus.CREATED)


def _after(sent: PlannedIn) -> dict[str, float]:
    numbers = {}
    for name in AFTER:
        text = getattr(sent, name).strip()
        if text:
            numbers[name] = float(parse_number(text))
    return numbers


def _known(place: House) -> tuple[FollowUp, ...]:
    if not has_log(place.place.folder):
        return ()
    with Store.open(place.place.folder, write=False) as store:
        return known_follow_ups(store)


def _joints(place: House) -> list[dict[str, Any]]:
    """Return every joint of the jobs that can be read, with what practice says about it."""
    jobs = [file.job for file in place.files.all() if file.job is not None]
    return [
        {
            "where": f"{job.id}/{joint.id}",
            "title": f"{job.machine}: {joint.title}",
            "advice": [_advice(one) for one in advice_for(joint)],
            "never": _never(joint),
        }
        for job in jobs
        for joint in job.joints
    ]


def _advice(one: Option) -> str:
    return as_sentence(f"{say(one.say)} ({one.source})")


def _never(joint: Joint) -> str:
    why = why_not_again(joint.procedure.stages)
    return "" if why is None else as_sentence(say(why))


def _view(one: FollowUp, today: dt.date) -> dict[str, Any]:
    how = next((way.say for way in ways() if way.name == one.how), None)
    return {
        "id": one.id,
        "job": one.job,
        "title": say(title_of(one)),
        "state": one.state(today),
        "state_words": say(STATES[one.state(today)]),
        "when": say(when(one.after)),
        "day": one.day.isoformat() if one.day else "",
        "how": say(how) if how else "",
        "planned": one.planned.isoformat(),
        "told": one.told,
        "source": one.source,
        "reason": one.reason,
        "settled": one.settled.isoformat() if one.settled else "",
    }


def _data(one: FollowUp, today: dt.date) -> dict[str, Any]:
    return {
        "id": one.id,
        "job": one.job,
        "joint": one.joint,
        "what": one.what,
        "how": one.how,
        "after": dict(one.after),
        "day": one.day.isoformat() if one.day else None,
        "told": one.told,
        "planned": one.planned.isoformat(),
        "source": one.source,
        "state": one.state(today),
        "reason": one.reason,
    }
