"""The page for trying tightened fasteners afterwards, and what a device sends of it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import Request
from fastapi.responses import Response
from pydantic import Field

from clampwright.bench.auditing import Tried, told_lines, try_fastener
from clampwright.bench.days import today
from clampwright.drawer.files import load_drawer
from clampwright.locale import say
from clampwright.units import parse_quantity
from clampwright.web.api import Entry, Job, put
from clampwright.web.entries import Incoming
from clampwright.web.lookup import opened
from clampwright.web.models import Device, Name, Reason, Sent
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import house
from clampwright.words import Words, from_data, words
from clampwright.work.audit import TURNS_ON, ReadAs, Way, audit_ways, audited_words
from clampwright.work.follow_up import why_not_again


class AuditIn(Sent):
    """One fastener that was tried."""

    joint: Name
    fastener: Annotated[int, Field(ge=1, le=1000)]
    way: Way
    reading: Annotated[str, Field(max_length=40)]
    read_as: ReadAs
    tool: Name
    note: Reason = ""
    device: Device


def audit_page(request: Request, job: Job) -> Response:
    """Show the three ways, what each can tell, and what was found so far."""
    place = house(request)
    state, plan = opened(place.desk.look().jobs.get(job), job)
    drawer = load_drawer(place.place.drawer.read_bytes(), "drawer.toml")
    joints = []
    for planned in plan.joints:
        why = why_not_again(stage.stage for stage in planned.stages)
        joints.append(
            {
                "id": planned.joint.id,
                "title": planned.joint.title,
                "fasteners": list(planned.joint.layout.numbers),
                "why_not": as_sentence(say(why)) if why else "",
            }
        )
    facts = {
        "title": say(words("Try the torque: {title}", title=plan.job.title)),
        "job": {"id": job, "title": plan.job.title, "invented": plan.job.invented},
        "harm": min(one.joint.harm_level for one in plan.joints) == 1,
        "joints": joints,
        "ways": [
            {
                "way": one.way,
                "on": one.way in TURNS_ON,
                "source": one.source,
                **{
                    name: as_sentence(say(getattr(one, name)))
                    for name in ("title", "how", "tells", "cannot", "changes")
                },
            }
            for one in audit_ways().values()
        ],
        "tools": [
            {"id": tool.id, "title": tool.title, "clicks": tool.kind == "click"}
            for tool in drawer.tools
            if tool.is_wrench
        ],
        "found": [_found(body) for body in state.audits[::-1]],
        "text": {name: say(sentence) for name, sentence in TEXT.items()},
    }
    return place.pages.answer("audit.html", facts)


def _found(body: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "words": say(audited_words(body)),
        "lines": [as_sentence(say(line)) for line in told_lines(body)[1:]],
        "reasons": [say(from_data(one)) for one in body["reasons"]],
        "source": body["source"],
    }


def put_audit(request: Request, job: Job, entry: Entry, sent: AuditIn) -> Response:
    """Keep what it took to move a tightened fastener."""
    place = house(request).place
    tried = Tried(
        sent.joint, sent.fastener, sent.way, sent.reading, sent.read_as, sent.tool, sent.note
    )
    quantity = parse_quantity(sent.reading, "torque")
    content = {
        "joint": sent.joint,
        "fastener": sent.fastener,
        "way": sent.way,
        "reading": {"value": str(quantity.written_value), "unit": quantity.written_unit},
        "read_as": sent.read_as,
        "tool": sent.tool,
        "note": sent.note.strip(),
    }
    return put(
        request,
        job,
        entry,
        Incoming(
            "joint_audited",
            content,
            sent.device,
            lambda session, made: try_fastener(session, place, tried, today(), **made),
        ),
    )


TEXT: Mapping[str, Words] = {
    "heading": words("Try the torque of a tightened fastener"),
    "about": words(
        "No way gives back the torque it was tightened to. What comes out is a band, and often "
        "that it cannot be told."
    ),
    "caution": words(
        "Each try changes the joint a little. Where the maker gives a check, that is the one to do."
    ),
    "joint": words("Joint"),
    "fastener": words("Fastener"),
    "way": words("How it was tried"),
    "reading": words("What was read or set, with its unit"),
    "read_as": words("What that is"),
    "moving": words("read while it moved"),
    "peak": words("the highest reading"),
    "stood": words("click wrench: clicked, fastener stood still"),
    "moved": words("click wrench: it moved before the click"),
    "tool": words("Wrench"),
    "note": words("Anything odd"),
    "keep": words("Keep it and say what it tells"),
    "kept": words("Kept on this device; it is sent when the server answers again."),
    "more": words("What it tells, and what it does to the joint"),
    "found": words("What was found"),
    "why": words("What stands behind it"),
    "plan": words("Plan"),
}
