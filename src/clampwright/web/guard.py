"""What every request passes first: whose it is, how large it is, and what the answer must say.

The server listens on this machine only, but any page open in the same browser could still talk to
it, and a name that points here could be used to read it. So the Host and the Origin are checked
for every route, socket and file alike, known or not (Fetch standard, "CORS protocol" and "Origin";
DNS rebinding is why Host is checked too).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from clampwright.errors import BadFile
from clampwright.intake import check_depth, most
from clampwright.locale import say
from clampwright.proof.handover import MAX_BYTES as LARGEST_HANDOVER
from clampwright.words import Words, words
from clampwright.work.attached import LARGEST as LARGEST_FILE

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY = most("request")
"""Bytes of one request; a reading takes under a thousand."""

LARGER: Mapping[str, int] = {
    "/api/procedures/files": LARGEST_FILE,
    "/api/papers": LARGEST_FILE,
    "/api/phone-angle": most("phone recording"),
    "/api/handed/looks": LARGEST_HANDOVER,
    "/api/handed/taken": LARGEST_HANDOVER,
    "/api/entries": most("entry"),
}
"""Bytes of a request at the addresses that take files or recordings."""

BETWEEN_PROGRAMS = frozenset({"/countersigning/add-checkpoint"})
"""Where another workshop's program asks: it names no origin, as any page in a browser would."""

SAFE_METHODS = frozenset({"GET", "HEAD", "OPTIONS"})

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
SANDBOX = f"{POLICY}; sandbox"
"""For files of others: what they hold runs nothing and belongs to no address."""

NOTHING = "default-src 'none'"
"""For scripts and style sheets: a page gives them its own; by themselves they may do nothing. It is
short, because it travels with each of many small files."""

HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
}
"""Stand in every answer."""

_FRESH = "no-store"
"""What was true a moment ago may not be shown as true now."""


class Guard:
    """Wraps the whole application.

    Parameters
    ----------
    app : ASGI application
    hosts : iterable of str
        Host headers that are this server's own, such as ``127.0.0.1:8123``.
    """

    def __init__(self, app: ASGIApp, *, hosts: Iterable[str]) -> None:
        self.app = app
        self.hosts = frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, or answer it here."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        if scope["type"] == "websocket":
            if refusal is not None:
                await _close(receive, send)
                return
            await self.app(scope, receive, send)
            return
        if refusal is None and (body := await _whole(scope, receive)) is None:
            refusal = (
                413,
                words("the request is larger than {limit} bytes", limit=_limit(scope)),
            )
        if refusal is not None:
            await _refuse(send, *refusal)
            return
        try:
            _check_nesting(scope, body or b"")
        except BadFile as error:
            await _refuse(send, 422, error.message)
            return
        scope.setdefault("state", {})["body"] = body or b""
        await self.app(scope, _replayed(body or b"", receive), _marked(send))

    def _refusal(self, scope: Scope) -> tuple[int, Words] | None:
        """Return status and sentence for a request that is not this server's own."""
        host = _only(scope, b"host")
        if host is None or host.lower() not in self.hosts:
            return 421, words(
                "this server answers only under its own address: {hosts}",
                hosts=", ".join(sorted(self.hosts)),
            )
        origins = _all(scope, b"origin")
        safe = scope["type"] == "http" and scope["method"] in SAFE_METHODS
        if not origins and (safe or scope.get("path") in BETWEEN_PROGRAMS):
            return None
        if origins != [f"{_scheme(scope)}://{host}"]:
            return 403, words("only this server's own pages may do that")
        return None


def _scheme(scope: Scope) -> str:
    """Return how the page that asks was reached: by http or https, for sockets too."""
    return "https" if scope["scheme"] in {"https", "wss"} else "http"


def _all(scope: Scope, name: bytes) -> list[str]:
    return [value.decode("latin-1") for key, value in scope["headers"] if key == name]


def _only(scope: Scope, name: bytes) -> str | None:
    found = _all(scope, name)
    return found[0] if len(found) == 1 else None


async def _close(receive: Receive, send: Send) -> None:
    """Refuse a socket before it is accepted; the browser sees status 403."""
    await receive()
    await send({"type": "websocket.close", "code": 1008})


async def _whole(scope: Scope, receive: Receive) -> bytes | None:
    """Return the body, or None when it is too large."""
    if scope["method"] in SAFE_METHODS:
        return b""
    declared, limit = _only(scope, b"content-length"), _limit(scope)
    if declared is not None and declared.isdecimal() and int(declared) > limit:
        return None
    pieces: list[bytes] = []
    size = 0
    while size <= limit:
        message = await receive()
        if message["type"] != "http.request":
            return b"".join(pieces)
        pieces.append(message.get("body", b""))
        size += len(pieces[-1])
        if not message.get("more_body", False):
            return b"".join(pieces) if size <= limit else None
    return None


def _check_nesting(scope: Scope, body: bytes) -> None:
    """Refuse JSON that is nested too deep, before anything parses it."""
    if not scope.get("path", "").startswith("/api/"):
        return
    encoding = json.detect_encoding(body)  # the parser takes all of these: UTF-16, a mark in front
    if encoding == "utf-8" and body[:1] not in b" \t\r\n{[":
        return
    text = body.decode(encoding, "replace")
    if text.lstrip(" \t\r\n").startswith(("{", "[")):
        check_depth(text, "request", "request")


def _limit(scope: Scope) -> int:
    return LARGER.get(scope.get("path", ""), LARGEST_BODY)


def _replayed(body: bytes, receive: Receive) -> Receive:
    handed = False

    async def again() -> Message:
        nonlocal handed
        if handed:
            return await receive()
        handed = True
        return {"type": "http.request", "body": body, "more_body": False}

    return again


def _marked(send: Send) -> Send:
    async def marked(message: Message) -> None:
        if message["type"] == "http.response.start":
            kept = [(key.lower(), value) for key, value in message.get("headers", ())]
            names = {key for key, _value in kept}
            asked = dict(kept).get(b"content-security-policy", b"").decode("latin-1")
            policy = asked if asked in {SANDBOX, NOTHING} else POLICY
            stated = {**HEADERS, "content-security-policy": policy}
            ours = [(key.encode(), value.encode()) for key, value in stated.items()]
            kept = [pair for pair in kept if pair[0].decode("latin-1") not in HEADERS]
            if b"cache-control" not in names:
                ours.append((b"cache-control", _FRESH.encode()))
            message = {**message, "headers": [*kept, *ours]}
        await send(message)

    return marked


async def _refuse(send: Send, status: int, sentence: Words) -> None:
    body = json.dumps({"error": say(sentence)}, ensure_ascii=False).encode()
    headers = [
        (b"content-type", b"application/json"),
        (b"content-length", str(len(body)).encode()),
    ]
    answer = _marked(send)
    await answer({"type": "http.response.start", "status": status, "headers": headers})
    await answer({"type": "http.response.body", "body": body})
