"""The application: its parts put together, routes from one list, a guard around everything."""

from __future__ import annotations

import datetime as dt
import logging
from collections.abc import AsyncIterator, Callable, Iterable, Mapping
from contextlib import asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from fastapi import FastAPI
from starlette.middleware.gzip import DEFAULT_EXCLUDED_CONTENT_TYPES, GZipMiddleware
from starlette.responses import JSONResponse, Response

from clampwright import __version__
from clampwright.bench.backup import Schedule
from clampwright.bench.days import today as this_day
from clampwright.bench.device_file import Device, device_of
from clampwright.bench.folder import Workshop
from clampwright.bench.passwords import Hashing
from clampwright.errors import Missing
from clampwright.locale import say
from clampwright.web.access import Gate
from clampwright.web.answers import add_handlers
from clampwright.web.assets import Assets
from clampwright.web.backups import saving
from clampwright.web.desk import PATIENCE, Desk
from clampwright.web.device_room import DeviceRoom
from clampwright.web.door import Door
from clampwright.web.gives import describe
from clampwright.web.guard import Guard
from clampwright.web.jobfiles import JobFiles
from clampwright.web.keeper import Keeper
from clampwright.web.live import LiveRoom
from clampwright.web.live_peaks import LivePeaks
from clampwright.web.rendering import Pages
from clampwright.web.routes import WAYS, Way
from clampwright.web.shared import House
from clampwright.web.simulation import Simulations
from clampwright.web.telling_pages import sending
from clampwright.web.tongue import Tongue
from clampwright.web.watch import Figures, Watch

if TYPE_CHECKING:
    from starlette.types import ASGIApp

log = logging.getLogger(__name__)


def _now() -> dt.datetime:
    return dt.datetime.now(dt.UTC)


_ERROR: dict[str, Any] = {
    "application/json": {
        "schema": {
            "type": "object",
            "required": ["error"],
            "properties": {"error": {"type": "string"}, "readings": {"type": "array"}},
        }
    }
}


REFUSALS: Mapping[int, str] = {
    400: "It cannot be read: no JSON, or an address that is none.",
    401: "Nobody is signed in, or the device is locked.",
    403: "The role may not do this, a signature is missing, or a secret is wrong.",
    404: "There is no such job or pull.",
    409: "It does not fit what is on the log; nothing was changed.",
    413: "The request is too large.",
    421: "The request names another server than this one.",
    429: "Too many tries or requests; the next is looked at after the seconds in Retry-After.",
    422: "The content cannot be taken; one sentence says why.",
    503: "Another program writes just now; send it again after the seconds in Retry-After.",
    507: "The disk is full; nothing was stored.",
}
"""What an answer that is no success means, for the description of the API."""


def _refusals(*numbers: int) -> dict[int | str, dict[str, Any]]:
    return {n: {"description": REFUSALS[n], "content": _ERROR} for n in numbers}


ANSWERS: Mapping[str, Mapping[int | str, dict[str, Any]]] = {
    "GET": _refusals(400, 401, 403, 404, 421, 422, 429, 503),
    "POST": _refusals(400, 401, 403, 404, 409, 413, 421, 422, 429, 503, 507),
    "PUT": _refusals(400, 401, 403, 404, 409, 413, 421, 422, 429, 503, 507),
}


PACKED_FROM = 1000
"""Bytes from which an answer is compressed on its way."""
PACKING = 4
"""How hard: a phone on a workshop network waits for the line, not for the server."""


class App(FastAPI):
    """The application with the guard outside of all it has, its own error answers included."""

    hosts: frozenset[str] = frozenset()
    keeper: Keeper | None = None

    def openapi(self) -> dict[str, Any]:
        """Return the description of the API, with what every address answers."""
        if self.openapi_schema is None:
            describe(super().openapi())
        return super().openapi()

    def build_middleware_stack(self) -> ASGIApp:
        """Put gate, guard and language around everything, and what counts requests around them."""
        stack: ASGIApp = GZipMiddleware(
            super().build_middleware_stack(),
            PACKED_FROM,
            PACKING,
            exclude_content_types=(*DEFAULT_EXCLUDED_CONTENT_TYPES, "application/pdf"),
        )
        if self.keeper is not None:
            stack = Gate(stack, routes=lambda: self.routes, keeper=self.keeper)
        return Watch(Tongue(Guard(stack, hosts=self.hosts)), self.state.house.figures)


