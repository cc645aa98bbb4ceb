"""What a second person reads of a pull, on the log beside what the first one read."""

from __future__ import annotations

from typing import Unpack

from clampwright.bench.session import Made, Session
from clampwright.errors import Refused
from clampwright.store.writing import Receipt
from clampwright.words import as_data, words
from clampwright.work import readings
from clampwright.work.fold import Pull
from clampwright.work.second_reading import SecondReading, compare_readings


def read_again(
    session: Session, entry: str, reading: readings.Reading, **made: Unpack[Made]
) -> tuple[SecondReading, Receipt]:
    """Keep what a second person read of a pull; where they differ, the pull is open again.

    Parameters
    ----------
    session : Session
    entry : str
        Id of the pull's entry.
    reading : Reading
        What the second person read.
    **made
        See `Made`.

    Returns
    -------
    SecondReading, Receipt

    Raises
    ------
    Refused
        When there is no such pull, it is void, the job is closed, or there is nothing to read
        again.
    """
    if session.state.closed:
        raise Refused(words("the job is closed"))
    pull = _standing(session, entry)
    first = pull.body["reading"]
    if first["kind"] == "trace":
        raise Refused(words("a recording stands for itself: there is nothing to read again"))
    tool_id = pull.body["tool"]
    planned = session.plan.stage(pull.key)
    choice = next((one for one in planned.choices if one.tool.id == tool_id), None)
    found = compare_readings(
        readings.from_body(first),
        reading,
        tool=choice.tool if choice else None,
        u_angle=choice.u_angle if choice else None,
    )
    body = {
        "entry": entry,
        "reading": readings.as_body(reading),
        "agrees": found.agrees,
        "told": as_data(found.words),
    }
    return found, session.put("reading_confirmed", body, **made)


def _standing(session: Session, entry: str) -> Pull:
    for pull in session.state.pulls:
        if pull.entry == entry and not pull.voided:
            return pull
    raise Refused(words("there is no standing pull {entry} in this job", entry=entry))
