"""The API of the shelf: read a text, keep it, confirm it, begin a job with it."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from clampwright.bench import shelf as shelves
from clampwright.bench.names import Names
from clampwright.bench.newjobs import write_job
from clampwright.errors import ClampwrightError, Missing
from clampwright.locale import say
from clampwright.procedure.check_physics import Reckoning
from clampwright.procedure.reader import read
from clampwright.procedure.reading import Reading
from clampwright.units import parse_number
from clampwright.web.guard import SANDBOX
from clampwright.web.models import Device, EntryId
from clampwright.web.reading_view import reading_view
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.web.shelf_models import (
    ConfirmIn,
    FastenerIn,
    LayoutIn,
    NewJobIn,
    ProcedureId,
    ReadingAsk,
    ShelveIn,
    VersionNumber,
)
from clampwright.web.shelf_view import listed_view, version_view
from clampwright.words import words
from clampwright.work.fastener import fastening_of
from clampwright.work.job import Pin
from clampwright.work.newjob import NewJob
from clampwright.work.settling import reckoning_of
from clampwright.work.shelf import Version

Procedure = Annotated[ProcedureId, InPath()]
Number = Annotated[VersionNumber, InPath()]
Which = Annotated[VersionNumber | None, Query()]
Entry = Annotated[EntryId, InPath()]
Sought = Annotated[str, Query(max_length=200)]
FileName = Annotated[str, Query(min_length=1, max_length=100)]


def reading(request: Request, sent: ReadingAsk) -> dict[str, Any]:  # noqa: ARG001 - as all handlers
    """Say what is understood of a text and what must be settled; nothing is kept."""
    found = read(sent.text, sent.locale)
    reckoning, problem = _reckoning(sent.fastener, found)
    return {**reading_view(sent.text, found, reckoning), "fastener_problem": problem}


def _reckoning(sent: FastenerIn, found: Reading) -> tuple[Reckoning | None, str]:
    """Return what the questions are informed by; a wrong name is told beside the reading."""
    try:
        named = sent.named()
        fastening = fastening_of(named)
        return reckoning_of(fastening, named.condition(), found.lubrication), ""
    except ClampwrightError as error:
        return None, as_sentence(say(error.message))


def procedures(request: Request, find: Sought = "") -> dict[str, Any]:
    """List the procedures on the shelf that hold all the words sought."""
    place = house(request)
    names = Names(place.place.folder).all()
    return {"procedures": [listed_view(one, names) for one in place.desk.look().shelf.find(find)]}


def procedure(request: Request, procedure: Procedure, version: Which = None) -> dict[str, Any]:
    """Return one version of a procedure, the newest if none is named."""
    place = house(request)
    one, before, count = chosen(place, procedure, version)
    view = version_view(one, before, Names(place.place.folder).all())
    return {**view, "versions": count}


def chosen(
    place: House, procedure: str, number: int | None, against: int | None = None
) -> tuple[Version, Version | None, int]:
    """Return a version, the one it is compared with, and how many there are.

    Raises
    ------
    Missing
        When there is no such procedure or version.
    """
    shelf = place.desk.look().shelf
    versions = shelf.versions(procedure)
    one = shelf.version(procedure, number or len(versions))
    other = against or one.number - 1
    before = shelf.version(procedure, other) if other and other != one.number else None
    return one, before, len(versions)


async def keep_file(request: Request, name: FileName) -> JSONResponse:
    """Keep a photograph or a PDF page, by its content; sent again it is kept once."""
    data = await request.body()
    kept = await run_in_threadpool(shelves.keep_file, house(request).place.papers, data, name)
    return JSONResponse(kept.as_body(), HTTPStatus.CREATED)


def put_version(request: Request, entry: Entry, sent: ShelveIn) -> JSONResponse:
    """Put a procedure on the shelf, or a new version of one."""
    place = house(request)
    draft = shelves.Draft(
        sent.title,
        sent.text,
        sent.locale,
        sent.choice,
        sent.source.model_dump(),
        tuple((file.sha256, file.name) for file in sent.files),
        sent.procedure,
        sent.stays_open,
    )
    with place.desk.writing(create=True) as store:
        before = store.head()[0]
        made = shelves.put(store, place.place, draft, sent.by, **_made(entry, sent.device))
        new = store.head()[0] > before
    return JSONResponse(_told(place, made), HTTPStatus.CREATED if new else HTTPStatus.OK)


def put_confirmation(
    request: Request, procedure: Procedure, version: Number, entry: Entry, sent: ConfirmIn
) -> JSONResponse:
    """Note that a second person has compared a version with its source."""
    place = house(request)
    one = place.desk.look().shelf.version(procedure, version, sent.sha256)
    with place.desk.writing() as store:
        before = store.head()[0]
        made = shelves.confirm(store, place.place, one, sent.by, **_made(entry, sent.device))
        new = store.head()[0] > before
    return JSONResponse(_told(place, made), HTTPStatus.CREATED if new else HTTPStatus.OK)


def _made(entry: str, device: Device) -> shelves.Made:
    return {"entry_id": entry, "device_time": device.time, "device_id": device.id}


def _told(place: House, version: Version) -> dict[str, Any]:
    return listed_view(version, Names(place.place.folder).all())


def new_job(
    request: Request, procedure: Procedure, version: Number, sent: NewJobIn
) -> JSONResponse:
    """Make a job that is worked by a version; it is begun as any other."""
    place = house(request)
    one = place.desk.look().shelf.version(procedure, version, sent.sha256)
    new = NewJob(
        title=sent.title,
        machine=sent.machine,
        part=one.title,
        pin=Pin(procedure, version, one.sha256),
        layout=_layout(sent.layout),
        harm_level=sent.harm_level,
        torque_percent=_figure(sent.torque_percent),
        angle_deg=_figure(sent.angle_deg),
        named=sent.fastener.named(),
        kind=sent.kind,
    )
    return JSONResponse({"job": write_job(place.place, new)}, HTTPStatus.CREATED)


def _layout(sent: LayoutIn) -> dict[str, str | float]:
    given = {key: value for key, value in sent.model_dump().items() if value is not None}
    typed = {key: value for key, value in given.items() if key.endswith("_mm")}
    return {**given, **{key: _figure(value) for key, value in typed.items()}}


def _figure(typed: str) -> float:
    return float(parse_number(typed))


def file(
    request: Request,
    procedure: Procedure,
    sha256: Annotated[str, InPath(pattern=r"^[0-9a-f]{64}$")],
) -> Response:
    """Send a file that shows the source of a procedure; only pictures are shown in the page."""
    place = house(request)
    for version in place.desk.look().shelf.versions(procedure):
        for one in version.attached:
            if one.sha256 == sha256:
                shown = "inline" if one.type.startswith("image/") else "attachment"
                headers = {
                    "content-type": one.type,
                    "content-disposition": f'{shown}; filename="{sha256[:12]}"',
                    "content-security-policy": SANDBOX,
                }
                return Response(place.place.papers.read(sha256), headers=headers)
    raise Missing(words("this procedure has no such file"), needed="shelf")
