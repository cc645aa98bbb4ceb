"""A second, plain-http door that gives a new phone the authority of the workshop, and nothing else.

Before a phone trusts the workshop's authority it cannot open the https pages without warnings that
nobody should learn to pass over. So the authority is had by plain http, and compared by eye.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from fastapi import FastAPI
from starlette.responses import Response

from clampwright.web import pages, trust_pages
from clampwright.web.answers import add_handlers
from clampwright.web.app import App
from clampwright.web.shared import House

if TYPE_CHECKING:
    import socket


def trust_app(place: House) -> App:
    """Make the application of the plain door.

    Parameters
    ----------
    place : House
        Of the server whose authority is given out.

    Returns
    -------
    App
    """
    app = App(title="Clampwright", openapi_url=None, docs_url=None, redoc_url=None)
    door = place.door.to_trust()
    app.hosts = door.hosts if door is not None else frozenset()
    app.state.house = place
    for path, handler in (
        ("/", trust_pages.trust_only),
        ("/trust", trust_pages.trust_only),
        (trust_pages.AUTHORITY, trust_pages.authority),
        ("/favicon.ico", pages.icon),
        ("/static/{version}/{name:path}", pages.static),
    ):
        app.add_api_route(path, handler, response_model=None, response_class=Response)
    add_handlers(app)
    return app


@contextmanager
def plain_door(app: FastAPI, taken: socket.socket) -> Iterator[None]:
    """Serve the plain door in a thread of its own, until the block is left.

    Parameters
    ----------
    app : FastAPI
    taken : socket.socket
        Bound.
    """
    import uvicorn  # noqa: PLC0415 - only where pages are served

    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        ws="none",
        lifespan="off",
        timeout_graceful_shutdown=1,
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [taken]}, daemon=True)
    thread.start()
    try:
        yield
    finally:
        server.should_exit = True
        thread.join(timeout=5)
