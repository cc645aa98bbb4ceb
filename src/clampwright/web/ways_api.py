"""Ways a result comes in that the server has a hand in: a second look, a phone's recording."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Request
from fastapi.responses import Response
from pydantic import Field

from clampwright.bench.session import Session
from clampwright.locale import say
from clampwright.web import entries
from clampwright.web.api import Entry, Job, put
from clampwright.web.models import ReadAgainIn, Sent
from clampwright.web.rendering import as_sentence
from clampwright.words import from_data

MOST_ROWS = 6000
"""Rows of a phone's recording: a minute and a half at most rates."""

Row = Annotated[list[float], Field(min_length=7, max_length=7)]


class PhoneIn(Sent):
    """What a phone recorded: s, three rates in deg/s, three of gravity in m/s², row by row."""

    rows: Annotated[list[Row], Field(min_length=20, max_length=MOST_ROWS)]


def put_read_again(request: Request, job: Job, entry: Entry, sent: ReadAgainIn) -> Response:
    """Keep what a second person read of a pull; where they differ, the pull is open again."""
    return put(request, job, entry, entries.read_again(sent), _told)


def _told(session: Session, entry: str) -> dict[str, Any]:
    """Say whether the two agree, beside that the entry is safe."""
    body = session.store.get(entry)["body"]
    told = as_sentence(say(from_data(body["told"])))
    return {**entries.told(session, entry), "agrees": body["agrees"], "told": told}


def phone_angle(_request: Request, sent: PhoneIn) -> dict[str, Any]:
    """Reckon the angle a phone on the handle turned, with its uncertainty; nothing is kept."""
    import numpy as np  # noqa: PLC0415 - numpy, only where needed

    from clampwright.trace.phone import angle_from_phone  # noqa: PLC0415 - as above

    rows = np.array(sent.rows)
    gravity = rows[:, 4:] if np.abs(rows[:, 4:]).max() > 1.0 else None
    found = angle_from_phone(rows[:, 0], rows[:, 1:4], gravity)
    return {
        "angle": f"{found.turned:.1f}",
        "u": f"{found.u:.1f}",
        "swings": max(1, len(found.swings)),
        "tilt": None if found.tilt is None else round(found.tilt),
        "remarks": [as_sentence(say(one)) for one in found.remarks],
    }
