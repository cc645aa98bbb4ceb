"""What each address asks of who comes: the gate behind the guard.

Every address stands in ``access.csv`` beside this file with the act it is; an address that stands
there not is answered to administrators only, and a test holds the table against the application's
own routes. What a role may do says ``work/roles.csv``; the store refuses once more whatever a role
may not put on the log.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from http import HTTPStatus
from importlib.resources import files
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.routing import BaseRoute, Match

from clampwright.bench.acting import acting
from clampwright.errors import ClampwrightError
from clampwright.intake import cookies_of
from clampwright.locale import say
from clampwright.store.writing import Actor
from clampwright.web.bucket import Bucket, Limits
from clampwright.web.keeper import NOBODY, Keeper, Visitor
from clampwright.words import Words, words
from clampwright.work.roles import acts, may, not_allowed

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

OPEN = "open"
"""The act of an address that is answered to everybody: signing in, and what it needs."""

SIGNATURE = "x-signature"
"""Header with the token of a signature under the one entry that is sent."""

ASKING = frozenset(
    {
        "/api/session/password",
        "/api/session/pin",
        "/api/signatures",
        "/api/devices",
        "/api/people/{person}/secret",
    }
)
"""Where secrets are tried: so often from one address, and no more, whatever is tried."""

VISITOR, RULE = "clampwright.visitor", "clampwright.rule"
"""Where in a request's scope the visitor and the rule of the address stand."""


@dataclass(frozen=True, slots=True)
class Rule:
    """What an address asks.

    Parameters
    ----------
    act : str
        `OPEN`, or an act of ``work/roles.csv``.
    late : bool
        An enrolled device may send it after the session ended: it was made while the network was
        away. Whose hand it was is found by what the entry tells.
    """

    act: str
    late: bool = False


UNKNOWN = Rule("look_after_people")
"""For an address in no table."""


@cache
def rules() -> Mapping[tuple[str, str], Rule]:
    """Return the rule of each address, by method and path.

    Returns
    -------
    mapping of (str, str) to Rule
    """
    text = files("clampwright.web").joinpath("access.csv").read_text("utf-8")
    return {
        (row["method"], row["path"]): Rule(row["act"], row["late"] == "yes")
        for row in csv.DictReader(text.splitlines())
    }


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why a request is not let through.

    Parameters
    ----------
    status : int
    sentence : Words
    more : mapping
        What a page needs to ask for what is missing: ``sign_in``, ``locked`` or ``sign``.
    """

    status: int
    sentence: Words
    more: Mapping[str, Any]


class Gate:
    """Lets through who may do what is asked.

    Parameters
    ----------
    app : ASGI application
    routes : callable
        Returns the application's routes.
    keeper : Keeper
    """

    def __init__(
        self, app: ASGIApp, *, routes: Callable[[], Sequence[BaseRoute]], keeper: Keeper
    ) -> None:
        self.app, self.routes, self.keeper = app, routes, keeper
        self._asked, self._limits = Bucket(keeper.now), Limits(keeper.now)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through as somebody's, or refuse it."""
        if scope["type"] not in {"http", "websocket"}:
            await self.app(scope, receive, send)
            return
        path, filled = self._way(scope)
        if (method := _method(scope)) == "POST" and path in ASKING:
            wait = self._asked.wait(_address(scope))
            if wait:
                await _refuse(scope, receive, send, _too_often(wait))
                return
        rule = rules().get((method, path), UNKNOWN)
        try:
            found = await self._admitted(scope, rule, filled)
        except ClampwrightError as error:  # who it is cannot be looked up: the database is away
            found = Refusal(HTTPStatus.SERVICE_UNAVAILABLE, error.message, {})
        if isinstance(found, Refusal):
            await _refuse(scope, receive, send, found)
            return
        visitor = visitor_of(scope)
        if wait := self._wait(scope, (method, path), visitor):
            await _refuse(scope, receive, send, _too_much(wait))
            return
        if visitor.row is not None and _shows_presence(scope):
            await run_in_threadpool(self.keeper.touched, visitor)
        with acting(found):
            await self.app(scope, receive, send)

    async def _admitted(
        self, scope: Scope, rule: Rule, filled: Mapping[str, Any]
    ) -> Actor | Refusal | None:
        """Find who asks, and whether they may.

        Only where the store is to be asked for it a thread is: the threads are few, and most of
        them stand waiting for their turn at the log when many come at once.
        """
        cookies = cookies_of(_header(scope, "cookie"))

        def look() -> Actor | Refusal | None:
            visitor = self.keeper.visitor(cookies)
            scope[VISITOR], scope[RULE] = visitor, rule
            return self._looked_at(scope, rule, visitor, filled)

        if cookies or _header(scope, SIGNATURE):
            return await run_in_threadpool(look)
        return look()

    def _wait(self, scope: Scope, way: tuple[str, str], visitor: Visitor) -> int:
        return self._limits.wait(
            way,
            address=_address(scope),
            session=visitor.row.id if visitor.row else None,
            stranger=self.keeper.is_stranger(visitor),
        )

    def _way(self, scope: Scope) -> tuple[str, Mapping[str, Any]]:
        for route in self.routes():
            match, more = route.matches(scope)
            if match is Match.FULL:
                return str(getattr(route, "path", "")), more.get("path_params", {})
        return "", {}

    def _looked_at(
        self, scope: Scope, rule: Rule, visitor: Visitor, filled: Mapping[str, Any]
    ) -> Actor | Refusal | None:
        if rule.act == OPEN:
            return visitor.actor
        signer = None
        if signature := _header(scope, SIGNATURE):
            entry = str(filled.get("entry", ""))
            signer = self.keeper.signer(signature, rule.act, entry, visitor)
        if not self.keeper.sign_in:
            return signer or visitor.actor
        return decide(rule, visitor, signer)


