"""Holds every successful answer of the API, in whatever test, against what is said of it.

Hooked between the application and what packs its answers: an answer that is not as its schema says
is not sent, so that whoever asked sees a failure, and the test that was running fails by name.
"""

from __future__ import annotations

import json
from functools import cache
from typing import TYPE_CHECKING, Any

import jsonschema_rs
import pytest

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

breaches: list[str] = []
"""What did not hold since it was last looked at."""


class NotAsSaidError(AssertionError):
    """An answer is not as its schema says."""


@cache
def _validator(way: str, status: int) -> Any:
    from clampwright.web.gives import answer_schemas  # noqa: PLC0415 - every test session loads this module, most of them serve no page

    by_answer, components = answer_schemas()
    schema = by_answer.get((way, status))
    if schema is None:
        return None
    return jsonschema_rs.validator_for({**schema, "components": {"schemas": components}})


def problem_of(way: str, status: int, body: bytes) -> str:
    """Say how an answer differs from its schema; empty where it does not."""
    held = _validator(way, status)
    if held is None:
        return f"{way} answers {status}, which is not in clampwright.web.gives"
    for error in held.iter_errors(json.loads(body)):
        return f"{way} {status}: at {list(error.instance_path)}: {error.message[:300]}"
    return ""


class Held:
    """Looks at answers on their way out."""

    def __init__(self, inner: ASGIApp) -> None:
        self._inner = inner

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or not scope["path"].startswith("/api/"):
            await self._inner(scope, receive, send)
            return
        waiting: list[Message] = []

        async def looked_at(message: Message) -> None:
            waiting.append(message)
            if message["type"] == "http.response.start" or message.get("more_body"):
                return
            self._hold(scope, waiting)
            for one in waiting:
                await send(one)

        await self._inner(scope, receive, looked_at)

    def _hold(self, scope: Scope, waiting: list[Message]) -> None:
        start, *bodies = waiting
        path = getattr(scope.get("route"), "path", "/api/openapi.json")
        kind = dict(start["headers"]).get(b"content-type", b"").decode()
        if start["status"] >= 300 or path == "/api/openapi.json" or "json" not in kind:
            return
        body = b"".join(one.get("body", b"") for one in bodies)
        problem = problem_of(f"{scope['method']} {path}", start["status"], body)
        if problem:
            breaches.append(problem)
            raise NotAsSaidError(problem)


def hold(patched: pytest.MonkeyPatch) -> None:
    """Put the hook into every application made from now on."""
    from starlette.middleware.gzip import GZipMiddleware  # noqa: PLC0415 - every test session loads this module, most of them serve no page

    from clampwright.web import app  # noqa: PLC0415 - every test session loads this module, most of them serve no page

    def over(inner: ASGIApp, *rest: Any, **named: Any) -> ASGIApp:
        return GZipMiddleware(Held(inner), *rest, **named)

    patched.setattr(app, "GZipMiddleware", over)
