"""Photographs and PDFs of a job: shown safely, taken in by their content."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field
from starlette.concurrency import run_in_threadpool

from clampwright.bench.job_papers import Attaching, attach, keep_paper
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.web.api import Entry, Job, put
from clampwright.web.entries import Incoming
from clampwright.web.guard import SANDBOX
from clampwright.web.lookup import opened
from clampwright.web.models import Device, Name, Reason, Sent
from clampwright.web.shared import house
from clampwright.words import Words, words
from clampwright.work.attached import LARGEST
from clampwright.work.job_papers import attached_words

Sha256 = Annotated[str, InPath(pattern=r"^[0-9a-f]{64}$")]
FileName = Annotated[str, Query(min_length=1, max_length=200)]


class PaperIn(Sent):
    """A kept file that is to belong to a job."""

    joint: Name
    fastener: Annotated[int, Field(ge=0, le=1000)] = 0
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    name: Annotated[str, Field(min_length=1, max_length=200)]
    note: Reason = ""
    device: Device


def papers_page(request: Request, job: Job) -> Response:
    """Show what is attached to a job, and where more is attached."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    facts = {
        "title": say(words("Photographs and papers: {title}", title=plan.job.title)),
        "job": {"id": job, "title": plan.job.title, "invented": plan.job.invented},
        "joints": [{"id": one.id, "title": one.title} for one in plan.job.joints],
        "papers": [
            {
                "sha256": body["file"],
                "picture": body["type"].startswith("image/"),
                "words": say(attached_words(body)),
                "name": body["name"],
                "joint": plan.joint(body["joint"]).joint.title,
                "width": body.get("pixels", {}).get("width", 0),
                "height": body.get("pixels", {}).get("height", 0),
            }
            for body in state.papers
        ],
        "largest": LARGEST,
        "text": {name: say(sentence) for name, sentence in TEXT.items()},
    }
    return place.pages.answer("job_papers.html", facts)


async def keep(request: Request, name: FileName) -> JSONResponse:
    """Keep a photograph or a PDF, by its content; sent again it is kept once."""
    data = await request.body()
    kept = await run_in_threadpool(keep_paper, house(request).place.papers, data, name)
    return JSONResponse(kept, HTTPStatus.CREATED)


def put_paper(request: Request, job: Job, entry: Entry, sent: PaperIn) -> Response:
    """Attach a kept file to a job."""
    given = Attaching(sent.joint, sent.sha256, sent.name, sent.fastener, sent.note)
    content = {"joint": sent.joint, "fastener": sent.fastener, "file": sent.sha256}
    return put(
        request,
        job,
        entry,
        Incoming(
            "paper_attached",
            content,
            sent.device,
            lambda session, made: attach(session, given, **made),
        ),
    )


def paper(request: Request, job: Job, sha256: Sha256) -> Response:
    """Send an attached file: to be saved, never to be run or shown as a page of this server."""
    place = house(request)
    state, _ = opened(place.desk.look().jobs.get(job), job)
    for one in state.papers:
        if one["file"] == sha256:
            headers = {
                "content-type": one["type"],
                "content-disposition": f'attachment; filename="{sha256[:12]}"',
                "content-security-policy": SANDBOX,
            }
            return Response(place.place.papers.read(sha256), headers=headers)
    raise Missing(words("this job has no such file"), needed="entry")


TEXT: Mapping[str, Words] = {
    "heading": words("Photographs and papers"),
    "about": words(
        "What is attached here becomes part of the record by its hash: it cannot be exchanged "
        "unseen afterwards. A photograph may show more than you mean: number plates, faces, the "
        "place where it was taken."
    ),
    "file": words("Photograph (JPEG, PNG, WebP) or PDF"),
    "joint": words("Joint"),
    "fastener": words("Fastener it shows (empty for the joint)"),
    "note": words("What is to be seen"),
    "keep": words("Attach it"),
    "none": words("Nothing is attached yet."),
    "save": words("Save"),
    "kept": words("Kept on this device; it is sent when the server answers again."),
    "large": words("The file is larger than 20 MB."),
    "plan": words("Plan"),
}
