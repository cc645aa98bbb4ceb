"""What waits to be signed, or for a person to be named: listed, refused, named."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Request
from fastapi.responses import Response
from pydantic import Field

from clampwright.bench.names import Names
from clampwright.bench.unsigned import name_hand, refuse_unsigned
from clampwright.web.api import Entry, Job, put
from clampwright.web.entries import Incoming
from clampwright.web.models import Device, EntryId, Name, Reason, Sent
from clampwright.web.shared import house
from clampwright.web.unsigned_view import nobodys_view, unsigned_view
from clampwright.work.hands import NAMED
from clampwright.work.unsigned import REFUSED


class RefuseIn(Sent):
    """Why an act that is held open is not to count."""

    unsigned: EntryId
    reason: Reason
    device: Device


class NameHandIn(Sent):
    """Whose hand made an entry of which nobody knew it."""

    entry: EntryId
    person: Annotated[Name, Field(description="Id or name of somebody who works here.")]
    reason: Reason
    device: Device


def unsigned(request: Request) -> dict[str, Any]:
    """List what waits to be signed, and whose hand is not known, in every job."""
    place = house(request)
    names = Names(place.place.folder).all()
    jobs = place.desk.look().jobs.items()
    return {
        "unsigned": [
            {"job": job, **one} for job, state in jobs for one in unsigned_view(state, names)
        ],
        "not_known": [{"job": job, **one} for job, state in jobs for one in nobodys_view(state)],
    }


def put_refused(request: Request, job: Job, entry: Entry, sent: RefuseIn) -> Response:
    """Say why an act that is held open is not to count."""
    content = {"entry": sent.unsigned, "reason": sent.reason.strip()}
    return put(
        request,
        job,
        entry,
        Incoming(
            REFUSED,
            content,
            sent.device,
            lambda session, made: refuse_unsigned(session, sent.unsigned, sent.reason, **made),
        ),
    )


def put_named(request: Request, job: Job, entry: Entry, sent: NameHandIn) -> Response:
    """Say whose hand made an entry of which nobody knew it."""
    content = {"entry": sent.entry, "reason": sent.reason.strip()}
    return put(
        request,
        job,
        entry,
        Incoming(
            NAMED,
            content,
            sent.device,
            lambda session, made: name_hand(session, sent.entry, sent.person, sent.reason, **made),
        ),
    )