def decide(rule: Rule, visitor: Visitor, signer: Actor | None) -> Actor | Refusal:
    """Say whose hand a request is, or why it is refused, where everybody signs in.

    Parameters
    ----------
    rule : Rule
        Of the address; not an open one.
    visitor : Visitor
    signer : Actor or None
        Who signed what is sent.

    Returns
    -------
    Actor or Refusal
    """
    actor = signer or visitor.actor
    if actor is None:
        if rule.late and visitor.device is not None:
            return NOBODY
        locked = visitor.state == "locked"
        sentence = words("locked: the PIN opens it") if locked else words("sign in first")
        return Refusal(401, sentence, {"sign_in": True, "locked": locked})
    if rule.late and signer is None:
        return NOBODY  # whose hand it was stands in the entry
    if acts()[rule.act].signs and signer is None:
        return to_sign(rule.act)
    if not may(actor.role, rule.act):
        return Refusal(403, not_allowed(actor.role, rule.act), {})
    return actor


def _too_often(wait: int) -> Refusal:
    sentence = words("too many tries from here at once: wait {count} seconds", count=wait)
    return Refusal(429, sentence, {"wait": wait})


def _too_much(wait: int) -> Refusal:
    sentence = words("too much was asked from here at once: wait {count} seconds", count=wait)
    return Refusal(429, sentence, {"wait": wait})


def _address(scope: Scope) -> str:
    return str((scope.get("client") or ("unknown",))[0])


def to_sign(act: str) -> Refusal:
    """Return the refusal that asks for a signature."""
    return Refusal(403, words("sign this with your PIN"), {"sign": act})


def visitor_of(scope: Mapping[str, Any]) -> Visitor:
    """Return who asks, as the gate found."""
    found = scope.get(VISITOR)
    return found if isinstance(found, Visitor) else Visitor()


def _method(scope: Scope) -> str:
    if scope["type"] == "websocket":
        return "SOCKET"
    return "GET" if scope["method"] == "HEAD" else str(scope["method"])


def _header(scope: Scope, name: str) -> str:
    wanted = name.encode()
    return next((v.decode("latin-1") for k, v in scope["headers"] if k == wanted), "")


def _is_page(scope: Scope) -> bool:
    return scope["type"] == "http" and not scope["path"].startswith(("/api/", "/static/"))


def _shows_presence(scope: Scope) -> bool:
    """Whether a person is behind it: pages opened, things done; not what a page asks by itself."""
    return scope["type"] == "http" and (scope["method"] not in {"GET", "HEAD"} or _is_page(scope))


async def _refuse(scope: Scope, receive: Receive, send: Send, why: Refusal) -> None:
    if scope["type"] == "websocket":
        await receive()
        await send({"type": "websocket.close", "code": 1008})
        return
    if why.status == 401 and _is_page(scope) and scope["method"] in {"GET", "HEAD"}:
        query = scope.get("query_string", b"").decode("latin-1")
        wanted = scope["path"] + (f"?{query}" if query else "")
        headers = [(b"location", f"/sign-in?to={quote(wanted, safe='')}".encode())]
        await send({"type": "http.response.start", "status": 303, "headers": headers})
        await send({"type": "http.response.body", "body": b""})
        return
    content = {"error": say(why.sentence), **why.more}
    body = json.dumps(content, ensure_ascii=False).encode()
    headers = [
        (b"content-type", b"application/json"),
        (b"content-length", str(len(body)).encode()),
    ]
    if "wait" in why.more:
        headers.append((b"retry-after", str(why.more["wait"]).encode()))
    await send({"type": "http.response.start", "status": why.status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
