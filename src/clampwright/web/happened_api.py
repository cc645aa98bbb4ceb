"""Something happened, as a device sends it: noted, settled, taken back."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Request
from fastapi.responses import Response
from pydantic import Field

from clampwright.bench.happenings import due_of, note_happening, settle, take_back
from clampwright.bench.names import Names
from clampwright.bench.session import Session
from clampwright.web.after_view import effects_view
from clampwright.web.api import Entry, Job, put
from clampwright.web.entries import Incoming, told
from clampwright.web.happened_view import listed, tables_view
from clampwright.web.lookup import key_of, opened
from clampwright.web.models import Device, EntryId, Name, Reason, Sent
from clampwright.web.shared import house
from clampwright.work.aftermath import HAPPENED, SETTLED, TAKEN_BACK
from clampwright.work.happening import Told

AnswerText = Annotated[str, Field(max_length=400)]


class HappeningIn(Sent):
    """Something that happened, with every question answered."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    fastener: Annotated[int, Field(ge=0, le=1000)]
    what: Name
    answers: Annotated[dict[Name, AnswerText], Field(max_length=20)]
    tool: Name | None = None
    note: Reason = ""
    device: Device


class SettlingIn(Sent):
    """What became of something that stood open."""

    joint: Name
    happening: EntryId
    due: Name
    answer: Annotated[str, Field(max_length=100)] = ""
    told: Reason = ""
    device: Device


class TakingBackIn(Sent):
    """The last entry of a job, taken back."""

    entry: EntryId
    reason: Reason
    device: Device


def tables(request: Request) -> dict[str, Any]:  # noqa: ARG001 - a handler is called with it
    """Return what can happen at the bench, what is asked then, and what trade practice offers."""
    return tables_view()


def happenings(request: Request, job: Job) -> dict[str, Any]:
    """Return what happened at a job, what became of it, and what is open."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    return listed(plan, state, Names(place.place.folder).all())


def put_happening(request: Request, job: Job, entry: Entry, sent: HappeningIn) -> Response:
    """Note that something happened; what follows from it is worked out and stands on the log."""
    names = Names(house(request).place.folder)
    where = {"joint": sent.joint, "stage": sent.stage, "fastener": sent.fastener}
    content = {**where, "what": sent.what, "note": sent.note.strip()}

    def take(session: Any, made: Any) -> object:
        key = key_of(session.plan, sent.joint, sent.stage, sent.fastener)
        telling = Told(sent.what, key, sent.answers, sent.tool or "", sent.note)
        return note_happening(session, telling, names, **made)

    return put(request, job, entry, Incoming(HAPPENED, content, sent.device, take), _told)


def put_settling(request: Request, job: Job, entry: Entry, sent: SettlingIn) -> Response:
    """Settle what something that happened has left open."""
    content = {
        "joint": sent.joint,
        "happening": sent.happening,
        "due": sent.due,
        "answer": sent.answer,
        "told": sent.told.strip(),
    }

    def take(session: Any, made: Any) -> object:
        due = due_of(session, sent.happening, sent.due, sent.joint)
        return settle(session, due, sent.answer, sent.told, **made)

    return put(request, job, entry, Incoming(SETTLED, content, sent.device, take), _told)


def _told(session: Session, entry: str) -> dict[str, Any]:
    """Return the receipt with what followed: the device holds it against what it reckoned."""
    effects = session.store.get(entry)["body"]["effects"]
    return {**told(session, entry), "effects": effects_view(session.state, effects)}


def put_taking_back(request: Request, job: Job, entry: Entry, sent: TakingBackIn) -> Response:
    """Take back the last entry of a job; both stay on the log."""
    content = {"entry": sent.entry, "reason": sent.reason.strip()}
    return put(
        request,
        job,
        entry,
        Incoming(
            TAKEN_BACK,
            content,
            sent.device,
            lambda session, made: take_back(session, sent.entry, sent.reason, **made),
        ),
    )
