"""The language of each request.

It is what the person chose on this device, else what the browser asks for, else the server's own.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from starlette.requests import cookie_parser

from clampwright.locale import negotiated, speaking

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Receive, Scope, Send

COOKIE = "clampwright-language"
"""Kept by the page itself (language-choice.js); it names a language and nobody."""
_LONGEST = 20
"""Characters of a language tag worth looking at."""


class Tongue:
    """Answers requests and sockets in the language of the person who asks.

    Parameters
    ----------
    app : ASGI application
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass a request on, with its language settled."""
        if scope["type"] == "lifespan":
            await self.app(scope, receive, send)
            return
        with speaking(wanted(scope["headers"])):
            await self.app(scope, receive, send)


def wanted(headers: Iterable[tuple[bytes, bytes]]) -> str | None:
    """Return the language that headers of a request ask for, None where they name none of ours.

    Parameters
    ----------
    headers : iterable of (bytes, bytes)

    Returns
    -------
    str or None

    Examples
    --------
    >>> wanted([(b"accept-language", b"en-GB,en;q=0.8"), (b"cookie", b"other=1")])
    'en_GB'
    """
    said: dict[bytes, list[str]] = {}
    for name, value in headers:
        if name in {b"accept-language", b"cookie"}:
            said.setdefault(name, []).append(value.decode("latin-1"))
    cookies = "; ".join(said.get(b"cookie", ()))
    chosen = cookie_parser(cookies).get(COOKIE) if COOKIE in cookies else None
    if chosen is not None and len(chosen) > _LONGEST:
        chosen = None
    # A field that comes twice is one list (RFC 9110, 5.3).
    return negotiated(chosen, ", ".join(said.get(b"accept-language", ())) or None)
