"""Errors as a device or a browser is told them: one sentence and a status, never a traceback."""

from __future__ import annotations

import logging
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from clampwright.bench.sign_in import TurnedAway
from clampwright.errors import (
    BadFile,
    ClampwrightError,
    Missing,
    Refused,
    StoreBusy,
    StoreFailed,
    StoreFull,
)
from clampwright.locale import say
from clampwright.web.hands import NotLetIn
from clampwright.web.jobfiles import readings_of
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import house
from clampwright.words import Words, words
from clampwright.work.roles import NotAllowed

LOG = logging.getLogger("clampwright.web")

RETRY_AFTER = "2"
"""Seconds after which a device tries again while another program writes."""

_PLACES = frozenset({"job", "entry", "pull", "shelf", "person", "device"})
"""What is addressed by a path: wrong ones are not found; other missing things are bad content."""


def status_of(error: ClampwrightError) -> int:
    """Return the HTTP status of an error, by whose move it is next."""
    if isinstance(error, StoreBusy | StoreFailed):
        return HTTPStatus.SERVICE_UNAVAILABLE
    if isinstance(error, StoreFull):
        return HTTPStatus.INSUFFICIENT_STORAGE
    if isinstance(error, Missing) and error.needed in _PLACES:
        return HTTPStatus.NOT_FOUND
    if isinstance(error, TurnedAway):
        return HTTPStatus.TOO_MANY_REQUESTS if error.wait else HTTPStatus.FORBIDDEN
    if isinstance(error, NotAllowed):
        return HTTPStatus.FORBIDDEN
    if isinstance(error, Refused):
        return HTTPStatus.CONFLICT
    return HTTPStatus.UNPROCESSABLE_ENTITY


def add_handlers(app: FastAPI) -> None:
    """Make every error of the application one of these answers."""
    app.add_exception_handler(ClampwrightError, _known)
    app.add_exception_handler(RequestValidationError, _invalid)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(NotLetIn, _not_let_in)
    app.add_exception_handler(Exception, _unknown)


async def _known(request: Request, error: Exception) -> Response:
    assert isinstance(error, ClampwrightError)  # noqa: S101 - registered for this class only
    status = status_of(error)
    if request.method == "GET" and status == HTTPStatus.CONFLICT:
        status = HTTPStatus.UNPROCESSABLE_ENTITY  # who only looks stands against nothing
    if isinstance(error, BadFile | StoreFailed):
        LOG.warning("%s", error)
    headers = {"retry-after": RETRY_AFTER} if status == HTTPStatus.SERVICE_UNAVAILABLE else {}
    if isinstance(error, TurnedAway) and error.wait:
        headers = {"retry-after": str(error.wait)}
    return _answer(request, status, error.message, headers, readings_of(error))


async def _not_let_in(_request: Request, error: Exception) -> Response:
    assert isinstance(error, NotLetIn)  # noqa: S101 - as above
    return JSONResponse({"error": say(error.why.sentence), **error.why.more}, error.why.status)


async def _invalid(request: Request, error: Exception) -> Response:
    assert isinstance(error, RequestValidationError)  # noqa: S101 - as above
    first: dict[str, Any] = error.errors()[0]
    if first["type"] == "json_invalid":
        return _answer(request, HTTPStatus.BAD_REQUEST, words("this is not JSON"))
    where = ".".join(str(part) for part in first["loc"] if part not in {"body", "path", "query"})
    sentence = words("{where}: {what}", where=where or "-", what=str(first["msg"]))
    return _answer(request, HTTPStatus.UNPROCESSABLE_ENTITY, sentence)


async def _http(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)  # noqa: S101 - as above
    sentence = words("there is nothing at this address")
    if error.status_code == HTTPStatus.METHOD_NOT_ALLOWED:
        sentence = words("this address does not do that")
    elif error.status_code != HTTPStatus.NOT_FOUND:
        sentence = words("the request cannot be understood: {detail}", detail=str(error.detail))
    return _answer(request, error.status_code, sentence, dict(error.headers or {}))


async def _unknown(request: Request, error: Exception) -> Response:
    LOG.error("unexpected error at %s", request.url.path, exc_info=error)
    sentence = words(
        "the program failed at this; nothing you entered is lost. What happened stands in the "
        "server's own window"
    )
    return _answer(request, HTTPStatus.INTERNAL_SERVER_ERROR, sentence)


def _answer(
    request: Request,
    status: int,
    sentence: Words,
    headers: dict[str, str] | None = None,
    readings: tuple[str, ...] = (),
) -> Response:
    path = request.url.path
    if path.startswith(("/api/", "/static/")):
        content: dict[str, Any] = {"error": say(sentence)}
        if readings:
            content["readings"] = list(readings)
        return JSONResponse(content, status, headers)
    facts = {
        "sentence": as_sentence(say(sentence)),
        "readings": readings,
        "title": say(words("Not possible")),
    }
    return house(request).pages.answer("problem.html", facts, status=status, headers=headers)
