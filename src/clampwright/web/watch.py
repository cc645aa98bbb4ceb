"""What the server tells of itself: a line for each request, figures, and whether it can work.

Neither says who did what: addresses stand as their pattern (``/jobs/{job}``), bodies nowhere.
"""

from __future__ import annotations

import json
import logging
import shutil
import time
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http import HTTPStatus
from typing import TYPE_CHECKING, Any

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from prometheus_client import CONTENT_TYPE_LATEST, CollectorRegistry, Counter, Gauge, Histogram
from prometheus_client import generate_latest as as_text

from clampwright.bench.examine import LEAST_ROOM
from clampwright.errors import ClampwrightError
from clampwright.locale import say
from clampwright.web.shared import House, house
from clampwright.words import words

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

LOG = logging.getLogger("clampwright.requests")
UNKNOWN = "unknown"
"""Stands for an address that is none of the server's: their number must not grow with askers."""
METHODS = frozenset({"GET", "HEAD", "PUT", "POST", "OPTIONS", "DELETE", "PATCH"})
SECONDS = (0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0)


@dataclass(frozen=True, slots=True)
class Figures:
    """What is counted while the server runs; each server has its own."""

    registry: CollectorRegistry = field(default_factory=CollectorRegistry)
    requests: Counter = field(init=False)
    seconds: Histogram = field(init=False)
    sockets: Gauge = field(init=False)
    entries: Gauge = field(init=False)
    loose: Gauge = field(init=False)
    pulls: Gauge = field(init=False)
    room: Gauge = field(init=False)

    def __post_init__(self) -> None:
        own = self.registry
        made = {
            "requests": Counter(
                "clampwright_requests", "Requests answered.", ["method", "address", "status"],
                registry=own,
            ),
            "seconds": Histogram(
                "clampwright_request_seconds", "Time to answer.", ["address"],
                buckets=SECONDS, registry=own,
            ),
            "sockets": Gauge("clampwright_live_sockets", "Live sockets open.", registry=own),
            "entries": Gauge("clampwright_log_entries", "Entries of the log.", registry=own),
            "loose": Gauge(
                "clampwright_log_entries_not_anchored",
                "Entries under no head known to be kept outside.",
                registry=own,
            ),
            "pulls": Gauge(
                "clampwright_standing_pulls", "Standing pulls of all jobs.", ["verdict"],
                registry=own,
            ),
            "room": Gauge("clampwright_disk_free_bytes", "Room on the disk.", registry=own),
        }  # fmt: skip
        for name, one in made.items():
            object.__setattr__(self, name, one)

    def look(self, place: House) -> None:
        """Bring the figures of the workshop up to date."""
        known = place.desk.look()
        self.entries.set(known.size)
        self.loose.set(known.size - known.anchored)
        counts: dict[str, int] = {}
        for state in known.jobs.values():
            for verdict, count in state.count().items():
                counts[verdict] = counts.get(verdict, 0) + count
        self.pulls.clear()
        for verdict, count in counts.items():
            self.pulls.labels(verdict).set(count)
        self.room.set(shutil.disk_usage(place.place.folder).free)


class Watch:
    """Wraps the whole application, its guard included.

    Parameters
    ----------
    app : ASGI application
    figures : Figures
    """

    def __init__(self, app: ASGIApp, figures: Figures) -> None:
        self.app, self.figures = app, figures

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request through, and count it."""
        if scope["type"] == "websocket":
            with self.figures.sockets.track_inprogress():
                await self.app(scope, receive, send)
            return
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        began, status = time.perf_counter(), HTTPStatus.INTERNAL_SERVER_ERROR.value

        async def seen(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
            await send(message)

        try:
            await self.app(scope, receive, seen)
        finally:
            self._count(scope, status, time.perf_counter() - began)

    def _count(self, scope: Scope, status: int, seconds: float) -> None:
        # the router leaves the route it found in the scope; an address of nobody's has none
        address = str(getattr(scope.get("route"), "path", UNKNOWN))
        method = scope["method"] if scope["method"] in METHODS else UNKNOWN
        self.figures.requests.labels(method, address, str(status)).inc()
        self.figures.seconds.labels(address).observe(seconds)
        LOG.info(
            "%s %s %d",
            method,
            address,
            status,
            extra={
                "facts": {
                    "method": method,
                    "address": address,
                    "status": status,
                    "milliseconds": round(1000 * seconds, 2),
                }
            },
        )


class JsonLines(logging.Formatter):
    """Writes each record of the log as one JSON object on one line.

    Examples
    --------
    >>> record = logging.makeLogRecord({"name": "clampwright", "levelname": "INFO", "msg": "begun",
    ...                                 "created": 0.0})
    >>> JsonLines().format(record)
    '{"time": "1970-01-01T00:00:00.000Z", "level": "INFO", "from": "clampwright", "says": "begun"}'
    """

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        time_ = datetime.fromtimestamp(record.created, UTC)
        line: dict[str, Any] = {
            "time": f"{time_:%Y-%m-%dT%H:%M:%S}.{time_.microsecond // 1000:03}Z",
            "level": record.levelname,
            "from": record.name,
            "says": record.getMessage(),
        }
        facts: Mapping[str, Any] = getattr(record, "facts", {})
        line.update(facts)
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=False)


def healthz(request: Request) -> JSONResponse:
    """Say whether the server can do its work: read its log, and has room to write."""
    place = house(request)
    problems = list(_problems(place))
    status = HTTPStatus.SERVICE_UNAVAILABLE if problems else HTTPStatus.OK
    return JSONResponse({"able": not problems, "problems": problems}, status)


def _problems(place: House) -> Iterable[str]:
    try:
        place.desk.look()
        room = shutil.disk_usage(place.place.folder).free
    except (ClampwrightError, OSError) as error:
        yield say(error.message) if isinstance(error, ClampwrightError) else str(error)
        return
    if room < LEAST_ROOM:
        yield say(words("only {room:.0f} MB are free on the disk", room=room / 1e6))


def metrics(request: Request) -> Response:
    """Return the figures in the Prometheus text form."""
    place = house(request)
    place.figures.look(place)
    return Response(as_text(place.figures.registry), media_type=CONTENT_TYPE_LATEST)
