"""What must be answered before a pull, as a device sends it: points of the preparation list."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field

from clampwright.bench.holding import answer_hold, note_loosened
from clampwright.bench.preparing import pass_over, settle_point
from clampwright.locale import say
from clampwright.web.api import Entry, Job, put
from clampwright.web.entries import Incoming
from clampwright.web.lookup import key_of
from clampwright.web.models import Device, Name, Reason, Sent
from clampwright.web.shared import House, house
from clampwright.work.fold import JobState
from clampwright.work.hold import HoldKey
from clampwright.work.pinned import pinned
from clampwright.work.plan import Plan
from clampwright.work.preparation import Standing, must_be_settled, standing


class PointIn(Sent):
    """One point of the preparation list, settled."""

    joint: Name
    point: Name
    how: Literal["ticked", "chosen", "answered", "skipped"]
    answer: Reason = ""
    reason: Reason = ""
    device: Device


class PassingIn(Sent):
    """Going on although points are open."""

    joint: Name
    stage: Annotated[int, Field(ge=1, le=1000)]
    fastener: Annotated[int, Field(ge=0, le=1000)]
    reason: Reason
    device: Device


def put_point(request: Request, job: Job, entry: Entry, sent: PointIn) -> Response:
    """Settle a point of the preparation list."""
    content = {
        "joint": sent.joint,
        "point": sent.point,
        "how": sent.how,
        "answer": sent.answer.strip(),
        "reason": sent.reason.strip(),
    }
    return put(
        request,
        job,
        entry,
        Incoming(
            "preparation_settled",
            content,
            sent.device,
            lambda session, made: settle_point(
                session,
                sent.joint,
                sent.point,
                sent.how,
                answer=sent.answer,
                reason=sent.reason,
                **made,
            ),
        ),
    )


def put_passing(request: Request, job: Job, entry: Entry, sent: PassingIn) -> Response:
    """Go on although points of the preparation list are open, with the reason."""
    return put(
        request,
        job,
        entry,
        Incoming(
            "preparation_passed_over",
            {"joint": sent.joint, "reason": sent.reason.strip()},
            sent.device,
            lambda session, made: pass_over(
                session,
                key_of(session.plan, sent.joint, sent.stage, sent.fastener),
                sent.reason,
                **made,
            ),
        ),
    )


class HoldIn(Sent):
    """An answer to a hold point."""

    joint: Name
    hold: Annotated[int, Field(ge=1, le=1000)]
    answer: Reason
    reason: Reason = ""
    device: Device


class LoosenedIn(Sent):
    """One fastener eased or taken out in taking a job apart."""

    joint: Name
    round: Annotated[int, Field(ge=1, le=100)]
    fastener: Annotated[int, Field(ge=1, le=1000)]
    breakaway: Annotated[str, Field(max_length=40)] = ""
    tool: Annotated[str, Field(max_length=100)] = ""
    note: Reason = ""
    device: Device


def put_hold(request: Request, job: Job, entry: Entry, sent: HoldIn) -> Response:
    """Answer a hold point; what does not fit stays open."""
    content = {
        "joint": sent.joint,
        "hold": sent.hold,
        "answer": " ".join(sent.answer.split()),
        "reason": sent.reason.strip(),
    }
    return put(
        request,
        job,
        entry,
        Incoming(
            "hold_answered",
            content,
            sent.device,
            lambda session, made: answer_hold(
                session, HoldKey(sent.joint, sent.hold), sent.answer, reason=sent.reason, **made
            ),
        ),
    )


def put_loosened(request: Request, job: Job, entry: Entry, sent: LoosenedIn) -> Response:
    """Note that a fastener was eased or taken out, and what it took to break loose."""
    content = {
        "joint": sent.joint,
        "round": sent.round,
        "fastener": sent.fastener,
        "note": sent.note.strip(),
    }
    return put(
        request,
        job,
        entry,
        Incoming(
            "fastener_loosened",
            content,
            sent.device,
            lambda session, made: note_loosened(
                session,
                sent.joint,
                sent.round,
                sent.fastener,
                breakaway=sent.breakaway,
                tool=sent.tool,
                note=sent.note,
                **made,
            ),
        ),
    )


def preparation(request: Request, job: Job) -> JSONResponse:
    """Return the preparation list of a job with what became of its points."""
    plan, state = plan_and_state(house(request), job)
    return JSONResponse(
        {
            "joints": [
                {
                    "joint": planned.joint.id,
                    "must": must_be_settled(planned.joint),
                    "points": [point_view(one) for one in standing(planned, state)],
                }
                for planned in plan.joints
            ]
        }
    )


def plan_and_state(place: House, job: str) -> tuple[Plan, JobState]:
    """Return a job's plan and state; from its file where it was not opened yet."""
    state = place.desk.look().jobs.get(job) or JobState()
    if state.opened is None:
        return place.files.plan(job)[0], state
    return pinned(state.opened, state.overrules, state.suspects)[2], state


def point_view(one: Standing) -> dict[str, object]:
    """Return a point as plain data.

    Parameters
    ----------
    one : Standing

    Returns
    -------
    dict
    """
    settled, point = one.settled, one.point
    answer = settled.answer if settled else ""
    option = point.option(answer)
    return {
        "point": point.name,
        "ask": point.ask,
        "due": point.due,
        "say": say(point.say),
        "source": point.source,
        "options": [
            {"option": o.name, "say": say(o.say), "source": o.source} for o in point.options
        ],
        "how": settled.how if settled else "",
        "answer": say(option.say) if option else answer,
        "reason": settled.reason if settled else one.passed_over,
        "open": one.open,
        "passed_over": one.open and bool(one.passed_over),
    }
