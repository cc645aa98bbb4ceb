"""What the pages of the drawer send: a new tool, a check before a job, a second look at a job."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Body, Request
from fastapi import Path as InPath
from fastapi.responses import JSONResponse, Response
from pydantic import Field, StringConstraints

from clampwright.bench.drawer_writing import add_tool, attach_paper
from clampwright.bench.second_look import overrule, read_back
from clampwright.bench.session import Made, Session
from clampwright.bench.tool_checks import check_before_job
from clampwright.drawer.belongings import PaperKind
from clampwright.drawer.new_tool import NewTool
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.units import parse_number
from clampwright.web import api, entries
from clampwright.web.api import Entry, Job
from clampwright.web.lookup import opened
from clampwright.web.models import Device, Name, Number, Reason, Sent, Unit
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import house
from clampwright.words import from_data, words

ToolId = Annotated[str, InPath(max_length=40)]
Field40 = Annotated[str, StringConstraints(max_length=40)]
Key = Annotated[str, StringConstraints(max_length=40)]


class NewToolIn(Sent):
    """A tool as it was filled in: numbers as they were typed, what is not known is empty."""

    title: Annotated[str, StringConstraints(max_length=200)] = ""
    kind: Field40 = ""
    drive: Field40 = ""
    unit: Field40 = ""
    low: Field40 = ""
    high: Field40 = ""
    main_step: Field40 = ""
    fine_step: Field40 = ""
    step_deg: Field40 = ""
    length_mm: Field40 = ""
    serial: Annotated[str, StringConstraints(max_length=100)] = ""
    both_ways: bool = False
    device: Device | None = None


class LookOverIn(Sent):
    """What was looked at before a job and found right."""

    right: Annotated[list[Key], Field(max_length=40, default_factory=list)]
    note: Reason = ""
    device: Device


class OverruleIn(Sent):
    """Another tool for a stage, with the reason."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    tool: Name
    reason: Reason
    device: Device


class ReadBackIn(Sent):
    """What a second person read off the scale."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    value: Number
    unit: Unit
    tool: Name | None = None
    device: Device


def post_tool(request: Request, sent: NewToolIn) -> Response:
    """Write a tool into the drawer file; when something is wrong nothing is written."""
    place = house(request)
    new = NewTool(
        title=sent.title.strip(),
        kind=sent.kind,
        drive=sent.drive,
        unit=sent.unit.strip(),
        low=_figure(sent.low),
        high=_figure(sent.high),
        main_step=_figure(sent.main_step),
        fine_step=_figure(sent.fine_step),
        directions=("cw", "ccw") if sent.both_ways else (),
        step_deg=_figure(sent.step_deg),
        length_mm=_figure(sent.length_mm),
        serial=sent.serial.strip(),
    )
    made = add_tool(place.place, new, today=place.files.today())
    return JSONResponse({"tool": made, "to": f"/drawer/{made}"}, HTTPStatus.CREATED)


def put_paper(
    request: Request,
    tool: ToolId,
    kind: PaperKind,
    data: Annotated[bytes, Body(media_type="application/octet-stream")],
) -> Response:
    """Keep a photograph or certificate with a tool: known by its content, named by its hash."""
    kept = attach_paper(house(request).place, tool, data, kind, say(words("the file")))
    return JSONResponse({"file": kept.name, "to": f"/drawer/{tool}"}, HTTPStatus.CREATED)


def _figure(typed: str) -> float | None:
    return float(parse_number(typed)) if typed.strip() else None


def put_look_over(request: Request, tool: ToolId, entry: Entry, sent: LookOverIn) -> Response:
    """Keep the check of one minute before a job."""
    place = house(request)
    with place.desk.writing(create=True) as store:
        left, receipt = check_before_job(
            store,
            place.place,
            tool,
            sent.right,
            note=sent.note,
            entry_id=entry,
            device_time=sent.device.time,
            device_id=sent.device.id,
        )
    place.live.poke()
    told = words("All right; it stands in the log.")
    if left:
        told = words("Not ticked, and it stands in the log: {what}", what=left[0].say)
    status = HTTPStatus.OK if receipt.duplicate else HTTPStatus.CREATED
    return JSONResponse(
        {"entry": entry, "not_right": [one.key for one in left], "told": as_sentence(say(told))},
        status,
    )


def put_overrule(request: Request, job: Job, entry: Entry, sent: OverruleIn) -> Response:
    """Take another tool for a stage than the plan says, with the reason."""
    _known(request, job, sent.joint, sent.stage)
    content = {
        "joint": sent.joint,
        "stage": sent.stage,
        "tool": sent.tool,
        "reason": sent.reason.strip(),
    }

    def take(session: Session, made: Made) -> object:
        return overrule(session, sent.joint, sent.stage, sent.tool, sent.reason, **made)

    one = entries.Incoming("tool_overruled", content, sent.device, take)
    return _put(request, job, entry, one)


def put_read_back(request: Request, job: Job, entry: Entry, sent: ReadBackIn) -> Response:
    """Compare what a second person read off the scale with what was to be set."""
    _known(request, job, sent.joint, sent.stage)

    def take(session: Session, made: Made) -> object:
        return read_back(
            session, sent.joint, sent.stage, sent.value, sent.unit, tool_id=sent.tool, **made
        )

    content = {"joint": sent.joint, "stage": sent.stage}
    one = entries.Incoming("setting_read_back", content, sent.device, take)
    return _put(request, job, entry, one)


def _known(request: Request, job: str, joint: str, stage: int) -> None:
    """Refuse a stage that the job does not have, before the right to write is taken."""
    _state, plan = opened(house(request).desk.look().jobs.get(job), job)
    known = {(one.joint.id, planned.number) for one in plan.joints for planned in one.stages}
    if (joint, stage) not in known:
        raise Missing(
            words("this job has no stage {stage} of {joint}", stage=stage, joint=joint),
            needed="pull",
        )


def _put(request: Request, job: str, entry: str, one: entries.Incoming) -> Response:
    return api.put(request, job, entry, one, _told)


def _told(session: Session, entry: str) -> dict[str, Any]:
    body = session.store.get(entry)["body"]
    told = words("It is taken; the reason stands in the record.")
    if "told" in body:
        told = from_data(body["told"])
    return {
        **entries.receipt(session, entry),
        "told": as_sentence(say(told)),
        "agrees": body.get("agrees", True),
    }
