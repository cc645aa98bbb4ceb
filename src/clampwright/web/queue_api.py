"""Many entries of devices at once: a queue that was filled without network, or a file of one.

Each entry goes the way it would go alone, with its own receipt; the right to write, and the COMMIT
that makes them durable, are shared by many of them. Nothing is told before that, and sending all
again is harmless.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from http import HTTPStatus
from typing import Annotated, Any, get_type_hints

from fastapi import FastAPI, Request
from fastapi.responses import Response
from fastapi.routing import APIRoute
from pydantic import Field, StringConstraints, TypeAdapter, ValidationError

from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.web.access import RULE, UNKNOWN, rules
from clampwright.web.answers import status_of
from clampwright.web.hands import NotLetIn
from clampwright.web.models import Device, EntryId, JobId, Sent
from clampwright.web.shared import house
from clampwright.words import words

MOST = 200
"""Entries in one request."""

TOGETHER = 50
"""Entries made durable by one COMMIT; after each others have their turn."""

_ADDRESS = re.compile(r"/api/jobs/\{job\}/([a-z-]+)/\{entry\}")


class EntryIn(Sent):
    """One entry with where it goes."""

    job: JobId
    way: Annotated[str, StringConstraints(pattern=r"^[a-z-]{1,40}$")]
    id: EntryId
    content: dict[str, Any]
    device: Device


class EntriesIn(Sent):
    """Entries in the order in which they were made."""

    entries: Annotated[list[EntryIn], Field(max_length=MOST)]
    aside: bool = False


def take_many(request: Request, sent: EntriesIn) -> dict[str, Any]:
    """Take entries one after the other; stops at the first that must be sent again later."""
    return {"answers": answers(request, sent.entries, aside=sent.aside)}


def answers(request: Request, entries: Sequence[EntryIn], *, aside: bool) -> list[dict[str, Any]]:
    """Take entries and return what each is told, with its id and status; they are durable then.

    Parameters
    ----------
    request : Request
        The one they came with: who sends, and to which server.
    entries : sequence of EntryIn
    aside : bool
        Keep aside what the log cannot take, rather than refuse it.

    Returns
    -------
    list of dict
        Fewer than entries, where one must be sent again before the others.

    Raises
    ------
    StoreBusy, StoreFull, StoreFailed
        When they could not be made durable: then nobody is told anything, and all are sent again.
    """
    told: list[dict[str, Any]] = []
    for start in range(0, len(entries), TOGETHER):
        with house(request).desk.held():
            for one in entries[start : start + TOGETHER]:
                status, answer = _taken(request, one, aside=aside)
                told.append({"id": one.id, "status": int(status), **answer})
                if _stops(status, answer):
                    return told
    return told


def _stops(status: int, answer: Mapping[str, Any]) -> bool:
    """Whether what follows is to wait: it may rest on an entry that was not taken yet."""
    later = status >= HTTPStatus.INTERNAL_SERVER_ERROR or status == HTTPStatus.UNAUTHORIZED
    return later or "sign" in answer


def _taken(request: Request, one: EntryIn, *, aside: bool) -> tuple[int, Mapping[str, Any]]:
    known = _ways(request.app).get(one.way)
    if known is None:
        told = say(words("entries of the kind {way} are not known here", way=one.way))
        return HTTPStatus.NOT_FOUND, {"error": told}
    handler, model = known
    device = one.device.model_dump(exclude_unset=True)
    body = json.dumps({**one.content, "device": device}).encode()
    alone = Request(
        {
            **request.scope,
            RULE: rules().get(("PUT", f"/api/jobs/{{job}}/{one.way}/{{entry}}"), UNKNOWN),
            "path": f"/api/jobs/{one.job}/{one.way}/{one.id}",
            "query_string": b"aside=true" if aside else b"",
            "state": {**request.scope.get("state", {}), "body": body},
        }
    )
    try:
        answer = handler(alone, one.job, one.id, model.validate_json(body))
    except NotLetIn as error:
        return error.why.status, {"error": say(error.why.sentence), **error.why.more}
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"]) or "-"
        sentence = words("{where}: {what}", where=where, what=str(first["msg"]))
        return HTTPStatus.UNPROCESSABLE_ENTITY, {"error": say(sentence)}
    except ClampwrightError as error:
        return status_of(error), {"error": say(error.message)}
    return answer.status_code, json.loads(bytes(answer.body))


Handler = Callable[[Request, str, str, Any], Response]


@lru_cache(maxsize=8)
def _ways(app: FastAPI) -> Mapping[str, tuple[Handler, TypeAdapter[Any]]]:
    """Return how each kind of entry of a job is taken: what its own address does."""
    found: dict[str, tuple[Handler, TypeAdapter[Any]]] = {}
    for route in app.routes:
        if not isinstance(route, APIRoute) or "PUT" not in (route.methods or ()):
            continue
        if (address := _ADDRESS.fullmatch(route.path)) is not None:
            model = get_type_hints(route.endpoint, include_extras=True)["sent"]
            found[address[1]] = (route.endpoint, TypeAdapter(model))
    return found
