"""Who outside is told what happens: page and API. Nothing is on before a person says so."""

from __future__ import annotations

import asyncio
import contextlib
import datetime as dt
import logging
from collections.abc import AsyncIterator, Callable, Mapping
from contextlib import asynccontextmanager
from http import HTTPStatus
from pathlib import Path
from typing import Annotated, Any

from fastapi import Request
from fastapi.responses import JSONResponse, Response
from pydantic import Field, StringConstraints

from clampwright.bench.outbox import read_outbox
from clampwright.bench.telling import (
    allowed,
    begin_telling,
    end_telling,
    send_again,
    send_trial,
    shown,
    tell,
)
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.locale import say
from clampwright.web.api import Entry
from clampwright.web.desk import entry_of
from clampwright.web.models import Device, Sent
from clampwright.web.shared import house
from clampwright.web.telling_sentences import ABOUT
from clampwright.words import words

LOOK_EVERY = 3.0
"""How often it is looked whether something is to be sent, s; without receivers a look is a stat."""
log = logging.getLogger(__name__)
Name = Annotated[str, StringConstraints(min_length=1, max_length=40)]


class BegunIn(Sent):
    """A receiver is to be told."""

    name: Name
    url: Annotated[str, StringConstraints(min_length=1, max_length=500)]
    about: Annotated[tuple[Name, ...], Field(max_length=20, strict=False)] = ()
    inside: bool = False
    device: Device


class AskedIn(Sent):
    """Something is to be done now with a receiver."""

    letter: Annotated[str, StringConstraints(max_length=32)] = ""
    device: Device


def telling(request: Request) -> Response:
    """Show who is told what, what waits, and what was given up."""
    place = house(request)
    receivers = [shown(one) for one in read_outbox(place.place.folder).receivers]
    for one in receivers:
        one["about"] = [say(ABOUT[name]) for name in one["about"]]
        for letter in (*one["waiting"], *one["dead"]):
            letter["what"] = say(ABOUT[letter["about"]])
    facts = {
        "title": say(words("Tell another program")),
        "receivers": receivers,
        "subjects": [(name, say(what)) for name, what in ABOUT.items() if name != "trial"],
    }
    return place.pages.answer("telling.html", facts)


def put_telling(request: Request, entry: Entry, sent: BegunIn) -> Response:
    """Turn a receiver on; the answer holds its secret, this once."""
    place = house(request)
    with place.desk.writing(create=True) as store:
        if (known := entry_of(store, entry)) is not None:
            _refuse_unless_on(place.place.folder, known["body"])
            return JSONResponse({"entry": entry}, HTTPStatus.OK)
        begun = begin_telling(
            store,
            place.place.folder,
            name=sent.name,
            url=sent.url.strip(),
            about=sent.about,
            inside=sent.inside,
            entry_id=entry,
        )
    told = {"entry": entry, "receiver": begun.receiver.id, "secret": begun.secret}
    return JSONResponse(told, HTTPStatus.CREATED)


def _refuse_unless_on(folder: Path, begun: Mapping[str, Any]) -> None:
    """Refuse to call a receiver on that stands on the log, but was never written down."""
    if not any(one.id == begun.get("receiver") for one in read_outbox(folder).receivers):
        raise Refused(words("that receiver is not on, or no longer: turn it on anew"))


def end(request: Request, receiver: Name, sent: AskedIn) -> Response:  # noqa: ARG001 - its form is checked
    """Turn a receiver off."""
    place = house(request)
    with place.desk.writing() as store:
        end_telling(store, place.place.folder, receiver)
    return JSONResponse({"receiver": receiver})


def again(request: Request, receiver: Name, sent: AskedIn) -> Response:
    """Let what was given up wait once more."""
    folder = house(request).place.folder
    allowed(folder)
    return JSONResponse({"letters": send_again(folder, receiver, sent.letter)})


def trial(request: Request, receiver: Name, sent: AskedIn) -> Response:  # noqa: ARG001 - as above
    """Let a trial message wait."""
    place = house(request)
    if not read_outbox(place.place.folder).receivers:
        raise Missing(words("nobody outside is told anything"), needed="receiver")
    origin = allowed(place.place.folder)
    name = send_trial(place.place.folder, receiver, origin, place.desk.now())
    return JSONResponse({"letter": name})


@asynccontextmanager
async def sending(
    folder: Path, clock: Callable[[], dt.datetime], look_every: float = LOOK_EVERY
) -> AsyncIterator[None]:
    """Send what waits while the block runs.

    Parameters
    ----------
    folder : pathlib.Path
        The workshop's.
    clock : callable
    look_every : float
        Seconds between looks.

    Yields
    ------
    None
    """
    task = asyncio.create_task(_keep_sending(folder, clock, look_every))
    try:
        yield
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


async def _keep_sending(folder: Path, clock: Callable[[], dt.datetime], look_every: float) -> None:
    while True:
        try:
            for one in await asyncio.to_thread(tell, folder, clock):
                if one.problem is not None:
                    log.warning("receiver %s: %s", one.receiver, one.problem)
        except ClampwrightError as error:
            # The next look tries again: what is to be told stands on the log.
            log.warning("nothing was sent: %s", say(error.message))
        await asyncio.sleep(look_every)
