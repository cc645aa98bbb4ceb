"""Between workshops: what came from others, taking something in, handing something over."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Annotated, Any

from fastapi import Path as InPath
from fastapi import Query, Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from clampwright.bench.days import today
from clampwright.bench.folder import open_store
from clampwright.bench.handing import hand_over
from clampwright.bench.names import Names
from clampwright.bench.taking import Taken, prospect, take_in, taken_in
from clampwright.drawer.files import load_drawer
from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.proof.handover import Handover, What, read_handover
from clampwright.proof.keys import public_key_from
from clampwright.store.where import has_log as workshop_has_log
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.words import Words, words

Named = Annotated[str, Query(max_length=100)]
Key = Annotated[str, Query(max_length=400)]
FILE = "handover"
"""What a file is called in messages: its own name decides nothing."""

WHAT: Mapping[What, Words] = {
    "job": words("Job"),
    "procedure": words("Procedure"),
    "tool": words("Tool"),
}


def handed_page(request: Request) -> Response:
    """Show what came from other workshops, and the two ways."""
    place = house(request)
    facts = {
        "title": say(words("Between workshops")),
        "taken": [_taken(one, names) for names in [_names(place)] for one in _all_taken(place)],
        "things": _things(place),
        "text": {key: say(sentence) for key, sentence in _TEXT.items()},
    }
    return place.pages.answer("handed.html", facts)


async def look(
    request: Request, name: Named = "", key: Key = "", *, file_only: bool = False
) -> JSONResponse:
    """Check a handover and say what taking it in would do; nothing is kept."""
    data = await request.body()
    return JSONResponse(
        await run_in_threadpool(_looked, house(request), data, name, key, file_only=file_only)
    )


def _looked(place: House, data: bytes, name: str, key: str, *, file_only: bool) -> dict[str, Any]:
    given = read_handover(data, FILE, key or None)
    problem, notes = "", list[str]()
    if not has_log(place):
        return {**_given(given), "notes": notes, "problem": problem}
    try:
        with open_store(place.place, write=False) as store:
            found = prospect(place.place, store, given, name=name or None, file_only=file_only)
            notes = [as_sentence(say(note)) for note in found.notes]
    except ClampwrightError as error:
        problem = as_sentence(say(error.message))
    return {**_given(given), "notes": notes, "problem": problem}


async def take(
    request: Request, by: Named, name: Named = "", key: Key = "", *, file_only: bool = False
) -> JSONResponse:
    """Take a handover in; a second time it is refused."""
    data = await request.body()
    found = await run_in_threadpool(
        _taken_now, house(request), data, by, name, key, file_only=file_only
    )
    return JSONResponse(found, HTTPStatus.CREATED)


def _taken_now(
    place: House, data: bytes, by: str, name: str, key: str, *, file_only: bool
) -> dict[str, Any]:
    given = read_handover(data, FILE, key or None)
    with place.desk.writing(create=True) as store:
        made = take_in(
            place.place,
            store,
            given,
            data,
            by,
            name=name or None,
            file_only=file_only,
            today=today(),
        )
    return {**_given(given), "as": made.body["as"]}


def give(
    request: Request, what: Annotated[What, InPath()], name: Annotated[str, InPath(max_length=200)]
) -> Response:
    """Hand something over: the signed file."""
    place = house(request)
    with place.desk.writing() as store:
        data = hand_over(place.place, store, what, name)
    headers = {"content-disposition": f'attachment; filename="{what}.json"'}
    return Response(data, HTTPStatus.OK, headers, media_type="application/json")


def _given(given: Handover) -> dict[str, Any]:
    return {
        "what": say(WHAT[given.what]),
        "name": given.name,
        "title": given.title,
        "workshop": given.workshop,
        "made": given.made,
        "origin": given.head.origin,
        "size": given.head.size,
        "key": given.key.fingerprint,
        "entries": [
            {"kind": one.entry["kind"], "index": one.index, "leaf": one.leaf}
            for one in given.entries
        ],
        "files": len(given.files),
    }


def has_log(place: House) -> bool:
    """Say whether anything was ever written in this workshop."""
    return workshop_has_log(place.place.folder)


def _all_taken(place: House) -> list[Taken]:
    if not has_log(place):
        return []
    with open_store(place.place, write=False) as store:
        return taken_in(store)


def _names(place: House) -> Mapping[str, str]:
    return Names(place.place.folder).all()


def _taken(one: Taken, names: Mapping[str, str]) -> dict[str, Any]:
    body = one.body
    what: What = body["what"]
    return {
        "what": say(WHAT[what]),
        "title": body["title"],
        "as": body["as"] or say(words("file only")),
        "workshop": body["workshop"],
        "origin": body["origin"],
        "key": public_key_from(body["key"]).fingerprint,
        "date": one.recorded[:10],
        "by": names.get(body["by"], body["by"]),
        "entries": body["entries"],
    }


def _things(place: House) -> list[dict[str, str]]:
    """Return what could be handed over: jobs that were begun, procedures, tools."""
    known = place.desk.look()
    found: list[tuple[What, str, str]] = [
        ("job", job, state.opened["plan"]["title"])
        for job, state in known.jobs.items()
        if state.opened is not None
    ]
    found += [("procedure", one.procedure, one.title) for one in known.shelf.find("")]
    if known.size and place.place.drawer.is_file():
        drawer = load_drawer(place.place.drawer.read_bytes(), "drawer.toml")
        found += [("tool", tool.id, tool.title) for tool in drawer.tools]
    return [
        {"what": what, "name": name, "words": f"{say(WHAT[what])}: {title}"}
        for what, name, title in found
    ]


_TEXT: Mapping[str, Words] = {
    "about": words(
        "A job, a procedure or a tool goes from one workshop to another as one signed file. What "
        "is taken in keeps its origin. Nothing is merged, and nothing is taken in twice."
    ),
    "take": words("Take something in"),
    "file": words("The file you were given"),
    "key": words("The key of the workshop it should come from, as it gave it by another way"),
    "look": words("Look at it"),
    "by": words("Your name"),
    "as": words("Id it is to have here, where its own is in use"),
    "file_only": words("Keep only the file and its origin, set up nothing"),
    "take_now": words("Take it in"),
    "give": words("Hand something over"),
    "give_now": words("Make the signed file"),
    "what": words("What"),
    "none_to_give": words("There is nothing here yet that could be handed over."),
    "taken": words("Came from other workshops"),
    "none": words("Nothing came from another workshop yet."),
    "from": words("From"),
    "signed": words("Key"),
    "log": words("Log"),
    "entries": words("Entries of that log, by place and hash"),
    "taken_by": words("Taken in by"),
    "here_as": words("Here as"),
    "unsure": words(
        "Anybody can sign with a key of their own: compare the key with the one that workshop gave "
        "you by another way."
    ),
}
