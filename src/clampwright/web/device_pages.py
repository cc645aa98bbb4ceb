"""The page and the API of the device on the server's serial line."""

from __future__ import annotations

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from starlette.concurrency import run_in_threadpool

from clampwright.errors import ClampwrightError
from clampwright.intake import form_of
from clampwright.locale import say
from clampwright.web.api import Job
from clampwright.web.models import EntryId, Name, Place, Sent
from clampwright.web.rendering import as_sentence
from clampwright.web.shared import House, house
from clampwright.words import Words, words

_SECONDS = 3.0


class ArmIn(Sent):
    """Which pull the device is to record."""

    pull: Place
    tool: Name
    entry: EntryId


def typed_page(request: Request) -> Response:
    """Show the page on which a device that types can be tried."""
    return house(request).pages.answer("typed.html", {"title": say(words("A wrench that types"))})


def device_page(request: Request) -> Response:
    """Show the device of this server, and offer to look what is wrong with a port."""
    return _answer(house(request), {}, None)


async def device_look(request: Request) -> Response:
    """Listen to a port for a moment, and say what is wrong."""
    asked = form_of(await request.body())
    return await run_in_threadpool(_looked, house(request), asked)


def _looked(place: House, asked: Mapping[str, str]) -> Response:
    from clampwright.bench.device_doctor import examine, of_bytes  # noqa: PLC0415 - serial, when used
    from clampwright.trace.line_form import form_from_text  # noqa: PLC0415 - as above

    own, line = place.device.device, place.device.line
    port, lines = asked.get("port", "").strip(), asked.get("lines", "").strip()
    try:
        speed = int(asked.get("speed", "").strip() or "9600")
    except ValueError:
        return _answer(place, asked, None, words("the speed is a whole number, such as 9600"))
    try:
        form = form_from_text(lines) if lines else None
    except ClampwrightError as error:
        return _answer(place, asked, None, error.message)
    if not 50 <= speed <= 4_000_000:
        return _answer(place, asked, None, words("the speed is a whole number, such as 9600"))
    if own is not None and line is not None and port == own.port and line.state.open:
        # the server holds it: what came lately tells, and nobody else can open it
        return _answer(place, asked, of_bytes(line.recent(_SECONDS), _SECONDS, form, own.speed))
    return _answer(place, asked, examine(port, speed, form, seconds=_SECONDS))


def _answer(
    place: House, asked: Mapping[str, str], found: Any, problem: Words | None = None
) -> Response:
    from clampwright.bench.serial_line import ports  # noqa: PLC0415 - serial, only where needed

    own = place.device.device
    facts: dict[str, Any] = {
        "title": say(words("The device on the serial line")),
        "problem": as_sentence(say(problem)) if problem else "",
        "state": [as_sentence(say(one)) for one in _state(place)],
        "ports": ports(),
        "port": asked.get("port", own.port if own else ""),
        "speed": asked.get("speed", str(own.speed) if own else "9600"),
        "lines": asked.get("lines", own.lines if own else ""),
        "found": None,
        "pulling": place.device.pulling,
    }
    if found is not None:
        looked = found.looked
        facts["found"] = {
            "code": found.code,
            "well": found.well,
            "say": as_sentence(say(found.say)),
            "do": as_sentence(say(found.do)),
            "sample": looked.sample if looked else (),
        }
    status = HTTPStatus.UNPROCESSABLE_ENTITY if problem else HTTPStatus.OK
    return place.pages.answer("device.html", facts, status=status)


def _state(place: House) -> list[Words]:
    """Say how the device of this server stands."""
    own, line = place.device.device, place.device.line
    if own is None or line is None:
        return [words("this workshop has no device.toml: the server holds no port")]
    state = line.state
    told = [words("{port} at {speed} bits a second", port=own.port, speed=own.speed)]
    if state.problem is not None:
        return [*told, state.problem.message, state.problem.do]
    if not state.open:
        return [*told, words("it is being opened")]
    if state.silent_s is None:
        return [*told, words("it is open, and nothing came yet")]
    return [
        *told,
        words(
            "it is open; {lines} lines came, the last {seconds:.0f} s ago",
            lines=state.lines,
            seconds=state.silent_s,
        ),
    ]


def device_state(request: Request) -> dict[str, Any]:
    """Return how the device of this server stands."""
    place = house(request)
    own, line = place.device.device, place.device.line
    return {
        "port": own.port if own else None,
        "open": line is not None and line.state.open,
        "told": [as_sentence(say(one)) for one in _state(place)],
        "pulling": place.device.pulling,
    }


async def device_pull(request: Request, job: Job, sent: ArmIn) -> JSONResponse:
    """Let the device record one pull; the pages hear of it by the live channel."""
    await house(request).device.arm(job, sent.pull.model_dump(), sent.tool, sent.entry)
    return JSONResponse({"entry": sent.entry}, HTTPStatus.ACCEPTED)


async def device_break_off(request: Request) -> dict[str, Any]:
    """Break off the pull the device records: nothing is kept of it."""
    await house(request).device.break_off()
    return {"pulling": False}
