"""Entries made on a device, taken exactly once however often they are sent."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from clampwright.bench import second_reading
from clampwright.bench.asides import settle_aside
from clampwright.bench.second_look import look_again
from clampwright.bench.session import Made, Session
from clampwright.bench.unsigned import held
from clampwright.bench.unsigned import hold_open as keep_open
from clampwright.errors import ClampwrightError, Missing, Refused
from clampwright.web.arrival import plan_mark
from clampwright.web.bench_view import verdict_view
from clampwright.web.lookup import key_of
from clampwright.web.models import (
    AcceptIn,
    CloseIn,
    Device,
    LookIn,
    PullIn,
    ReadAgainIn,
    RestartIn,
    SettleAsideIn,
)
from clampwright.words import words
from clampwright.work import readings
from clampwright.work.four_eyes import TAKEN, Look
from clampwright.work.unsigned import Unsigned


class OtherContent(Refused):
    """The id stands for something else: both contents are kept."""


class PlanChanged(Refused):
    """The device was guided by another plan than the job is worked by now."""


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


def second_look(sent: LookIn) -> Incoming:
    """Return a second look at a joint, ready to be taken."""
    look = Look(sent.joint, sent.in_order, sent.note, sent.photograph, sent.alone)
    return Incoming(
        TAKEN,
        {"joint": sent.joint, "in_order": sent.in_order, "photograph": sent.photograph},
        sent.device,
        lambda session, made: look_again(session, look, **made),
    )


def closing(sent: CloseIn) -> Incoming:
    """Return the closing of a job, ready to be taken."""
    return Incoming(
        "job_closed", {}, sent.device, lambda session, made: session.close(sent.reason, **made)
    )


def settling(sent: SettleAsideIn) -> Incoming:
    """Return the word of a person on a content kept aside, ready to be taken."""
    return Incoming(
        "aside_settled",
        {"entry": sent.aside, "reason": sent.reason.strip()},
        sent.device,
        lambda session, made: settle_aside(session, sent.aside, sent.reason, **made),
    )


def take(
    session: Session,
    entry_id: str,
    one: Incoming,
    *,
    sha256: str = "",
    off: int | None = None,
) -> bool:
    """Put an entry on the log, unless it is there.

    Parameters
    ----------
    session : Session
        Open for writing.
    entry_id : str
    one : Incoming
    sha256 : str
        Hash of its content, see `clampwright.bench.asides.content_hash`.
    off : int or None
        By how many seconds the device's clock is ahead, where it is wrong.

    Returns
    -------
    bool
        False when the same entry was there already.

    Raises
    ------
    OtherContent
        When the id stands for something else.
    PlanChanged
        When the device was guided by another plan.
    Refused
        When what is asked does not fit the job's state.
    """
    try:
        known = session.store.get(entry_id)
    except Missing:
        _same_plan(session, one.device)
        one.take(session, made_of(entry_id, one.device, sha256, off))
        return True
    if not _same(session, known, one, sha256):
        raise OtherContent(
            words(
                "entry {id} is on the log already with other content; both are kept, and it has "
                "to be said which of them stands",
                id=entry_id,
            )
        )
    return False


def is_known(session: Session, entry_id: str) -> bool:
    """Return whether an entry of this id is on the log."""
    try:
        session.store.get(entry_id)
    except Missing:
        return False
    return True


def held_as(session: Session, entry_id: str, sha256: str) -> Unsigned | None:
    """Return what is held open under an entry's id, or was refused there.

    Parameters
    ----------
    session : Session
    entry_id : str
    sha256 : str
        Hash of the content that came now.

    Returns
    -------
    Unsigned or None
        None where nothing was held open, or it was signed.

    Raises
    ------
    OtherContent
        When what is held open says something else.
    """
    one = held(session, entry_id)
    if one is None or one.signed:
        return None
    if one.sha256 != sha256:
        raise OtherContent(
            words(
                "entry {id} is held open with other content; both are kept, and it has to be said "
                "which of them stands",
                id=entry_id,
            )
        )
    return one


def hold_open(
    session: Session, entry_id: str, way: str, act: str, content: Mapping[str, Any], *, made: Made
) -> Unsigned | None:
    """Hold an act open on the log until it is signed; it changes nothing of the job meanwhile."""
    keep_open(session, entry_id, way, act, content, **made)
    return held(session, entry_id)


def _same(session: Session, known: Mapping[str, Any], one: Incoming, sha256: str) -> bool:
    """Whether an entry says the same: by the hash where it has one, else by what was decided."""
    body = known["body"]
    if known["job"] != session.job_id or known["kind"] != one.kind:
        return False
    first = body.get("sent", {}).get("sha256")
    if first is not None and sha256:
        return bool(first == sha256)
    return all(body.get(name) == value for name, value in one.content.items())


def _same_plan(session: Session, device: Device) -> None:
    if device.plan is not None and device.plan != plan_mark(session.state.opened or {}):
        raise PlanChanged(
            words(
                "the plan of this job was changed after this device had taken it along: look at "
                "the plan, then have it judged by the changed one, or keep it aside"
            )
        )


def made_of(entry_id: str, device: Device, sha256: str, off: int | None) -> Made:
    """Return where an entry was made, with what its device said of it."""
    sent: dict[str, Any] = {"counter": device.counter}
    if sha256:
        sent["sha256"] = sha256
    if off is not None:
        sent["clock_off_s"] = off
    return {
        "entry_id": entry_id,
        "device_time": device.time,
        "device_id": device.id,
        "sent": sent,
    }


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
    found = next((pull for pull in session.state.pulls if pull.entry == entry_id), None)
    return {
        **receipt(session, entry_id),
        "verdict": verdict_view(found) if found else None,
    }


def receipt(session: Session, entry_id: str) -> dict[str, Any]:
    """Return by what a device knows that an entry is safe.

    Parameters
    ----------
    session : Session
    entry_id : str

    Returns
    -------
    dict
        ``sha256`` is that of the content as the log took it; empty for an entry without one.
    """
    line = session.store.line(entry_id)
    return {
        "entry": entry_id,
        "index": line.index,
        "leaf_hash": line.leaf_hash.hex(),
        "sha256": line.body.get("sha256") or line.body.get("sent", {}).get("sha256", ""),
    }
