"""What every address of the API answers when all went well: the one list, made into OpenAPI.

Refusals are described in `clampwright.web.app`; the shapes themselves lie in
`clampwright.web.shapes`, and tests hold every answer they get against them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter

from clampwright.web.shapes import (
    bench,
    common,
    entries,
    jobs,
    past,
    people,
    practice,
    shelf,
    tools,
)

Schema = dict[str, Any]
WHERE = "#/components/schemas/{model}"
JSON = "application/json"
MEANS: Mapping[int, str] = {
    200: "It is done, or was already; nothing new was made.",
    201: "It is made now.",
    202: "It is taken up; the live channel tells how it ends.",
}


@dataclass(frozen=True, slots=True)
class Media:
    """An answer that this project does not shape: a drawing, or a file of another form.

    Parameters
    ----------
    type : str
    means : str
        What it is.
    schema : dict, optional
        What can be said of it in JSON.
    """

    type: str
    means: str
    schema: Schema | None = None


ENTRY: Mapping[int, Any] = {200: entries.Taken, 201: entries.Taken}
"""An entry of a job: known already, or new."""
SIGNED: Mapping[int, Any] = {**ENTRY, 202: entries.Awaits}
"""One that somebody signs: made while nobody could, it is held open until then."""
HAPPENED: Mapping[int, Any] = {200: entries.Happened, 201: entries.Happened}
LOOKED: Mapping[int, Any] = {
    **SIGNED,
    200: entries.SecondLookAtPlan,
    201: entries.SecondLookAtPlan,
}
READ_AGAIN: Mapping[int, Any] = {**SIGNED, 200: entries.ReadAgain, 201: entries.ReadAgain}
KEPT: Mapping[int, Any] = {200: common.Kept, 201: common.Kept}
PLANNED: Mapping[int, Any] = {200: common.Kept, 201: past.Planned}
TOOL: Mapping[int, Any] = {200: tools.ToolEntry, 201: tools.ToolEntry}
VERSION: Mapping[int, Any] = {200: shelf.ListedVersion, 201: shelf.ListedVersion}

GIVES: Mapping[str, Mapping[int, Any]] = {
    "GET /api/jobs": {200: jobs.Jobs},
    "GET /api/jobs/{job}": {200: jobs.Job},
    "POST /api/jobs/{job}/opening": {200: jobs.Opened, 201: jobs.Opened},
    "GET /api/jobs/{job}/bench": {200: bench.Bench},
    "GET /api/jobs/{job}/card": {200: jobs.Card},
    "PUT /api/jobs/{job}/pulls/{entry}": ENTRY,
    "GET /api/jobs/{job}/pulls/{entry}/chart": {
        200: Media(JSON, "A chart as a Vega-Lite specification.", {"type": "object"})
    },
    "GET /api/jobs/{job}/pulls/{entry}/chart.svg": {200: Media("image/svg+xml", "A drawing.")},
    "GET /api/follow-ups": {200: past.FollowUps},
    "PUT /api/follow-ups/{entry}": PLANNED,
    "PUT /api/follow-ups/{follow_up}/settlings/{entry}": PLANNED,
    "POST /api/heads": {201: tools.Head},
    "PUT /api/kept-heads/{entry}": KEPT,
    "POST /api/backups": {201: tools.Backup},
    "PUT /api/tellings/{entry}": {200: common.Kept, 201: tools.Begun},
    "POST /api/tellings/{receiver}/end": {200: tools.Receiver},
    "POST /api/tellings/{receiver}/again": {200: tools.Letters},
    "POST /api/tellings/{receiver}/trial": {200: tools.Letter},
    "GET /api/archive": {200: past.Archive},
    "GET /api/machines": {200: past.Machines},
    "GET /api/machines/history": {200: past.MachineHistory},
    "GET /api/pulls": {200: past.FoundPulls},
    "GET /api/figures": {200: past.FigureQuestions},
    "PUT /api/figures/{entry}": KEPT,
    "PUT /api/figure-answers/{entry}": KEPT,
    "GET /api/jobs/{job}/preparation": {200: jobs.Preparation},
    "PUT /api/jobs/{job}/holds/{entry}": ENTRY,
    "PUT /api/jobs/{job}/loosenings/{entry}": ENTRY,
    "POST /api/papers": {201: shelf.KeptFile},
    "PUT /api/jobs/{job}/papers/{entry}": ENTRY,
    "PUT /api/jobs/{job}/audits/{entry}": ENTRY,
    "PUT /api/jobs/{job}/preparations/{entry}": ENTRY,
    "PUT /api/jobs/{job}/passings/{entry}": SIGNED,
    "PUT /api/jobs/{job}/acceptances/{entry}": SIGNED,
    "PUT /api/jobs/{job}/restarts/{entry}": ENTRY,
    "GET /api/happenings": {200: jobs.HappeningTables},
    "GET /api/jobs/{job}/happenings": {200: jobs.Happenings},
    "PUT /api/jobs/{job}/happenings/{entry}": HAPPENED,
    "PUT /api/jobs/{job}/settlings/{entry}": HAPPENED,
    "PUT /api/jobs/{job}/takings-back/{entry}": ENTRY,
    "PUT /api/jobs/{job}/closings/{entry}": SIGNED,
    "PUT /api/jobs/{job}/settled-asides/{entry}": SIGNED,
    "POST /api/entries": {200: entries.Answers},
    "GET /api/unsigned": {200: entries.Waiting},
    "PUT /api/jobs/{job}/not-signed/{entry}": SIGNED,
    "PUT /api/jobs/{job}/named-hands/{entry}": SIGNED,
    "PUT /api/jobs/{job}/overrules/{entry}": LOOKED,
    "PUT /api/jobs/{job}/read-backs/{entry}": LOOKED,
    "POST /api/drawer/tools": {201: tools.NewTool},
    "PUT /api/drawer/tools/{tool}/papers/{kind}": {201: tools.ToolPaper},
    "PUT /api/drawer/tools/{tool}/look-overs/{entry}": {200: tools.LookOver, 201: tools.LookOver},
    "PUT /api/drawer/tools/{tool}/events/{entry}": TOOL,
    "PUT /api/drawer/tools/{tool}/calibrations/{entry}": TOOL,
    "PUT /api/drawer/tools/{tool}/performed/{entry}": TOOL,
    "PUT /api/drawer/tools/{tool}/checks/{entry}": TOOL,
    "PUT /api/drawer/tools/{tool}/decisions/{entry}": TOOL,
    "PUT /api/jobs/{job}/second-readings/{entry}": READ_AGAIN,
    "GET /api/device": {200: tools.DeviceState},
    "POST /api/device/break-off": {200: tools.BrokenOff},
    "POST /api/jobs/{job}/device-pulls": {202: common.Kept},
    "POST /api/phone-angle": {200: tools.PhoneAngle},
    "POST /api/handed/looks": {200: tools.GivenLook},
    "POST /api/handed/taken": {201: tools.GivenTaken},
    "POST /api/hand-overs/{what}/{name}": {
        200: Media(JSON, "A handover file, see handover.schema.json.", {"type": "object"})
    },
    "POST /api/jobs/{job}/simulated": {202: common.Kept},
    "GET /api/procedures": {200: shelf.Procedures},
    "POST /api/procedures/reading": {200: shelf.Reading},
    "POST /api/procedures/files": {201: shelf.KeptFile},
    "PUT /api/procedures/versions/{entry}": VERSION,
    "GET /api/procedures/{procedure}": {200: shelf.Procedure},
    "PUT /api/procedures/{procedure}/{version}/confirmations/{entry}": VERSION,
    "POST /api/procedures/{procedure}/{version}/jobs": {201: shelf.NewJob},
    "PUT /api/jobs/{job}/second-looks/{entry}": SIGNED,
    "GET /api/session": {200: people.Session},
    "POST /api/session/password": {201: people.Session},
    "POST /api/session/pin": {201: people.Session},
    "POST /api/session/presence": {200: people.Present},
    "POST /api/session/end": {200: people.Ended},
    "POST /api/signatures": {201: people.Signature},
    "GET /api/people": {200: people.People},
    "POST /api/people": {201: people.Added},
    "POST /api/people/{person}/role": {200: people.NewRole},
    "POST /api/people/{person}/secret": {200: common.Id},
    "POST /api/people/{person}/erasing": {200: common.Id},
    "POST /api/people/{person}/sessions-end": {200: people.SessionsEnded},
    "POST /api/sessions/{session}/end": {200: common.Id},
    "POST /api/devices": {201: people.Session},
    "POST /api/devices/{device}/end": {200: common.Id},
    "GET /api/practice/lessons": {200: practice.Lessons},
    "GET /api/practice/question": {200: practice.Question},
    "GET /api/practice/what-if": {200: practice.WhatIf},
    "GET /api/practice/live": {200: practice.LiveSources},
    "PUT /api/practice/live/{source}": {200: practice.LiveTaken},
    "GET /api/practice/classes": {200: practice.Classes},
    "GET /api/practice/classes/{group}": {200: practice.ClassResults},
    "GET /api/practice/classes/{group}/learners/{learner}/feel": {200: practice.Feel},
    "PUT /api/practice/classes/{group}/answers/{entry}": {
        200: practice.Answered,
        201: practice.Answered,
    },
}
"""Method and path, and by status what is answered."""


def _asked() -> Iterator[tuple[str, int, Any]]:
    for way, by_status in GIVES.items():
        for status, shape in by_status.items():
            yield way, status, shape


@lru_cache(maxsize=1)
def answer_schemas() -> tuple[Mapping[tuple[str, int], Schema], Schema]:
    """Return the schema of every answer, and the components they refer to.

    Returns
    -------
    by_answer : mapping
        By (method and path, status); only answers in JSON.
    components : dict
        Schemas by name; an object with fixed members is closed.
    """
    by_answer: dict[tuple[str, int], Schema] = {}
    shaped = []
    for way, status, shape in _asked():
        if not isinstance(shape, Media):
            shaped.append((way, status, shape))
        elif shape.type == JSON:
            by_answer[way, status] = shape.schema or {}
    once = {id(shape): shape for _way, _status, shape in shaped}
    inputs = [(str(key), "serialization", TypeAdapter(shape)) for key, shape in once.items()]
    made, rest = TypeAdapter.json_schemas(inputs, ref_template=WHERE)  # type: ignore[arg-type]  # the mode is one of its two words
    by_shape = {key: _closed(schema) for (key, _mode), schema in made.items()}
    by_answer.update({(way, status): by_shape[str(id(shape))] for way, status, shape in shaped})
    return by_answer, {name: _closed(one) for name, one in rest["$defs"].items()}


def _closed(node: Any) -> Any:
    """Take nothing unknown where members are named; leave out titles made from names."""
    if isinstance(node, list):
        return [_closed(one) for one in node]
    if not isinstance(node, dict):
        return node
    kept = {
        key: {name: _closed(one) for name, one in value.items()}
        if key == "properties"
        else _closed(value)
        for key, value in node.items()
        if not (key == "title" and isinstance(value, str))
    }
    if "properties" in kept:
        kept["additionalProperties"] = False
    return kept


def describe(api: Schema) -> None:
    """Put every successful answer into a description of the API.

    Parameters
    ----------
    api : dict
        OpenAPI, changed in place.
    """
    by_answer, components = answer_schemas()
    api.setdefault("components", {}).setdefault("schemas", {}).update(components)
    for way, by_status in GIVES.items():
        method, path = way.split()
        answers = api["paths"][path][method.lower()]["responses"]
        for status in [one for one in answers if one.startswith("2")]:
            del answers[status]
        for status, shape in by_status.items():
            if isinstance(shape, Media):
                content = {shape.type: {"schema": shape.schema or {"type": "string"}}}
                means = shape.means
            else:
                content, means = {JSON: {"schema": by_answer[way, status]}}, MEANS[status]
            answers[str(status)] = {"description": means, "content": content}
