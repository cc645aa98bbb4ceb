"""What work without network needs of the server: the worker, taking entries in, a way out."""

from __future__ import annotations

import json

from fastapi import Request
from fastapi.responses import Response

from clampwright.locale import say
from clampwright.web.shared import house
from clampwright.words import words

SCOPE = "/jobs/"
"""Pages that are there without network; the reset page must stay outside of it."""


def service_worker(request: Request) -> Response:
    """Send the worker that keeps the pages of jobs: always at the same address, never kept itself.

    It names the version of the static files it keeps, so that a new version is another worker.
    """
    assets = house(request).assets
    facts = {
        "version": assets.version,
        "files": [assets.address(name) for name in assets.kept_offline],
    }
    text = f"self.KEPT = {json.dumps(facts)};\n" + assets.text("service-worker.js")
    return Response(
        text,
        media_type="text/javascript; charset=utf-8",
        headers={"cache-control": "no-cache", "service-worker-allowed": SCOPE},
    )


def entries(request: Request) -> Response:
    """Show where the file or the codes of a device without network are taken in."""
    return house(request).pages.answer("entries.html", {"title": say(words("Take entries in"))})


def reset(request: Request) -> Response:
    """Show the way out for a phone that is stuck: outside of what the worker keeps."""
    facts = {"title": say(words("Free this device"))}
    return house(request).pages.answer("reset.html", facts)
