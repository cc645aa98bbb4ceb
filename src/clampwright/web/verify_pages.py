"""The page that verifies a record: the server hands it out, the file never leaves the device."""

from __future__ import annotations

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.web.shared import house
from clampwright.words import words


def verify(request: Request) -> Response:
    """Show the page; its script checks the file in the browser."""
    return house(request).pages.answer("verify.html", {"title": say(words("Verify a record"))})
