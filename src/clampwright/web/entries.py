"""Entries made on a device, taken exactly once however often they are sent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.bench import second_reading
from clampwright.bench.session import Made, Session
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.web.bench_view import verdict_view
from clampwright.web.lookup import key_of
from clampwright.web.models import AcceptIn, CloseIn, Device, PullIn, ReadAgainIn, RestartIn
from clampwright.words import words
from clampwright.work import readings


@dataclass(frozen=True, slots=True)
class Incoming:
    """What a device sent.

    Parameters
    ----------
    kind : str
        Kind of the entry it becomes.
    content : mapping
        The part of the entry's body that the device decides; the same again is the same entry.
    device : Device
    take : callable
        Puts it on the log: called with the session and with where it was made.
    """

    kind: str
    content: Mapping[str, Any]
    device: Device
    take: Callable[[Session, Made], object]


def pull(sent: PullIn) -> Incoming:
    """Return one pull, ready to be taken."""
    reading = _reading(sent.reading.model_dump())
    content = {
        "joint": sent.joint,
        "stage": sent.stage,
        "fastener": sent.fastener,
        "reading": readings.as_body(reading),
    }

    def take(session: Session, made: Made) -> object:
        key = key_of(session.plan, sent.joint, sent.stage, sent.fastener)
        return session.take(key, reading, tool_id=sent.tool, adapter_id=sent.adapter, **made)

    return Incoming("pull", content, sent.device, take)


def _reading(data: Mapping[str, Any]) -> readings.Reading:
    """Return the reading; what cannot be a number is bad content, not a conflict."""
    try:
        return readings.from_body(data)
    except Refused as error:
        raise ClampwrightError(error.message) from error


def read_again(sent: ReadAgainIn) -> Incoming:
    """Return what a second person read of a pull, ready to be taken."""
    reading = _reading(sent.reading.model_dump())
    return Incoming(
        "reading_confirmed",
        {"entry": sent.entry, "reading": readings.as_body(reading)},
        sent.device,
        lambda session, made: second_reading.read_again(session, sent.entry, reading, **made),
    )


def acceptance(sent: AcceptIn) -> Incoming:
    """Return a going-on in spite of a verdict, ready to be taken."""
    return Incoming(
        "pull_accepted",
        {"entry": sent.entry, "reason": sent.reason.strip()},
        sent.device,
        lambda session, made: session.accept(sent.entry, sent.reason, **made),
    )


def restart(sent: RestartIn) -> Incoming:
    """Return a fastener that begins anew, ready to be taken."""
    return Incoming(
        "fastener_restarted",
        {"joint": sent.joint, "fastener": sent.fastener, "renewed": sent.renewed},
        sent.device,
        lambda session, made: session.restart(
            sent.joint, sent.fastener, sent.reason, renewed=sent.renewed, **made
        ),
    )


def closing(sent: CloseIn) -> Incoming:
    """Return the closing of a job, ready to be taken."""
    return Incoming("job_closed", {}, sent.device, lambda session, made: session.close(**made))


def take(session: Session, entry_id: str, one: Incoming) -> bool:
    """Put an entry on the log, unless it is there.

    Parameters
    ----------
    session : Session
        Open for writing.
    entry_id : str
    one : Incoming

    Returns
    -------
    bool
        False when the same entry was there already.

    Raises
    ------
    Refused
        When the id stands for something else, or what is asked does not fit the job's state.
    """
    try:
        known = session.store.get(entry_id)
    except Missing:
        one.take(session, _made(entry_id, one.device))
        return True
    body = known["body"]
    same = (
        known["job"] == session.job_id
        and known["kind"] == one.kind
        and all(body.get(name) == value for name, value in one.content.items())
    )
    if not same:
        raise Refused(
            words(
                "entry {id} is on the log already with other content; both are kept: the first on "
                "the log, this one on your device",
                id=entry_id,
            )
        )
    return False


def _made(entry_id: str, device: Device) -> Made:
    return {"entry_id": entry_id, "device_time": device.time, "device_id": device.id}


def told(session: Session, entry_id: str) -> dict[str, Any]:
    """Return what a device is told of an entry: that it is safe, and its verdict as it stands.

    Parameters
    ----------
    session : Session
    entry_id : str

    Returns
    -------
    dict
    """
    line = session.store.line(entry_id)
    found = next((pull for pull in session.state.pulls if pull.entry == entry_id), None)
    return {
        "entry": entry_id,
        "index": line.index,
        "leaf_hash": line.leaf_hash.hex(),
        "verdict": verdict_view(found) if found else None,
    }