def create_app(
    folder: Path,
    *,
    hosts: Iterable[str],
    clock: Callable[[], dt.datetime] = _now,
    today: Callable[[], dt.date] = this_day,
    patience: float = PATIENCE,
    speed: float = 1.0,
    backups: Schedule | None = None,
    pass_phrase: str | None = None,
    door: Door | None = None,
    sign_in: bool = False,
    hashing: Hashing | None = None,
) -> App:
    """Make the application for one workshop.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's folder.
    hosts : iterable of str
        Host headers that are this server's own, such as ``127.0.0.1:8123``.
    clock : callable
        Says what time it is.
    today : callable
        Says which day it is at the bench.
    patience : float
        How long a request waits for another program to give the right to write back, s.
    speed : float
        How much faster than a hand the simulated wrench pulls.
    backups : Schedule, optional
        Backups to make while the pages are served.
    pass_phrase : str, optional
        Opens the signing key when a record is signed.
    door : Door, optional
        How the server is reached, for the page that lets phones trust it.
    sign_in : bool
        Whether everybody must sign in; otherwise who reaches the server may do everything.
    hashing : Hashing, optional
        How passwords and PINs are hashed.

    Returns
    -------
    App
    """
    place, assets = Workshop(folder), Assets()
    desk = Desk(place, clock=clock, patience=patience, pass_phrase=pass_phrase)
    live = LiveRoom(desk)
    peaks = LivePeaks()
    device = DeviceRoom(live, _device(place.folder), peaks)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        try:
            async with (
                live.watching(),
                device.listening(),
                saving(place.folder, backups, clock),
                sending(place.folder, clock),
            ):
                yield
        finally:
            desk.close()

    app = App(
        title="Clampwright",
        version=__version__,
        openapi_url="/api/openapi.json",
        docs_url=None,
        redoc_url=None,
        lifespan=lifespan,
        redirect_slashes=False,
    )
    app.hosts = frozenset(hosts)
    app.keeper = Keeper(desk, clock, hashing, sign_in=sign_in)
    app.state.house = House(
        place=place,
        desk=desk,
        files=JobFiles(place, today),
        assets=assets,
        pages=Pages(assets),
        live=live,
        simulations=Simulations(speed),
        door=door or Door(),
        figures=Figures(),
        keeper=app.keeper,
        backups=None if backups is None else backups.folder,
        device=device,
        peaks=peaks,
    )
    for way in WAYS:
        _add(app, way)
    add_handlers(app)
    return app


def _device(folder: Path) -> Device | None:
    """Return the device of the workshop; none where the package that reads its lines is missing."""
    try:
        return device_of(folder)
    except Missing as missing:
        log.warning("the device is not heard: %s", say(missing.message))
        return None


def _add(app: App, way: Way) -> None:
    if way.kind == "socket":
        app.add_api_websocket_route(way.path, way.handler)
        return
    described = way.kind == "api"
    app.add_api_route(
        way.path,
        way.handler,
        methods=[way.method],
        include_in_schema=described,
        response_model=None,
        response_class=JSONResponse if described else Response,
        responses=dict(ANSWERS[way.method]) if described else None,
    )


def own_hosts(port: int) -> frozenset[str]:
    """Return the Host headers of a server on this machine, by plain http.

    Parameters
    ----------
    port : int

    Returns
    -------
    frozenset of str

    Examples
    --------
    >>> sorted(own_hosts(8123))
    ['127.0.0.1:8123', '[::1]:8123', 'localhost:8123']
    """
    return Door(port=port).hosts
